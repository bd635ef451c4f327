"""Unit: a nut's room to be slid back on its own pipe, worked by hand, in a pipe's way and in the order of fitting.

A nut 12 mm long with 8 mm of its thread on stands 4 mm past the face; off its thread and 2 mm clear its back is at 14.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from trialfit.finding import Answer, Basis, Finding
from trialfit.fitup.route_records import NutBack
from trialfit.fitup.slide_back import into_bend_mm, rooms_of
from trialfit.job.read import read_job
from trialfit.job.shop import assumed_shop
from trialfit.plan import Plan, plan


def document(
    far: tuple[float, float, float], back: tuple[float, float, float], straight: float, bends: int, hole: str
) -> str:
    """Two unions, each with a nut: one at the origin looking along x, the other where it is wanted."""
    places = {"a": (0.0, 0.0, 0.0), "a.behind": (-30.0, 0.0, 0.0), "b": far, "b.behind": back}
    points = "\n".join(
        f'"{name}" = {{ at = ["{x} mm", "{y} mm", "{z} mm"], pm = "0.01 mm", by = "workshop, jig" }}'
        for name, (x, y, z) in places.items()
    )
    parts = "\n".join(
        f"""
        [parts.{name}_union]
        kind = "union body"
        on = "frame"
        [parts.{name}_union.envelope.nose]
        shape = "cylinder"
        start = ["0 mm", "0 mm", "-9 mm"]
        end = ["0 mm", "0 mm", "0 mm"]
        diameter = "7.9 mm"
        [parts.{name}_union.ports.face]
        thread = "5/16x32"
        gender = "male"
        seat = {{ kind = "cone", gender = "female", angle = "60 deg" }}
        face = "{name}"
        axis_from = "{name}.behind"
        [parts.{name}_nut]
        kind = "union nut"
        [parts.{name}_nut.envelope.hexagon]
        shape = "hexagon"
        start = ["0 mm", "0 mm", "0 mm"]
        end = ["0 mm", "0 mm", "-12 mm"]
        flats = "10 mm"
        [parts.{name}_nut.ports]
        thread = {{ thread = "5/16x32", gender = "female" }}
        {hole}
        [[joints]]
        a = "{name}_nut.thread"
        b = "{name}_union.face"
        hidden = {{ value = "8 mm", pm = "0.1 mm", by = "workshop, caliper" }}
        """
        for name in ("a", "b")
    )
    return f"""
        format = 1
        [job]
        name = "nuts"
        owner = "A. Fenwright"
        date = 2026-05-04
        [engine]
        name = "Bittern"
        working_pressure = "60 psi"
        [points]
        {points}
        [bodies.frame]
        shape = "box"
        corner = ["-40 mm", "-60 mm", "-60 mm"]
        size = ["10 mm", "120 mm", "20 mm"]
        {parts}
        [pipes.feed]
        tube = {{ od = "3/16 in", wall = "22 swg" }}
        start = {{ port = "a_union.face", straight = "{straight} mm", enters = "3 mm" }}
        end = {{ port = "b_union.face", straight = "{straight} mm", enters = "3 mm" }}
        bend_radius = "12.7 mm"
        file_allowance = "0.5 mm"
        bends_most = {bends}
        """


@cache
def planned(
    far: tuple[float, float, float], back: tuple[float, float, float], straight: float, bends: int, hole: str = ""
) -> Plan:
    return plan(read_job(document(far, back, straight, bends, hole)), assumed_shop())


def asked(worked: Plan, question: str) -> Finding:
    (found,) = [each for each in worked.findings if each.question == question]
    return found


def test_nuts_that_share_a_short_straight_pipe_are_named_with_what_they_lack_and_bar_the_order() -> None:
    """25 mm between the faces: with one nut back at 14 mm, 11 are left for the other, which wants 14 too."""
    worked = planned((25.0, 0.0, 0.0), (55.0, 0.0, 0.0), 5.0, 0)
    slid = asked(worked, "Can its nuts be slid back?")
    assert (slid.answer, str(slid.figure)) == (Answer.STOP, "-3.0 mm")
    assert slid.because[0].text == (
        "a_nut has 8.0 mm of thread on a_union.face; slid clear of it, its back stands 14.0 mm from the face; feed has "
        "11.0 mm of straight for it there, 5.0 mm having been asked for: 3.0 mm short."
    )
    assert slid.do.startswith("Ask for 14.0 mm straight at a_union.face; or shorten a_nut by 3.0 mm; or ")
    order = asked(worked, "Can everything be put on, and in which order?")
    assert order.answer is Answer.STOP
    assert order.because[0].text == (
        "feed cannot go in at all: a_nut, slid back off its thread, would stand 3.0 mm past where the straight of feed "
        "lets it at a_union.face and b_nut, slid back off its thread, would stand 3.0 mm past where the straight of "
        "feed lets it at b_union.face."
    )


def test_a_pipe_is_laid_out_with_the_straight_its_nuts_want_though_less_was_asked_for() -> None:
    """Two faces square to each other, 60 mm along and 60 up: one bend of R 12.7 leaves 47.3 at both. Two bends of an
    offset leave what is asked for, and no more."""
    roomy = planned((60.0, 0.0, 60.0), (60.0, 0.0, 90.0), 5.0, 1)
    assert asked(roomy, "Can its nuts be slid back?").answer is Answer.GO
    offset = planned((80.0, 0.0, 40.0), (110.0, 0.0, 40.0), 5.0, 2)
    (pipe,) = offset.pipes
    # An offset's shortest way has the least straights there may be: those its nuts want, not those asked for.
    assert [round(room.straight_mm, 2) for room in pipe.routing.rooms] == [14.0, 14.0]
    assert asked(offset, "Can its nuts be slid back?").answer is Answer.GO
    # Between unions that look at each other it goes in sideways: along either axis a cone would be driven into a union.
    fitting = offset.fitting
    assert fitting is not None and [step.part for step in fitting.steps] == ["feed"]
    assert abs(float(fitting.steps[0].way.phases[-1].motion.along[0])) < 1e-9


@pytest.mark.parametrize(
    ("hole", "answer"),
    [
        # One bend with the corner 26 mm off leaves 13.3 mm, and 14 are wanted: 0.7 mm are lacking. Inside radius
        # 12.7 - 2.38 = 10.32: a hole 0.01 wider than the tube goes
        # sqrt(2 x 10.32 x 0.01) = 0.45 mm into the bend, one 0.14 wider 1.69 mm.
        ('hole = { socket = "4.7725 mm" }', Answer.STOP),
        ('hole = { socket = "4.9 mm" }', Answer.GO),
        # Between 0.05 and 0.6 mm over the tube, as is usual: 1.01 to 3.47 mm.
        ("", Answer.GO),
    ],
)
def test_a_nut_goes_a_little_into_the_bend_as_its_hole_lets_it(hole: str, answer: Answer) -> None:
    worked = planned((26.0, 0.0, 26.0), (26.0, 0.0, 56.0), 5.0, 1, hole)
    slid = asked(worked, "Can its nuts be slid back?")
    assert (slid.answer, str(slid.figure)) == (answer, "-0.7 mm")


def test_how_far_a_hole_goes_into_a_bend() -> None:
    """The inside of a 6 mm tube on R 13 has the radius 10: 2 mm of play reach it where 10 - sqrt(100 - x^2) = 2."""
    assert into_bend_mm(8.0, 6.0, 13.0) == pytest.approx(6.0)
    assert into_bend_mm(5.9, 6.0, 13.0) == 0.0
    # No more than all of a quarter bend.
    assert into_bend_mm(40.0, 6.0, 13.0) == pytest.approx(10.0)


def test_a_straight_pipe_is_shared() -> None:
    at_start = NutBack("a", "start", "a", 8.0, 10.0, 14.0, (4.9, 4.9), Basis.MEASURED)
    backs = [at_start, replace(at_start, nut="b", end="end", face="b")]
    line = np.array([[0.0, 0, 0], [30.0, 0, 0]])
    assert [room.spare_mm for room in rooms_of(line, 12.7, 4.76, backs, (5.0, 5.0))] == [2.0, 2.0]
    assert [room.spare_mm for room in rooms_of(line, 12.7, 4.76, backs[:1], (5.0, 5.0))] == [16.0]


def test_what_stands_nowhere_is_said_to_be_left_out_of_the_order() -> None:
    """No straight pipe joins faces that are out of line, and a cap that is joined to nothing has no place."""
    text = document((26.0, 0.0, 26.0), (26.0, 0.0, 56.0), 5.0, 0, "")
    text += '[parts.lost_cap]\nkind = "cap"\n[order]\non = ["a_nut", "lost_cap"]\n'
    worked = plan(read_job(text), assumed_shop())
    left_out = asked(worked, "Is anything left out of it?")
    assert [reason.text for reason in left_out.because] == [
        "Nothing says where lost_cap stands.",
        "The pipe feed could not be laid out, so its steps are missing here.",
    ]
