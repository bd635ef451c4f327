"""What is held of a way while its two faces move a little: the straights chosen at the faces, and its inner corners.

Two corners on their axes follow from the straights alone. With three bends or more the corners between are held in a
frame that goes with both faces: its origin midway between them, its first axis from one to the other, its second the
way the start looks (or the end, where that says more), so that what moves both faces alike changes nothing.

Source: `docs/methods/routes.md`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.bends import bend_table, legs_mm
from trialfit.fitup.corners import crossing, two_corners, with_straights
from trialfit.fitup.families import tangent_to_bend
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.vectors import cross, square_to


@dataclass(frozen=True, eq=False)
class HeldShape:
    """What is held of a way.

    Parameters
    ----------
    bends
        How many. [-]
    radius_mm
        Of each. [mm]
    straights_mm
        At the start and at the end face. [mm]
    near_mm
        How far out the first and the last corner lie, about. [mm]
    inner_mm
        (m, 3) the k - 2 corners between, in the job frame as the way was laid out. [mm]
    laid_mm
        (k + 2, 3) the whole way as it was laid out. [mm]
    """

    bends: int
    radius_mm: float
    straights_mm: tuple[float, float]
    near_mm: tuple[float, float]
    inner_mm: Array
    laid_mm: Array


def shape_of(vertices_mm: Array, radius_mm: float) -> HeldShape:
    """Say what is held of a way.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]
    radius_mm
        Centre-line radius of every bend. [mm]

    Returns
    -------
    HeldShape
        Its straights and its inner corners.
    """
    straights, legs = bend_table(vertices_mm, radius_mm).straights_mm, legs_mm(vertices_mm)
    near = (float(legs[0]), float(legs[-1]))
    bends = len(vertices_mm) - 2
    return HeldShape(bends, radius_mm, (straights[0], straights[-1]), near, vertices_mm[2:-2], vertices_mm)


def vertices_of(start: EndFace, end: EndFace, shape: HeldShape) -> Array:
    """Corners of a way between faces that have moved a little.

    Parameters
    ----------
    start, end
        The two faces.
    shape
        What is held.

    Returns
    -------
    Array
        (k + 2, 3) start face, k corners, end face. [mm]
    """
    if shape.bends > 2:
        return _many(start, end, shape)
    if shape.bends == 2:
        out = with_straights(start, end, shape.radius_mm, shape.straights_mm, shape.near_mm)
        return two_corners(start, end, *out)
    meet = crossing(start, end) if shape.bends else None
    corner = [] if meet is None else [meet.corner_mm]
    return np.array([start.position_mm, *corner, end.position_mm])


def _many(start: EndFace, end: EndFace, shape: HeldShape) -> Array:
    laid, legs = shape.laid_mm, legs_mm(shape.laid_mm)
    outward = (laid[1] - laid[0]) / legs[0], (laid[-2] - laid[-1]) / legs[-1]
    by_end = _leans(laid[0], laid[-1], outward[0]) < _leans(laid[0], laid[-1], outward[1])
    before = _frame(laid[0], laid[-1], outward[1] if by_end else outward[0])
    after = _frame(start.position_mm, end.position_mm, end.direction if by_end else start.direction)
    middles = (laid[0] + laid[-1]) / 2, (start.position_mm + end.position_mm) / 2
    inner = middles[1] + (shape.inner_mm - middles[0]) @ before.T @ after
    corners = []
    for face, straight, following in (
        (start, shape.straights_mm[0], inner[0]),
        (end, shape.straights_mm[1], inner[-1]),
    ):
        _, tangent = tangent_to_bend(face, np.array([straight]), following[None], shape.radius_mm)
        corners.append(face.position_mm + (straight + float(tangent[0])) * face.direction)
    return np.array([start.position_mm, corners[0], *inner, corners[1], end.position_mm])


def _leans(one: Array, other: Array, way: Array) -> float:
    """Sine of the angle between the line of two places and a way."""
    apart = other - one
    return float(np.linalg.norm(cross(apart, way)) / np.linalg.norm(apart))


def _frame(one: Array, other: Array, way: Array) -> Array:
    """(3, 3) its axes in rows."""
    along = (other - one) / np.linalg.norm(other - one)
    aside = way - float(way @ along) * along
    size = float(np.linalg.norm(aside))
    aside = aside / size if size > 1e-9 else square_to(along)
    return np.array([along, aside, cross(along, aside)])
