"""Families of ways with two and with three bends, each way by a few numbers between 0 and 1.

With two bends the numbers say how far out along the two axes the corners lie. With three they say how much straight is
left at the two faces, and where in space the middle corner is; the outer corners then follow: a tangent from the middle
corner to the bend that the straight leads into.

Source: `docs/methods/routes.md`; tangent from a point to a circle by Pythagoras.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from trialfit.fitup.bends import tangent_mm
from trialfit.fitup.corners import BEND_MOST_DEG, Bender, candidates
from trialfit.fitup.records import Array, EndFace

_TINY = 1e-9
_NO_WAY_MM = -1e6


@dataclass(frozen=True, eq=False)
class Measured:
    """What can be said of many ways before their clearance is looked at.

    Parameters
    ----------
    length_mm
        (n,) centre lines. [mm]
    spare_mm
        (n,) least of the straights and tangents to spare; below nought where something falls short. [mm]
    """

    length_mm: Array
    spare_mm: Array


class Family(Protocol):
    """Ways of so many bends, each by d numbers from 0 to 1."""

    def starts(self) -> tuple[Array, Array]:
        """Where to begin.

        Returns
        -------
        tuple
            (n, d) middles and (d,) half sizes of cells that cover the family [-].
        """
        ...

    def children(self, cells: Array, half: Array) -> tuple[Array, Array]:
        """Cut cells into smaller ones.

        Parameters
        ----------
        cells
            (n, d) middles. [-]
        half
            (d,) half sizes. [-]

        Returns
        -------
        tuple
            (p, d) middles and (d,) half sizes of the smaller cells [-].
        """
        ...

    def moves_mm(self, cells: Array, half: Array) -> Array:
        """About how far a way moves from the middle of its cell to the edge.

        Parameters
        ----------
        cells
            (n, d) middles. [-]
        half
            (d,) half sizes. [-]

        Returns
        -------
        Array
            (n,) the most that a corner moves. [mm]
        """
        ...

    def measure(self, cells: Array) -> Measured:
        """Length and straights of ways.

        Parameters
        ----------
        cells
            (n, d) numbers of the ways. [-]

        Returns
        -------
        Measured
            Of each.
        """
        ...

    def vertices_mm(self, cells: Array) -> Array:
        """Corners of ways.

        Parameters
        ----------
        cells
            (n, d) numbers of the ways. [-]

        Returns
        -------
        Array
            (n, k + 2, 3) start face, k corners, end face. [mm]
        """
        ...


@dataclass(frozen=True, eq=False)
class TwoBends:
    """Ways with two bends: how far out along each axis its corner lies.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    reach_mm
        How far beyond the straight a corner is sought. [mm]
    across
        Cells along each of the two numbers to begin with. [-]
    """

    start: EndFace
    end: EndFace
    bender: Bender
    reach_mm: float
    across: int = 44

    def starts(self) -> tuple[Array, Array]:
        """As `Family` says."""
        middles = (np.arange(self.across) + 0.5) / self.across
        first, last = np.meshgrid(middles, middles)
        return np.column_stack([first.ravel(), last.ravel()]), np.full(2, 0.5 / self.across)

    def children(self, cells: Array, half: Array) -> tuple[Array, Array]:
        """As `Family` says."""
        signs = np.array([[-1, -1], [-1, 1], [1, -1], [1, 1]]) / 2
        return (cells[:, None] + signs * half).reshape(-1, 2), half / 2

    def moves_mm(self, cells: Array, half: Array) -> Array:
        """As `Family` says."""
        return np.asarray(self.reach_mm * np.max(2 * cells * half + half**2, axis=1))

    def measure(self, cells: Array) -> Measured:
        """As `Family` says."""
        first, last = self._out(cells)
        found = candidates(self.start, self.end, self.bender, first, last)
        return Measured(found.length_mm, found.spare_mm.min(axis=1))

    def vertices_mm(self, cells: Array) -> Array:
        """As `Family` says."""
        first, last = self._out(cells)
        found = np.empty((len(cells), 4, 3))
        found[:, 0], found[:, 3] = self.start.position_mm, self.end.position_mm
        found[:, 1] = self.start.position_mm + first[:, None] * self.start.direction
        found[:, 2] = self.end.position_mm + last[:, None] * self.end.direction
        return found

    def _out(self, cells: Array) -> tuple[Array, Array]:
        out = self.reach_mm * np.clip(cells, 0.0, 1.0) ** 2
        return self.start.straight_mm + out[:, 0], self.end.straight_mm + out[:, 1]


@dataclass(frozen=True, eq=False)
class ThreeBends:
    """Ways with three bends: straight beyond the least at both faces, and the middle corner in a box.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    reach_mm
        The most straight beyond the least. [mm]
    corner_mm, sides_mm
        (3,) one corner of the box and (3,) its sides, along the job's axes. [mm]
    count
        Ways to begin with. [-]
    """

    start: EndFace
    end: EndFace
    bender: Bender
    reach_mm: float
    corner_mm: Array
    sides_mm: Array
    count: int = 2500

    def starts(self) -> tuple[Array, Array]:
        """As `Family` says."""
        cells = spread_evenly(self.count, 5)
        # A third of them with no more straight than is wanted, as the shortest mostly have.
        cells[::3, :2] = 0.0
        return cells, np.full(5, 0.5 * self.count ** (-1 / 5))

    def children(self, cells: Array, half: Array) -> tuple[Array, Array]:
        """As `Family` says."""
        signs = 2 * spread_evenly(9, 5) - 1
        signs[::3, :2] = -1.0
        return np.clip((cells[:, None] + signs * half).reshape(-1, 5), 0.0, 1.0), half * 0.62

    def moves_mm(self, cells: Array, half: Array) -> Array:
        """As `Family` says."""
        straight = self.reach_mm * np.max(2 * cells[:, :2] * half[:2] + half[:2] ** 2, axis=1)
        return np.asarray(straight + float(np.linalg.norm(self.sides_mm * half[2:])))

    def measure(self, cells: Array) -> Measured:
        """As `Family` says."""
        radius, middle = self.bender.radius_mm, self._middle(cells)
        halves = [self._half(face, cells[:, k], middle) for k, face in enumerate((self.start, self.end))]
        (first, one, t_one, toward), (last, two, t_two, from_end) = halves
        total = np.linalg.norm(toward - from_end, axis=1)
        half = np.linalg.norm(toward + from_end, axis=1) / np.maximum(total, _TINY)
        tangent = radius * half
        most = tangent_mm(radius, BEND_MOST_DEG)
        spare = np.min(
            [
                one - tangent - self.bender.grip_mm,
                two - tangent - self.bender.grip_mm,
                most - t_one,
                most - t_two,
                most - tangent,
            ],
            axis=0,
        )
        arcs = 2 * radius * (np.arctan(t_one / radius) + np.arctan(t_two / radius) + np.arctan(half))
        length = first + last + one + two - 2 * tangent + arcs
        return Measured(length, np.where(np.isfinite(spare), spare, _NO_WAY_MM))

    def vertices_mm(self, cells: Array) -> Array:
        """As `Family` says."""
        middle = self._middle(cells)
        found = np.empty((len(cells), 5, 3))
        found[:, 0], found[:, 2], found[:, 4] = self.start.position_mm, middle, self.end.position_mm
        for place, face, k in ((1, self.start, 0), (3, self.end, 1)):
            straight, _, tangent, _ = self._half(face, cells[:, k], middle)
            found[:, place] = face.position_mm + (straight + tangent)[:, None] * face.direction
        return found

    def _middle(self, cells: Array) -> Array:
        return np.asarray(self.corner_mm + cells[:, 2:] * self.sides_mm)

    def _half(self, face: EndFace, number: Array, middle: Array) -> tuple[Array, Array, Array, Array]:
        straight = face.straight_mm + self.reach_mm * np.clip(number, 0.0, 1.0) ** 2
        long, tangent = tangent_to_bend(face, straight, middle, self.bender.radius_mm)
        corner = face.position_mm + (straight + tangent)[:, None] * face.direction
        leg = middle - corner
        return straight, long, tangent, leg / np.maximum(np.linalg.norm(leg, axis=1), _TINY)[:, None]


def tangent_to_bend(face: EndFace, straight_mm: Array, middle_mm: Array, radius_mm: float) -> tuple[Array, Array]:
    """From a face straight out, round a bend, and straight to a point: how far that is, and the bend's tangent.

    Parameters
    ----------
    face
        Where it begins, and which way.
    straight_mm
        (n,) straight before the bend. [mm]
    middle_mm
        (n, 3) the points. [mm]
    radius_mm
        Radius of the bend. [mm]

    Returns
    -------
    tuple
        (n,) from the end of the bend to the point, and (n,) the tangent of the bend [mm]; far below nought and nought
        where the point lies within the bend.
    """
    rest = middle_mm - face.position_mm - straight_mm[:, None] * face.direction
    ahead = rest @ face.direction
    aside = np.linalg.norm(rest - ahead[:, None] * face.direction, axis=1)
    square = ahead**2 + aside**2 - 2 * radius_mm * aside
    long = np.sqrt(np.maximum(square, 0.0))
    under = long + ahead
    inside = (square < 0) | ((under < _TINY) & (aside > _TINY))
    tangent = np.where(aside > 0, radius_mm * aside / np.maximum(under, _TINY), 0.0)
    inside |= (aside <= _TINY) & (ahead < 0)
    return np.where(inside, _NO_WAY_MM, long), np.where(inside, 0.0, tangent)


def two_bends_of(start: EndFace, end: EndFace, bender: Bender) -> TwoBends:
    """The family of two-bend ways between two faces.

    Parameters
    ----------
    start, end
        The two faces.
    bender
        Its radius, and the straight it needs between bends.

    Returns
    -------
    TwoBends
        Sought as far as the faces are apart, and some bends beyond.
    """
    apart = float(np.linalg.norm(end.position_mm - start.position_mm))
    reach = apart + start.straight_mm + end.straight_mm + bender.grip_mm + 8 * bender.radius_mm
    return TwoBends(start, end, bender, reach)


def three_bends_of(start: EndFace, end: EndFace, bender: Bender) -> ThreeBends:
    """The family of three-bend ways between two faces.

    Parameters
    ----------
    start, end
        The two faces.
    bender
        Its radius, and the straight it needs between bends.

    Returns
    -------
    ThreeBends
        The middle corner in a box round both faces, six tenths of their distance and four radii beyond them.
    """
    apart = float(np.linalg.norm(end.position_mm - start.position_mm))
    beyond = 0.6 * apart + 4 * bender.radius_mm
    out = [face.position_mm + (face.straight_mm + bender.radius_mm) * face.direction for face in (start, end)]
    ends = np.array([start.position_mm, end.position_mm, *out])
    low, high = ends.min(axis=0) - beyond, ends.max(axis=0) + beyond
    return ThreeBends(start, end, bender, 0.6 * apart + 2 * bender.radius_mm, low, high - low)


def spread_evenly(count: int, numbers: int) -> Array:
    """Points spread evenly over a cube, always the same.

    Parameters
    ----------
    count
        How many. [-]
    numbers
        Of how many numbers each. [-]

    Returns
    -------
    Array
        (count, numbers) from 0 to 1. [-]

    Source
    ------
    The additive sequence of the d-dimensional golden ratio (M. Roberts, 2018, from memory).
    """
    golden = 1.0
    for _ in range(60):
        golden = (1 + golden) ** (1 / (numbers + 1))
    steps = golden ** -np.arange(1.0, numbers + 1)
    return np.asarray((0.5 + np.arange(1, count + 1)[:, None] * steps) % 1.0)
