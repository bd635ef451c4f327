"""Where the corners of a path between two faces can lie: none, one, or two.

With two corners there is a choice: how far out along each axis they lie. Everything about a candidate (its length, the
straight it leaves at each place) is worked out for whole arrays of choices at once, so that a route can be sought
among them under whatever conditions it must meet.

Source: lines nearest to each other, and corners rounded with one radius; `docs/methods/fitup.md`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.bends import tangent_mm
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.vectors import angle_between_deg, cross, cross_matrix

# Axes nearer parallel than this sine have no meeting point worth the name.
_PARALLEL = 1e-6
_SETTLED_MM = 1e-12
BEND_MOST_DEG = 150.0


@dataclass(frozen=True)
class Bender:
    """What the bender does and needs.

    Parameters
    ----------
    radius_mm
        Centre-line radius of its former. [mm]
    grip_mm
        Straight it needs between two bends. [mm]
    """

    radius_mm: float
    grip_mm: float


@dataclass(frozen=True)
class Crossing:
    """Where two axes pass nearest to each other.

    Parameters
    ----------
    corner_mm
        (3,) midway between the two axes there. [mm]
    gap_mm
        How far apart they pass. [mm]
    out_mm
        How far out along the start's and the end's axis that is; negative is behind the face. [mm]
    """

    corner_mm: Array
    gap_mm: float
    out_mm: tuple[float, float]


@dataclass(frozen=True)
class Candidates:
    """Paths with two corners, n at a time.

    Parameters
    ----------
    length_mm
        (n,) centre lines. [mm]
    spare_mm
        (n, 5) straight to spare at the start, between the bends, and at the end, then how much longer each tangent
        could be before its bend passes `BEND_MOST_DEG`; negative where it falls short. [mm]
    """

    length_mm: Array
    spare_mm: Array


def crossing(start: EndFace, end: EndFace) -> Crossing | None:
    """Find where the axes of two faces pass nearest to each other.

    Parameters
    ----------
    start, end
        The two faces.

    Returns
    -------
    Crossing or None
        None where the axes are parallel.
    """
    normal = cross(start.direction, end.direction)
    square = float(normal @ normal)
    if square < _PARALLEL**2:
        return None
    apart = end.position_mm - start.position_mm
    first = float(cross(apart, end.direction) @ normal) / square
    last = float(cross(apart, start.direction) @ normal) / square
    near = start.position_mm + first * start.direction
    far = end.position_mm + last * end.direction
    return Crossing((near + far) / 2, float(np.linalg.norm(far - near)), (first, last))


def misses(start: EndFace, end: EndFace, vertices_mm: Array) -> tuple[float, float]:
    """Angles by which a path's first and last leg miss the axes of their faces.

    Parameters
    ----------
    start, end
        The two faces.
    vertices_mm
        (k + 2, 3) the path. [mm]

    Returns
    -------
    tuple
        At the start and at the end. [deg]
    """
    first, last = vertices_mm[1] - vertices_mm[0], vertices_mm[-2] - vertices_mm[-1]
    return angle_between_deg(first, start.direction), angle_between_deg(last, end.direction)


def two_corners(start: EndFace, end: EndFace, first_mm: float, last_mm: float) -> Array:
    """Path whose corners lie so far out along the two axes.

    Parameters
    ----------
    start, end
        The two faces.
    first_mm, last_mm
        How far out the first and the second corner lie. [mm]

    Returns
    -------
    Array
        (4, 3) vertices. [mm]
    """
    return np.array(
        [
            start.position_mm,
            start.position_mm + first_mm * start.direction,
            end.position_mm + last_mm * end.direction,
            end.position_mm,
        ]
    )


def candidates(start: EndFace, end: EndFace, bender: Bender, first_mm: Array, last_mm: Array) -> Candidates:
    """Measure many paths with two corners at once.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    first_mm, last_mm
        (n,) how far out the first and the second corner lie. [mm]

    Returns
    -------
    Candidates
        Length and straight to spare of each.
    """
    outward = np.array([start.direction, end.direction])
    apart = end.position_mm - start.position_mm
    middle = apart + last_mm[:, None] * outward[1] - first_mm[:, None] * outward[0]
    long = np.linalg.norm(middle, axis=1)
    halves = [_half_tangents(middle, long, side) for side in (outward[0], -outward[1])]
    tangents = [bender.radius_mm * half for half in halves]
    saved = sum(2 * bender.radius_mm * (half - np.arctan(half)) for half in halves)
    spare = np.stack(
        [
            first_mm - tangents[0] - start.straight_mm,
            long - tangents[0] - tangents[1] - bender.grip_mm,
            last_mm - tangents[1] - end.straight_mm,
            *(tangent_mm(bender.radius_mm, BEND_MOST_DEG) - tangent for tangent in tangents),
        ],
        axis=1,
    )
    return Candidates(np.asarray(first_mm + long + last_mm - saved), spare)


def with_straights(
    start: EndFace, end: EndFace, radius_mm: float, straights_mm: tuple[float, float], near_mm: tuple[float, float]
) -> tuple[float, float]:
    """Find how far out two corners lie so that the straights at the faces come out as wanted.

    Parameters
    ----------
    start, end
        The two faces.
    radius_mm
        Radius of both bends. [mm]
    straights_mm
        Wanted from the start face to the first bend, and from the second bend to the end face. [mm]
    near_mm
        Where to begin looking: how far out the corners lie, about. [mm]

    Returns
    -------
    tuple
        How far out the first and the second corner lie. [mm]

    Notes
    -----
    Newton's method on leg = straight + tangent. The determinant is at least the middle straight over the middle leg
    (`docs/methods/fitup.md`), so there is exactly one answer nearby as long as some straight is left between the bends.
    """
    legs = np.array(near_mm, dtype=np.float64)
    for _ in range(60):
        tangents, slopes = _tangents(start, end, radius_mm, legs)
        off = legs - tangents - np.asarray(straights_mm)
        step = np.linalg.solve(np.eye(2) - slopes, off)
        legs = legs - step
        if float(np.abs(step).max()) < _SETTLED_MM * max(1.0, float(np.abs(legs).max())):
            break
    return float(legs[0]), float(legs[1])


def _half_tangents(middle: Array, long: Array, side: Array) -> Array:
    """Tangent of half the angle between a leg and each of (n, 3) middle legs; vast where they double back."""
    along, across = middle @ side, np.linalg.norm(middle @ cross_matrix(side), axis=1)
    back = (long - along) / np.maximum(across, 1e-9)
    return np.asarray(np.where(along > 0, across / np.maximum(long + along, 1e-9), back))


def _tangents(start: EndFace, end: EndFace, radius_mm: float, legs: Array) -> tuple[Array, Array]:
    """Tangent lengths at both corners, and their slopes (2, 2) against both legs."""
    vertices = two_corners(start, end, float(legs[0]), float(legs[1]))
    middle = vertices[2] - vertices[1]
    long = float(np.linalg.norm(middle))
    way = middle / long
    outward = (start.direction, end.direction)
    tangents, slopes = np.zeros(2), np.zeros((2, 2))
    for here, there, side in ((0, 1, way), (1, 0, -way)):
        cosine = float(outward[here] @ side)
        sine = float(np.linalg.norm(cross(outward[here], side)))
        tangents[here] = radius_mm * sine / (1 + cosine)
        slopes[here, here] = tangents[here] / long
        if sine > 0:
            across = float(outward[here] @ outward[there]) - cosine * float(side @ outward[there])
            slopes[here, there] = -radius_mm / (1 + cosine) * across / (long * sine)
    return tangents, slopes
