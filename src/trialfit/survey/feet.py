"""Marks on outlines: the place of the outline nearest to each, in the photograph as the lens bent it.

An edge of a tube is where the line of sight grazes its surface; a rim is itself. Either way a mark is off by its
distance from the nearest place of the outline, and when anything moves, that distance changes as the place on the
surface moves across the outline: motion along the outline, and of the grazing place over the surface, does not show.

Source: the contour generator of a smooth surface (Cipolla & Giblin 2000, "Visual motion of curves and surfaces");
nearest places by Newton's method.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.centre_line import Pieces, centre_at, pieces_of
from trialfit.survey.outline_columns import across
from trialfit.survey.problem import Problem, State
from trialfit.survey.project import Rays
from trialfit.survey.rays import NEAREST_MM, sighted
from trialfit.survey.vectors import applied, cross, dot, length

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_MOST_STEPS = 8
_SETTLED_PX = 2e-5  # along the outline
_TRIED = np.array([0.1, 0.3, 0.5, 0.7, 0.9])


@dataclass(frozen=True)
class Feet:
    """The nearest places of the outlines to n marks.

    Parameters
    ----------
    off_px
        (n,) how far outside the outline each mark lies; inside is negative. [px]
    outside
        (n, 2) unit vector across the outline, outwards, in the photograph. [-]
    place_mm
        (n, 3) the place in the job frame. [mm]
    outward
        (n, 3) unit vector out of the tube's surface, or out of the rim in its plane. [-]
    along
        (n,) where along the outline: from the start of a tube's piece [mm], or round the rim [rad].
    rays
        The places, projected.
    seen
        Whether every place lies before its camera, and no camera inside a tube.
    """

    off_px: Array
    outside: Array
    place_mm: Array
    outward: Array
    along: Array
    rays: Rays
    seen: bool


def edge_feet(problem: Problem, state: State) -> tuple[Feet, Pieces]:
    """Find the nearest places on the tubes' edges.

    Parameters
    ----------
    problem
        With the marks on edges, each on a side.
    state
        Where everything is taken to be.

    Returns
    -------
    tuple
        `Feet` of the e marks, and the pieces they stand on.
    """
    outlines = problem.outlines
    photograph, px = outlines.edge_photograph, outlines.edge_px
    eyes = -np.einsum("pji,pj->pi", state.rotations, state.translations_mm)[photograph]
    radius = state.outlined.od_mm[outlines.edge_tube] / 2.0
    pieces = pieces_of(outlines, state.outlined, outlines.edge_tube, outlines.edge_piece)
    length_mm = pieces.length_mm
    along = _beginning(problem, state, pieces, eyes, radius)
    before: tuple[Array, Array] | None = None
    for _ in range(_MOST_STEPS):
        centre, tangent, curve = centre_at(pieces, along)
        outward = _grazing(centre - eyes, tangent, radius, outlines.edge_side)
        place = centre + radius[:, None] * outward
        rays = sighted(problem, state, photograph, place)
        run = _seen_run(rays, state, photograph, tangent)
        speed = length(run)
        left = dot(px - rays.px, run) / np.maximum(speed, 1e-9)
        if np.abs(left).max() < _SETTLED_PX:
            break
        rate = np.maximum(1.0 + radius * dot(outward, curve), 0.2) * speed
        step = left / np.maximum(rate if before is None else _rate_found(before, along, left, rate), 1e-9)
        before = along, left
        along = np.clip(along + step, -length_mm, 2.0 * length_mm)
    outside = _outside(rays, state, photograph, run, outward)
    depth_ok = bool((rays.depth_mm > NEAREST_MM).all()) and pieces.sound
    far = length(cross(centre - eyes, tangent)) > radius
    off = dot(outside, px - rays.px)
    return Feet(off, outside, place, outward, along, rays, depth_ok and bool(far.all())), pieces


def arc_feet(problem: Problem, state: State) -> Feet:
    """Find the nearest places on the rims.

    Parameters
    ----------
    problem
        With the marks on rims.
    state
        Where everything is taken to be.

    Returns
    -------
    Feet
        Of the k marks.
    """
    outlines, outlined = problem.outlines, state.outlined
    photograph, rim, px = outlines.arc_photograph, outlines.arc_rim, outlines.arc_px
    centre = state.points_mm[outlines.rim_centre[rim]]
    radius = outlined.rim_radius_mm[rim]
    ways = across(outlined.normals)[rim]
    along = _round(problem, state, centre, ways)
    for _ in range(_MOST_STEPS):
        cosine, sine = np.cos(along)[:, None], np.sin(along)[:, None]
        outward = ways[:, :, 0] * cosine + ways[:, :, 1] * sine
        tangent = ways[:, :, 1] * cosine - ways[:, :, 0] * sine
        place = centre + radius[:, None] * outward
        rays = sighted(problem, state, photograph, place)
        run = _seen_run(rays, state, photograph, tangent)
        bend = _seen_run(rays, state, photograph, outward) / -radius[:, None]
        step = _newton(px - rays.px, run, bend)
        if np.abs(step * length(run)).max() < _SETTLED_PX:
            break
        along = along + np.clip(step / radius, -0.5, 0.5)
    outside = _outside(rays, state, photograph, run, outward)
    off = dot(outside, px - rays.px)
    seen = bool((rays.depth_mm > NEAREST_MM).all()) and bool((radius > 0.0).all())
    return Feet(off, outside, place, outward, along, rays, seen)


def _grazing(sight: Array, tangent: Array, radius: Array, side: Array) -> Array:
    """Unit vectors out of a tube where a plane through the eye and along the tube touches it."""
    square = sight - dot(sight, tangent)[:, None] * tangent
    away = length(square)[:, None]
    ahead = square / away
    sine = np.minimum(radius[:, None] / away, 1.0)
    return np.asarray((side[:, None] * np.sqrt(1.0 - sine**2)) * cross(tangent, ahead) - sine * ahead)


def _beginning(problem: Problem, state: State, pieces: Pieces, eyes: Array, radius: Array) -> Array:
    """(e,) where to begin: the nearest place of a leg, or of a few on a bend, through a lens that bends nothing."""
    outlines = problem.outlines
    flat = _flat(problem, state, outlines.edge_photograph, outlines.edge_px)
    turns, shifts = state.rotations[outlines.edge_photograph], state.translations_mm[outlines.edge_photograph]
    outward = _grazing(pieces.corner_mm - eyes, pieces.before, radius, outlines.edge_side)
    start = applied(turns, pieces.corner_mm + radius[:, None] * outward) + shifts
    way = applied(turns, pieces.before)
    line = cross(start, way)
    square = np.maximum(dot(line[:, :2], line[:, :2]), 1e-12)
    foot = np.append(flat - ((dot(line[:, :2], flat) + line[:, 2]) / square)[:, None] * line[:, :2], _ones(flat), 1)
    beside = cross(way, foot)
    along = -dot(cross(start, foot), beside) / np.maximum(dot(beside, beside), 1e-12)
    along = np.clip(along, 0.0, pieces.length_mm)
    bent = np.flatnonzero(pieces.bent)
    if len(bent):
        along[bent] = _nearest_on_bend(pieces.some(bent), eyes[bent], radius[bent], outlines.edge_side[bent],
                                       turns[bent], shifts[bent], flat[bent])  # fmt: skip
    return along


def _nearest_on_bend(
    pieces: Pieces, eyes: Array, radius: Array, side: Array, turns: Array, shifts: Array, flat: Array
) -> Array:
    best, least = pieces.length_mm / 2.0, np.full(len(eyes), np.inf)
    for share in _TRIED:
        centre, tangent, _ = centre_at(pieces, share * pieces.length_mm)
        place = centre + radius[:, None] * _grazing(centre - eyes, tangent, radius, side)
        camera = applied(turns, place) + shifts
        off = length(camera[:, :2] / camera[:, 2:] - flat)
        best, least = np.where(off < least, share * pieces.length_mm, best), np.minimum(off, least)
    return best


def _flat(problem: Problem, state: State, photograph: Indices, px: Array) -> Array:
    """(n, 2) marks through a lens that bends nothing: near enough to begin with."""
    lens = problem.lens_of_photograph[photograph]
    focal = problem.focal_start_px[lens] * np.exp(state.lenses[lens, 0])
    return np.asarray((px - problem.centre_start_px[lens] - state.lenses[lens, 1:3]) / focal[:, None])


def _ones(like: Array) -> Array:
    return np.ones((len(like), 1))


def _round(problem: Problem, state: State, centre: Array, ways: Array) -> Array:
    """(k,) where to begin round a rim: the way each mark lies from its middle, straightened by the ellipse's slopes."""
    outlines = problem.outlines
    photograph = outlines.arc_photograph
    turns = state.rotations[photograph]
    camera = applied(turns, centre) + state.translations_mm[photograph]
    middle = camera[:, :2] / camera[:, 2:]
    turned = turns @ ways
    seen = turned[:, :2] - middle[:, :, None] * turned[:, 2:]
    away = (_flat(problem, state, photograph, outlines.arc_px) - middle)[:, :, None]
    flat = np.linalg.solve(seen + 1e-9 * np.eye(2), away)[:, :, 0]
    return np.asarray(np.arctan2(flat[:, 1], flat[:, 0]))


