"""The axis of one straight length of tube, from the marks along its edges.

The middle between a straight length's two edges gives a plane through the eye and the axis; two such planes, from
photographs well apart, meet in the axis. A single edge gives a plane that the axis runs beside at half the outside
diameter; on which side, the other photographs decide. Of several planes the two are looked for that most marks agree
with, where not all agree.

Source: intersection of planes by least squares; the vote of all marks after Fischler & Bolles (1981).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.beliefs import HELD
from trialfit.survey.edge_lines import edge_lines
from trialfit.survey.feet import edge_feet
from trialfit.survey.looks import eye_mm, flat_marks, focal_px
from trialfit.survey.outline_settle import settled_with_sides, sided
from trialfit.survey.outlines import Outlined, Outlines
from trialfit.survey.problem import Problem, State

Array = NDArray[np.float64]

FITS_SIGMAS = 4.0
_GOOD_SIGMAS = 2.0
_LEAST_CROSSING_DEG = 4.0
_MOST_SINGLE_EDGES = 6
_REACH = (5, 95)
_NO_POINTS = np.zeros(0, dtype=np.intp)


@dataclass(frozen=True)
class Cannot:
    """Why an outline cannot be used.

    Parameters
    ----------
    because, do
        A sentence each.
    """

    because: str
    do: str


@dataclass(frozen=True)
class Plane:
    """A plane through an eye: the axis lies in it, or beside it at a distance.

    Parameters
    ----------
    normal
        (3,) unit vector. [-]
    eye
        (3,) the eye. [mm]
    beside_mm
        How far beside the plane the axis runs; 0 where it lies in it. [mm]
    photograph
        Which photograph. [-]
    """

    normal: Array
    eye: Array
    beside_mm: float
    photograph: int


@dataclass(frozen=True)
class _Laid:
    """An axis settled on its marks, and how well."""

    point: Array
    way: Array
    square: float
    rms: float


@dataclass(frozen=True)
class Line:
    """An axis, and how far along it marks were made; it runs from the end nearer to the first mark.

    Parameters
    ----------
    point
        (3,) a point of it. [mm]
    way
        (3,) unit vector. [-]
    ends
        (3,) each, how far the marks reach. [mm]
    """

    point: Array
    way: Array
    ends: tuple[Array, Array]


def planes_of(problem: Problem, state: State, leg: int) -> list[Plane]:
    """Planes through the eyes of the photographs that show a straight length well enough.

    Parameters
    ----------
    problem
        What was observed, the outlines those of one tube alone.
    state
        With cameras and lenses as adjusted without it.
    leg
        Which straight length, from 0. [-]

    Returns
    -------
    list of Plane
        At most one a photograph.
    """
    outlines = problem.outlines
    found = []
    mine = outlines.edge_piece == 2 * leg
    for photograph in np.unique(outlines.edge_photograph[mine]).tolist():
        rows = np.flatnonzero(mine & (outlines.edge_photograph == photograph))
        flat = flat_marks(problem, state, photograph, outlines.edge_px[rows])
        focal = focal_px(problem, state, photograph)
        width = float(outlines.od_mm[0]) / _range_mm(problem, state, photograph)
        lines = edge_lines(flat, float(outlines.edge_sigma_px[rows].mean()) / focal, width)
        if lines is None:
            continue
        offset = float(lines.offsets.mean())
        normal = state.rotations[photograph].T @ np.array([lines.across[0], lines.across[1], -offset])
        beside = 0.0 if len(lines.offsets) == 2 else float(outlines.od_mm[0]) / 2.0
        found.append(Plane(normal / np.linalg.norm(normal), eye_mm(state, photograph), beside, photograph))
    return found


def _range_mm(problem: Problem, state: State, photograph: int) -> float:
    """About how far the engine is from a photograph."""
    turn, shift = state.rotations[photograph], state.translations_mm[photograph]
    corners = problem.card_xy_mm[problem.card_photograph == photograph]
    solid = state.points_mm if len(state.points_mm) else np.column_stack([corners, np.zeros(len(corners))])
    depth = (solid @ turn.T + shift)[:, 2]
    return float(np.median(depth)) if len(depth) else 300.0


def axis_of(problem: Problem, state: State, planes: list[Plane], leg: int) -> Line | Cannot:
    """Find the axis of a straight length.

    Parameters
    ----------
    problem
        What was observed, the outlines those of one tube alone.
    state
        With cameras and lenses as adjusted without it.
    planes
        As `planes_of` gives them.
    leg
        Which straight length, from 0. [-]

    Returns
    -------
    Line or Cannot
        The axis, or why it cannot be found.
    """
    name = f"Its straight length leg{leg + 1}" if int(problem.outlines.tube_bends[0]) else "It"
    if len(planes) < 2:
        seen = f"is seen along its edges in {len(planes)} photograph{'s' * (len(planes) != 1)} only"
        return Cannot(
            f"{name} {seen}: two are needed to tell which way it runs in depth.",
            "Mark two places or more along each of its edges in a second photograph from well to one side.",
        )
    normals = np.array([plane.normal for plane in planes])
    _, spread, ways = np.linalg.svd(normals)
    crossing_deg = float(np.degrees(np.arcsin(min(1.0, spread[1] * np.sqrt(2.0 / len(planes))))))
    if crossing_deg < _LEAST_CROSSING_DEG:
        return Cannot(
            f"{name} is looked at from one side only: the planes through each photograph and its axis nearly fall "
            f"together ({crossing_deg:.0f} deg).",
            "Mark its edges in a photograph from well to one side, across it rather than further along it.",
        )
    single = [place for place, plane in enumerate(planes) if plane.beside_mm]
    if single and len(planes) == 2:
        return Cannot(
            f"{name} has one edge marked, not both, in {len(single)} of its two photographs, and nothing tells "
            "which of its two edges that is.",
            "Mark both edges in each of the two, or one edge in a third photograph.",
        )
    found = _best_laid(problem, state, planes, ways[2], leg)
    if found is None:
        edges = "its edges" if name == "It" else f"the edges of its straight length leg{leg + 1}"
        return Cannot(
            f"The marks along {edges} do not lie on one round tube of {problem.outlines.od_mm[0]:.2f} mm.",
            "See that each straight length has the same name in every photograph, that nothing but its two edges is "
            "marked, and that the outside diameter is right.",
        )
    return _line(problem, state, found.point, found.way, leg)


def _best_laid(problem: Problem, state: State, planes: list[Plane], way: Array, leg: int) -> _Laid | None:
    """The axis by all planes together; where marks then lie off it, by the two planes that agree best with the rest."""
    found = _laid(problem, state, _through(planes, way), way, leg)
    if found is not None and found.rms < _GOOD_SIGMAS:
        return found
    rough: list[tuple[float, int, Array, Array]] = []
    for one, two in combinations([plane for plane in planes if not plane.beside_mm], 2):
        crossed = np.cross(one.normal, two.normal)
        if np.linalg.norm(crossed) > np.sin(np.radians(_LEAST_CROSSING_DEG)):
            point = _through([one, two], crossed)
            rough.append((_misfit(problem, state, point, crossed, leg), len(rough), point, crossed))
    other = _laid(problem, state, *min(rough)[2:], leg) if rough else None
    either = [each for each in (found, other) if each is not None and each.rms < FITS_SIGMAS]
    return min(either, key=lambda each: each.square, default=None)


def _through(planes: list[Plane], way: Array) -> Array:
    """A point of an axis of known direction, where all planes agree best; single edges are tried on either side."""
    way = way / np.linalg.norm(way)
    normals = np.array([plane.normal for plane in planes])
    through = np.array([plane.normal @ plane.eye for plane in planes])
    beside = np.array([plane.beside_mm for plane in planes])
    single = np.flatnonzero(beside > 0.0)[:_MOST_SINGLE_EDGES]
    distance = np.array([np.linalg.norm(plane.eye) for plane in planes])
    rows = np.concatenate([normals / distance[:, None], way[None] * 1e-3])
    best, least = np.zeros(3), np.inf
    for signs in product((1.0, -1.0), repeat=len(single)):
        side = np.ones(len(planes))
        side[single] = signs
        right = np.append((through + side * beside) / distance, 0.0)
        point, *_ = np.linalg.lstsq(rows, right, rcond=None)
        off = float(((rows @ point - right) ** 2).sum())
        if off < least:
            best, least = np.asarray(point), off
    return best


def _alone(problem: Problem, leg: int) -> Problem:
    """One straight length by itself."""
    outlines = problem.outlines
    mine = outlines.edge_piece == 2 * leg
    return replace(
        problem,
        outlines=Outlines(
            tube_bends=np.zeros(1, dtype=np.intp),
            od_mm=outlines.od_mm,
            od_sigma_mm=outlines.od_sigma_mm,
            bend_radius_mm=np.ones(1),
            bend_radius_sigma_mm=np.full(1, HELD),
            edge_photograph=outlines.edge_photograph[mine],
            edge_tube=outlines.edge_tube[mine],
            edge_piece=np.zeros(int(mine.sum()), dtype=np.intp),
            edge_side=np.ones(int(mine.sum())),
            edge_px=outlines.edge_px[mine],
            edge_sigma_px=outlines.edge_sigma_px[mine],
            outside_sigma_px=outlines.outside_sigma_px,
        ),
    )


def _on(problem: Problem, state: State, point: Array, way: Array, leg: int) -> State:
    """A straight tube along an axis, as long as its marks reach."""
    vertices = np.stack(_line(problem, state, point, way / np.linalg.norm(way), leg).ends)
    return replace(state, outlined=Outlined(np.zeros(2), vertices, problem.outlines.od_mm.copy(), np.ones(1)))


def _misfit(problem: Problem, state: State, point: Array, way: Array, leg: int) -> float:
    """How badly marks fit a tube along an axis; those far off count little more than those a little off."""
    placed = _on(problem, state, point, way, leg)
    alone = sided(_alone(problem, leg), placed)
    off = edge_feet(alone, placed)[0].off_px / alone.outlines.edge_sigma_px
    return float(np.log1p((off / 3.0) ** 2).sum())


def _laid(problem: Problem, state: State, point: Array, way: Array, leg: int) -> _Laid | None:
    """The axis settled on its marks; None where it leaves the pictures."""
    placed = _on(problem, state, point, way, leg)
    _, found = settled_with_sides(_alone(problem, leg), placed, _NO_POINTS)
    first, last = found.state.outlined.vertices_mm
    run = last - first
    return _Laid(first, run / np.linalg.norm(run), found.square, found.mark_rms) if found.seen else None


def _line(problem: Problem, state: State, point: Array, way: Array, leg: int) -> Line:
    """How far along the axis the marks reach; it runs from the end nearer to the first mark."""
    outlines = problem.outlines
    rows = np.flatnonzero(outlines.edge_piece == 2 * leg)
    along = np.zeros(len(rows))
    for photograph in np.unique(outlines.edge_photograph[rows]).tolist():
        here = outlines.edge_photograph[rows] == photograph
        flat = flat_marks(problem, state, photograph, outlines.edge_px[rows[here]])
        rays = np.column_stack([flat, np.ones(len(flat))]) @ state.rotations[photograph]
        across = np.cross(rays, np.cross(way, rays))
        along[here] = across @ (eye_mm(state, photograph) - point) / (across @ way)
    low, high = (float(end) for end in np.percentile(along, _REACH))
    middle, half = (low + high) / 2.0, max((high - low) / 2.0, float(outlines.od_mm[0]))
    forward = 1.0 if along[0] <= middle else -1.0
    ends = point + (middle - forward * half) * way, point + (middle + forward * half) * way
    return Line(point, forward * way / np.linalg.norm(way), ends)
