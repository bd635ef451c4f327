"""The shortest path with two bends, sought among all that have the straight they need.

A grid of corners finds where the shortest lies, whatever conditions bind there. As a rule that is the least straight at
both faces, which Newton's method finds at once; where something else binds, a constrained descent settles it.

Source: `docs/methods/fitup.md`, with the proof that it is shortest with the least straight at both ends wherever that
leaves enough between the bends. Descent: sequential least squares programming, as scipy has it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from trialfit.fitup.corners import Bender, candidates, two_corners, with_straights
from trialfit.fitup.records import Array, EndFace

SHORT_MM = 1e-7
_GRID = 121
_SNAP_MM = 1e-4
_NEARLY_MM = 0.05


def shortest_two_bends(start: EndFace, end: EndFace, bender: Bender) -> Array | None:
    """Find the shortest path with two bends.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.

    Returns
    -------
    Array or None
        (4, 3) vertices [mm]; None where no two corners leave the straight wanted everywhere.
    """
    begin, spare = _best_on_grid(start, end, bender)
    if spare < 0:
        begin, spare = _most_spare(start, end, bender, begin)
    if spare < -SHORT_MM:
        return None
    exact = _least_straights(start, end, bender, begin)
    if exact is None:
        exact = _snapped(start, end, bender, _polished(start, end, bender, begin))
    return two_corners(start, end, *exact)


def most_to_spare_mm(start: EndFace, end: EndFace, bender: Bender) -> float:
    """Find how much straight two bends can leave over where they leave least.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.

    Returns
    -------
    float
        The most any two corners leave over; negative is how much falls short. [mm]
    """
    begin, _ = _best_on_grid(start, end, bender)
    return _most_spare(start, end, bender, begin)[1]


def straights_snapped(start: EndFace, end: EndFace, bender: Bender, vertices_mm: Array) -> Array | None:
    """Bring straights at the faces that are within a hair of the least allowed exactly to it.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    vertices_mm
        (4, 3) a path with two bends. [mm]

    Returns
    -------
    Array or None
        (4, 3) vertices [mm]; None where neither straight is near its least.
    """
    legs = np.linalg.norm(vertices_mm[[1, 2]] - vertices_mm[[0, 3]], axis=1)
    spare = _spare(start, end, bender, legs)
    if min(spare[0], spare[2]) > _NEARLY_MM:
        return None
    straights = (
        start.straight_mm + (0.0 if spare[0] < _NEARLY_MM else float(spare[0])),
        end.straight_mm + (0.0 if spare[2] < _NEARLY_MM else float(spare[2])),
    )
    exact = with_straights(start, end, bender.radius_mm, straights, (float(legs[0]), float(legs[1])))
    if _spare(start, end, bender, np.array(exact)).min() < -2 * _SNAP_MM or np.abs(exact - legs).max() > 1.0:
        return None
    return two_corners(start, end, *exact)


def _reach_mm(start: EndFace, end: EndFace, bender: Bender) -> float:
    """How far out a corner is sought: past the other face by all that the straights and two hairpins can take."""
    apart = float(np.linalg.norm(end.position_mm - start.position_mm))
    return apart + start.straight_mm + end.straight_mm + bender.grip_mm + 8 * bender.radius_mm


def _best_on_grid(start: EndFace, end: EndFace, bender: Bender) -> tuple[Array, float]:
    """Shortest of the paths that have straight to spare everywhere; where none has, the one that falls least short."""
    steps = _reach_mm(start, end, bender) * np.linspace(0, 1, _GRID) ** 2
    first, last = (grid.ravel() for grid in np.meshgrid(start.straight_mm + steps, end.straight_mm + steps))
    paths = candidates(start, end, bender, first, last)
    spare = paths.spare_mm.min(axis=1)
    fits = spare >= 0
    best = int(np.argmin(np.where(fits, paths.length_mm, np.inf))) if fits.any() else int(np.argmax(spare))
    return np.array([first[best], last[best]]), float(spare[best])


def _spare(start: EndFace, end: EndFace, bender: Bender, legs: Array) -> Array:
    return np.asarray(candidates(start, end, bender, legs[:1], legs[1:2]).spare_mm[0])


def _most_spare(start: EndFace, end: EndFace, bender: Bender, begin: Array) -> tuple[Array, float]:
    """Corners with the most straight to spare at the place where there is least."""
    before = float(_spare(start, end, bender, begin).min())

    def over(x: Array) -> Array:
        return np.asarray(_spare(start, end, bender, x[:2]) - x[2])

    def negative_spare(x: Array) -> float:
        return -float(x[2])

    legs = _descended(negative_spare, np.array([*begin, before]), over, 1e-10)[:2]
    after = float(_spare(start, end, bender, legs).min())
    return (legs, after) if after > before else (begin, before)


def _least_straights(start: EndFace, end: EndFace, bender: Bender, begin: Array) -> tuple[float, float] | None:
    """The path near one that is nearly the shortest, with the least straight at both faces, where that can be made."""
    wanted = (start.straight_mm, end.straight_mm)
    exact = with_straights(start, end, bender.radius_mm, wanted, (float(begin[0]), float(begin[1])))
    legs = np.array([begin, exact])
    if not np.isfinite(legs).all() or min(exact) < 0:
        return None
    both = candidates(start, end, bender, legs[:, 0], legs[:, 1])
    shorter = both.length_mm[1] <= both.length_mm[0] + SHORT_MM
    return exact if shorter and both.spare_mm[1].min() > -SHORT_MM else None


def _polished(start: EndFace, end: EndFace, bender: Bender, begin: Array) -> Array:
    """The shortest path near one that is nearly so."""

    def length(x: Array) -> float:
        return float(candidates(start, end, bender, x[:1], x[1:2]).length_mm[0])

    def over(x: Array) -> Array:
        return _spare(start, end, bender, x)

    legs = _descended(length, begin, over, 1e-12)
    fits = float(over(legs).min()) > -SHORT_MM
    return legs if fits and length(legs) <= length(begin) else begin


def _descended(of: Callable[[Array], float], begin: Array, over: Callable[[Array], Array], tolerance: float) -> Array:
    """Where something is least near a place, among where nothing falls short."""
    from scipy.optimize import NonlinearConstraint, minimize  # most pipes are settled without, and it is long to load

    at_least = NonlinearConstraint(over, 0.0, np.inf)
    found = minimize(of, begin, method="SLSQP", constraints=at_least, tol=tolerance)
    return np.asarray(found.x, dtype=np.float64)


def _snapped(start: EndFace, end: EndFace, bender: Bender, legs: Array) -> tuple[float, float]:
    """Bring a straight that is within a hair of the least allowed exactly to it."""
    near = (float(legs[0]), float(legs[1]))
    spare = _spare(start, end, bender, legs)
    straights = (
        start.straight_mm + (0.0 if abs(spare[0]) < _SNAP_MM else float(spare[0])),
        end.straight_mm + (0.0 if abs(spare[2]) < _SNAP_MM else float(spare[2])),
    )
    exact = with_straights(start, end, bender.radius_mm, straights, near)
    return exact if _spare(start, end, bender, np.array(exact)).min() > -2 * _SNAP_MM else near