def _seen_run(rays: Rays, state: State, photograph: Indices, direction: Array) -> Array:
    """(n, 2) how fast a place moves in the photograph when it runs along a direction. [px/mm]"""
    return applied(rays.by_camera, applied(state.rotations[photograph], direction))


def _newton(away: Array, run: Array, bend: Array | None = None) -> Array:
    """(n,) step along an outline towards its nearest place. [mm]"""
    square = dot(run, run)
    steep = square if bend is None else np.maximum(square - dot(away, bend), 0.2 * square)
    return np.asarray(dot(away, run) / np.maximum(steep, 1e-12))


def _rate_found(before: tuple[Array, Array], along: Array, left: Array, guessed: Array) -> Array:
    """(n,) how many pixels a millimetre along made, by the last step; as guessed where that says nothing. [px/mm]"""
    moved, won = along - before[0], before[1] - left
    told = (np.abs(moved) > 1e-9) & (won * moved > 0.0)
    return np.where(told, np.clip(won / np.where(told, moved, 1.0), 0.3 * guessed, 3.0 * guessed), guessed)


def _outside(rays: Rays, state: State, photograph: Indices, run: Array, outward: Array) -> Array:
    """(n, 2) unit vectors across the outline in the photograph, outwards."""
    square = np.stack([-run[:, 1], run[:, 0]], axis=1)
    square /= np.maximum(length(square), 1e-12)[:, None]
    way = dot(square, _seen_run(rays, state, photograph, outward))
    return square * np.where(way < 0.0, -1.0, 1.0)[:, None]
