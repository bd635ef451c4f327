"""What is written beside a turned part: one label a feature, and distances from a face, so that nothing overlaps.

Leaders and extension lines leave the part upright in the order they stand along the axis. They are spread apart in that
order, which keeps them from crossing; distances stand upright at their ends, and labels go up like a flight of steps,
so that no label lies on another's leader.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from trialfit.sheets.drafting import arrowhead
from trialfit.sheets.drawing import FINE, Anchor, Item, Line, Point, Text
from trialfit.sheets.labels import spread
from trialfit.sheets.layers import Layered, on

LETTERS_PT = 10.0
# From one upright figure to the next, along the axis.
_APART_MM = 4.3
_SLANT_MM = 4.0
_ROW_MM = 11.5
_STEP_MM = 5.2
_SHELF_MM = 1.6


@dataclass(frozen=True)
class Drop:
    """Something said of a place on the part.

    Parameters
    ----------
    at
        The place, on paper; above the axis positive, below it negative. [mm]
    text
        What is said.
    row
        Row of figures from a face, counted outwards from 0; None for a label. [-]
    """

    at: Point
    text: str
    row: int | None


@dataclass(frozen=True)
class _Placed:
    drop: Drop
    x_mm: float


def written(drops: Sequence[Drop], edge_mm: float, side: float, captions: Sequence[str]) -> list[Layered]:
    """Write all that is said on one side of a part.

    Parameters
    ----------
    drops
        What is said, in any order.
    edge_mm
        How far the part reaches from its axis on that side, on paper. [mm]
    side
        1 above the axis, -1 below it. [-]
    captions
        What the figures of each row are counted from.

    Returns
    -------
    list
        Lines and text on the dimension layer.
    """
    if not drops:
        return []
    ordered = sorted(drops, key=lambda drop: (drop.at[0], drop.row is None))
    xs = spread([drop.at[0] for drop in ordered], _APART_MM)
    placed = [_Placed(drop, x) for drop, x in zip(ordered, xs, strict=True)]
    rows = 1 + max((drop.row for drop in drops if drop.row is not None), default=-1)
    layered: list[Layered] = []
    labels = [each for each in placed if each.drop.row is None]
    for each in placed:
        if each.drop.row is not None:
            layered += on("dimension", _figure(each, edge_mm, side))
    for each, level, to_right in _flights(labels):
        layered += on("dimension", _label(each, edge_mm, side, rows, level, to_right))
    left = min(xs) - 2.5
    for row, caption in enumerate(captions):
        middle = side * (edge_mm + _SLANT_MM + 1.0 + (row + 0.5) * _ROW_MM)
        layered += on("dimension", [Text((left, middle), caption, LETTERS_PT, anchor="end")])
    return layered


def _figure(each: _Placed, edge_mm: float, side: float) -> Iterator[Line | Text]:
    row = each.drop.row or 0
    foot = edge_mm + _SLANT_MM + 1.0 + row * _ROW_MM
    yield from _way(each, edge_mm, side, foot)
    text = Text((0.0, 0.0), each.drop.text, LETTERS_PT, turn_deg=90.0)
    yield replace(text, at=(each.x_mm, side * (foot + 0.8 + text.width_mm / 2.0)))


def _label(each: _Placed, edge_mm: float, side: float, rows: int, level: int, to_right: bool) -> Iterator[Item]:
    high = edge_mm + _SLANT_MM + 1.0 + rows * _ROW_MM + 2.0 + level * _STEP_MM
    yield arrowhead(each.drop.at, (0.0, -side), 2.0)
    yield from _way(each, edge_mm, side, high)
    shelf = _SHELF_MM if to_right else -_SHELF_MM
    yield Line((each.x_mm, side * high), (each.x_mm + shelf, side * high), FINE)
    anchor: Anchor = "start" if to_right else "end"
    yield Text((each.x_mm + 1.4 * shelf, side * high), each.drop.text, LETTERS_PT, anchor=anchor)


def _way(each: _Placed, edge_mm: float, side: float, to_mm: float) -> Iterator[Line]:
    """Upright to beyond the part, slanted to its own place, upright again."""
    x, y = each.drop.at
    gap = 0.0 if each.drop.row is None else 0.8
    foot, knee = (x, y + side * gap), (x, side * edge_mm)
    turns = (foot, knee, (each.x_mm, side * (edge_mm + _SLANT_MM)), (each.x_mm, side * to_mm))
    if abs(each.x_mm - x) < 1e-6:
        yield Line(turns[0], turns[3], FINE)
        return
    for a, b in pairwise(turns):
        yield Line(a, b, FINE)


def _flights(labels: Sequence[_Placed]) -> Iterator[tuple[_Placed, int, bool]]:
    """Each label with its step and whether it goes to the right: outermost lowest, both ways about equally wide."""
    count = len(labels)
    if not count:
        return
    widths = [Text((0.0, 0.0), each.drop.text, LETTERS_PT).width_mm + 2.0 * _SHELF_MM for each in labels]

    def reach(split: int) -> tuple[float, int]:
        left = min((labels[k].x_mm - widths[k] for k in range(split)), default=labels[0].x_mm)
        right = max((labels[k].x_mm + widths[k] for k in range(split, count)), default=labels[-1].x_mm)
        return round(right - left, 3), max(split, count - split)

    split = min(range(count + 1), key=reach)
    for place, each in enumerate(labels):
        to_right = place >= split
        yield each, (count - 1 - place) if to_right else place, to_right
