"""Unit: figures of turned parts against arithmetic done by hand in the comments.

Threads by hand from their form: Whitworth, core = major - 1.280654 pitch (BS 84). 1/4x40: pitch 0.635, core
6.35 - 0.8132 = 5.5368; 5/16x32: pitch 0.79375, core 7.9375 - 1.0165 = 6.9210.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt
from typing import Any

import pytest

from trialfit.errors import Refusal
from trialfit.job.shop import assumed_shop
from trialfit.making.turned.cuts import bar_serves
from trialfit.making.turned.features import Bar
from trialfit.making.turned.plan import plan_turned, turned_parts
from trialfit.making.turned.records import TurnedPlan
from trialfit.making.turned.solid import hexagon_in_circle_mm2, mass_g, volume_mm3
from trialfit.making.turned.wall import least_wall, walls
from turned_jobs import bench, job, part, plan

JOINT = {"a": "tail.a", "b": "bush.thread", "hidden": {"value": "8 mm", "pm": "0.2 mm", "by": "workshop"}}
ROD = {"plain": "10 mm", "long": "20 mm"}


@pytest.fixture(scope="module")
def tail() -> TurnedPlan:
    made = turned_parts(job(), assumed_shop())
    return made.parts[0]


def test_what_the_joint_hides_is_in_the_length(tail: TurnedPlan) -> None:
    # 4 spigot + 6 hexagon + 0 shows + 8 hidden = 18; the undercut lies inside the 8. + 2 x 0.5 facing + 2 parting = 21.
    assert tail.lengths.finished.value == pytest.approx(18.0)
    assert tail.lengths.finished.k2 == pytest.approx(0.2)
    assert tail.lengths.shows.value == pytest.approx(10.0)
    assert tail.lengths.saw.value == pytest.approx(21.0)
    assert tail.lengths.saw.k2 == pytest.approx(0.2)
    groove, thread = tail.part.outside[2:]
    assert (groove.long_mm, thread.long_mm) == pytest.approx((1.3, 6.7))
    assert groove.left_mm == pytest.approx(5.5368 - 0.1, abs=1e-4)


def test_two_hidden_ends_add_their_doubts_in_squares() -> None:
    # 0.3 and 0.4 in squares: 0.5.
    joints = (
        {"a": "p.a", "b": "q.a", "hidden": {"value": "5 mm", "pm": "0.3 mm", "by": "x"}},
        {"a": "p.b", "b": "q.b", "hidden": {"value": "6 mm", "pm": "0.4 mm", "by": "x"}},
    )
    ends = [
        {"thread": "1/4x40", "shows": "1 mm", "port": "p.a"},
        {"plain": "10 mm", "long": "3 mm"},
        {"spigot": "6 mm", "shows": "2 mm", "port": "p.b"},
    ]
    made = plan(*joints, outside=ends)
    assert made.lengths.finished.value == pytest.approx(6.0 + 3.0 + 8.0)
    assert made.lengths.finished.k2 == pytest.approx(0.5)
    assert made.lengths.shows.value == pytest.approx(6.0)


def test_without_a_hidden_length_the_part_is_refused_rather_than_made_too_short() -> None:
    with pytest.raises(Refusal) as refused:
        part(outside=[{"thread": "1/4x40", "shows": "2 mm", "port": "tail.a"}])
    assert refused.value.fault.got == "no hidden length for tail.a"


def test_least_wall_of_a_tail_is_at_its_core(tail: TurnedPlan) -> None:
    # Mouth 4.4 against core 5.5368: (5.5368 - 4.4) / 2 = 0.5684, at the right face. The undercut next:
    # (5.4368 - 3.96875) / 2 = 0.7340.
    assert tail.wall is not None
    assert tail.wall.wall_mm == pytest.approx(0.5684, abs=1e-4)
    assert (tail.wall.at_mm, tail.wall.at_face) == (18.0, True)
    second = walls(tail.part)[1]
    assert second.wall_mm == pytest.approx(0.7340, abs=1e-4)
    assert second.outer == "groove 5.44 mm"


def test_wall_slants_from_a_cone_to_a_step() -> None:
    # A 90 deg cone, mouth 8, apex 4 deep, in a 12 mm flange 2 thick on an 8.4 mm neck: the corner of the step is at
    # (2, 4.2), the cone is the line r = 4 - z, and their distance (2 + 4.2 - 4) / sqrt 2.
    made = part(
        outside=[{"plain": "12 mm", "long": "2 mm"}, {"plain": "8.4 mm", "long": "10 mm"}],
        from_left=[{"cone": "90 deg", "mouth": "8 mm"}],
    )
    wall = least_wall(made)
    assert wall is not None
    assert wall.wall_mm == pytest.approx(2.2 / sqrt(2.0))


def test_web_between_two_blind_holes_and_at_the_bottom_of_one() -> None:
    # Flat bottoms at 8 from the left and 20 - 11 = 9 from the right: 1 mm. A point of 4 mm: 0.3004 x 4 = 1.2017 more.
    flat = part(
        outside=[ROD],
        from_left=[{"bore": "4 mm", "deep": "8 mm", "flat": True}],
        from_right=[{"bore": "3 mm", "deep": "11 mm", "flat": True}],
    )
    wall = least_wall(flat)
    assert wall is not None and wall.wall_mm == pytest.approx(1.0)
    pointed = part(outside=[ROD], from_left=[{"bore": "4 mm", "deep": "18 mm"}])
    wall = least_wall(pointed)
    assert wall is not None and wall.wall_mm == pytest.approx(20.0 - 18.0 - 1.2017, abs=1e-4)
    assert wall.outer == "right face"


def test_female_thread_is_taken_at_its_major_diameter() -> None:
    made = part(outside=[{"plain": "10 mm", "long": "8 mm"}], from_left=[{"thread": "5/16x32", "through": True}])
    wall = least_wall(made)
    assert wall is not None and wall.wall_mm == pytest.approx((10.0 - 7.9375) / 2.0)


def test_hexagon_is_as_thick_as_its_flats_and_as_wide_as_its_corners() -> None:
    made = part(outside=[{"hexagon": "10 mm", "long": "8 mm"}], from_left=[{"bore": "6 mm", "through": True}])
    wall = least_wall(made)
    assert wall is not None and wall.wall_mm == pytest.approx(2.0)
    assert made.swing_mm == pytest.approx(20.0 / sqrt(3.0))


def test_volumes_by_hand() -> None:
    # Rod 10 x 20 with a blind 4 mm hole 8 deep: pi/4 (100 x 20 - 16 x 8) - cone pi/12 x 16 x 1.2017.
    made = part(outside=[ROD], from_left=[{"bore": "4 mm", "deep": "8 mm"}])
    assert volume_mm3(made) == pytest.approx(pi / 4.0 * (2000.0 - 128.0) - pi / 12.0 * 16.0 * 1.20172, rel=1e-6)
    # Hexagon 10 x 8: sqrt(3)/2 x 100 x 8 = 692.82; a 60 deg frustum 8 to 5: pi/12 x 2.598 x (64 + 40 + 25) = 87.74.
    hexagon = part(outside=[{"hexagon": "10 mm", "long": "8 mm"}])
    assert volume_mm3(hexagon) == pytest.approx(692.820, abs=1e-3)
    frustum = part(outside=[{"taper": "8 mm", "to": "5 mm", "angle": "60 deg"}])
    assert frustum.long_mm == pytest.approx(1.5 * sqrt(3.0))
    assert volume_mm3(frustum) == pytest.approx(pi / 12.0 * 2.598076 * 129.0, rel=1e-6)
    # CW614N is printed at 8470 kg/m3: 692.820 mm3 are 5.868 g.
    assert mass_g(hexagon) == pytest.approx(5.8682, abs=1e-4)


def test_a_chamfer_takes_a_ring_off() -> None:
    # Rod 10 chamfered 1 x 45 deg at one end: Pappus, triangle 1/2 mm2 with its centroid at radius 5 - 1/3.
    plain, cut = part(outside=[ROD]), part(outside=[ROD, {"chamfer": "1 mm"}])
    assert volume_mm3(plain) - volume_mm3(cut) == pytest.approx(0.5 * 2.0 * pi * (5.0 - 1.0 / 3.0))
    # A circle inside the hexagon's flats and one outside its corners: the circle, and the hexagon.
    assert hexagon_in_circle_mm2(10.0, 5.0) == pytest.approx(25.0 * pi)
    assert hexagon_in_circle_mm2(10.0, 6.0) == pytest.approx(86.6025, abs=1e-4)


def test_cone_mouth_depth_and_what_a_slip_does(tail: TurnedPlan) -> None:
    # (4.4 - 3.96875) / 2 / tan 30 = 0.3735; 0.1 mm deeper is 0.2 tan 30 = 0.1155 wider.
    (cone,) = tail.cones
    assert cone.deep_mm == pytest.approx(0.3735, abs=1e-4)
    assert cone.small_mm == pytest.approx(3.96875)
    assert 0.1 * cone.wider_per_deeper == pytest.approx(0.1155, abs=1e-4)


def test_holes_are_drilled_to_full_diameter_and_to_the_point() -> None:
    made = plan(
        outside=[ROD],
        from_left=[{"bore": "4 mm", "deep": "8 mm"}],
        from_right=[{"thread": "2BA", "deep": "6 mm"}],
    )
    by_name = {hole.feature.name: hole for hole in made.holes}
    bore = by_name["bore 4.00 mm"]
    assert (bore.deep_mm, bore.tip_mm) == pytest.approx((8.0, 9.2017), abs=1e-4)
    assert bore.diameters_deep == pytest.approx(2.0)
    # 2BA: pitch 0.81: two pitches below 6 are 7.62. Its own depth is 1.2 x 0.81 = 0.972; 75 % of that is 0.729 below
    # 4.7: 3.971; the nearest of the assumed drills is 5/32 in, 3.96875: (4.7 - 3.96875) / 0.972 = 75.2 %.
    tapped = by_name["female thread 2BA"]
    assert tapped.drill == "5/32 in"
    assert tapped.deep_mm == pytest.approx(7.62)
    assert tapped.percent is not None and tapped.percent.of_form_pct == pytest.approx(75.2, abs=0.05)


def test_a_die_runs_out_at_a_shoulder_and_not_at_an_undercut() -> None:
    # Two pitches of 0.635.
    shoulder = plan(outside=[ROD, {"thread": "1/4x40", "long": "8 mm"}])
    assert (shoulder.threads[0].run_out_mm, shoulder.threads[0].full_mm) == pytest.approx((1.27, 6.73))
    between = plan(outside=[ROD, {"thread": "1/4x40", "long": "8 mm"}, ROD])
    assert between.threads[0].full_mm == pytest.approx(5.46)
    undercut = plan(outside=[ROD, {"thread": "1/4x40", "long": "8 mm", "undercut": "1.5 mm"}])
    assert (undercut.threads[0].run_out_mm, undercut.threads[0].full_mm) == pytest.approx((0.0, 6.5))


def test_a_cross_hole_by_hand(tail: TurnedPlan) -> None:
    # 2 mm hole through one flat of the 10 mm hexagon into a bore of 3.96875: it is through the wall when its edges are
    # at sqrt(1.984375^2 - 1) = 1.7140 from the axis: 5 - 1.7140 = 3.2860 deep, 0.6009 more to the tip.
    (hole,) = tail.across
    assert (hole.deep_mm, hole.tip_mm) == pytest.approx((3.2860, 3.8869), abs=1e-4)
    # The tip then stands 5 + 1.984375 - 3.8869 = 3.0975 from the far wall.
    assert hole.clears_mm == pytest.approx(3.0975, abs=1e-4)
    # 7 - 1 to the left face; 5 - 1.984375 of metal beside the hole in the plane of the bore.
    assert (hole.land_mm, hole.side_mm) == pytest.approx((6.0, 3.015625))


def test_bar_for_a_hexagon(tail: TurnedPlan) -> None:
    # 10 / cos 30 = 11.547: no round bronze bar under 1/2 in in the assumed stock, and no hexagon.
    assert tail.bar.round_mm == pytest.approx(11.547, abs=1e-3)
    assert tail.bar.hexagon_mm == pytest.approx(10.0)
    assert tail.bar.chosen == Bar("round", 12.7, "1/2 in")
    made = part(outside=[{"hexagon": "10 mm", "long": "5 mm"}, {"plain": "10.5 mm", "long": "5 mm"}])
    assert not bar_serves(made, Bar("hexagon", 10.0)), "the plain part stands over the flats"
    assert bar_serves(made, Bar("round", 11.55))


def test_spindle_speeds_are_the_next_lower_the_lathe_has(tail: TurnedPlan) -> None:
    # Bronze on a small lathe 200 ft/min: 12/pi x 200 / 0.5 in = 1527.9; the lathe has 1400. Parting at half is 763.9;
    # the lathe has 560.
    by_use = {(each.operation, round(each.diameter_mm, 2)): each for each in tail.speeds}
    turning, parting = by_use["turning", 12.7], by_use["parting", 12.7]
    assert (round(turning.wanted_rpm, 1), turning.set_rpm) == (1527.9, 1400.0)
    assert (round(parting.wanted_rpm, 1), parting.set_rpm) == (763.9, 560.0)


@pytest.mark.parametrize(
    ("lines", "got"),
    [
        ([ROD, {"chamfer": "6 mm"}], "a chamfer of 6.00 mm"),
        ([ROD, {"chamfer": "1 mm"}, ROD], "a chamfer between equal diameters"),
        ([ROD, {"chamfer": "1 mm"}, {"chamfer": "1 mm"}], "a second chamfer on one edge"),
        ([{"taper": "8 mm", "to": "8 mm", "angle": "60 deg"}], "a taper from 8.00 to 8.00 mm, 0.00 mm long"),
        ([{"taper": "2 mm", "long": "5 mm", "angle": "60 deg"}], "a taper from 2.00 to -3.77 mm, 5.00 mm long"),
        ([{"thread": "R1/8", "long": "8 mm"}], "R1/8, a taper thread"),
        ([ROD, {"thread": "1/4x40", "long": "1 mm", "undercut": "1.3 mm"}], "an undercut 1.30 mm wide"),
    ],
)
def test_outsides_that_cannot_be_are_refused(lines: list[dict[str, Any]], got: str) -> None:
    with pytest.raises(Refusal) as refused:
        part(outside=lines)
    assert refused.value.fault.got == got


def test_a_chamfer_goes_on_the_larger_of_its_neighbours() -> None:
    made = part(outside=[{"chamfer": "0.3 mm"}, {"plain": "6 mm", "long": "4 mm"}, {"chamfer": "0.4 mm"}, ROD])
    small, large = made.outside
    assert (small.left_chamfer_mm, small.right_chamfer_mm) == (0.3, 0.0)
    assert (large.left_chamfer_mm, large.right_chamfer_mm) == (0.4, 0.0)


def test_steps_come_in_the_order_of_the_lathe(tail: TurnedPlan) -> None:
    texts = [step.text for step in tail.steps]
    wanted = [
        "Chuck the round bar 12.70 mm (1/2 in) diameter with 24.0 mm standing out of the jaws; 1400 turns a minute.",
        "Face the right end true, taking off no more than 0.5 mm.",
        "Drill 5/32 in (3.97 mm) right through, at least 22.2 mm from the rough face so that the point clears the "
        "parting cut; 2000 turns a minute, clearing the chips at every diameter of depth.",
        "Open the mouth to 4.40 mm with a centre drill at least that thick: feed 0.37 mm from where it first touches "
        "the edge of the bore. 0.1 mm deeper makes it 0.115 mm wider: creep up on it and measure.",
        "Turn 11.55 mm, over the corners of the hexagon, to 14.00 mm from the face; 1400 turns a minute.",
        "Turn 6.35 mm for 1/4x40 to 8.00 mm from the face; 2000 turns a minute.",
        "Cut the groove to 5.44 mm diameter, 1.30 mm wide, its far side 8.00 mm from the face.",
        "Chamfer the right edge of the thread 1/4x40 0.40 mm at 45 deg.",
        "Cut 1/4x40 with the die in the tailstock holder, turning the chuck by hand, for 6.70 mm; try it in its mate "
        "before taking the part out.",
        "Part off 18.50 mm from the faced end, which leaves 0.5 mm to face; 560 turns a minute.",
        "Reverse it: hold it by the turned 11.55 mm in the three-jaw chuck, soft packing under the jaws.",
        "Face the left end to a finished length of 18.00 mm; what is hidden is only known within 0.20 mm (k = 2), so "
        "rather leave it long.",
        "Drill 4.5 mm first, then bore 4.86 mm, 3.50 mm deep, flat at the bottom; 2000 turns a minute.",
        "Turn 6.50 mm to 4.00 mm from the face; 2000 turns a minute.",
        "Chamfer the left edge of the hexagon 10.00 mm across flats 0.40 mm at 45 deg.",
        "Mill or file the hexagon to 10.00 mm across flats, 6.00 mm long.",
        "Take off every burr inside and out, and wash it free of chips.",
    ]
    places = [texts.index(text) for text in wanted]
    assert places == sorted(places)


def test_mirrored_the_other_end_is_worked_first() -> None:
    right = plan(outside=[{"plain": "12 mm", "long": "4 mm"}, ROD], from_right=[{"bore": "4 mm", "deep": "5 mm"}])
    left = replace(right.part.mirrored(), name="other")
    assert right.steps[1].text.startswith("Face the right end true")
    assert plan_turned(left, bench()).steps[1].text.startswith("Face the left end true")
