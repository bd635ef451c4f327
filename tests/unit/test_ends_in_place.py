"""Unit: ends of pipes that nobody surveyed, where the joints put them; places and covariances by hand."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from ended import WALL, clocked, ended, valve
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.fitup.ends_in_place_findings import end_findings
from trialfit.fitup.in_place import without_pipes
from trialfit.fitup.needed import needed_of
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.shop import assumed_shop
from trialfit.parts.build import build_parts, find_port
from trialfit.parts.place import two_faces

FOUR_TURNS = {"turns": 4}
INLET, AXIS, CAP = "valve.inlet as placed", "valve.inlet axis as placed", "valve.cap as placed"
BOTH = ("valve.cap", "valve.inlet")


def test_four_turns_in_and_looking_down_it_is_where_arithmetic_has_it() -> None:
    """4 x 25.4/32 = 3.175 mm behind the wall's face; the middle is 20 mm in front of that, the inlet 15 mm lower."""
    _, _, ends = ended(WALL, FOUR_TURNS)
    ports = find_port(ends.parts, "union.face"), find_port(ends.parts, "valve.inlet")
    _, face, _ = two_faces(ends.survey, *ports)
    assert face.position_mm == pytest.approx([0, 3.175 - 20, -15], abs=1e-5)
    assert face.direction == pytest.approx([0, 0, -1], abs=1e-6)


def test_how_sure_it_is_by_hand() -> None:
    """Each coordinate of a point is known to 0.1 mm; everything below is one standard deviation or its square.

    The axis goes through the face and a point 40 mm behind it, which lies up to 0.1 mm beside it: it leans by
    a = (f - b - e) / 40, variance 0.03 / 1600, together with f by 0.01 / 40. The joint leans by l = 0.5 deg, and stands
    off by half of 0.2 mm and of the outlet's 0.1 mm. The inlet is 16.825 mm in front of the face and 15 mm lower:
    z = f + 16.825 (a + l) + off + own;  x the same and 15 r, of the roll r = 5 deg;
    y = f + depth + own - 15 (a + l), with the depth known to half of a quarter turn and of the outlet's 0.1 mm.
    It looks r to the side, a + l to the front, and half a degree, k = 2, besides.
    """
    _, _, ends = ended(WALL, FOUR_TURNS, ends=BOTH)
    values, spread = ends.survey.joint([INLET, AXIS, CAP, "face", "back"])
    assert values[1] == pytest.approx([0, 0, -1], abs=1e-6)
    leans = 0.03 / 1600 + radians(0.5) ** 2
    off, own, roll, besides = (0.2**2 + 0.1**2) / 4, 0.05**2, radians(5) ** 2, radians(0.25) ** 2
    shared = 0.01 + 16.825**2 * leans + 2 * 16.825 * 0.01 / 40 + off
    deep = ((25.4 / 32 / 4) ** 2 + 0.1**2) / 4
    assert spread[2, 2] == pytest.approx(shared + own, rel=5e-3)
    assert spread[0, 0] == pytest.approx(shared + own + 225 * roll, rel=5e-3)
    assert spread[1, 1] == pytest.approx(0.01 + deep + own + 225 * leans, rel=5e-3)
    assert spread[3, 3] == pytest.approx(roll + besides, rel=5e-3)
    assert spread[4, 4] == pytest.approx(leans + besides, rel=5e-3)
    assert spread[5, 5] == pytest.approx(0, abs=1e-9)
    # What hangs on the roll goes together: 15 mm times it.
    assert spread[0, 3] == pytest.approx(15 * roll, rel=5e-3)
    # Of the cap, 10 mm up on the same valve, all is shared but each port's own; the roll takes it the other way.
    assert spread[2, 8] == pytest.approx(shared, rel=5e-3)
    assert spread[0, 6] == pytest.approx(shared - 150 * roll, rel=5e-3)
    # With the two points it goes together by f and by what 16.825 / 40 of the lean is.
    assert spread[2, 11] == pytest.approx(0.01 * (1 + 16.825 / 40), rel=5e-3)
    assert spread[2, 14] == pytest.approx(-0.01 * 16.825 / 40, rel=5e-3)
    assert np.linalg.eigvalsh(spread).min() > -1e-12


def test_a_surer_survey_takes_off_its_own_part_and_no_more() -> None:
    """Of z, 0.01 and the lean's 0.02 / 1600 with 2 x 16.825 x 0.01 / 40 are the points'; the rest stays."""
    _, survey, ends = ended(WALL, FOUR_TURNS)
    _, before = ends.survey.joint([INLET])
    perfect = type(survey)(**(vars(survey) | {"covariance_mm2": np.zeros((15, 15))}))
    _, after = ends.surer(perfect).joint([INLET])
    of_points = 0.01 + 16.825**2 * 0.02 / 1600 + 2 * 16.825 * 0.01 / 40
    assert before[2, 2] - after[2, 2] == pytest.approx(of_points, rel=5e-3)


