"""The simple solids that envelopes, pipes and engine bodies are made of, with their exact signed distances.

Every solid is convex. Its distance is below nought inside, and changes by no more than one millimetre for a
millimetre moved, so that samples certify the ground between them.

Source: geometry; distance to a convex polygon by its edges, to a rod or box by splitting along and across.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin, tan

import numpy as np

from trialfit.parts.placement import Array, Placement


@dataclass(frozen=True, eq=False)
class Capsule:
    """A rod with round ends: what a straight length of tube sweeps, and a ball where its two ends are one.

    Parameters
    ----------
    start_mm, end_mm
        (3,) middles of the two round ends. [mm]
    radius_mm
        Its radius. [mm]
    """

    start_mm: Array
    end_mm: Array
    radius_mm: float


@dataclass(frozen=True, eq=False)
class Cylinder:
    """A round body with flat ends.

    Parameters
    ----------
    start_mm, end_mm
        (3,) middles of its two flat ends. [mm]
    radius_mm
        Its radius. [mm]
    """

    start_mm: Array
    end_mm: Array
    radius_mm: float


@dataclass(frozen=True, eq=False)
class Hexagon:
    """A hexagonal body with flat ends.

    Parameters
    ----------
    start_mm, end_mm
        (3,) middles of its two flat ends. [mm]
    flats_mm
        Across flats. [mm]
    towards
        (3,) unit vector square to its axis, through the middle of one flat. [-]
    """

    start_mm: Array
    end_mm: Array
    flats_mm: float
    towards: Array


@dataclass(frozen=True, eq=False)
class Box:
    """A box.

    Parameters
    ----------
    middle_mm
        (3,) its middle. [mm]
    axes
        (3, 3) its three unit edges, one a row. [-]
    halves_mm
        (3,) half its length along each. [mm]
    """

    middle_mm: Array
    axes: Array
    halves_mm: Array


@dataclass(frozen=True, eq=False)
class HalfSpace:
    """All that is behind a plane: a frame plate, a wall, a footplate.

    Parameters
    ----------
    on_mm
        (3,) a point on the plane. [mm]
    out
        (3,) unit vector out of what is solid. [-]
    """

    on_mm: Array
    out: Array


Solid = Capsule | Cylinder | Hexagon | Box | HalfSpace


def distance_mm(solid: Solid, points_mm: Array) -> Array:
    """Signed distance of points from a solid's skin.

    Parameters
    ----------
    solid
        The solid, in the points' own frame.
    points_mm
        (n, 3) points. [mm]

    Returns
    -------
    Array
        (n,) above nought outside, below inside. [mm]
    """
    if isinstance(solid, HalfSpace):
        return np.asarray((points_mm - solid.on_mm) @ solid.out)
    if isinstance(solid, Box):
        over = np.abs((points_mm - solid.middle_mm) @ solid.axes.T) - solid.halves_mm
        return _outside_and_in(over)
    along = solid.end_mm - solid.start_mm
    long_mm = float(np.linalg.norm(along))
    rest = points_mm - solid.start_mm
    if isinstance(solid, Capsule):
        share = np.clip(rest @ along / long_mm**2, 0.0, 1.0) if long_mm > 0 else np.zeros(len(rest))
        return np.asarray(np.linalg.norm(rest - share[:, None] * along, axis=1) - solid.radius_mm)
    axis = along / long_mm
    height = rest @ axis
    past_end = np.abs(height - long_mm / 2) - long_mm / 2
    if isinstance(solid, Cylinder):
        across = np.linalg.norm(rest - height[:, None] * axis, axis=1) - solid.radius_mm
    else:
        side = np.cross(axis, solid.towards)
        across = from_hexagon_mm(rest @ solid.towards, rest @ side, solid.flats_mm / 2)
    return _outside_and_in(np.column_stack([across, past_end]))


def farthest_mm(solid: Solid, directions: Array) -> Array:
    """The point of a solid that lies farthest in each direction; what distance between two convex solids is built on.

    Parameters
    ----------
    solid
        The solid; not a half space, which has no farthest point.
    directions
        (n, 3) vectors of any length but nought. [-]

    Returns
    -------
    Array
        (n, 3) points. [mm]

    Raises
    ------
    ValueError
        A half space was given.
    """
    if isinstance(solid, HalfSpace):
        raise ValueError("a half space has no farthest point")
    if isinstance(solid, Box):
        signs = np.where(directions @ solid.axes.T >= 0, 1.0, -1.0)
        return np.asarray(solid.middle_mm + (signs * solid.halves_mm) @ solid.axes)
    along = solid.end_mm - solid.start_mm
    ends = np.where((directions @ along >= 0)[:, None], solid.end_mm, solid.start_mm)
    if isinstance(solid, Capsule):
        return np.asarray(ends + solid.radius_mm * directions / np.linalg.norm(directions, axis=1, keepdims=True))
    axis = along / np.linalg.norm(along)
    if isinstance(solid, Cylinder):
        across = directions - (directions @ axis)[:, None] * axis
        # What is left of a direction along the axis is rounding, and points anywhere: square it to the axis once more.
        across = across - (across @ axis)[:, None] * axis
        size = np.linalg.norm(across, axis=1, keepdims=True)
        return np.asarray(ends + solid.radius_mm * np.divide(across, size, out=np.zeros_like(across), where=size > 0))
    corners = _corners_mm(solid, axis)
    return np.asarray(ends + corners[np.argmax(directions @ corners.T, axis=1)])


def from_hexagon_mm(towards_mm: Array, aside_mm: Array, half_mm: Array | float) -> Array:
    """Signed distance in the plane from a regular hexagon round the origin.

    Every point is mirrored into the twelfth of the plane that half of one flat sees.

    Parameters
    ----------
    towards_mm, aside_mm
        (...,) how far points lie from its middle, square to one flat and along that flat. [mm]
    half_mm
        Half of what it measures across flats; one, or (...,) as many as points. [mm]

    Returns
    -------
    Array
        (...,) above nought outside, below inside. [mm]
    """
    over, along = np.abs(towards_mm), np.abs(aside_mm)
    beyond = np.minimum(0.5 * over - cos(pi / 6) * along, 0.0)
    over = over - 2.0 * beyond * 0.5 - half_mm
    along = along + 2.0 * beyond * cos(pi / 6)
    half_side = half_mm * tan(pi / 6)
    past = along - np.clip(along, -half_side, half_side)
    return np.asarray(np.where(over > 0, np.hypot(over, past), over))


def placed(solid: Solid, placement: Placement) -> Solid:
    """The same solid in the frame that its own frame stands on.

    Parameters
    ----------
    solid
        The solid, in the frame of what is placed.
    placement
        Where that frame stands.

    Returns
    -------
    Solid
        Of the same kind and size.
    """
    at, way = placement.points_mm, placement.directions
    match solid:
        case Capsule():
            return Capsule(at(solid.start_mm), at(solid.end_mm), solid.radius_mm)
        case Cylinder():
            return Cylinder(at(solid.start_mm), at(solid.end_mm), solid.radius_mm)
        case Hexagon():
            return Hexagon(at(solid.start_mm), at(solid.end_mm), solid.flats_mm, way(solid.towards))
        case Box():
            return Box(at(solid.middle_mm), way(solid.axes), solid.halves_mm)
        case HalfSpace():
            return HalfSpace(at(solid.on_mm), way(solid.out))


def _outside_and_in(over: Array) -> Array:
    """Distance from how far each of several square ways is over: straight out past one, round the corner past more."""
    return np.asarray(np.linalg.norm(np.maximum(over, 0.0), axis=1) + np.minimum(np.max(over, axis=1), 0.0))


def _corners_mm(hexagon: Hexagon, axis: Array) -> Array:
    """(6, 3) corners of a hexagon from its axis. [mm]"""
    side = np.cross(axis, hexagon.towards)
    radius = hexagon.flats_mm / 2 / cos(pi / 6)
    turns = (np.arange(6) + 0.5) * pi / 3
    return np.asarray([radius * (cos(turn) * hexagon.towards + sin(turn) * side) for turn in turns])
