"""Laws: places move with the whole job, are all one whoever is named first, and never less sure by more being known."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from stood import Array, Points, mm, stood
from trialfit.fitup.apart import overlap_mm
from trialfit.fitup.in_place import InPlace
from trialfit.parts.placement import Placement
from trialfit.parts.solids import Capsule, Cylinder, placed

POINTS: Points = {"face": (10, 20, 30), "back": (11, 20, -10), "side": (19.1, 20.4, 39.2), "top": (10, 20, 50)}
MOVES = st.tuples(*[st.floats(-3, 3)] * 3, *[st.floats(-200, 200)] * 3)


def _whole(points: Points, extra: bool, flip: bool = False, covariance: Array | None = None) -> InPlace:
    bush = {"thread": "1/4x40", "gender": "female", "face": "face", "axis_from": "back"}
    ports: dict[str, Any] = {
        "inlet": {"thread": "1/4x40", "gender": "male", "at": mm(0, 0, -12)},
        "outlet": {"at": mm(9, 0, 0), "face": "side"},
        "cap": {"at": mm(0, 0, 11)},
    }
    if extra:
        ports["cap"]["face"] = "top"
    parts = {"bush": {"kind": "bush", "ports": {"thread": bush}}, "valve": {"kind": "check valve", "ports": ports},
             "cap": {"kind": "cap"}}  # fmt: skip
    screwed = {"a": "valve.inlet", "b": "bush.thread", "hidden": {"value": "3 mm", "pm": "0.3 mm"}}
    if flip:
        screwed["a"], screwed["b"] = screwed["b"], screwed["a"]
    joints = [screwed, {"a": "cap.thread", "b": "valve.cap", "hidden": {"value": "2 mm", "pm": "0.3 mm"}}]
    return stood(points, parts, joints[:: -1 if flip else 1], covariance=covariance)


@settings(max_examples=8, deadline=None)
@given(MOVES)
def test_moving_the_whole_job_moves_every_place(move: tuple[float, ...]) -> None:
    turn, shift = Rotation.from_rotvec(move[:3]).as_matrix(), np.array(move[3:])
    spread = np.diag(np.linspace(0.01, 0.05, 12))
    whole = np.kron(np.eye(4), turn)
    moved = {name: tuple(turn @ np.array(at) + shift) for name, at in POINTS.items()}
    here = _whole(POINTS, extra=True, covariance=spread)
    there = _whole(moved, extra=True, covariance=whole @ spread @ whole.T)
    both = np.kron(np.eye(2), turn)
    for part in ("bush", "valve", "cap"):
        one, other = here.adjusted.places[part], there.adjusted.places[part]
        assert other.shift_mm == pytest.approx(turn @ one.shift_mm + shift, abs=1e-5)
        # A round part's roll is free and comes as it comes; its axis does not.
        assert other.turn[:, 2] == pytest.approx(turn @ one.turn[:, 2], abs=1e-6)
        spread_there = both @ here.adjusted.covariance[part] @ both.T
        assert there.adjusted.covariance[part] == pytest.approx(spread_there, rel=1e-4, abs=1e-6)
    assert there.adjusted.chi_square == pytest.approx(here.adjusted.chi_square, rel=1e-5, abs=1e-9)


def test_it_is_all_one_which_port_of_a_joint_is_named_first_and_in_which_order_joints_stand() -> None:
    """Which of two axes that lean a little is taken to measure across is of second order: a few hundredths here."""
    one, other = _whole(POINTS, extra=True), _whole(POINTS, extra=True, flip=True)
    for part in ("bush", "valve", "cap"):
        assert other.adjusted.places[part].shift_mm == pytest.approx(one.adjusted.places[part].shift_mm, abs=0.03)
    assert other.adjusted.chi_square == pytest.approx(one.adjusted.chi_square, rel=0.1)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.05, 2.0), st.floats(0.05, 2.0))
def test_one_more_point_makes_no_part_less_sure(near: float, far: float) -> None:
    """The point is put where the others have it, so that no place moves and only what is not known can change."""
    spread = np.diag([near**2] * 9 + [far**2] * 3)
    without = _whole(POINTS, extra=False, covariance=spread).adjusted
    at = without.places["valve"].points_mm(np.array([0.0, 0.0, 11.0]))
    points = POINTS | {"top": (float(at[0]), float(at[1]), float(at[2]))}
    with_it = _whole(points, extra=True, covariance=spread).adjusted
    for part in ("bush", "valve", "cap"):
        gained = np.linalg.eigvalsh(without.covariance[part] - with_it.covariance[part])
        assert gained.min() > -1e-5
    assert np.trace(with_it.covariance["valve"]) < np.trace(without.covariance["valve"])


@settings(max_examples=20, deadline=None)
@given(MOVES, st.floats(1, 5), st.floats(0.5, 3))
def test_overlap_does_not_depend_on_where_both_stand_and_grows_with_size(
    move: tuple[float, ...], long: float, radius: float
) -> None:
    rod = Capsule(np.array([0.0, 1, 2]), np.array([long, 1.0, 0]), radius)
    post = Cylinder(np.array([1.0, 0, -3]), np.array([1.0, 0, 3]), 2.0)
    place = Placement("both", "job", Rotation.from_rotvec(move[:3]).as_matrix(), np.array(move[3:]))
    depth = overlap_mm(rod, post)
    assert overlap_mm(placed(rod, place), placed(post, place)) == pytest.approx(depth, abs=0.03)
    # A rod that is thicker by a millimetre all round is a millimetre further in.
    assert overlap_mm(Capsule(rod.start_mm, rod.end_mm, radius + 1), post) == pytest.approx(depth + 1, abs=0.03)
