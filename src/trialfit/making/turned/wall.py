"""The least wall anywhere in a turned part: the shortest way through metal from the outside to the inside.

Both are straight pieces, so the shortest way runs from a corner of the one to the other and is found exactly. It is
not the difference of the radii: between a cone and a step it slants.

Source: plain geometry; male threads at their core, female ones at their major diameter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.making.turned.features import TurnedPart
from trialfit.making.turned.profile import Piece, inner_profile, outer_profile

Array = NDArray[np.float64]

_SAME_MM = 1e-9


@dataclass(frozen=True)
class Wall:
    """The least wall between two features.

    Parameters
    ----------
    wall_mm
        Thickness of metal; 0 or less where the one breaks into the other. [mm]
    at_mm
        Where it is, from the left face, on the inner side. [mm]
    outer, inner
        The two features it lies between.
    at_face
        Whether it is the land left at an end face.
    """

    wall_mm: float
    at_mm: float
    outer: str
    inner: str
    at_face: bool


@dataclass(frozen=True)
class _Edge:
    start: tuple[float, float]
    end: tuple[float, float]
    name: str
    step: bool = False


def least_wall(part: TurnedPart) -> Wall | None:
    """Find the least wall.

    Parameters
    ----------
    part
        The part.

    Returns
    -------
    Wall or None
        The least; None where the part is solid.
    """
    found = walls(part)
    return found[0] if found else None


def walls(part: TurnedPart) -> tuple[Wall, ...]:
    """Give the least wall between each pair of features.

    Parameters
    ----------
    part
        The part.

    Returns
    -------
    tuple of Wall
        Thinnest first.
    """
    inner = inner_profile(part, "core")
    if not inner:
        return ()
    outer = tuple(_within_flats(piece) for piece in outer_profile(part, "core"))
    broken = _broken_through(outer, inner)
    if broken:
        return tuple(sorted(broken, key=lambda wall: wall.wall_mm))
    holes = _holes(inner)
    outside = [*_edges(outer, closed=False), *_solid_faces(outer, inner, part.long_mm)]
    best: dict[tuple[str, str], Wall] = {}
    for place, hole in enumerate(holes):
        edges = _edges(hole, closed=True)
        for other in (outside, *(_edges(each, closed=True) for each in holes[place + 1 :])):
            for wall in _between(other, edges, part.long_mm):
                key = (wall.outer, wall.inner)
                if key not in best or wall.wall_mm < best[key].wall_mm - _SAME_MM:
                    best[key] = wall
    return tuple(sorted(best.values(), key=lambda wall: wall.wall_mm))


def _within_flats(piece: Piece) -> Piece:
    """A hexagon is as thick as its flats allow."""
    if piece.flats_mm == 0.0:
        return piece
    flat = piece.flats_mm / 2.0
    return Piece(piece.start_mm, piece.end_mm, min(flat, piece.start_r_mm), min(flat, piece.end_r_mm), piece.name)


def _broken_through(outer: Sequence[Piece], inner: Sequence[Piece]) -> list[Wall]:
    """Places where the inside reaches the outside, by the difference of the radii."""
    found = []
    for inside in inner:
        for outside in outer:
            start, end = max(inside.start_mm, outside.start_mm), min(inside.end_mm, outside.end_mm)
            if end - start < _SAME_MM:
                continue
            gaps = [(outside.radius_at(at) - inside.radius_at(at), at) for at in (start, end)]
            gap, at = min(gaps)
            if gap <= _SAME_MM:
                found.append(Wall(gap, at, outside.name, inside.name, False))
    return found


def _holes(inner: Sequence[Piece]) -> list[list[Piece]]:
    """Pieces that hang together; a point that ends on the axis ends its hole."""
    holes: list[list[Piece]] = []
    for piece in inner:
        before = holes[-1][-1] if holes else None
        closed = before is None or before.end_mm < piece.start_mm - _SAME_MM
        pinched = before is not None and before.end_r_mm < _SAME_MM and piece.start_r_mm < _SAME_MM
        if closed or pinched:
            holes.append([piece])
        else:
            holes[-1].append(piece)
    return holes


def _edges(pieces: Sequence[Piece], closed: bool) -> list[_Edge]:
    """The line of a profile, steps included; a hole that ends flat is closed down to the axis."""
    edges: list[_Edge] = []
    before: Piece | None = None
    for piece in pieces:
        if before is not None and abs(before.end_r_mm - piece.start_r_mm) > _SAME_MM:
            bigger = before if before.end_r_mm > piece.start_r_mm else piece
            step = (before.end_mm, before.end_r_mm), (piece.start_mm, piece.start_r_mm)
            edges.append(_Edge(*step, bigger.name, step=True))
        edges.append(_Edge((piece.start_mm, piece.start_r_mm), (piece.end_mm, piece.end_r_mm), piece.name))
        before = piece
    if closed:
        first, last = pieces[0], pieces[-1]
        if first.start_mm > _SAME_MM and first.start_r_mm > _SAME_MM:
            edges.append(_Edge((first.start_mm, first.start_r_mm), (first.start_mm, 0.0), first.name))
        if last.end_r_mm > _SAME_MM:
            edges.append(_Edge((last.end_mm, last.end_r_mm), (last.end_mm, 0.0), last.name))
    return edges


def _solid_faces(outer: Sequence[Piece], inner: Sequence[Piece], long_mm: float) -> list[_Edge]:
    faces = []
    if inner[0].start_mm > _SAME_MM:
        faces.append(_Edge((0.0, 0.0), (0.0, outer[0].start_r_mm), "left face"))
    if inner[-1].end_mm < long_mm - _SAME_MM:
        faces.append(_Edge((long_mm, 0.0), (long_mm, outer[-1].end_r_mm), "right face"))
    return faces


def _between(outer: list[_Edge], inner: list[_Edge], long_mm: float) -> list[Wall]:
    """The least distance for each pair of named features; closing lines on the part's own faces are open."""
    solid = [edge for edge in inner if not _on_face(edge, long_mm)]
    if not solid or not outer:
        return []
    from_inner, _ = _points_to_edges([p for e in solid for p in (e.start, e.end)], outer)
    from_outer, nearest_mm = _points_to_edges([p for e in outer for p in (e.start, e.end)], solid)
    found: dict[tuple[str, str], Wall] = {}
    ways = [
        (float(from_inner[place, k]), (edge.start, edge.end)[place % 2][0], out, edge)
        for place, edge in enumerate(edge for edge in solid for _ in range(2))
        for k, out in enumerate(outer)
    ]
    ways += [
        (float(from_outer[place, k]), float(nearest_mm[place, k]), out, edge)
        for place, out in enumerate(edge for edge in outer for _ in range(2))
        for k, edge in enumerate(solid)
    ]
    # A corner belongs to a step and to what lies below it: the wall there is named after the latter.
    for gap, at, out, edge in sorted(ways, key=lambda way: (round(way[0], 9), way[2].step, way[3].step)):
        if any(abs(wall.wall_mm - gap) < _SAME_MM and abs(wall.at_mm - at) < _SAME_MM for wall in found.values()):
            continue
        wall = Wall(gap, at, out.name, edge.name, at < _SAME_MM or at > long_mm - _SAME_MM)
        found.setdefault((out.name, edge.name), wall)
    return list(found.values())


def _on_face(edge: _Edge, long_mm: float) -> bool:
    return edge.start[0] == edge.end[0] and (edge.start[0] < _SAME_MM or edge.start[0] > long_mm - _SAME_MM)


def _points_to_edges(points: list[tuple[float, float]], edges: list[_Edge]) -> tuple[Array, Array]:
    """Distance from each point to each edge, and where along the axis the edge is nearest."""
    p = np.array(points)[:, None, :]
    a, b = np.array([e.start for e in edges]), np.array([e.end for e in edges])
    along = b - a
    square = np.maximum(np.einsum("nk,nk->n", along, along), 1e-30)
    share = np.clip(np.einsum("mnk,nk->mn", p - a, along) / square, 0.0, 1.0)
    nearest = a + share[..., None] * along
    distances: Array = np.sqrt(((p - nearest) ** 2).sum(axis=-1))
    return distances, nearest[..., 0]
