"""The spanner's swing: where its handle can go round a hexagon, and what is in the way elsewhere.

A hexagon comes round every 60 deg, so a spanner needs a window of 60 deg; one whose head stands 15 deg to its handle
is turned over between pulls, and 30 deg are enough. Only the first pull needs a spanner, so it is tried where the
hexagon stands at rest.

Source: geometry of the hexagon; a spanner's sizes are those of `trialfit.fitup.hand_spanner`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trialfit.fitup.order.apart import Forms, apart, forms, joined
from trialfit.fitup.order.loose import Grip
from trialfit.fitup.order.motion import Helices, Motion, helices
from trialfit.fitup.order.sweep import TOUCH_MM, sweep
from trialfit.fitup.scene import Scene
from trialfit.fitup.vectors import cross, square_to
from trialfit.parts.placement import Array
from trialfit.parts.solids import Box, Cylinder, Solid

STEP_DEG = 15.0
STEPS = 24


@dataclass(frozen=True)
class Window:
    """A part of the circle a spanner's handle may swing in.

    Parameters
    ----------
    starts_deg, ends_deg
        From the direction `zero_way` gives, right-handed about the way out. [deg]
    blockers
        Things that are in the way of it; none where it is free.
    """

    starts_deg: float
    ends_deg: float
    blockers: frozenset[str]


def windows(grips: Sequence[tuple[Grip, Scene]]) -> tuple[tuple[Window, ...], ...]:
    """Swing spanners right round hexagons and see what is in the way of every window.

    Parameters
    ----------
    grips
        Where each goes, and all that stands there.

    Returns
    -------
    tuple of tuple of Window
        Of each, every 15 deg one, as wide as the spanner needs.
    """
    return tuple(_of(grip, own) for (grip, _), own in zip(grips, steps_barred(grips), strict=True))


def steps_barred(grips: Sequence[tuple[Grip, Scene]]) -> tuple[tuple[frozenset[str], ...], ...]:
    """Swing spanners right round hexagons and see what is in the way of every 15 deg.

    Parameters
    ----------
    grips
        Where each goes, and all that stands there.

    Returns
    -------
    tuple of tuple of frozenset
        Of each, 24 sets of names, from the direction `zero_way` gives.
    """
    steps: list[list[set[str]]] = [[set() for _ in range(STEPS)] for _ in grips]
    owners: list[tuple[int, str]] = []
    spanners: list[Forms] = []
    stills: list[Forms] = []
    swings: list[Grip] = []
    for number, (grip, scene) in enumerate(grips):
        names, still = _obstacles(grip, scene)
        for solid in spanner_solids(grip):
            spanners.append(forms([solid]).chosen(np.zeros(len(names), dtype=np.intp)))
            stills.append(still)
            owners += [(number, name) for name in names]
            swings += [grip] * len(names)
    if owners:
        rows, starts = np.repeat(np.arange(len(owners)), STEPS), np.tile(np.arange(STEPS), len(owners))
        round_ = helices([Motion("turn", each.middle_mm, each.axis, 0.0, 360.0) for each in swings]).chosen(rows)
        there = round_.moved(joined(spanners).chosen(rows), starts / STEPS)
        step = Helices(round_.on_mm, round_.along, round_.travel_mm, round_.turn_rad / STEPS)
        found = sweep(there, step, joined(stills).chosen(rows), whether=True)
        for k in np.flatnonzero(np.isfinite(found.share)):
            number, name = owners[rows[k]]
            steps[number][starts[k]].add(name)
    return tuple(tuple(frozenset(each) for each in own) for own in steps)


def _of(grip: Grip, steps: Sequence[frozenset[str]]) -> tuple[Window, ...]:
    wide = round(grip.spanner.window_deg / STEP_DEG)
    return tuple(
        Window(k * STEP_DEG, (k + wide) * STEP_DEG, frozenset().union(*(steps[(k + n) % STEPS] for n in range(wide))))
        for k in range(STEPS)
    )


def spanner_solids(grip: Grip) -> tuple[Solid, Solid]:
    """A spanner on a hexagon, its handle along `zero_way`, as two simple solids.

    Parameters
    ----------
    grip
        Where it goes.

    Returns
    -------
    tuple
        Its head, a disc; its handle, a bar from there to the hand.
    """
    spanner = grip.spanner
    way = zero_way(grip)
    half = spanner.thick_mm / 2 * grip.axis
    head = Cylinder(grip.middle_mm - half, grip.middle_mm + half, spanner.head_mm / 2)
    axes = np.array([way, cross(grip.axis, way), grip.axis])
    halves = np.array([spanner.length_mm, spanner.handle_mm, spanner.thick_mm]) / 2
    return head, Box(grip.middle_mm + spanner.length_mm / 2 * way, axes, halves)


def zero_way(grip: Grip) -> Array:
    """The direction from which the swing is counted.

    Parameters
    ----------
    grip
        Where the spanner goes.

    Returns
    -------
    Array
        (3,) unit vector square to the axis: of the job's axes the one most nearly so. [-]

    Source
    ------
    A choice, and no more.
    """
    return square_to(grip.axis)


def _obstacles(grip: Grip, scene: Scene) -> tuple[list[str], Forms]:
    """All that comes within reach of the spanner: not its own part, nor what runs into the hexagon it grips."""
    gripped = next(thing for thing in scene.things if thing.name == grip.thing)
    own = next(piece for piece in gripped.pieces if piece.name == grip.piece)
    others = [(thing.name, piece) for thing in scene.things if thing.name != grip.thing for piece in thing.room]
    if not others:
        return [], forms([])
    still = forms(piece.solid for _, piece in others)
    touching = apart(forms([own.solid]).chosen(np.zeros(len(others), dtype=np.intp)), still, TOUCH_MM, TOUCH_MM)
    reach = np.hypot(grip.spanner.length_mm, grip.spanner.head_mm)
    between = still.middle_mm - grip.middle_mm
    high = -np.sum(between * still.axis, axis=1)
    far = np.where(still.flat, high, np.linalg.norm(between, axis=1) - np.where(still.flat, 0.0, still.reach_mm()))
    counts = np.flatnonzero((far < reach) & (touching.most_mm > TOUCH_MM))
    return [others[k][0] for k in counts], still.chosen(counts)
