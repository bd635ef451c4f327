"""Primitives with the kind of line they are, so that a drawing file can carry them in layers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from trialfit.sheets.drawing import CENTRE, FINE, HIDDEN, OUTLINE, THIN, Drawing, Item, Pen, around

Layer = Literal["outline", "centre", "hidden", "thread", "hatch", "dimension"]

LAYERS: dict[Layer, Pen] = {
    "outline": OUTLINE,
    "centre": CENTRE,
    "hidden": HIDDEN,
    "thread": THIN,
    "hatch": FINE,
    "dimension": FINE,
}


@dataclass(frozen=True)
class Layered:
    """A primitive and its layer.

    Parameters
    ----------
    layer
        What kind of line it is.
    item
        The primitive, at the size it has on paper.
    """

    layer: Layer
    item: Item


def on(layer: Layer, items: Iterable[Item]) -> list[Layered]:
    """Put primitives on a layer.

    Parameters
    ----------
    layer
        The layer.
    items
        The primitives.

    Returns
    -------
    list
        The same, layered.
    """
    return [Layered(layer, item) for item in items]


def flat(layered: Iterable[Layered], margin_mm: float = 0.5) -> Drawing:
    """Put layered primitives on the smallest piece of paper that holds them.

    Parameters
    ----------
    layered
        The primitives.
    margin_mm
        Paper left all round. [mm]

    Returns
    -------
    Drawing
        The primitives in their order, moved together.
    """
    return around((each.item for each in layered), margin_mm)
