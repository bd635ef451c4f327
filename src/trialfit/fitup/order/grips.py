"""Where a spanner goes on a part, and which spanner the owner has for it.

Source: what the job says the owner has. Without that a usual length is taken by the jaws, and a thickness of 0.45 of
the flats, both from memory.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trialfit.finding import Basis
from trialfit.fitup.order.loose import Grip, Held
from trialfit.fitup.scene import Scene
from trialfit.job.records import Job
from trialfit.job.taking_off import OwnerSpanner
from trialfit.job.tooling import assumed_tooling
from trialfit.parts.placement import Array
from trialfit.parts.solids import Hexagon
from trialfit.units import read

# Jaws this much wider than the flats still hold. [mm]
_SLACK_MM = 0.3
_IN_LINE = 0.95
_ON_AXIS_MM = 2.0
_THICK_OVER_FLATS = 0.45


def grip_on(
    job: Job, scene: Scene, things: Sequence[str], on_mm: Array, out: Array, flats_mm: float | None = None
) -> Grip | None:
    """Find the hexagon a spanner goes on.

    Parameters
    ----------
    job
        The job document.
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
                return Grip(thing.name, piece.name, middle, out, held(job, flats_mm or solid.flats_mm))
    return None


def held(job: Job, flats_mm: float) -> Held:
    """Choose the owner's spanner for a hexagon.

    Parameters
    ----------
    job
        The job document.
    flats_mm
        Across flats. [mm]

    Returns
    -------
    Held
        The tightest of his that goes on; else one assumed, and said so.
    """
    own = job.order.spanners if job.order else ()
    fits = [each for each in own if 0 <= float(each.across_flats.to("mm")) - flats_mm + 0.05 <= _SLACK_MM + 0.05]
    if not fits:
        return Held(flats_mm, _usual_mm(flats_mm), _THICK_OVER_FLATS * flats_mm, False, Basis.ASSUMED)
    best = min(fits, key=lambda each: float(each.across_flats.to("mm")))
    return _owned(best)


def _owned(spanner: OwnerSpanner) -> Held:
    flats = float(spanner.across_flats.to("mm"))
    length = float(spanner.length.to("mm")) if spanner.length else _usual_mm(flats)
    thick = float(spanner.thick.to("mm")) if spanner.thick else _THICK_OVER_FLATS * flats
    basis = Basis.MEASURED if spanner.length and spanner.thick else Basis.ASSUMED
    return Held(flats, length, thick, spanner.head == "slanted", basis)


def _usual_mm(flats_mm: float) -> float:
    """A usual length for the jaws, between those of the assumed workshop."""
    spanners = assumed_tooling()["spanners"]
    known = [(float(read(each["across_flats"], "length").to("mm")), float(read(each["length"], "length").to("mm")))
             for each in spanners]  # fmt: skip
    return float(np.interp(flats_mm, *np.array(known).T))
