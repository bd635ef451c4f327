"""Laws: distances of solids against the nearest of many points of their skin, and what moving them must not change."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

from trialfit.errors import Refusal
from trialfit.parts.placement import Placement
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Hexagon, Solid, distance_mm, farthest_mm, placed

Z = np.array([0.0, 0.0, 1.0])
X = np.array([1.0, 0.0, 0.0])
HERE = np.zeros(3)
UPRIGHT: dict[str, Solid] = {
    "capsule": Capsule(HERE, 10 * Z, 2.0),
    "ball": Capsule(HERE, HERE, 2.0),
    "cylinder": Cylinder(HERE, 10 * Z, 3.0),
    "hexagon": Hexagon(HERE, 10 * Z, 6.0, X),
    "box": Box(np.array([0.0, 0.0, 5.0]), np.eye(3), np.array([3.0, 2.0, 5.0])),
}


@pytest.mark.parametrize(
    ("name", "point", "by_hand"),
    [
        ("capsule", (5.0, 0.0, 5.0), 3.0),  # 5 from the axis less 2
        ("capsule", (3.0, 0.0, 14.0), 3.0),  # 3, 4, 5 from the end, less 2
        ("ball", (0.0, 0.0, -5.0), 3.0),
        ("cylinder", (6.0, 0.0, 14.0), 5.0),  # 3 past the side and 4 past the end
        ("cylinder", (0.0, 0.0, 9.0), -1.0),  # nearer to the end than to the side
        ("cylinder", (2.5, 0.0, 5.0), -0.5),
        ("hexagon", (5.0, 0.0, 5.0), 2.0),  # square over a flat 3 from the axis
        ("hexagon", (5 * cos(pi / 6), 5 * sin(pi / 6), 5.0), 5 - 3 / cos(pi / 6)),  # over a corner
        ("hexagon", (0.0, 0.0, 5.0), -3.0),
        ("box", (6.0, 6.0, 5.0), 5.0),  # 3 and 4 past two sides
        ("box", (0.0, 1.5, 5.0), -0.5),
    ],
)
def test_distances_worked_by_hand(name: str, point: tuple[float, float, float], by_hand: float) -> None:
    assert distance_mm(UPRIGHT[name], np.array([point]))[0] == pytest.approx(by_hand, abs=1e-12)


def test_a_half_space_is_solid_behind_its_plane() -> None:
    wall = HalfSpace(np.array([0.0, 0.0, 4.0]), Z)
    assert distance_mm(wall, np.array([[1.0, 2.0, 7.0], [0.0, 0.0, 1.0]])) == pytest.approx([3.0, -3.0])


@pytest.mark.parametrize("name", list(UPRIGHT))
def test_outside_the_distance_is_that_to_the_nearest_point_of_the_convex_body(name: str) -> None:
    """The nearest point p of a convex body to q is the one with <q - p, s - p> <= 0 for every s of the body."""
    rng = np.random.default_rng(4)
    solid = UPRIGHT[name]
    for point in rng.uniform(-12, 22, (40, 3)):
        here = distance_mm(solid, point[None])[0]
        if here <= 0.05:
            continue
        step = 1e-6
        slope = np.array([distance_mm(solid, (point + step * axis)[None])[0] - here for axis in np.eye(3)]) / step
        nearest = point - here * slope
        assert np.linalg.norm(slope) == pytest.approx(1.0, abs=1e-4)
        support = farthest_mm(solid, slope[None])[0]
        assert slope @ (support - nearest) == pytest.approx(0.0, abs=2e-4)


@pytest.mark.parametrize("name", list(UPRIGHT))
def test_inside_the_distance_is_the_least_push_that_frees_the_point(name: str) -> None:
    """Minus the depth is the least over directions of how far the body reaches past the point."""
    rng = np.random.default_rng(5)
    solid = UPRIGHT[name]
    inside = [point for point in rng.uniform(-3, 10, (400, 3)) if distance_mm(solid, point[None])[0] < -0.05][:8]
    ways = rng.normal(size=(3000, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    for point in inside:

        def reach(way: np.ndarray, point: np.ndarray = point) -> float:
            unit = way / np.linalg.norm(way)
            return float(unit @ (farthest_mm(solid, unit[None])[0] - point))

        reaches = np.einsum("ij,ij->i", ways, farthest_mm(solid, ways) - point)
        first = ways[reaches.argmin()]
        least = min(reach(first), float(minimize(reach, first, method="Nelder-Mead", options={"xatol": 1e-9}).fun))
        assert -distance_mm(solid, point[None])[0] == pytest.approx(least, abs=2e-3)


@pytest.mark.parametrize("name", list(UPRIGHT))
def test_moving_solid_and_point_together_changes_no_distance(name: str) -> None:
    rng = np.random.default_rng(6)
    moved = Placement("valve", "job", Rotation.from_euler("xyz", [0.3, -1.1, 2.0]).as_matrix(), np.array([5.0, -3, 8]))
    points = rng.uniform(-10, 20, (50, 3))
    before = distance_mm(UPRIGHT[name], points)
    assert distance_mm(placed(UPRIGHT[name], moved), moved.points_mm(points)) == pytest.approx(before, abs=1e-9)


def test_placements_chain_only_where_the_inner_names_agree() -> None:
    quarter = Rotation.from_rotvec([0, 0, radians(90)]).as_matrix()
    union_on_boiler = Placement("union", "boiler", quarter, np.array([1.0, 0.0, 0.0]))
    boiler_on_job = Placement("boiler", "job", quarter, np.array([0.0, 5.0, 0.0]))
    chained = union_on_boiler.then(boiler_on_job)
    # (1, 0, 0) turns to (0, 1, 0) and shifts to (1, 1, 0); that turns to (-1, 1, 0) and shifts to (-1, 6, 0)
    assert (chained.of, chained.on) == ("union", "job")
    assert chained.points_mm(np.array([1.0, 0.0, 0.0])) == pytest.approx([-1, 6, 0])
    back = chained.turned_round().points_mm(np.array([-1.0, 6.0, 0.0]))
    assert back == pytest.approx([1, 0, 0])
    with pytest.raises(Refusal) as refused:
        boiler_on_job.then(union_on_boiler)
    assert str(refused.value) == (
        "placement of boiler on job: got a placement of union on boiler to go on with, wanted a placement of job. "
        "Chain placements so that the inner names agree, or turn one round first."
    )


def test_a_hexagon_reaches_its_corners() -> None:
    reach = farthest_mm(UPRIGHT["hexagon"], np.array([[cos(pi / 6), sin(pi / 6), 0.1]]))[0]
    # across corners is across flats over cos 30
    assert reach == pytest.approx([sqrt(3) * sqrt(3), sqrt(3), 10.0])


def test_the_farthest_point_along_a_cylinders_axis_is_on_the_cylinder() -> None:
    """What is left of such a direction across the axis is rounding, which may point anywhere."""
    rng = np.random.default_rng(8)
    for start, end in rng.normal(scale=50.0, size=(500, 2, 3)):
        solid = Cylinder(start, end, 3.0)
        along = (end - start) * np.array([[1.0], [-1.0], [0.37]])
        assert distance_mm(solid, farthest_mm(solid, along)).max() < 1e-9
