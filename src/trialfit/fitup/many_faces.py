"""Figures of a way for many pairs of faces at once, as they are wanted for what a small move of the faces does.

The same corners, bends and marks as `held_shape` and `bends` have them one at a time, for whole arrays of pairs.

Source: as those; `tests/laws/test_many_faces.py` holds each against them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from trialfit.fitup.held_shape import HeldShape, vertices_of
from trialfit.fitup.records import Array, EndFace

_SETTLED_MM = 1e-12
_PARALLEL = 1e-6


def as_rows(start: EndFace, end: EndFace) -> Array:
    """Two faces as one row.

    Parameters
    ----------
    start, end
        The two faces.

    Returns
    -------
    Array
        (1, 4, 3) start position, start direction, end position, end direction. [mm, -]
    """
    return np.array([[start.position_mm, start.direction, end.position_mm, end.direction]])


def corners_between(faces: Array, shape: HeldShape, start: EndFace, end: EndFace) -> Array:
    """Corners of a way between each of many pairs of faces, what is held of it held.

    Parameters
    ----------
    faces
        (n, 4, 3) pairs of faces, as `as_rows` has them. [mm, -]
    shape
        What is held.
    start, end
        The two faces they were before, for all but place and direction.

    Returns
    -------
    Array
        (n, k + 2, 3) start face, k corners, end face. [mm]
    """
    if shape.bends == 2:
        out = _straights_held(faces, shape)
        first, last = (faces[:, at] + out[:, side, None] * faces[:, at + 1] for side, at in ((0, 0), (1, 2)))
        return np.stack([faces[:, 0], first, last, faces[:, 2]], axis=1)
    if shape.bends == 1:
        return np.stack([faces[:, 0], crossings(faces), faces[:, 2]], axis=1)
    if shape.bends == 0:
        return faces[:, [0, 2]]
    return np.array([vertices_of(*_moved(start, end, row), shape) for row in faces])


def crossings(faces: Array) -> Array:
    """Where the axes of each of many pairs of faces pass nearest to each other.

    Parameters
    ----------
    faces
        (n, 4, 3) pairs of faces, as `as_rows` has them. [mm, -]

    Returns
    -------
    Array
        (n, 3) midway between the two axes there. [mm]
    """
    start, outward, end, inward = (faces[:, at] for at in range(4))
    normal = crossed(outward, inward)
    square = np.maximum(_dot(normal, normal), _PARALLEL**2)
    first = _dot(crossed(end - start, inward), normal) / square
    last = _dot(crossed(end - start, outward), normal) / square
    return np.asarray((start + first[:, None] * outward + end + last[:, None] * inward) / 2)


def figures_along(vertices_mm: Array, radius_mm: float, enters_mm: float, beyond_mm: float) -> Array:
    """Every figure of a pipe, for many ways at once.

    Parameters
    ----------
    vertices_mm
        (n, k + 2, 3) start face, k corners, end face. [mm]
    radius_mm
        Centre-line radius of every bend. [mm]
    enters_mm
        How far the tube goes past the start face. [mm]
    beyond_mm
        How far it goes past the end face, with what is left on for facing. [mm]

    Returns
    -------
    Array
        (n, k + 1 + 5 k + 3) legs [mm]; for each bend feed [mm], rotation [deg], angle [deg], where it begins and ends
        [mm]; centre line, cut length and last straight [mm].
    """
    apart = np.diff(vertices_mm, axis=1)
    legs = np.linalg.norm(apart, axis=2)
    along = apart / legs[..., None]
    turned = crossed(along[:, :-1], along[:, 1:])
    size = np.linalg.norm(turned, axis=2)
    angles = np.arctan2(size, _dot(along[:, :-1], along[:, 1:]))
    tangents = np.pad(radius_mm * np.tan(angles / 2), ((0, 0), (1, 1)))
    straights = legs - tangents[:, :-1] - tangents[:, 1:]
    arcs = radius_mm * angles
    rotations = np.degrees(_rotations(turned / np.maximum(size, 1e-300)[..., None], along))
    ends = enters_mm + np.cumsum(straights[:, :-1] + arcs, axis=1)
    feeds = straights[:, :-1].copy()
    feeds[:, :1] += enters_mm
    rows = np.stack([feeds, rotations, np.degrees(angles), ends - arcs, ends], axis=2)
    line = straights.sum(axis=1) + arcs.sum(axis=1)
    last = straights[:, -1] + beyond_mm + (0.0 if arcs.shape[1] else enters_mm)
    three = np.stack([line, line + enters_mm + beyond_mm, last], axis=1)
    return np.concatenate([legs, rows.reshape(len(legs), -1), three], axis=1)


def crossed(one: Array, other: Array) -> Array:
    """Cross products of rows.

    Parameters
    ----------
    one, other
        (..., 3) vectors. [any]

    Returns
    -------
    Array
        (..., 3) each square to both. [product of the two units]
    """
    (a, b, c), (x, y, z) = np.moveaxis(one, -1, 0), np.moveaxis(other, -1, 0)
    return np.stack([b * z - c * y, c * x - a * z, a * y - b * x], axis=-1)


def _rotations(normals: Array, along: Array) -> Array:
    """(n, k) turn of each bend's plane from the one before, 0 for the first. [rad]"""
    before, after = normals[:, :-1], normals[:, 1:]
    turns = np.arctan2(_dot(crossed(before, after), along[:, 1:-1]), _dot(before, after))
    return np.pad(np.where(turns <= 1e-11 - np.pi, turns + 2 * np.pi, turns), ((0, 0), (min(1, normals.shape[1]), 0)))


def _straights_held(faces: Array, shape: HeldShape) -> Array:
    """(n, 2) how far out two corners lie so that the straights come out as held: Newton's method, all at once. [mm]"""
    outward = faces[:, [1, 3]]
    legs = np.tile(np.array(shape.near_mm), (len(faces), 1))
    between = _dot(outward[:, 0], outward[:, 1])
    for _ in range(60):
        middle = faces[:, 2] - faces[:, 0] + legs[:, 1:] * outward[:, 1] - legs[:, :1] * outward[:, 0]
        long = np.linalg.norm(middle, axis=1)
        sides = np.stack([middle, -middle], axis=1) / long[:, None, None]
        cosine, sine = _dot(outward, sides), np.linalg.norm(crossed(outward, sides), axis=2)
        tangents = shape.radius_mm * sine / (1 + cosine)
        across = between[:, None] - cosine * -cosine[:, ::-1]
        leans = np.where(sine > 0, across / np.where(sine > 0, sine, 1.0), 0.0) / long[:, None]
        slopes = -shape.radius_mm / (1 + cosine) * leans
        off = legs - tangents - np.array(shape.straights_mm)
        own = 1 - tangents / long[:, None]
        step = np.stack(
            [own[:, 1] * off[:, 0] + slopes[:, 0] * off[:, 1], slopes[:, 1] * off[:, 0] + own[:, 0] * off[:, 1]], axis=1
        ) / (own[:, :1] * own[:, 1:] - slopes[:, :1] * slopes[:, 1:])
        legs = legs - step
        if float(np.abs(step).max()) < _SETTLED_MM * max(1.0, float(np.abs(legs).max())):
            break
    return legs


def _dot(one: Array, other: Array) -> Array:
    return np.asarray(np.einsum("...i,...i->...", one, other))


def _moved(start: EndFace, end: EndFace, row: Array) -> tuple[EndFace, EndFace]:
    return replace(start, position_mm=row[0], direction=row[1]), replace(end, position_mm=row[2], direction=row[3])
