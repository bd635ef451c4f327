"""Unit: every derivative of the survey against numeric differences, and quarter turns worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from scenes import scene
from trialfit.survey.adjust import moved
from trialfit.survey.layout import Layout
from trialfit.survey.normal import normal_equations
from trialfit.survey.project import project, straighten, turn
from trialfit.survey.sensor import camera_upright, lens_upright, to_sensor, to_upright


def test_gradient_is_that_of_the_cost() -> None:
    made = scene(np.random.default_rng(1), 4, 8, readings=3)
    layout = Layout(made.problem)
    normal = normal_equations(layout, made.truth)
    slope = np.concatenate([normal.head_right, normal.block_right.ravel()])
    h = layout.head_count
    for unknown in range(len(slope)):
        step = np.zeros(len(slope))
        step[unknown] = 1e-6
        above = normal_equations(layout, moved(layout, made.truth, step[:h], step[h:].reshape(-1, 3))).cost
        below = normal_equations(layout, moved(layout, made.truth, -step[:h], -step[h:].reshape(-1, 3))).cost
        assert (above - below) / 4e-6 == pytest.approx(slope[unknown], rel=1e-4, abs=1e-2)


def test_straighten_undoes_the_lens() -> None:
    rng = np.random.default_rng(2)
    n = 50
    lens = np.tile([0.05, -0.1, 5e-4, -4e-4, 0.06], (n, 1))
    flat = rng.uniform(-0.6, 0.6, (n, 2))
    points = np.column_stack([flat, np.ones(n)]) * 300.0
    focal, centre = np.full(n, 2900.0), np.tile([2000.0, 1500.0], (n, 1))
    px = project(points, np.tile(np.eye(3), (n, 1, 1)), np.zeros((n, 3)), focal, centre, lens).px
    assert straighten(px, focal, centre, lens) == pytest.approx(flat, abs=1e-10)


def test_turn_of_a_right_angle_by_hand() -> None:
    # A quarter turn about z carries x to y.
    assert turn(np.array([[0.0, 0.0, np.pi / 2]]))[0] @ [1.0, 0.0, 0.0] == pytest.approx([0.0, 1.0, 0.0])


def test_quarter_turns_by_hand() -> None:
    # Stored 4000 x 3000, shown upright after one quarter turn clockwise: 3000 x 4000. The stored top-left pixel
    # goes to the top right, (2999, 0); the stored bottom-left one to the top left, (0, 0).
    stored = np.array([[0.0, 0.0], [0.0, 2999.0]])
    assert to_upright(stored, 3000, 4000, 1) == pytest.approx(np.array([[2999.0, 0.0], [0.0, 0.0]]))
    # Three quarter turns: the stored top-left pixel goes to the bottom left, (0, 3999).
    assert to_upright(stored[:1], 3000, 4000, 3) == pytest.approx(np.array([[0.0, 3999.0]]))


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_upright_camera_sees_what_the_sensor_sees(turns: int) -> None:
    rng = np.random.default_rng(3)
    points = rng.uniform(-80, 80, (20, 3)) + np.array([0, 0, 350])
    lens = np.array([0.05, -0.1, 8e-4, -5e-4, 0.06])
    size = (3000, 4000) if turns % 2 else (4000, 3000)
    n = len(points)
    rotation, translation = turn(np.array([[0.1, -0.2, 0.3]]))[0], np.array([1.0, 2.0, 3.0])

    def seen(r: np.ndarray, t: np.ndarray, centre: np.ndarray, coefficients: np.ndarray) -> np.ndarray:
        return project(
            points, np.tile(r, (n, 1, 1)), np.tile(t, (n, 1)), np.full(n, 2900.0), np.tile(centre, (n, 1)),
            np.tile(coefficients, (n, 1)),
        ).px  # fmt: skip

    centre = np.array([2010.0, 1490.0])
    stored = seen(rotation, translation, centre, lens)
    turned_centre = to_upright(centre[None], *size, turns)[0]
    upright = seen(*camera_upright(rotation, translation, turns), turned_centre, lens_upright(lens, turns))
    assert to_upright(stored, *size, turns) == pytest.approx(upright, abs=1e-8)
    assert to_sensor(upright, *size, turns) == pytest.approx(stored, abs=1e-8)
