"""Unit: bend tables, marks and landing of pipes simple enough to work by hand; the sums stand in comments."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from trialfit.finding import Figure
from trialfit.fitup.bends import bend_table, replay, start_pose, tangent_mm
from trialfit.fitup.landing import Scatter, amplifications
from trialfit.fitup.many_faces import figures_along
from trialfit.fitup.pipe import pipe_between
from trialfit.fitup.records import EndFace, PipePlan, TubeStock

# Three legs of 100 mm along x, y, z, radius 20: both bends 90 deg, tangents 20, arcs 10 pi.
BOX = np.array([[0.0, 0, 0], [100, 0, 0], [100, 100, 0], [100, 100, 100]])
TUBE = TubeStock(4.7625, 0.711, "CW024A")


def test_a_pipe_round_a_box() -> None:
    table = bend_table(BOX, 20.0)
    # x then y turns about z; y then z turns about x; from z to x about y is a quarter turn right-handed.
    assert [round(line.rotation_deg, 9) for line in table.lines] == [0, 90]
    assert [round(line.angle_deg, 9) for line in table.lines] == [90, 90]
    # 100 - 20, 100 - 20 - 20, 100 - 20
    np.testing.assert_allclose(table.straights_mm, [80, 60, 80])
    np.testing.assert_allclose(table.centre_line_mm, 220 + 2 * 10 * pi)
    # Marks with 5 mm in the socket: 85 and 85 + 31.416 = 116.416, then 176.416 and 207.832.
    marks = figures_along(BOX[None], 20.0, 5.0, 0.0)[0, [6, 7, 11, 12]]
    np.testing.assert_allclose(marks, [85, 116.41593, 176.41593, 207.83185], atol=1e-5)


def test_the_other_way_round_the_box_turns_the_other_way() -> None:
    down = BOX * [1, 1, -1]
    assert bend_table(down, 20.0).lines[1].rotation_deg == pytest.approx(-90)


def test_a_flat_set_turns_half_round_and_a_flat_hairpin_not_at_all() -> None:
    offset = np.array([[0.0, 0, 0], [100, 0, 0], [200, 100, 0], [300, 100, 0]])
    hairpin = np.array([[0.0, 0, 0], [100, 0, 0], [100, 100, 0], [0, 100, 0]])
    assert [line.rotation_deg for line in bend_table(offset, 20.0).lines] == [0, 180]
    assert [line.rotation_deg for line in bend_table(hairpin, 20.0).lines] == [0, 0]


def test_a_straight_pipe_has_no_bends_and_lands() -> None:
    table = bend_table(BOX[:2], 20.0)
    assert table.lines == ()
    end = replay(table, start_pose(BOX[:2]))
    np.testing.assert_allclose(end.position_mm, BOX[1])


def test_tangent() -> None:
    # R tan 45 = R; 30 tan 22.5 = 30 (sqrt 2 - 1) = 12.42641
    assert tangent_mm(20.0, 90.0) == pytest.approx(20.0)
    assert tangent_mm(30.0, 45.0) == pytest.approx(12.42641, abs=5e-6)


def test_what_slips_do_on_the_box() -> None:
    """First order: a bend's slip moves the far end by 1 deg times its distance from the bend's centre."""
    slips = {each.slip: each for each in amplifications(bend_table(BOX, 20.0), start_pose(BOX))}
    assert list(slips) == [
        "1 deg at bend 1",
        "1 deg of rotation before bend 2",
        "1 deg at bend 2",
        "1 mm on leg 1",
        "1 mm on leg 2",
        "1 mm on leg 3",
    ]
    # Bend 1 has its centre at (80, 20, 0); a longer arc carries the rest round it about z, and the far end
    # (100, 100, 100) is sqrt(20^2 + 80^2) = 82.46 mm from that axis: 82.46 pi / 180 = 1.439.
    assert slips["1 deg at bend 1"].moves.value == pytest.approx(1.439, abs=0.002)
    # Bend 2's axis runs along x through (100, 80, 20); the far end is sqrt(20^2 + 80^2) from it again.
    assert slips["1 deg at bend 2"].moves.value == pytest.approx(1.439, abs=0.002)
    # Rotation turns about the middle leg, along y through (100, 100, 0); the far end is 100 mm from it: 1.745.
    assert slips["1 deg of rotation before bend 2"].moves.value == pytest.approx(1.745, abs=0.002)
    assert [slips[f"1 mm on leg {k}"].moves.value for k in (1, 2, 3)] == pytest.approx([1, 1, 1])
    # The last leg points along z: a slip about z leaves its direction alone, the other two turn it by the whole degree.
    assert [each.turns.value for each in slips.values()] == pytest.approx([0, 1, 1, 0, 0, 0], abs=1e-6)


def box_pipe(springs_back_deg: float | None = None, spread: float = 0.0) -> PipePlan:
    start = EndFace("valve.inlet", BOX[0], np.array([1.0, 0, 0]), 80.0, 5.0)
    end = EndFace("tank.face", BOX[3], np.array([0.0, 0, -1]), 80.0, 3.0)
    covariance = spread**2 * np.diag([1.0] * 3 + [0.0] * 3 + [1.0] * 3 + [0.0] * 3)
    return pipe_between("feed", start, end, covariance, TUBE, 20.0, 10.0, 0.5, Scatter(0.6, 2.0, 4.0), springs_back_deg)


def test_the_plan_of_the_box() -> None:
    plan = box_pipe()
    np.testing.assert_allclose(plan.vertices_mm, BOX, atol=1e-9)
    # 220 + 20 pi = 282.83; with 5 and 3 into the sockets and 0.5 to file 291.33; 80 + 3 + 0.5 at the far end.
    assert [str(figure) for figure in (plan.centre_line, plan.cut_length, plan.last_straight)] == [
        "282.83 mm",
        "291.33 mm",
        "83.50 mm",
    ]
    assert [str(figure) for figure in plan.legs] == ["100.00 mm"] * 3
    first, second = plan.bends
    assert [str(figure) for figure in (first.feed, first.rotation, first.angle, first.starts, first.ends)] == [
        "85.00 mm",
        "0.0 deg",
        "90.0 deg",
        "85.00 mm",
        "116.42 mm",
    ]
    assert [str(figure) for figure in (second.feed, second.rotation, second.starts, second.ends)] == [
        "60.00 mm",
        "90.0 deg",
        "176.42 mm",
        "207.83 mm",
    ]
    assert first.set_to is None
    assert plan.landing.misses == (Figure(0.0, "deg", None, 2), Figure(0.0, "deg", None, 2))
    assert plan.far_end_scatter == plan.landing.bench_off


def test_spring_back_goes_by_the_angle() -> None:
    # 3.6 deg at 90 is 4 %: 90 becomes 93.6.
    assert [str(bend.set_to) for bend in box_pipe(3.6).bends] == ["93.6 deg", "93.6 deg"]


def test_k2_by_hand() -> None:
    """Both faces known to 0.1 mm (1 sigma) each way, directions exact.

    The straights at the faces stay as chosen. Let the end face move by (dx, dy, dz) against the start, and let bend 1
    grow by t1 (radians). Its tangent is 20 tan(45 deg + t1 / 2), which is 20 + 20 t1, so corner 1 lies at
    x = 100 + 20 t1; corner 2 lies at x = 100 + dx. The middle leg is 100 long and leans back by 20 t1 - dx, and that
    lean is the growth of the bend: 100 t1 = 20 t1 - dx, so t1 = -dx / 80. Its k = 2 is 2 * 0.1 sqrt 2 / 80 rad,
    0.2026 deg. Bend 2 goes the same way with dz.

    Centre line: the legs are 100 + 20 t1, 100 + dy, 100 + 20 t2; each bend takes off two tangents less its arc,
    40 + 40 t - 20 (pi / 2 + t), which grows by 20 t. What is left is dy alone: k = 2 is 2 * 0.1 sqrt 2 = 0.28284 mm.
    """
    plan = box_pipe(spread=0.1)
    assert plan.centre_line.k2 == pytest.approx(0.28284, abs=5e-6)
    assert plan.cut_length.k2 == pytest.approx(0.28284, abs=5e-6)
    for bend in plan.bends:
        assert bend.angle.k2 == pytest.approx(0.2026, abs=5e-5)
    # The first straight is chosen, not measured; so is the last.
    assert plan.bends[0].feed.k2 is None
    assert plan.bends[0].starts.k2 is None
    assert plan.last_straight.k2 is None
    # Rotation: dx tilts the middle leg within the first bend's plane, dz within the second's; neither turns them.
    assert plan.bends[1].rotation.k2 is None or plan.bends[1].rotation.k2 < 1e-6
    # Made to the table and rolled about x, only what cannot be rolled away is left. The lever is
    # x cross (100, 100, 100) = (0, -100, 100): of the stray (sqrt 2 * 0.1 each way) that direction is freed.
    # The largest of the rest is still 2 * 0.1 sqrt 2.
    assert plan.landing.survey_off.value == pytest.approx(0.28284, abs=5e-6)


def test_a_dog_leg_between_faces_in_line_but_for_the_survey_is_left_straight() -> None:
    start = EndFace("a", np.zeros(3), np.array([1.0, 0, 0]), 10.0, 3.0)
    end = EndFace("b", np.array([100.0, 0.4, 0]), np.array([-1.0, 0, 0]), 10.0, 3.0)
    # 0.4 in 100 is 0.2292 deg at both ends: under 0.3 it is never worth a bend.
    plan = pipe_between("p", start, end, np.zeros((12, 12)), TUBE, 12.7, 10.0, 0.5, Scatter(0.6, 2.0, 4.0))
    assert plan.bends == ()
    assert [str(miss) for miss in plan.landing.misses] == ["0.23 deg", "0.23 deg"]
    # sqrt(100^2 + 0.4^2) = 100.0008; 3 + 3 + 0.5 more to cut, all of it the last straight.
    assert str(plan.cut_length) == "106.50 mm"
    assert str(plan.last_straight) == "106.50 mm"
    assert [each.slip for each in plan.amplifications] == ["1 mm on leg 1"]


@pytest.mark.parametrize(("sigma_rad", "bends"), [(0.0, 2), (0.01, 0)])
def test_how_sure_the_axes_are_decides_whether_a_small_miss_wants_bends(sigma_rad: float, bends: int) -> None:
    # 1.4 mm in 100 is 0.80 deg. Known exactly, that wants two bends; with directions known to 0.01 rad (1 sigma),
    # k = 2 of 1.15 deg or more, the survey cannot tell it from nought, and under 1 deg it is left straight.
    start = EndFace("a", np.zeros(3), np.array([1.0, 0, 0]), 10.0, 3.0)
    end = EndFace("b", np.array([100.0, 1.4, 0]), np.array([-1.0, 0, 0]), 10.0, 3.0)
    covariance = sigma_rad**2 * np.diag([0, 0, 0, 0, 1.0, 1, 0, 0, 0, 0, 1, 1])
    plan = pipe_between("p", start, end, covariance, TUBE, 12.7, 10.0, 0.5, Scatter(0.6, 2.0, 4.0))
    assert len(plan.bends) == bends


def test_one_bend_where_the_axes_meet() -> None:
    # Legs 50 along x and 70 along y, radius 12.7: 120 - 2 * 12.7 + 12.7 pi / 2 = 114.549
    start = EndFace("a", np.zeros(3), np.array([1.0, 0, 0]), 10.0, 3.0)
    end = EndFace("b", np.array([50.0, 70, 0]), np.array([0.0, -1, 0]), 10.0, 3.0)
    plan = pipe_between("p", start, end, np.zeros((12, 12)), TUBE, 12.7, 10.0, 0.5, Scatter(0.6, 2.0, 4.0))
    (bend,) = plan.bends
    assert (str(bend.angle), str(bend.rotation)) == ("90.0 deg", "0.0 deg")
    assert plan.centre_line.value == pytest.approx(114.549, abs=5e-4)
