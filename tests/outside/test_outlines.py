"""Outside: outlines against OpenCV's camera, its convex hulls and ellipses, and the optimum against scipy.

A tube or a rim is drawn as many thousand points of its surface, made by turning a vector about an axis (OpenCV's
Rodrigues) and projected by OpenCV's projectPoints; the edge of that cloud is what a photograph would show.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from oracles import scipy_adjusted
from outlined_scenes import OnAxis, TrueRim, TrueTube, outlined, walk
from scenes import Scene, scene
from trialfit.survey.adjust import adjust
from trialfit.survey.feet import arc_feet, edge_feet
from trialfit.survey.problem import FREE, Problem, State

Array = NDArray[np.float64]
BENT = np.array([[60.0, 150.0, 80.0], [62.0, 148.0, 55.0], [80.0, 120.0, 45.0], [90.0, 95.0, 43.0]])


def _by_opencv(problem: Problem, state: State, photograph: int, points: Array) -> Array:
    lens = state.lenses[0]
    breathing = state.breathing[photograph]
    focal = problem.focal_start_px[0] * np.exp(lens[0]) * (1 + breathing[0])
    cx, cy = problem.centre_start_px[0] + lens[1:3] + breathing[1:]
    matrix = np.array([[focal, 0, cx], [0, focal, cy], [0, 0, 1]])
    turn, _ = cv2.Rodrigues(state.rotations[photograph])
    seen, _ = cv2.projectPoints(points, turn, state.translations_mm[photograph], matrix, lens[3:])
    return np.asarray(seen, dtype=np.float64).reshape(-1, 2)


def _skin(centre: Array, way: Array, radius: float, count: int = 720) -> Array:
    """(count, 3) points of a tube's surface round one place of its centre line."""
    start = np.cross(way, [0.2, 0.9, 0.4])
    start *= radius / np.linalg.norm(start)
    angles = np.linspace(0.0, 2 * np.pi, count, endpoint=False)
    return np.array([centre + cv2.Rodrigues(angle * way)[0] @ start for angle in angles])


def _exact(seed: int, tubes: list[TrueTube], rims: list[TrueRim]) -> Scene:
    """A scene whose hand does not slip."""
    rng = np.random.default_rng(seed)
    return outlined(rng, scene(rng, 3, 6), tubes, rims, sigma_px=0.0, outside_sigma_px=0.0)


def _with_sigma(made: Scene) -> Problem:
    outlines = made.problem.outlines
    return replace(
        made.problem,
        outlines=replace(
            outlines,
            edge_sigma_px=np.ones(len(outlines.edge_px)),
            arc_sigma_px=np.ones(len(outlines.arc_px)),
        ),
    )


@pytest.mark.parametrize("piece", [0, 1, 2, 3, 4])
def test_edges_of_a_tube_bound_the_cloud_of_its_surface(piece: int) -> None:
    made = _exact(1, [TrueTube(BENT, od_sigma_mm=1e-9, per_edge=0, per_bend=0)], [])
    problem, state = made.problem, made.truth
    radius = state.outlined.od_mm[0] / 2
    for photograph in range(3):
        # Rings round the piece, 0.01 mm apart about its middle: outermost across the centre line, seen from there.
        stations = 0.5 + np.linspace(-1.0, 1.0, 31) * 0.008
        rings = [_skin(*walk(BENT, 12.7, piece, float(share)), radius) for share in stations]
        centre, way = walk(BENT, 12.7, piece, 0.5)
        near, beside = _by_opencv(problem, state, photograph, np.stack([centre, centre + 0.01 * way]))
        along = (beside - near) / np.linalg.norm(beside - near)
        across = np.array([-along[1], along[0]])
        cloud = _by_opencv(problem, state, photograph, np.concatenate(rings)) - near
        for sign in (1.0, -1.0):
            # Among the cloud's points within 2 px of the middle along the tube, the outermost.
            beside_middle = cloud[np.abs(cloud @ along) < 2.0]
            edge = near + beside_middle[np.argmax(sign * (beside_middle @ across))]
            for side in (1.0, -1.0):
                marked = replace(
                    problem.outlines,
                    edge_photograph=np.array([photograph], dtype=np.intp),
                    edge_tube=np.array([0], dtype=np.intp),
                    edge_piece=np.array([piece], dtype=np.intp),
                    edge_side=np.array([side]),
                    edge_px=edge[None],
                    edge_sigma_px=np.ones(1),
                )
                feet, _ = edge_feet(replace(problem, outlines=marked), state)
                if abs(feet.off_px[0]) < 5.0:
                    # 720 places round and 0.01 mm along leave a few hundredths of a pixel; a whole edge is 40 px off.
                    assert abs(feet.off_px[0]) < 0.05
                    break
            else:
                raise AssertionError("neither side of the tube is near the edge of the cloud")


