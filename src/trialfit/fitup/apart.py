"""How far two convex solids are apart, or how far they are into each other.

Along a direction two solids overlap by the sum of how far each reaches towards the other. The least overlap over all
directions is how far one would have to be moved to come clear; where it is below nought they are apart, by as much.

Source: separating axes; support functions of convex bodies.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import dist, hypot, sqrt

import numpy as np

from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross, crosses
from trialfit.parts.solids import Box, Capsule, HalfSpace, Hexagon, Solid, farthest_mm

_SPREAD = 500
_ROUNDS = 14
_TRIES = 24
_NO_WAY = 1e-9


def overlap_mm(one: Solid, other: Solid) -> float:
    """How far two solids are into each other.

    Parameters
    ----------
    one, other
        The two, in one frame.

    Returns
    -------
    float
        Above nought, how far one has to be moved to come clear; below, how far they are apart. Good to a few
        hundredths where round edges meet. [mm]
    """
    if isinstance(one, HalfSpace) and isinstance(other, HalfSpace):
        return np.inf if float(one.out @ other.out) > -1.0 + 1e-12 else float((one.on_mm - other.on_mm) @ one.out)
    for plane, solid in ((one, other), (other, one)):
        if isinstance(plane, HalfSpace) and not isinstance(solid, HalfSpace):
            deepest = farthest_mm(solid, -plane.out[None])[0]
            return float((plane.on_mm - deepest) @ plane.out)
    return _least(one, other)


def sunk_mm(one: Solid, other: Solid) -> float:
    """How far two solids are into each other, answered quickly where they are not.

    Parameters
    ----------
    one, other
        The two, in one frame.

    Returns
    -------
    float
        0 where they are clear of each other. [mm]
    """
    if within_mm(one, other) > 0:
        return 0.0
    if isinstance(one, HalfSpace) or isinstance(other, HalfSpace):
        return max(overlap_mm(one, other), 0.0)
    # One direction in which they are clear of each other is enough.
    if float(_overlap(one, other, _telling(one, other)).min()) <= 0:
        return 0.0
    ways = _ways(one, other)
    found = _overlap(one, other, ways)
    if float(found.min()) <= 0:
        return 0.0
    return max(min(_closer(one, other, way) for way in ways[np.argsort(found)[:3]]), 0.0)


def within_mm(one: Solid, other: Solid) -> float:
    """A quick lower bound of how far apart two solids are: by the balls that hold them.

    Parameters
    ----------
    one, other
        The two, in one frame.

    Returns
    -------
    float
        Below nought where their balls overlap; minus infinity for a half space. [mm]
    """
    if isinstance(one, HalfSpace) or isinstance(other, HalfSpace):
        return -np.inf
    (middle_a, reach_a), (middle_b, reach_b) = _ball(one), _ball(other)
    return float(np.linalg.norm(middle_a - middle_b)) - reach_a - reach_b


def near(ones: Sequence[Solid], others: Sequence[Solid]) -> list[tuple[int, int]]:
    """Which of many solids may be into which, by the balls that hold them.

    Parameters
    ----------
    ones, others
        The solids, in one frame.

    Returns
    -------
    list of tuple
        Their places among `ones` and `others`, in that order. All other pairs are clear of each other.
    """
    if not ones or not others:
        return []
    (middles_a, reach_a), (middles_b, reach_b) = _balls(ones), _balls(others)
    apart = np.linalg.norm(middles_a[:, None] - middles_b[None], axis=2)
    return [(int(a), int(b)) for a, b in np.argwhere(apart <= reach_a[:, None] + reach_b[None])]


def _balls(solids: Sequence[Solid]) -> tuple[Array, Array]:
    """(n, 3) middles and (n,) reaches; a half space reaches everywhere."""
    found = [(np.zeros(3), np.inf) if isinstance(each, HalfSpace) else _ball(each) for each in solids]
    return np.array([middle for middle, _ in found]), np.array([reach for _, reach in found])


def _least(one: Solid, other: Solid) -> float:
    ways = _ways(one, other)
    found = _overlap(one, other, ways)
    return min(_closer(one, other, way) for way in ways[np.argsort(found)[:3]])


def _ways(one: Solid, other: Solid) -> Array:
    """(n, 3) directions to try: those of the solids themselves and many more."""
    return np.vstack([_telling(one, other), _evenly()])


def _telling(one: Solid, other: Solid) -> Array:
    """(n, 3) directions likely to part two solids: between their middles, their own, those square to two of them."""
    own, others = _own_ways(one), _own_ways(other)
    apart = _ball(other)[0] - _ball(one)[0]
    crossed = crosses(own[:, None], others[None]).reshape(-1, 3)
    ways = np.vstack([apart[None], own, others, crossed])
    size = np.sqrt(np.einsum("ni,ni->n", ways, ways))
    ways = ways[size > _NO_WAY] / size[size > _NO_WAY][:, None]
    return np.vstack([ways, -ways])


def _closer(one: Solid, other: Solid, way: Array) -> float:
    """Narrow down on the direction of least overlap round a first one."""
    best, reach = float(_overlap(one, other, way[None])[0]), 0.15
    for _ in range(_ROUNDS):
        tried = way + reach * _near()
        tried /= np.linalg.norm(tried, axis=1, keepdims=True)
        found = _overlap(one, other, tried)
        k = int(np.argmin(found))
        if found[k] < best:
            best, way = float(found[k]), tried[k]
        else:
            reach /= 2
    return best


def _overlap(one: Solid, other: Solid, ways: Array) -> Array:
    """How far `one` reaches along each direction past where `other` begins."""
    return np.asarray(np.einsum("ni,ni->n", farthest_mm(one, ways) - farthest_mm(other, -ways), ways))


def _ball(solid: Solid) -> tuple[Array, float]:
    if isinstance(solid, HalfSpace):
        raise ValueError("a half space has no middle")
    if isinstance(solid, Box):
        return solid.middle_mm, hypot(*solid.halves_mm.tolist())
    half = dist(solid.start_mm.tolist(), solid.end_mm.tolist()) / 2
    middle = (solid.start_mm + solid.end_mm) / 2
    if isinstance(solid, Capsule):
        return middle, half + solid.radius_mm
    radius = solid.flats_mm / sqrt(3.0) if isinstance(solid, Hexagon) else solid.radius_mm
    return middle, hypot(half, radius)


def _own_ways(solid: Solid) -> Array:
    """(n, 3) square to a solid's flat faces and along its axis. [-]"""
    if isinstance(solid, Box):
        return solid.axes
    if isinstance(solid, HalfSpace):
        return solid.out[None]
    along = solid.end_mm - solid.start_mm
    size = float(np.linalg.norm(along))
    if size == 0:
        return np.zeros((0, 3))
    axis = along / size
    if not isinstance(solid, Hexagon):
        return axis[None]
    side = cross(axis, solid.towards)
    turns = np.arange(3) * np.pi / 3
    return np.vstack([axis, np.outer(np.cos(turns), solid.towards) + np.outer(np.sin(turns), side)])


@cache
def _evenly() -> Array:
    """(1000, 3) directions spread evenly over the sphere, each with its opposite, by the golden angle."""
    k = np.arange(_SPREAD) + 0.5
    height, turn = k / _SPREAD, np.pi * (1 + 5**0.5) * k
    flat = np.sqrt(1 - height**2)
    half = np.column_stack([flat * np.cos(turn), flat * np.sin(turn), height])
    return np.vstack([half, -half])


@cache
def _near() -> Array:
    """(24, 3) steps spread evenly over the sphere."""
    k = np.arange(_TRIES) + 0.5
    height, turn = 1 - 2 * k / _TRIES, np.pi * (1 + 5**0.5) * k
    flat = np.sqrt(1 - height**2)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), height])
