"""Triangles into pixels, what is nearer hiding what is behind it.

Each pixel keeps the nearest triangle over its middle. One over the depth runs straight across a triangle in the
picture, so that depth is right in perspective.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.parts.placement import Array
from trialfit.sheets.seen.eye import Eye
from trialfit.sheets.seen.meshes import Mesh

NOTHING = -1
_AT_ONCE = 2_000_000


@dataclass(frozen=True, eq=False)
class Buffer:
    """What an eye sees, pixel by pixel.

    Parameters
    ----------
    depth_mm
        (height, width) distance along the eye's axis; infinite where there is nothing. [mm]
    which
        (height, width) number of the mesh seen, or NOTHING. [-]
    normals
        (height, width, 3) unit vector out of what is seen, in the job frame; noughts where there is nothing. [-]
    """

    depth_mm: NDArray[np.float32]
    which: NDArray[np.int32]
    normals: NDArray[np.float32]


def raster(meshes: list[Mesh], eye: Eye, both_sides: bool = False) -> Buffer:
    """See meshes.

    Parameters
    ----------
    meshes
        What there is to see, in the job frame.
    eye
        From where.
    both_sides
        Whether the inner side of a skin is seen as well.

    Returns
    -------
    Buffer
        Depth, which mesh, and which way its skin faces.
    """
    near, face_of, faces, owner, normals = _filled(meshes, eye, both_sides)
    return _buffer(near, face_of, faces, owner, normals, eye)


def which_seen(meshes: list[Mesh], eye: Eye) -> NDArray[np.int64]:
    """See which of some meshes is nearest, and nothing else of them.

    Parameters
    ----------
    meshes
        What there is to see, in the job frame.
    eye
        From where.

    Returns
    -------
    NDArray
        (height * width,) number of the mesh seen, or NOTHING. [-]
    """
    _, face_of, _, owner, _ = _filled(meshes, eye, both_sides=False)
    return np.append(owner, NOTHING)[face_of]


_Filled = tuple[Array, NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], Array]


def _filled(meshes: list[Mesh], eye: Eye, both_sides: bool) -> _Filled:
    """One over the depth and the nearest face of each pixel; those faces, their meshes, and all corners' normals."""
    wide, high = eye.size_px
    near = np.zeros(high * wide)
    face_of = np.full(high * wide, NOTHING, dtype=np.int64)
    faces, owner, corners, normals = _gathered(meshes)
    if len(corners):
        px, depth = eye.seen(corners)
        faces, owner = _in_sight(faces, owner, px, depth, (wide, high), both_sides)
        _fill(faces, px, 1.0 / np.where(depth > 0, depth, 1.0), near, face_of, (wide, high))
    return near, face_of, faces, owner, normals


def _gathered(meshes: list[Mesh]) -> tuple[NDArray[np.int64], NDArray[np.int64], Array, Array]:
    starts = np.cumsum([0, *(len(mesh.corners_mm) for mesh in meshes)])
    faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=False)]
    owner = [np.full(len(mesh.faces), number, dtype=np.int64) for number, mesh in enumerate(meshes)]
    if not meshes:
        return np.zeros((0, 3), np.int64), np.zeros(0, np.int64), np.zeros((0, 3)), np.zeros((0, 3))
    return (
        np.concatenate(faces),
        np.concatenate(owner),
        np.concatenate([mesh.corners_mm for mesh in meshes]),
        np.concatenate([mesh.normals for mesh in meshes]),
    )


def _in_sight(
    faces: NDArray[np.int64],
    owner: NDArray[np.int64],
    px: Array,
    depth: Array,
    size_px: tuple[int, int],
    both_sides: bool,
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    at = px[faces]
    with np.errstate(invalid="ignore"):
        doubled = _doubled(at)
        low, high = at.min(axis=1), at.max(axis=1)
        # y runs down the picture, so that what is anticlockwise from outside has a negative area in it.
        kept = np.isfinite(doubled) & (np.abs(doubled) > 1e-9) & (depth[faces] > 0).all(axis=1)
        kept &= (high[:, 0] >= 0) & (high[:, 1] >= 0) & (low[:, 0] <= size_px[0] - 1) & (low[:, 1] <= size_px[1] - 1)
        if not both_sides:
            kept &= doubled < 0
    return faces[kept], owner[kept]


def _doubled(at: Array) -> Array:
    one, two = at[:, 1] - at[:, 0], at[:, 2] - at[:, 0]
    return np.asarray(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])


