"""Invented scenes with tubes and round faces in them: their outlines marked by a hand, the truth known.

Edges are where the line of sight grazes a tube, worked out round each tube; rims are walked round. Nothing of the
program's own geometry of outlines is used.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, pi, sin, tan

import numpy as np
from numpy.typing import NDArray

from scenes import Scene
from trialfit.survey.outlines import Outlined, Outlines
from trialfit.survey.problem import FREE, HELD, Problem, State
from trialfit.survey.project import project

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TrueTube:
    """A tube as it is: its vertices, and what the bench says of it."""

    vertices_mm: Array
    od_mm: float = 4.76
    od_sigma_mm: float = 0.02
    radius_mm: float = 12.7
    radius_sigma_mm: float = FREE
    per_edge: int = 5
    per_bend: int = 4


@dataclass(frozen=True)
class TrueRim:
    """A round face as it is: the point in its middle, the way it faces, and what the bench says of it."""

    point: int
    normal: Array
    radius_mm: float = 6.0
    radius_sigma_mm: float = 0.05
    marks: int = 8
    arc_deg: float = 360.0


@dataclass(frozen=True)
class OnAxis:
    """A point that lies on an axis: `axis` counts all legs, then all rims."""

    point: int
    axis: int
    sigma_mm: float = 0.1


def seen_px(problem: Problem, state: State, photograph: int, points: Array) -> Array:
    """(n, 2) where one photograph shows points."""
    n, lens = len(points), int(problem.lens_of_photograph[photograph])
    focal = problem.focal_start_px[lens] * np.exp(state.lenses[lens, 0]) * (1 + state.breathing[photograph, 0])
    centre = problem.centre_start_px[lens] + state.lenses[lens, 1:3] + state.breathing[photograph, 1:]
    return project(
        points,
        np.tile(state.rotations[photograph], (n, 1, 1)),
        np.tile(state.translations_mm[photograph], (n, 1)),
        np.full(n, focal),
        np.tile(centre, (n, 1)),
        np.tile(state.lenses[lens, 3:], (n, 1)),
    ).px


def eye_of(state: State, photograph: int) -> Array:
    """(3,) where a photograph was taken from."""
    eye: Array = -state.rotations[photograph].T @ state.translations_mm[photograph]
    return eye


def walk(vertices: Array, radius: float, piece: int, share: float) -> tuple[Array, Array]:
    """Place and direction on a piece of a pipe, `share` of the way along what is straight, or bent, of it."""
    ways = np.diff(vertices, axis=0)
    lengths = np.linalg.norm(ways, axis=1)
    ways /= lengths[:, None]
    turns = [float(np.arccos(np.clip(a @ b, -1, 1))) for a, b in itertools.pairwise(ways)]
    cut = [0.0, *(radius * tan(turn / 2) for turn in turns), 0.0]
    leg = piece // 2
    if piece % 2 == 0:
        run = cut[leg] + share * (lengths[leg] - cut[leg] - cut[leg + 1])
        return vertices[leg] + run * ways[leg], ways[leg]
    first, second, turn = ways[leg], ways[leg + 1], turns[leg]
    start = vertices[leg + 1] - cut[leg + 1] * first
    inward = second - (first @ second) * first
    inward /= np.linalg.norm(inward)
    angle = share * turn
    place = start + radius * (sin(angle) * first + (1 - cos(angle)) * inward)
    return place, cos(angle) * first + sin(angle) * inward


def grazed(centre: Array, way: Array, radius: float, eye: Array) -> tuple[Array, Array]:
    """The two places of a tube's surface, at one place along it, that the line of sight from `eye` grazes.

    Out of the surface n = cos a * one + sin a * other; it is grazed where n is square to the sight, n (eye - centre) =
    radius: a sine wave in a, so both places follow from its height and phase.
    """
    one = np.cross(way, [0.3, 0.5, 0.8])
    one /= np.linalg.norm(one)
    other = np.cross(way, one)
    x, y = one @ (eye - centre), other @ (eye - centre)
    phase, half = np.arctan2(y, x), np.arccos(radius / np.hypot(x, y))
    first, second = (centre + radius * (cos(a) * one + sin(a) * other) for a in (phase - half, phase + half))
    return first, second


def outlined(
    rng: np.random.Generator,
    made: Scene,
    tubes: Sequence[TrueTube] = (),
    rims: Sequence[TrueRim] = (),
    on_axis: Sequence[OnAxis] = (),
    sigma_px: float = 1.5,
    outside_sigma_px: float = 0.5,
    shown: Sequence[int] | None = None,
) -> Scene:
    """Mark the outlines in all photographs of a scene, or in those of `shown`; the hand slips, and leans outwards.

    Outside diameters, bend radii and rims' radii differ from what the bench says by what the bench allows for.
    """
    photographs = range(made.problem.photograph_count) if shown is None else shown
    bench_od = np.array([tube.od_mm for tube in tubes])
    od = bench_od + rng.normal(0, 1, len(tubes)) * np.array([tube.od_sigma_mm for tube in tubes])
    known_radius = [0.0 if t.radius_sigma_mm in (FREE, HELD) else t.radius_sigma_mm for t in tubes]
    known_rim = [0.0 if r.radius_sigma_mm == FREE else r.radius_sigma_mm for r in rims]
    truth = Outlined(
        outside_px=rng.normal(0, outside_sigma_px, 2),
        vertices_mm=np.concatenate([np.zeros((0, 3)), *(tube.vertices_mm for tube in tubes)]),
        od_mm=od,
        bend_radius_mm=np.array([tube.radius_mm for tube in tubes]),
        normals=np.array([rim.normal / np.linalg.norm(rim.normal) for rim in rims]).reshape(-1, 3),
        rim_radius_mm=np.array([rim.radius_mm for rim in rims]),
    )
    state = replace(made.truth, outlined=truth)
    edges: list[tuple[int, int, int, float]] = []
    arcs: list[tuple[int, int]] = []
    edge_px, arc_px = [np.zeros((0, 2))], [np.zeros((0, 2))]
    for photograph in photographs:
        eye = eye_of(state, photograph)
        ends: list[Array] = []
        for number, tube in enumerate(tubes):
            for piece in range(2 * len(tube.vertices_mm) - 3):
                shares = rng.uniform(0.05, 0.95, (tube.per_bend if piece % 2 else tube.per_edge, 2))
                for k, share in enumerate(shares.T.ravel().tolist()):
                    centre, way = walk(tube.vertices_mm, tube.radius_mm, piece, share)
                    place = grazed(centre, way, od[number] / 2, eye)[2 * k // shares.size]
                    side = 1.0 if (place - centre) @ np.cross(way, centre - eye) > 0 else -1.0
                    ends.append(np.stack([place, place + 0.01 * (place - centre), place + 0.01 * way]))
                    edges.append((photograph, number, piece, side))
        edge_px.append(_slipped(rng, made.problem, state, photograph, ends, sigma_px, truth.outside_px[0]))
        ends = []
        for number, rim in enumerate(rims):
            for out, way in _round(rng, rim, truth.normals[number], eye - made.truth.points_mm[rim.point]):
                place = made.truth.points_mm[rim.point] + rim.radius_mm * out
                ends.append(np.stack([place, place + 0.01 * out, place + 0.01 * way]))
                arcs.append((photograph, number))
        arc_px.append(_slipped(rng, made.problem, state, photograph, ends, sigma_px, truth.outside_px[1]))
    outlines = Outlines(
        tube_bends=np.array([len(tube.vertices_mm) - 2 for tube in tubes], dtype=np.intp),
        od_mm=bench_od,
        od_sigma_mm=np.array([tube.od_sigma_mm for tube in tubes]),
        bend_radius_mm=truth.bend_radius_mm + rng.normal(0, 1, len(tubes)) * np.array(known_radius),
        bend_radius_sigma_mm=np.array([tube.radius_sigma_mm if len(tube.vertices_mm) > 2 else HELD for tube in tubes]),
        rim_centre=np.array([rim.point for rim in rims], dtype=np.intp),
        rim_radius_mm=truth.rim_radius_mm + rng.normal(0, 1, len(rims)) * np.array(known_rim),
        rim_radius_sigma_mm=np.array([rim.radius_sigma_mm for rim in rims]),
        edge_photograph=np.array([edge[0] for edge in edges], dtype=np.intp),
        edge_tube=np.array([edge[1] for edge in edges], dtype=np.intp),
        edge_piece=np.array([edge[2] for edge in edges], dtype=np.intp),
        edge_side=np.array([edge[3] for edge in edges]),
        edge_px=np.concatenate(edge_px),
        edge_sigma_px=np.full(len(edges), sigma_px),
        arc_photograph=np.array([arc[0] for arc in arcs], dtype=np.intp),
        arc_rim=np.array([arc[1] for arc in arcs], dtype=np.intp),
        arc_px=np.concatenate(arc_px),
        arc_sigma_px=np.full(len(arcs), sigma_px),
        on_point=np.array([on.point for on in on_axis], dtype=np.intp),
        on_axis=np.array([on.axis for on in on_axis], dtype=np.intp),
        on_sigma_mm=np.array([on.sigma_mm for on in on_axis]),
        outside_sigma_px=outside_sigma_px,
    )
    return Scene(replace(made.problem, outlines=outlines), state)


def _round(rng: np.random.Generator, rim: TrueRim, normal: Array, sight: Array) -> list[tuple[Array, Array]]:
    """Ways out of a rim's middle, and round it, where it is marked; none where it is seen nearly edge-on."""
    if sight @ normal < 0.25 * np.linalg.norm(sight):
        return []
    one = np.cross(normal, [0.3, 0.5, 0.8])
    one /= np.linalg.norm(one)
    other = np.cross(normal, one)
    angles = np.radians(rim.arc_deg) * (np.arange(rim.marks) + rng.uniform(0, 0.5)) / max(rim.marks, 1)
    return [
        (cos(a) * one + sin(a) * other, cos(a) * other - sin(a) * one)
        for a in (rng.uniform(0, 2 * pi) + angles).tolist()
    ]


def _slipped(
    rng: np.random.Generator,
    problem: Problem,
    state: State,
    photograph: int,
    ends: list[Array],
    sigma_px: float,
    outside_px: float,
) -> Array:
    """(n, 2) marks as a hand makes them, of places each given with one beside it outwards and one along the outline."""
    if not ends:
        return np.zeros((0, 2))
    seen = seen_px(problem, state, photograph, np.concatenate(ends)).reshape(-1, 3, 2)
    along = seen[:, 2] - seen[:, 0]
    across = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.linalg.norm(along, axis=1)[:, None]
    across *= np.sign((across * (seen[:, 1] - seen[:, 0])).sum(axis=1))[:, None]
    slipped: Array = seen[:, 0] + outside_px * across + rng.normal(0, sigma_px, (len(ends), 2))
    return slipped