def test_rims_are_what_opencv_projects_and_fits_an_ellipse_to() -> None:
    normal = np.array([0.2, -1.0, 0.35]) / np.linalg.norm([0.2, -1.0, 0.35])
    made = _exact(2, [], [TrueRim(0, normal, radius_mm=6.0, marks=0)])
    problem, state = made.problem, made.truth
    circle = _skin(state.points_mm[0], normal, 6.0)
    for photograph in range(3):
        seen = _by_opencv(problem, state, photograph, circle)
        arcs = replace(
            problem.outlines,
            arc_photograph=np.full(len(seen), photograph, dtype=np.intp),
            arc_rim=np.zeros(len(seen), dtype=np.intp),
            arc_px=seen,
            arc_sigma_px=np.ones(len(seen)),
        )
        assert np.abs(arc_feet(replace(problem, outlines=arcs), state).off_px).max() < 1e-3
        # Marks 2 px outside OpenCV's ellipse, along its own normals, are 2 px outside the rim. The lens bends the
        # ellipse by a few hundredths of a pixel.
        (x, y), (wide, high), turn_deg = cv2.fitEllipse(seen.astype(np.float32))
        t = np.linspace(0, 2 * np.pi, 24, endpoint=False)
        on = np.stack([wide / 2 * np.cos(t), high / 2 * np.sin(t)], axis=1)
        out = np.stack([np.cos(t) / wide, np.sin(t) / high], axis=1)
        out /= np.linalg.norm(out, axis=1)[:, None]
        c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
        moved = (on + 2.0 * out) @ np.array([[c, s], [-s, c]]) + [x, y]
        arcs = replace(arcs, arc_photograph=arcs.arc_photograph[:24], arc_rim=arcs.arc_rim[:24], arc_px=moved)
        off = arc_feet(replace(problem, outlines=replace(arcs, arc_sigma_px=np.ones(24))), state).off_px
        assert off == pytest.approx(2.0, abs=0.1)


def test_exact_marks_have_no_residual() -> None:
    made = _exact(3, [TrueTube(BENT)], [TrueRim(0, np.array([0.1, -1.0, 0.2]))])
    problem = _with_sigma(made)
    feet, _ = edge_feet(problem, made.truth)
    assert np.abs(feet.off_px).max() < 1e-3
    assert np.abs(arc_feet(problem, made.truth).off_px).max() < 1e-3


@pytest.mark.long
def test_same_optimum_as_scipy_with_edges_and_rims() -> None:
    rng = np.random.default_rng(6)
    made = scene(rng, 3, 6, readings=2)
    points = made.truth.points_mm.copy()
    points[1] = BENT[0] + 0.4 * (BENT[1] - BENT[0])
    points[4] = points[0] + 30.0 * np.array([0.1, 1.0, -0.3]) / np.linalg.norm([0.1, 1.0, -0.3])
    made = scene(np.random.default_rng(6), 3, 6, readings=2, world=points)
    rims = [TrueRim(0, np.array([0.1, -1.0, 0.3])), TrueRim(3, np.array([-0.3, -1.0, 0.2]), radius_sigma_mm=FREE)]
    made = outlined(rng, made, [TrueTube(BENT, per_edge=2, per_bend=2)], rims, [OnAxis(1, 0), OnAxis(4, 3)])
    ours = adjust(made.problem, made.truth, tolerance=1e-8).state
    theirs: Any = scipy_adjusted(made.problem, made.truth, 1e-7)
    # Numeric differences leave scipy about 1e-4 mm short of its own optimum; a wrong term would show in tenths.
    assert np.abs(theirs.points_mm - ours.points_mm).max() < 1e-3
    for name in ("vertices_mm", "od_mm", "bend_radius_mm", "normals", "rim_radius_mm", "outside_px"):
        off = np.abs(getattr(theirs.outlined, name) - getattr(ours.outlined, name)).max()
        print(f"scipy and we agree in {name} to {off:.1e}")
        # A tube's first and last vertex may stand anywhere along it; scipy's steps and ours slide them differently.
        assert off < (2e-3 if name != "vertices_mm" else 0.05)
