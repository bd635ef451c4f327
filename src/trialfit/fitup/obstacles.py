"""What a pipe must stay clear of, measured for many points at once.

Source: exact signed distances of `trialfit.parts.solids`, written for stacks of points and solids; held against them
in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross
from trialfit.fitup.ways import Flags
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Hexagon, Solid, from_hexagon_mm

Near = Literal["", "start", "end"]


@dataclass(frozen=True, eq=False)
class Obstacle:
    """One solid a pipe must stay clear of.

    Parameters
    ----------
    name
        The thing it belongs to, as a person reads it.
    piece
        Which piece of it; empty where it has but one.
    solid
        Its shape, in the job frame.
    wanted_mm
        Room wanted between its skin and the pipe's. [mm]
    lagging_mm
        Lagging on it or on the pipe, besides. [mm]
    near
        The end whose own fitting it is: there the pipe's straight is let into it.
    covariance
        (6, 6) of its place, small shift then small turn, at `origin_mm`; None where nobody knows. [mm and rad]
    origin_mm
        (3,) the point it turns about; None with no covariance. [mm]
    all_round
        Whether it is the room kept all round something of which nobody knows which way it points.
    """

    name: str
    piece: str
    solid: Solid
    wanted_mm: float
    lagging_mm: float = 0.0
    near: Near = ""
    covariance: Array | None = None
    origin_mm: Array | None = None
    all_round: bool = False

    @property
    def words(self) -> str:
        """The obstacle as a person reads it."""
        words = self.name if self.piece in ("", "body") else f"the {self.piece} of {self.name}"
        return f"{words} (room kept all round it)" if self.all_round else words

    @property
    def needs_mm(self) -> float:
        """Room wanted from its skin to the pipe's, lagging included. [mm]"""
        return self.wanted_mm + self.lagging_mm


@dataclass(frozen=True, eq=False)
class Around:
    """All that stands round a pipe.

    Parameters
    ----------
    obstacles
        What it must stay clear of.
    tube_radius_mm
        Half its outside diameter. [mm]
    let_in_mm
        How far from the start and the end face its own fittings are passed over. [mm]
    """

    obstacles: tuple[Obstacle, ...]
    tube_radius_mm: float
    let_in_mm: tuple[float, float] = (0.0, 0.0)

    def with_clearance(self, wanted_mm: float) -> Around:
        """The same with another clearance, where that is less than each thing wants.

        Parameters
        ----------
        wanted_mm
            The most wanted. [mm]

        Returns
        -------
        Around
            With the same things round it.
        """
        eased = tuple(replace(each, wanted_mm=min(each.wanted_mm, wanted_mm)) for each in self.obstacles)
        return replace(self, obstacles=eased)

    def without(self, name: str) -> Around:
        """The same without one thing.

        Parameters
        ----------
        name
            The thing's name.

        Returns
        -------
        Around
            With the others.
        """
        return replace(self, obstacles=tuple(each for each in self.obstacles if each.name != name))

    @cached_property
    def _needs(self) -> Array:
        return np.array([each.needs_mm + self.tube_radius_mm for each in self.obstacles])

    @cached_property
    def _stacks(self) -> _Stacks:
        return _stacked([each.solid for each in self.obstacles])

    @cached_property
    def _own(self) -> tuple[Flags, Flags]:
        return (
            np.array([each.near == "start" for each in self.obstacles], dtype=bool),
            np.array([each.near == "end" for each in self.obstacles], dtype=bool),
        )

    def distances_mm(self, points_mm: Array) -> Array:
        """Signed distances of points from every obstacle's skin.

        Parameters
        ----------
        points_mm
            (n, 3) points. [mm]

        Returns
        -------
        Array
            (m, n) below nought inside. [mm]
        """
        return _stack_distances(self._stacks, points_mm)

    def each_spare_mm(self, points_mm: Array, from_start_mm: Array, from_end_mm: Array) -> Array:
        """Room to spare at points of a pipe's centre line, from every obstacle.

        Parameters
        ----------
        points_mm
            (n, 3) points. [mm]
        from_start_mm, from_end_mm
            (n,) how far along the pipe they lie from its two faces. [mm]

        Returns
        -------
        Array
            (m, n) beyond what is wanted; below nought where it falls short. [mm]
        """
        spare = self.distances_mm(points_mm)
        spare -= self._needs[:, None]
        at_start, at_end = self._own
        if at_start.any():
            spare[np.ix_(at_start, from_start_mm < self.let_in_mm[0])] = np.inf
        if at_end.any():
            spare[np.ix_(at_end, from_end_mm < self.let_in_mm[1])] = np.inf
        return spare


@dataclass(frozen=True, eq=False)
class _Stacks:
    """Solids of a kind together: their places in the list, and their figures in rows."""

    count: int
    rods: tuple[list[int], Array, Array, Array, Array]
    round_ends: Flags
    boxes: tuple[list[int], Array, Array, Array]
    planes: tuple[list[int], Array, Array]
    hexagons: tuple[list[int], Array, Array, Array, Array]


