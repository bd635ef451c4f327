"""Where a spanner goes on a part. Source: its hexagon, and the axis it is turned about."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trialfit.fitup.hand_spanner import Spanners, spanner_for
from trialfit.fitup.order.loose import Grip
from trialfit.fitup.scene import Scene
from trialfit.parts.placement import Array
from trialfit.parts.solids import Hexagon

_IN_LINE = 0.95
_ON_AXIS_MM = 2.0


def grip_on(
    there: Spanners, scene: Scene, things: Sequence[str], on_mm: Array, out: Array, flats_mm: float | None = None
) -> Grip | None:
    """Find the hexagon a spanner goes on.

    Parameters
    ----------
    there
        The spanners there are.
    scene
        What stands.
    things
        What is turned.
    on_mm, out
        (3,) a point on its axis [mm], and unit vector the way out [-].
    flats_mm
        Across flats where the job says it; None for the hexagon's own. [mm]

    Returns
    -------
    Grip or None
        None where it has no hexagon round that axis: it is turned by hand.
    """
    for thing in scene.things:
        if thing.name not in things:
            continue
        for piece in thing.pieces:
            solid = piece.solid
            if not isinstance(solid, Hexagon):
                continue
            axis = solid.end_mm - solid.start_mm
            axis = axis / np.linalg.norm(axis)
            middle = (solid.start_mm + solid.end_mm) / 2
            aside = (middle - on_mm) - float((middle - on_mm) @ out) * out
            if abs(float(axis @ out)) > _IN_LINE and float(np.linalg.norm(aside)) < _ON_AXIS_MM:
                return Grip(thing.name, piece.name, middle, out, spanner_for(flats_mm or solid.flats_mm, there))
    return None
