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
from math import cos, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.order.nearest import nearest
from trialfit.parts.placement import Array
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Solid

Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

_HALF_EDGES = 4
_CLOSE_MM = 1e-4
_MOST_ROUNDS = 60
_ALONG = 1e-10


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
        sides = np.einsum("nkj,nj->nk", self.edges_mm, directions)
        point = self.middle_mm + np.einsum("nk,nkj->nj", np.where(sides >= 0, 1.0, -1.0), self.edges_mm)
        return np.asarray(point + _on_disc(self, directions))

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
    balls = one.ball_mm + other.ball_mm
    way = one.middle_mm - other.middle_mm
    corners, from_one = np.zeros((len(live), 3, 3)), np.zeros((len(live), 3, 3))
    used = np.zeros((len(live), 3), dtype=bool)
    most[live] = np.linalg.norm(way, axis=1) - balls
    for turn in range(_MOST_ROUNDS):
        size = np.linalg.norm(way, axis=1)
        inside = size < 1e-9
        a = one.farthest_mm(np.where(inside[:, None], 1.0, -way))
        corner = a - other.farthest_mm(np.where(inside[:, None], 1.0, way))
        gap = np.sum(way * corner, axis=1) / np.where(inside, 1.0, size)
        proved = np.where(inside, -np.inf, gap - balls)
        least[live] = np.maximum(least[live], proved)
        top = most[live]
        over = (least[live] >= enough[live]) | (top <= touch_mm) | (top - least[live] < _CLOSE_MM) | inside
        keep = ~over
        if not keep.any():
            return
        live, balls, size = live[keep], balls[keep], size[keep]
        one, other = one.chosen(keep), other.chosen(keep)
        step = nearest(corner[keep], a[keep], corners[keep], from_one[keep], used[keep])
        way, corners, from_one, used = step.way, step.corners, step.from_one, step.used
        shorter = np.linalg.norm(way, axis=1)
        most[live] = np.minimum(most[live], shorter - balls)
        at[live] = step.at - np.where(shorter > 1e-9, one.ball_mm / np.maximum(shorter, 1e-9), 0.0)[:, None] * way
        # The middles' difference that the search begins with is no corner: only from then on must it grow shorter.
        stuck = shorter >= size * (1 - 1e-12)
        if turn and stuck.any():
            stays = ~stuck
            live, balls, way = live[stays], balls[stays], way[stays]
            corners, from_one, used = corners[stays], from_one[stays], used[stays]
            one, other = one.chosen(stays), other.chosen(stays)
        if not len(live):
            return


def _on_disc(forms: Forms, directions: Array) -> Array:
    across = directions - np.sum(directions * forms.axis, axis=1)[:, None] * forms.axis
    # What is left of a direction along the axis is rounding, and points anywhere: once more, or none of it.
    across = across - np.sum(across * forms.axis, axis=1)[:, None] * forms.axis
    size = np.linalg.norm(across, axis=1)
    counts = size > _ALONG * np.linalg.norm(directions, axis=1)
    return np.asarray(across * np.where(counts, forms.disc_mm / np.where(counts, size, 1.0), 0.0)[:, None])


_Row = tuple[Array, Array, Array, float, float, bool]


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