def _fill(
    faces: NDArray[np.int64],
    px: Array,
    per_depth: Array,
    near: Array,
    face_of: NDArray[np.int64],
    size_px: tuple[int, int],
) -> None:
    at = px[faces]
    sides = _sides(at)
    plane = np.einsum("nk,nkj->nj", per_depth[faces], sides)
    low = np.maximum(np.ceil(at[:, :, 1].min(axis=1)), 0).astype(np.int64)
    high = np.minimum(np.floor(at[:, :, 1].max(axis=1)), size_px[1] - 1).astype(np.int64)
    rows = np.maximum(high - low + 1, 0)
    number, step = _spread(np.arange(len(faces)), rows)
    y = low[number] + step
    left, right = _spans(sides[number], y, size_px[0])
    counts = np.maximum(right - left + 1, 0)
    for some in _batches(counts):
        place, step = _spread(some, counts)
        x, row, face = left[place] + step, y[place], number[place]
        value = plane[face, 0] * x + plane[face, 1] * row + plane[face, 2]
        pixel = row * size_px[0] + x
        np.maximum.at(near, pixel, value)
        won = value >= near[pixel]
        face_of[pixel[won]] = face[won]


def _sides(at: Array) -> Array:
    """(n, 3, 3) of each corner of each triangle: its share as a x + b y + c; nought on the side facing it."""
    doubled = _doubled(at)
    out = np.empty((len(at), 3, 3))
    for k in range(3):
        one, two = at[:, (k + 1) % 3], at[:, (k + 2) % 3]
        out[:, k, 0] = (one[:, 1] - two[:, 1]) / doubled
        out[:, k, 1] = (two[:, 0] - one[:, 0]) / doubled
        out[:, k, 2] = (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / doubled
    return out


def _spans(sides: Array, y: NDArray[np.int64], wide: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """First and last pixel of a row that lies in a triangle; last before first where none does."""
    slope, rest = sides[:, :, 0], sides[:, :, 1] * y[:, None] + sides[:, :, 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = -rest / slope
    least = np.where(slope > 0, crossing, np.where((slope == 0) & (rest < 0), np.inf, -np.inf)).max(axis=1)
    most = np.where(slope < 0, crossing, np.inf).min(axis=1)
    # A hair outwards, so that no crack is left between two triangles with one side in common.
    hair = 1e-6
    left = np.ceil(np.clip(least - hair, 0.0, wide)).astype(np.int64)
    return left, np.floor(np.clip(most + hair, -1.0, wide - 1.0)).astype(np.int64)


def _spread(numbers: NDArray[np.int64], counts: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Each number as often as it counts, and its own 0, 1, 2 ..."""
    own = counts[numbers]
    return np.repeat(numbers, own), np.arange(int(own.sum())) - np.repeat(np.cumsum(own) - own, own)


def _batches(counts: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    kept = np.flatnonzero(counts)
    if not len(kept):
        return []
    groups = np.cumsum(counts[kept]) // _AT_ONCE
    return np.split(kept, np.flatnonzero(np.diff(groups)) + 1)


def _buffer(
    near: Array,
    face_of: NDArray[np.int64],
    faces: NDArray[np.int64],
    owner: NDArray[np.int64],
    normals: Array,
    eye: Eye,
) -> Buffer:
    wide, high = eye.size_px
    seen = face_of != NOTHING
    which = np.full(high * wide, NOTHING, dtype=np.int32)
    out = np.zeros((high * wide, 3), dtype=np.float32)
    depth = np.full(high * wide, np.inf, dtype=np.float32)
    if np.any(seen):
        which[seen] = owner[face_of[seen]]
        depth[seen] = 1.0 / near[seen]
        facing = normals[faces].sum(axis=1)
        facing = facing / np.maximum(np.linalg.norm(facing, axis=1, keepdims=True), 1e-12)
        out[seen] = facing.astype(np.float32)[face_of[seen]]
    return Buffer(depth.reshape(high, wide), which.reshape(high, wide), out.reshape(high, wide, 3))
