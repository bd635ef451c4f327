"""Skins of solids and of bent tubes as triangles, every one wound anticlockwise as seen from outside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.vectors import square_to
from trialfit.parts.placement import Array
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Hexagon, Solid
from trialfit.sheets.pose import rounded

Whole = NDArray[np.int64]

SIDES = 32
_RINGS = 6


@dataclass(frozen=True, eq=False)
class Mesh:
    """A skin of triangles.

    Parameters
    ----------
    corners_mm
        (n, 3) its corners. [mm]
    normals
        (n, 3) unit vector out of the skin at each; an edge has its corners twice. [-]
    faces
        (m, 3) numbers of three corners each, anticlockwise as seen from outside.
    """

    corners_mm: Array
    normals: Array
    faces: Whole

    @property
    def volume_mm3(self) -> float:
        """What it encloses, where it is closed. [mm3]"""
        a, b, c = (self.corners_mm[self.faces[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)

    def moved(self, turn: Array, shift_mm: Array) -> Mesh:
        """The same skin turned, then shifted.

        Parameters
        ----------
        turn
            (3, 3) rotation. [-]
        shift_mm
            (3,) shift after it. [mm]

        Returns
        -------
        Mesh
            Elsewhere.
        """
        return Mesh(self.corners_mm @ turn.T + shift_mm, self.normals @ turn.T, self.faces)


def joined(meshes: Iterable[Mesh]) -> Mesh:
    """Put several skins into one.

    Parameters
    ----------
    meshes
        Any number.

    Returns
    -------
    Mesh
        All of them; an empty one of none.
    """
    kept = list(meshes)
    if not kept:
        return Mesh(np.zeros((0, 3)), np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    starts = np.cumsum([0, *(len(each.corners_mm) for each in kept)])
    return Mesh(
        np.concatenate([each.corners_mm for each in kept]),
        np.concatenate([each.normals for each in kept]),
        np.concatenate([each.faces + start for each, start in zip(kept, starts, strict=False)]),
    )


def mesh_of(solid: Solid, around_mm: Array | None = None, reach_mm: float = 100.0, sides: int = SIDES) -> Mesh:
    """Skin of a solid.

    Parameters
    ----------
    solid
        The solid.
    around_mm
        (3,) of a half space, whose skin has no end: what to show of it lies round the foot of this point. [mm]
    reach_mm
        How far it is shown from there. [mm]
    sides
        Sides a round body is given. [-]

    Returns
    -------
    Mesh
        Closed, except of a half space, which is a square sheet.
    """
    if isinstance(solid, Box):
        return _box(solid)
    if isinstance(solid, HalfSpace):
        return _sheet(solid, solid.on_mm if around_mm is None else around_mm, reach_mm)
    if isinstance(solid, Capsule) and not np.any(solid.end_mm != solid.start_mm):
        along = np.array([0.0, 0.0, 1.0])
    else:
        along = (solid.end_mm - solid.start_mm) / float(np.linalg.norm(solid.end_mm - solid.start_mm))
    if isinstance(solid, Hexagon):
        return _hexagon(solid, along)
    long_mm = float((solid.end_mm - solid.start_mm) @ along)
    if isinstance(solid, Cylinder):
        radius = solid.radius_mm
        corner, out, end = [0.0, radius], [0.0, 1.0], [-1.0, 0.0]
        profile = [([0.0, 0.0], end), (corner, end), (corner, out), ([long_mm, radius], out)]
        profile += [([long_mm, radius], [1.0, 0.0]), ([long_mm, 0.0], [1.0, 0.0])]
    else:
        turns = np.linspace(pi / 2, 0.0, _RINGS + 1)
        near = [([-solid.radius_mm * np.sin(t), solid.radius_mm * np.cos(t)], [-np.sin(t), np.cos(t)]) for t in turns]
        far = [([long_mm - p[0], p[1]], [-n[0], n[1]]) for p, n in reversed(near)]
        profile = [*near, *far]
    return lathe(solid.start_mm, along, profile, sides)


def lathe(
    start_mm: Array, along: Array, profile: Sequence[tuple[Sequence[float], Sequence[float]]], sides: int = SIDES
) -> Mesh:
    """Skin of a profile turned about an axis.

    Parameters
    ----------
    start_mm
        (3,) where the axis begins. [mm]
    along
        (3,) unit vector along it. [-]
    profile
        Points of the profile, each with its normal: along the axis and out from it, walked so that metal lies to the
        right, as from the start's middle outwards and on to the end's middle. [mm and -]
    sides
        Sides it is given. [-]

    Returns
    -------
    Mesh
        Closed where the profile is closed or begins and ends on the axis.
    """
    across = square_to(along)
    side = np.cross(along, across)
    turns = np.arange(sides) * 2 * pi / sides
    spokes = np.outer(np.cos(turns), across) + np.outer(np.sin(turns), side)
    corners = [start_mm + p[0] * along + p[1] * spokes for p, _ in profile]
    normals = [n[0] * along + n[1] * spokes for _, n in profile]
    return _without_slivers(Mesh(np.concatenate(corners), np.concatenate(normals), _rings_joined(len(profile), sides)))


def tube_mesh(line_mm: Array, radius_mm: float, bore_mm: float = 0.0, sides: int = 24) -> Mesh:
    """Skin of a tube along a line of points.

    Parameters
    ----------
    line_mm
        (n, 3) points of its centre line, close together where it bends. [mm]
    radius_mm
        Half its outside diameter. [mm]
    bore_mm
        Its bore; nought for a rod. [mm]
    sides
        Sides it is given. [-]

    Returns
    -------
    Mesh
        Closed, its ends flat.

    Notes
    -----
    Its round is carried along the line without twist, each time by the least turn; each section stands square to the
    mean of the straights that meet there.
    """
    ways = np.diff(line_mm, axis=0)
    ways = ways / np.linalg.norm(ways, axis=1, keepdims=True)
    means = np.concatenate([ways[:1], ways[:-1] + ways[1:], ways[-1:]])
    means = means / np.linalg.norm(means, axis=1, keepdims=True)
    across = [square_to(means[0])]
    for mean in means[1:]:
        carried = across[-1] - (across[-1] @ mean) * mean
        across.append(carried / np.linalg.norm(carried))
    first = np.array(across)
    second = np.cross(means, first)
    turns = np.arange(sides) * 2 * pi / sides
    spokes = np.cos(turns)[None, :, None] * first[:, None] + np.sin(turns)[None, :, None] * second[:, None]
    outside = line_mm[:, None] + radius_mm * spokes
    skins = [Mesh(outside.reshape(-1, 3), spokes.reshape(-1, 3), _rings_joined(len(line_mm), sides))]
    inside = line_mm[:, None] + bore_mm / 2 * spokes
    if bore_mm > 0:
        turned_in = _rings_joined(len(line_mm), sides)[:, ::-1]
        skins.append(Mesh(inside.reshape(-1, 3), -spokes.reshape(-1, 3), turned_in))
    for place, sign in ((0, -1.0), (-1, 1.0)):
        rings = np.concatenate([inside[place], outside[place]])
        faces = _rings_joined(2, sides)
        skins.append(Mesh(rings, np.tile(sign * means[place], (2 * sides, 1)), faces if sign < 0 else faces[:, ::-1]))
    return joined(skins)


def pipe_mesh(vertices_mm: Array, radius_mm: float, od_mm: float, bore_mm: float = 0.0, step_deg: float = 5.0) -> Mesh:
    """Skin of a bent pipe.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start, corners, end. [mm]
    radius_mm
        Centre-line radius of every bend. [mm]
    od_mm, bore_mm
        Its outside diameter, and its bore or nought. [mm]
    step_deg
        Widest turn from one section to the next. [deg]

    Returns
    -------
    Mesh
        The pipe, its ends flat.
    """
    return tube_mesh(rounded(vertices_mm, radius_mm, step_deg)[0], od_mm / 2, bore_mm)


def arrow_mesh(line_mm: Array, thick_mm: float) -> Mesh:
    """An arrow along a line of points.

    Parameters
    ----------
    line_mm
        (n, 3) points from its tail to its tip. [mm]
    thick_mm
        Thickness of its shaft; the head is three times as wide and as long as that. [mm]

    Returns
    -------
    Mesh
        Shaft and head.
    """
    head_mm = 3.0 * thick_mm
    lengths = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line_mm, axis=0), axis=1))])
    neck_mm = max(lengths[-1] - head_mm, 0.1 * lengths[-1])
    neck = np.array([np.interp(neck_mm, lengths, line_mm[:, k]) for k in range(3)])
    shaft = np.concatenate([line_mm[lengths < neck_mm - 1e-9], neck[None]])
    way = line_mm[-1] - neck
    long_mm = float(np.linalg.norm(way))
    half = head_mm / 2
    slope = np.array([half, long_mm]) / np.hypot(half, long_mm)
    profile = [([0.0, 0.0], [-1.0, 0.0]), ([0.0, half], [-1.0, 0.0]), ([0.0, half], slope), ([long_mm, 0.0], slope)]
    return joined([tube_mesh(shaft, thick_mm / 2, sides=12), lathe(neck, way / long_mm, profile, 20)])


def _without_slivers(mesh: Mesh) -> Mesh:
    """Where a ring is a point on the axis, or two rings lie in one place, faces have no area."""
    a, b, c = (mesh.corners_mm[mesh.faces[:, k]] for k in range(3))
    kept = np.linalg.norm(np.cross(b - a, c - a), axis=1) > 1e-12
    return Mesh(mesh.corners_mm, mesh.normals, mesh.faces[kept])


def _rings_joined(rings: int, sides: int) -> Whole:
    """Faces between rings of corners, each ring numbered anticlockwise seen against the way from one to the next."""
    faces = []
    for ring, _ in pairwise(range(rings)):
        near = ring * sides + np.arange(sides)
        next_near = ring * sides + (np.arange(sides) + 1) % sides
        faces += [
            np.column_stack([near, next_near, next_near + sides]),
            np.column_stack([near, next_near + sides, near + sides]),
        ]
    return np.concatenate(faces)


def _hexagon(solid: Hexagon, along: Array) -> Mesh:
    side = np.cross(along, solid.towards)
    turns = np.arange(6) * pi / 3
    outs = np.outer(np.cos(turns), solid.towards) + np.outer(np.sin(turns), side)
    radius = solid.flats_mm / 2 / np.cos(pi / 6)
    rims = np.array([radius * (np.cos(t - pi / 6) * solid.towards + np.sin(t - pi / 6) * side) for t in turns])
    corners, normals, faces = [], [], []
    for k in range(6):
        a, b = rims[k], rims[(k + 1) % 6]
        faces += [[4 * k, 4 * k + 1, 4 * k + 2], [4 * k, 4 * k + 2, 4 * k + 3]]
        corners += [solid.start_mm + a, solid.start_mm + b, solid.end_mm + b, solid.end_mm + a]
        normals += [outs[k]] * 4
    for middle, sign in ((solid.start_mm, -1.0), (solid.end_mm, 1.0)):
        first = len(corners)
        corners += [middle + rim for rim in rims]
        normals += [sign * along] * 6
        fan = [[first, first + k, first + k + 1] for k in range(1, 5)]
        faces += fan if sign > 0 else [face[::-1] for face in fan]
    return Mesh(np.array(corners), np.array(normals), np.array(faces))


def _box(solid: Box) -> Mesh:
    corners: list[Array] = []
    normals: list[Array] = []
    faces: list[list[int]] = []
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        hand = float(np.linalg.det(solid.axes))
        for sign in (-1.0, 1.0):
            first = len(corners)
            for su, sv in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
                at = sign * solid.halves_mm[axis] * solid.axes[axis]
                at = at + su * solid.halves_mm[u] * solid.axes[u] + sv * solid.halves_mm[v] * solid.axes[v]
                corners.append(solid.middle_mm + at)
            normals += [sign * solid.axes[axis]] * 4
            quads = [[first, first + 1, first + 2], [first, first + 2, first + 3]]
            faces += quads if sign * hand > 0 else [face[::-1] for face in quads]
    return Mesh(np.array(corners), np.array(normals), np.array(faces))


def _sheet(solid: HalfSpace, around_mm: Array, reach_mm: float) -> Mesh:
    foot = around_mm - ((around_mm - solid.on_mm) @ solid.out) * solid.out
    across = square_to(solid.out)
    side = np.cross(solid.out, across)
    corners = [foot + reach_mm * (a * across + b * side) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return Mesh(np.array(corners), np.tile(solid.out, (4, 1)), np.array([[0, 1, 2], [0, 2, 3]]))