def test_a_roll_that_nothing_fixes_is_refused_with_what_would_fix_it() -> None:
    job, _, ends = ended(WALL, FOUR_TURNS, clocking={})
    with pytest.raises(Refusal) as refused:
        wanted_pipe("feed", job.pipes["feed"], ends.parts, ends.survey, assumed_shop())
    assert str(refused.value) == (
        "port valve.inlet: got no surveyed face. Its turn about the axis of valve.outlet is not fixed, wanted a part "
        "that stands one way only, or a surveyed face. Say where valve.inlet points in an entry under clocking: thread "
        '= "5/16x32", port = "valve.inlet", wanted = ... and twelve_at = a surveyed point; or mark the middle of the '
        "face of valve.inlet and name that point as its face."
    )


def test_a_roll_that_leaves_the_port_where_it_is_does_not_matter() -> None:
    """An inlet straight in line with the thread, 30 mm in front of its end: 3.175 - 30 along y, whichever way round."""
    straight = valve(at=["-10 mm", "0 mm", "0 mm"], direction=[-1, 0, 0])
    _, _, ends = ended(WALL, FOUR_TURNS, clocking={}, fitting=straight)
    values, _ = ends.survey.joint([INLET, AXIS])
    assert values == pytest.approx(np.array([[0, 3.175 - 30, 0], [0, -1, 0]]), abs=1e-5)


def test_a_direction_told_too_loosely_is_refused() -> None:
    """A joint that lets it lean by 40 deg, k = 2: 20 deg are more than a quarter of a radian, 14.3."""
    _, _, ends = ended(WALL, FOUR_TURNS | {"lean": "40 deg"})
    with pytest.raises(Refusal, match="got a direction known from its joints only to ± 40 deg, wanted"):
        ends.survey.joint([AXIS])


def test_a_surveyed_face_without_a_direction_keeps_its_point() -> None:
    """The face was marked 1 mm lower than the joints have it; the point stays, and the valve's place says which way."""
    _, _, ends = ended(WALL | {"low": (0, -16.825, -16)}, FOUR_TURNS, fitting=valve(face="low"))
    port = find_port(ends.parts, "valve.inlet")
    assert port.face == "low"
    _, face, _ = two_faces(ends.survey, find_port(ends.parts, "union.face"), port)
    assert face.position_mm == pytest.approx([0, -16.825, -16])
    assert face.direction == pytest.approx([0, 0, -1], abs=0.06)


def test_what_was_surveyed_is_left_as_it_was() -> None:
    points = WALL | {"low": (0, -16.825, -16), "top": (0, -16.8, 10)}
    job, survey, ends = ended(points, FOUR_TURNS, fitting=valve(face="low", axis_from="top"))
    assert ends.survey is survey
    assert ends.parts == build_parts(job)


def test_a_taper_thread_stopped_hand_tight_is_turned_on_until_it_points_where_it_must() -> None:
    """Hand tight at 20 deg of the clock it looks up; it is wanted at six, and so the inlet is below."""
    taper = valve()
    taper["ports"]["outlet"]["thread"] = "R1/8"
    _, _, ends = ended(WALL, {"hidden": "5 mm"}, clocked("R1/8", stopped="20 deg"), fitting=taper)
    # In a bush of its own size; what the two threads are to each other is for the joint's finding to say.
    values, _ = ends.survey.joint([INLET, AXIS])
    assert values == pytest.approx(np.array([[0, 5 - 20, -15], [0, 0, -1]]), abs=1e-5)


def test_a_pipe_goes_to_it_and_what_it_needs_hangs_on_surveyed_points_alone() -> None:
    job, survey, ends = ended(WALL, FOUR_TURNS)
    pipe = wanted_pipe("feed", job.pipes["feed"], ends.parts, ends.survey, assumed_shop())
    assert pipe.vertices_mm[-1] == pytest.approx([0, -16.825, -15], abs=1e-5)
    needed = needed_of(job, build_parts(job), survey, [pipe], ends)
    assert {name for each in needed for name in each.points} == {"union", "under", "face", "back", "up"}
    (off,) = [each for each in needed if each.what == "far end off"]
    # Both unions' points and the bush's moved alike move both ends alike, and the far end is as far off as before.
    alike = off.slopes @ np.tile(np.eye(3), (len(off.points), 1))
    assert alike == pytest.approx(np.zeros((3, 3)), abs=1e-6)


def test_the_plan_says_where_such_an_end_comes_from() -> None:
    """Worst is to the side: 2 sqrt(1.776) = 2.7 mm, see above; it looks 10 deg, k = 2, to the side by its clocking."""
    job, survey, ends = ended(WALL, FOUR_TURNS)
    pipe = wanted_pipe("feed", job.pipes["feed"], ends.parts, ends.survey, assumed_shop())
    (finding,) = end_findings(pipe, ends, without_pipes(job, build_parts(job), survey))
    assert finding.answer is Answer.LOOK
    assert finding.question == "Where does its end at valve.inlet come from?"
    assert finding.because[0].text == (
        "Nobody surveyed it: its face and the way it looks follow from how valve stands, on bush. The middle of its "
        "face is known to ± 2.7 mm and the way it looks to ± 10.0 deg, k = 2."
    )
