"""How far apart convex solids are, many pairs at once, between two bounds that are both certain.

Every solid is a middle, up to four half edges added to it either way, a disc and a ball: a rod is one half edge and a
ball, a cylinder one half edge and a disc, a box three half edges, a hexagon its axis and three half sides. Points
farthest in a direction follow at once, and with them the distance.

Whatever the search does, both bounds hold: a plane between two solids is a proof that they are so far apart, and two
points in them a proof that they are no farther.

Source: Gilbert, Johnson and Keerthi, IEEE Journal of Robotics and Automation 4 (1988) 193; zonotopes as sums of line
segments are plane geometry.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import cos, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.order.lanes import Lanes, dots
from trialfit.fitup.order.nearest import nearest
from trialfit.parts.placement import Array
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Solid

Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

_HALF_EDGES = 4
_CLOSE_MM = 1e-4
_MOST_ROUNDS = 60


@dataclass(frozen=True, eq=False)
class Forms:
    """Solids of any kind, side by side.

    Parameters
    ----------
    middle_mm
        (n, 3) their middles; of a half space, a point on its plane. [mm]
    edges_mm
        (n, 4, 3) half edges, nought where there are fewer. [mm]
    axis
        (n, 3) unit axis of the disc; of a half space, the way out of it. [-]
    disc_mm, ball_mm
        (n,) radius of the disc, and of the ball. [mm]
    flat
        (n,) whether it is a half space. [-]
    """

    middle_mm: Array
    edges_mm: Array
    axis: Array
    disc_mm: Array
    ball_mm: Array
    flat: Flags

    def __len__(self) -> int:
        """How many there are."""
        return len(self.disc_mm)

    def chosen(self, which: Places | Flags) -> Forms:
        """Some of them, in another order or more than once.

        Parameters
        ----------
        which
            (m,) places, or whether to take each. [-]

        Returns
        -------
        Forms
            Those.
        """
        return Forms(
            self.middle_mm[which], self.edges_mm[which], self.axis[which], self.disc_mm[which], self.ball_mm[which],
            self.flat[which],
        )  # fmt: skip

    def turned(self, turns: Array, about_mm: Array, shifts_mm: Array) -> Forms:
        """Each turned about a point and then shifted.

        Parameters
        ----------
        turns
            (n, 3, 3) rotations. [-]
        about_mm
            (n, 3) points they are turned about. [mm]
        shifts_mm
            (n, 3) shifts. [mm]

        Returns
        -------
        Forms
            In their new places.
        """
        middle = np.einsum("nij,nj->ni", turns, self.middle_mm - about_mm) + about_mm + shifts_mm
        edges = np.einsum("nij,nkj->nki", turns, self.edges_mm)
        axis = np.einsum("nij,nj->ni", turns, self.axis)
        return Forms(middle, edges, axis, self.disc_mm, self.ball_mm, self.flat)

    def farthest_mm(self, directions: Array) -> Array:
        """The point of each, without its ball, that lies farthest in a direction.

        Parameters
        ----------
        directions
            (n, 3) any length but nought. [-]

        Returns
        -------
        Array
            (n, 3) points. [mm]
        """
        return np.asarray(self.lanes().farthest_mm(directions.T).T)

    def lanes(self) -> Lanes:
        """The same lane by lane, without their balls.

        Returns
        -------
        Lanes
            In the same order.
        """
        edges = np.ascontiguousarray(self.edges_mm.transpose(1, 2, 0))
        return Lanes(np.ascontiguousarray(self.middle_mm.T), edges, np.ascontiguousarray(self.axis.T), self.disc_mm)

    def reach_mm(self) -> Array:
        """How far each reaches from its middle at most.

        Returns
        -------
        Array
            (n,) infinite for a half space. [mm]
        """
        lengths = np.linalg.norm(self.edges_mm, axis=2)
        # Half edges square to each other add by Pythagoras; the three sides of a hexagon reach as far as its corner.
        hexagon = lengths[:, 3] > 0
        box = np.sqrt(np.where(hexagon, lengths[:, 0] ** 2 + 4 * lengths[:, 1] ** 2, np.sum(lengths**2, axis=1)))
        return np.where(self.flat, np.inf, np.hypot(box, self.disc_mm) + self.ball_mm)

    def off_axis_mm(self, on_mm: Array, along: Array) -> Array:
        """How far the farthest point of each is from an axis, at most.

        Parameters
        ----------
        on_mm
            (n, 3) points on the axes. [mm]
        along
            (n, 3) unit vectors along them. [-]

        Returns
        -------
        Array
            (n,) distances. [mm]
        """
        rest = self.middle_mm - on_mm
        rest = rest - np.sum(rest * along, axis=1)[:, None] * along
        return np.asarray(np.linalg.norm(rest, axis=1) + self.reach_mm())


def forms(solids: Iterable[Solid]) -> Forms:
    """Put solids of any kind side by side.

    Parameters
    ----------
    solids
        The solids.

    Returns
    -------
    Forms
        In the same order.
    """
    rows = [_form(each) for each in solids]
    if not rows:
        nothing = np.zeros(0)
        return Forms(np.zeros((0, 3)), np.zeros((0, 4, 3)), np.zeros((0, 3)), nothing, nothing, np.zeros(0, dtype=bool))
    middle, edges, axis, disc, ball, flat = zip(*rows, strict=True)
    return Forms(np.array(middle), np.array(edges), np.array(axis), np.array(disc), np.array(ball), np.array(flat))


def joined(each: Sequence[Forms]) -> Forms:
    """Put several rows of solids one after the other.

    Parameters
    ----------
    each
        At least one.

    Returns
    -------
    Forms
        All of them.
    """
    return Forms(
        np.concatenate([row.middle_mm for row in each]), np.concatenate([row.edges_mm for row in each]),
        np.concatenate([row.axis for row in each]), np.concatenate([row.disc_mm for row in each]),
        np.concatenate([row.ball_mm for row in each]), np.concatenate([row.flat for row in each]),
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Apart:
    """How far apart pairs of solids are.

    Parameters
    ----------
    least_mm, most_mm
        (n,) the distance lies between these two; below nought where they overlap, as far as balls tell. [mm]
    at_mm
        (n, 3) a point of the first of each pair that is nearest to the second, as found. [mm]
    """

    least_mm: Array
    most_mm: Array
    at_mm: Array


def apart(one: Forms, other: Forms, enough_mm: Array | float = np.inf, touch_mm: float = -np.inf) -> Apart:
    """Find how far apart the solids of each pair are.

    Parameters
    ----------
    one
        n solids, none of them a half space.
    other
        n solids.
    enough_mm
        (n,) or one for all: a pair known to be so far apart is not looked at further. [mm]
    touch_mm
        Nor is one known to be no farther apart than this. [mm]

    Returns
    -------
    Apart
        Bounds for each pair.
    """
    n = len(one)
    least, most, at = np.full(n, -np.inf), np.full(n, np.inf), one.middle_mm.copy()
    enough = np.broadcast_to(np.asarray(enough_mm, dtype=np.float64), (n,))
    flat = np.flatnonzero(other.flat)
    if len(flat):
        near = one.chosen(flat)
        ways = other.axis[flat]
        points = near.farthest_mm(-ways) - near.ball_mm[:, None] * ways
        least[flat] = most[flat] = np.sum((points - other.middle_mm[flat]) * ways, axis=1)
        at[flat] = points
    _search(one, other, np.flatnonzero(~other.flat), enough, touch_mm, (least, most, at))
    return Apart(least, most, at)


def _search(
    one: Forms, other: Forms, live: Places, enough: Array, touch_mm: float, found: tuple[Array, Array, Array]
) -> None:
    """Close in on the distance of the pairs still open, and write what is found."""
    least, most, at = found
    one, other = one.chosen(live), other.chosen(live)
    mine, theirs, round_mm, balls = one.lanes(), other.lanes(), one.ball_mm, one.ball_mm + other.ball_mm
    way = mine.middle_mm - theirs.middle_mm
    corners, from_one = np.zeros((3, 3, len(live))), np.zeros((3, 3, len(live)))
    used = np.zeros((3, len(live)), dtype=bool)
    size = np.sqrt(dots(way, way))
    most[live] = size - balls
    for turn in range(_MOST_ROUNDS):
        inside = size < 1e-9
        a = mine.farthest_mm(np.where(inside, 1.0, -way))
        corner = a - theirs.farthest_mm(np.where(inside, 1.0, way))
        gap = dots(way, corner) / np.where(inside, 1.0, size) - balls
        low, top, wanted = np.maximum(least[live], np.where(inside, -np.inf, gap)), most[live], enough[live]
        least[live] = low
        over = (low >= wanted) | (top <= touch_mm) | (top - low < _CLOSE_MM) | inside
        if np.isfinite(touch_mm):
            # Apart, and not far enough: no more is asked.
            over |= (low > touch_mm) & (top < wanted)
        keep = np.flatnonzero(~over)
        if not len(keep):
            return
        live, balls, round_mm, before = live[keep], balls[keep], round_mm[keep], size[keep]
        mine, theirs = mine.chosen(keep), theirs.chosen(keep)
        step = nearest(
            corner.take(keep, axis=1), a.take(keep, axis=1), corners.take(keep, axis=2), from_one.take(keep, axis=2),
            used.take(keep, axis=1),
        )  # fmt: skip
        way, corners, from_one, used = step.way, step.corners, step.from_one, step.used
        size = np.sqrt(dots(way, way))
        most[live] = np.minimum(most[live], size - balls)
        at[live] = (step.at - np.where(size > 1e-9, round_mm / np.maximum(size, 1e-9), 0.0) * way).T
        # The middles' difference that the search begins with is no corner: only from then on must it grow shorter.
        shorter = size < before * (1 - 1e-12)
        if turn and not shorter.all():
            stays = np.flatnonzero(shorter)
            live, balls, round_mm, size = live[stays], balls[stays], round_mm[stays], size[stays]
            mine, theirs, way = mine.chosen(stays), theirs.chosen(stays), way.take(stays, axis=1)
            corners, from_one = corners.take(stays, axis=2), from_one.take(stays, axis=2)
            used = used.take(stays, axis=1)
        if not len(live):
            return


_Row = tuple[Array, Array, Array, float, float, bool]


@lru_cache(maxsize=4096)
def _form(solid: Solid) -> _Row:
    none = np.zeros(3)
    if isinstance(solid, HalfSpace):
        return solid.on_mm, _edges([]), solid.out, 0.0, 0.0, True
    if isinstance(solid, Box):
        return solid.middle_mm, _edges(list(solid.axes * solid.halves_mm[:, None])), none, 0.0, 0.0, False
    half = (solid.end_mm - solid.start_mm) / 2
    middle = (solid.end_mm + solid.start_mm) / 2
    if isinstance(solid, Capsule):
        return middle, _edges([half]), none, 0.0, solid.radius_mm, False
    axis = half / np.linalg.norm(half)
    if isinstance(solid, Cylinder):
        return middle, _edges([half]), axis, solid.radius_mm, 0.0, False
    side = np.cross(axis, solid.towards)
    half_side = solid.flats_mm / sqrt(3) / 2
    turns = [pi / 2 + k * pi / 3 for k in range(3)]
    ways = [cos(turn) * solid.towards + sin(turn) * side for turn in turns]
    return middle, _edges([half, *(half_side * way for way in ways)]), none, 0.0, 0.0, False


def _edges(given: Sequence[Array]) -> Array:
    return np.array([*given, *[np.zeros(3)] * (_HALF_EDGES - len(given))], dtype=np.float64)
