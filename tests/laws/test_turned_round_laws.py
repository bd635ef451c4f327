"""Laws: what a solid sweeps turned right round an axis, against points of the solid turned to many angles."""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from trialfit.parts.placement import Array, Placement
from trialfit.parts.solids import Box, Capsule, Cylinder, Hexagon, Solid, distance_mm, farthest_mm, placed
from trialfit.parts.turned_round import farthest_from_mm, swept_round, swept_together

X, Z, HERE = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]), np.zeros(3)
SOLIDS: list[Solid] = [
    Capsule(HERE, 18 * Z, 2.0),
    Capsule(HERE, HERE, 2.0),
    Cylinder(HERE, 18 * Z, 3.0),
    Hexagon(HERE, 9 * Z, 8.0, X),
    Box(np.array([0.0, 0.0, 5.0]), np.eye(3), np.array([3.0, 2.0, 8.0])),
]
MOVES = st.tuples(*[st.floats(-3, 3)] * 3, *[st.floats(-20, 20)] * 3)


def _points(solid: Solid, rng: np.random.Generator) -> Array:
    """Points of its skin, its corners and rims among them, and points between them."""
    skin = farthest_mm(solid, rng.normal(size=(500, 3)))
    shares = rng.dirichlet([0.4] * 3, 500)
    return np.vstack([skin, np.einsum("nk,nkj->nj", shares, skin[rng.integers(0, 500, (500, 3))])])


@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.sampled_from(SOLIDS), MOVES, MOVES)
def test_whichever_way_it_is_turned_it_lies_in_its_sweep(
    solid: Solid, move: tuple[float, ...], frame: tuple[float, ...]
) -> None:
    rng = np.random.default_rng(5)
    there = placed(solid, Placement("it", "job", Rotation.from_rotvec(move[:3]).as_matrix(), np.array(move[3:])))
    axis, on = Rotation.from_rotvec(frame[:3]).as_matrix()[:, 2], np.array(frame[3:])
    points, angle = _points(there, rng), rng.uniform(0, 2 * np.pi)
    turned = Rotation.from_rotvec(angle * axis).apply(points - on) + on
    for swept in (swept_round(there, on, axis), swept_together([there], on, axis)):
        assert np.min([distance_mm(each, turned) for each in swept], axis=0).max() < 1e-6
    assert np.linalg.norm(points - on, axis=1).max() <= farthest_from_mm(there, on) + 1e-9


@pytest.mark.parametrize(
    ("solid", "slices"),
    [
        # A side arm, 25 long and 6 thick: its end's rim is hypot(25, 3) from the axis half-way up and 25 at the edges.
        (Cylinder(10 * Z, 10 * Z + 25 * X, 3.0), [(7, 13, hypot(25, 3))]),
        # A box beside the axis: its far corner at (18, 4).
        (Box(np.array([10.0, 3.0, 4.0]), np.eye(3), np.array([8.0, 1.0, 2.0])), [(2, 6, hypot(18, 4))]),
        (Cylinder(HERE, 5 * Z, 4.0), [(0, 5, 4.0)]),
        # A hexagon on the axis, 9 across flats: 9 / 2 / cos 30 deg to its corners.
        (Hexagon(HERE, 5 * Z, 9.0, X), [(0, 5, 5.196152)]),
    ],
)
def test_sweeps_worked_by_hand(solid: Solid, slices: list[tuple[float, float, float]]) -> None:
    found = swept_round(solid, HERE, Z)
    got = [(each.start_mm[2], each.end_mm[2]) for each in found if isinstance(each, Cylinder)]
    assert got == [pytest.approx(each[:2], abs=1e-9) for each in slices]
    for each, (_, _, radius) in zip(found, slices, strict=True):
        assert isinstance(each, Cylinder)
        # Never too little; of 48 directions round about no more than 1 / cos(3.75 deg) = 1.00215 too much.
        assert radius - 1e-6 <= each.radius_mm <= radius * 1.0022


def test_a_leaning_rod_is_a_stepped_cone_that_hugs_it() -> None:
    """A rod 4 thick from 10 high on the axis out to 25 and 20 high, of 12 mm height with its round ends.

    At a height z its middle lies 2.5 (z - 10) out; across the slope it reaches 2 hypot(1, 2.5) = 5.385 farther out.
    """
    found = swept_round(Capsule(10 * Z, np.array([25.0, 0, 20]), 2.0), HERE, Z)
    for each in found:
        assert isinstance(each, Cylinder)
        top = min(each.end_mm[2], 20.0)
        # Where its far end is round it reaches no farther than 25 + 2.
        assert each.radius_mm <= min(2.5 * (top - 10) + 2 * hypot(1, 2.5), 27.0) * 1.0022 + 0.1
    assert len(found) > 4