def _stacked(solids: list[Solid]) -> _Stacks:
    rods = [(k, each) for k, each in enumerate(solids) if isinstance(each, Capsule | Cylinder)]
    boxes = [(k, each) for k, each in enumerate(solids) if isinstance(each, Box)]
    planes = [(k, each) for k, each in enumerate(solids) if isinstance(each, HalfSpace)]
    hexagons = [(k, each) for k, each in enumerate(solids) if isinstance(each, Hexagon)]
    starts = np.array([rod.start_mm for _, rod in rods]).reshape(-1, 3)
    along = np.array([rod.end_mm for _, rod in rods]).reshape(-1, 3) - starts
    long = np.linalg.norm(along, axis=1)
    axes = np.divide(along, long[:, None], out=np.zeros_like(along), where=long[:, None] > 0)
    return _Stacks(
        len(solids),
        ([k for k, _ in rods], starts, axes, long, np.array([rod.radius_mm for _, rod in rods])),
        np.array([isinstance(rod, Capsule) for _, rod in rods], dtype=bool),
        (
            [k for k, _ in boxes],
            np.array([box.middle_mm for _, box in boxes]).reshape(-1, 3),
            np.array([box.axes for _, box in boxes]).reshape(-1, 3),
            np.array([box.halves_mm for _, box in boxes]).reshape(-1, 3),
        ),
        (
            [k for k, _ in planes],
            np.array([plane.out for _, plane in planes]).reshape(-1, 3),
            np.array([plane.on_mm @ plane.out for _, plane in planes]),
        ),
        (
            [k for k, _ in hexagons],
            np.array([(bar.start_mm + bar.end_mm) / 2 for _, bar in hexagons]).reshape(-1, 3),
            np.array([_frame(bar) for _, bar in hexagons]).reshape(-1, 3),
            np.array([float(np.linalg.norm(bar.end_mm - bar.start_mm)) / 2 for _, bar in hexagons]),
            np.array([bar.flats_mm / 2 for _, bar in hexagons]),
        ),
    )


def _frame(bar: Hexagon) -> Array:
    """(3, 3) a hexagon's axis, the way to one flat, and the way along that flat. [-]"""
    axis = (bar.end_mm - bar.start_mm) / np.linalg.norm(bar.end_mm - bar.start_mm)
    return np.array([axis, bar.towards, cross(axis, bar.towards)])


def _stack_distances(stacks: _Stacks, points: Array) -> Array:
    """(m, n): a row an obstacle, so that the least over all of them runs along whole rows."""
    found = np.empty((stacks.count, len(points)))
    places, starts, axes, long, radii = stacks.rods
    if places:
        found[places] = _from_rods(points, starts, axes, long[:, None], radii[:, None], stacks.round_ends)
    places, middles, edges, halves = stacks.boxes
    if places:
        apart = edges @ points.T - np.sum(np.repeat(middles, 3, axis=0) * edges, axis=1)[:, None]
        over = np.abs(apart).reshape(-1, 3, len(points)) - halves[:, :, None]
        past = np.maximum(over, 0.0)
        outside = np.sqrt(past[:, 0] ** 2 + past[:, 1] ** 2 + past[:, 2] ** 2)
        most = np.maximum(np.maximum(over[:, 0], over[:, 1]), over[:, 2])
        found[places] = outside + np.minimum(most, 0.0)
    places, normals, heights = stacks.planes
    if places:
        found[places] = normals @ points.T - heights[:, None]
    places, middles, frames, longs, flats = stacks.hexagons
    if places:
        apart = frames @ points.T - np.sum(np.repeat(middles, 3, axis=0) * frames, axis=1)[:, None]
        high, towards, aside = apart.reshape(-1, 3, len(points)).transpose(1, 0, 2)
        across = from_hexagon_mm(towards, aside, flats[:, None])
        past = np.abs(high) - longs[:, None]
        outside = np.sqrt(np.maximum(across, 0.0) ** 2 + np.maximum(past, 0.0) ** 2)
        found[places] = outside + np.minimum(np.maximum(across, past), 0.0)
    return found


def _from_rods(points: Array, starts: Array, axes: Array, long: Array, radii: Array, round_ends: Flags) -> Array:
    """(m, n) distances from rods with round ends and with flat ones."""
    height = axes @ points.T - np.sum(starts * axes, axis=1)[:, None]
    square = np.sum(points * points, axis=1) - 2 * (starts @ points.T) + np.sum(starts * starts, axis=1)[:, None]
    across = np.sqrt(np.maximum(square - height**2, 0.0))
    past = np.abs(height - long / 2) - long / 2
    beyond = np.maximum(past, 0.0)
    found: Array = np.empty_like(across)
    found[round_ends] = np.sqrt(across[round_ends] ** 2 + beyond[round_ends] ** 2) - radii[round_ends]
    flat = ~round_ends
    over = across[flat] - radii[flat]
    found[flat] = np.sqrt(np.maximum(over, 0.0) ** 2 + beyond[flat] ** 2)
    found[flat] += np.minimum(np.maximum(over, past[flat]), 0.0)
    return found
