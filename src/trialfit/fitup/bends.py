"""Bend table of a pipe from its corners, and the pipe replayed from its bend table.

The tube is followed from the start end. `Rotation` is the turn from the plane of the bend before to the plane of this
one, right-handed about the way the tube is followed: clockwise, looking along it from the start.

Source: plane geometry of a corner rounded with one radius: tangent R tan(angle / 2), arc R times the angle in
radians; rotations of a vector about an axis by Rodrigues' formula. `docs/methods/fitup.md` has the drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, radians, sin, tan

import numpy as np

from trialfit.fitup.records import Array
from trialfit.fitup.vectors import angle_between_deg, cross, square_to, turned

# Below this sine two legs are one straight line and have no plane of their own.
_NO_PLANE = 1e-9


@dataclass(frozen=True)
class BendLine:
    """One line of a bend table as bare numbers.

    Parameters
    ----------
    feed_mm
        Straight before the bend. [mm]
    rotation_deg
        Turn from the plane of the bend before, right-handed along the tube; 0 for the first. [deg]
    angle_deg
        Angle of the bend. [deg]
    """

    feed_mm: float
    rotation_deg: float
    angle_deg: float


@dataclass(frozen=True)
class BendTable:
    """A pipe's shape as a bend table, from face to face.

    Parameters
    ----------
    radius_mm
        Centre-line radius of every bend. [mm]
    lines
        One a bend, in order from the start.
    last_straight_mm
        Straight after the last bend, to the end face; the whole length where there is no bend. [mm]
    """

    radius_mm: float
    lines: tuple[BendLine, ...]
    last_straight_mm: float

    @property
    def straights_mm(self) -> tuple[float, ...]:
        """All straights in order, the last included. [mm]"""
        return (*(line.feed_mm for line in self.lines), self.last_straight_mm)

    @property
    def arcs_mm(self) -> tuple[float, ...]:
        """Length of each arc along the centre line. [mm]"""
        return tuple(self.radius_mm * radians(line.angle_deg) for line in self.lines)

    @property
    def centre_line_mm(self) -> float:
        """Length of the centre line from face to face. [mm]"""
        return sum(self.straights_mm) + sum(self.arcs_mm)


@dataclass(frozen=True)
class Pose:
    """Where a pipe has got to.

    Parameters
    ----------
    position_mm
        (3,) point on the centre line. [mm]
    direction
        (3,) unit vector the way the tube is followed. [-]
    normal
        (3,) unit normal of the plane of the last bend: the bend turns right-handed about it. [-]
    """

    position_mm: Array
    direction: Array
    normal: Array


def tangent_mm(radius_mm: float, angle_deg: float) -> float:
    """Length a bend takes from each of its legs, from the corner to where the arc begins.

    Parameters
    ----------
    radius_mm
        Centre-line radius. [mm]
    angle_deg
        Angle of the bend, under 180. [deg]

    Returns
    -------
    float
        R tan(angle / 2). [mm]
    """
    return radius_mm * tan(radians(angle_deg) / 2)


def legs_mm(vertices_mm: Array) -> Array:
    """Lengths from corner to corner.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]

    Returns
    -------
    Array
        (k + 1,) lengths. [mm]
    """
    return np.asarray(np.linalg.norm(np.diff(vertices_mm, axis=0), axis=1), dtype=np.float64)


def bend_table(vertices_mm: Array, radius_mm: float) -> BendTable:
    """Bend table of the path whose corners are given.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]
    radius_mm
        Centre-line radius of every bend. [mm]

    Returns
    -------
    BendTable
        From face to face. A straight comes out negative where two bends would overlap; whether that is allowed is
        the route's affair.
    """
    legs = legs_mm(vertices_mm)
    along = np.diff(vertices_mm, axis=0) / legs[:, None]
    angles = [angle_between_deg(before, after) for before, after in pairwise(along)]
    tangents = [0.0, *(tangent_mm(radius_mm, angle) for angle in angles), 0.0]
    straights = [float(leg) - tangents[k] - tangents[k + 1] for k, leg in enumerate(legs)]
    normals = _normals(along)
    rotations = [0.0] + [
        _turn_deg(normals[k], normals[k + 1], along[k + 1]) for k in range(len(angles) - 1)
    ]  # fmt: skip
    lines = tuple(
        BendLine(feed, rotation, angle)
        for feed, rotation, angle in zip(straights[:-1], rotations, angles, strict=False)
    )
    return BendTable(radius_mm, lines, straights[-1])


def start_pose(vertices_mm: Array) -> Pose:
    """Pose of the pipe at its start face, with the plane of its first bend.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]

    Returns
    -------
    Pose
        Where `replay` begins to land on the end face. A pipe without a bend has a normal square to it, and no more.
    """
    along = np.diff(vertices_mm, axis=0) / legs_mm(vertices_mm)[:, None]
    return Pose(vertices_mm[0], along[0], _normals(along)[0])


def replay(table: BendTable, start: Pose) -> Pose:
    """Follow a bend table from its start, as the bender does.

    Parameters
    ----------
    table
        Feeds, rotations and angles.
    start
        Where the tube begins, and the plane of the first bend.

    Returns
    -------
    Pose
        The far end.
    """
    position, along, normal = start.position_mm, start.direction, start.normal
    for line in table.lines:
        position = position + line.feed_mm * along
        normal = turned(normal, along, radians(line.rotation_deg))
        inward = cross(normal, along)
        angle = radians(line.angle_deg)
        position = position + table.radius_mm * (sin(angle) * along + (1 - cos(angle)) * inward)
        along = turned(along, normal, angle)
    return Pose(position + table.last_straight_mm * along, along, normal)


def _normals(along: Array) -> list[Array]:
    """Unit normal of each bend's plane; a bend of no angle keeps the plane of the one before."""
    normals: list[Array] = []
    for before, after in pairwise(along):
        crossed = cross(before, after)
        size = float(np.linalg.norm(crossed))
        if size > _NO_PLANE:
            normals.append(crossed / size)
        else:
            normals.append(normals[-1] if normals else square_to(before))
    return normals or [square_to(along[0])]


def _turn_deg(before: Array, after: Array, along: Array) -> float:
    turn = degrees(atan2(float(cross(before, after) @ along), float(before @ after)))
    return turn + 360.0 if turn <= -180.0 + 1e-9 else turn
