"""Unit: room kept all round what nothing says the direction of, for pipes and for what comes off; figures by hand."""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from typing import Any

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from loose_scenes import UP, elbow, post, pulled, screwed, standing
from stood import Points, mm, stood
from trialfit.fitup.in_place import InPlace
from trialfit.fitup.order.search import take_off
from trialfit.fitup.order.table import table_of, tables_of
from trialfit.fitup.order.words import strike_words
from trialfit.fitup.records import EndFace
from trialfit.fitup.scene import Pivot, Thing
from trialfit.fitup.surroundings import surroundings_of
from trialfit.job.records import Job
from trialfit.job.shop import assumed_shop
from trialfit.parts.build import build_parts
from trialfit.parts.solids import Capsule, Cylinder, distance_mm

POINTS: Points = {"face": (0, 0, 0), "back": (0, 0, -40), "twelve": (0, 90, 0)}
BUSH: dict[str, Any] = {"kind": "bush", "ports": {"thread": {"thread": "1/4x40", "face": "face", "axis_from": "back"}}}
# Its inlet's end is the origin; an arm 6 thick comes out of the side 10 up and 25 long.
ELBOW: dict[str, Any] = {
    "kind": "elbow",
    "ports": {"inlet": {"thread": "1/4x40", "gender": "male", "at": mm(0, 0, 0)}, "outlet": {"at": mm(25, 0, 10)}},
    "envelope": {
        "body": {"shape": "cylinder", "start": mm(0, 0, 0), "end": mm(0, 0, 13), "diameter": "7 mm"},
        "arm": {"shape": "cylinder", "start": mm(0, 0, 10), "end": mm(25, 0, 10), "diameter": "6 mm"},
    },
}
IN_THE_BUSH = {"a": "elbow.inlet", "b": "bush.thread", "hidden": "0 mm"}
CLOCKED = {"thread": "1/4x40", "twelve": "twelve", "twelve_at": "twelve", "port": "elbow.outlet"}
# A post that the arm meets only if it points there, 20 off to +x and up to 30 high.
POST = {"shape": "box", "corner": mm(18, -2, 1), "size": mm(4, 4, 30), "what": "a post"}


def _found(
    joint: dict[str, Any] | None = None, wanted: str | None = None, parts: dict[str, Any] | None = None, **more: Any
) -> InPlace:
    clocking = {"elbow": CLOCKED | {"wanted": wanted}} if wanted else {}
    both = parts or {"bush": BUSH, "elbow": ELBOW}
    return stood(POINTS, both, [joint or IN_THE_BUSH], clocking=clocking, **more)


def _elbow(found: InPlace) -> Thing:
    thing = found.scene.thing("elbow")
    assert thing is not None
    return thing


def test_the_arm_counts_all_round_its_thread_and_the_body_as_it_is() -> None:
    """The arm's end is hypot(25, 3) = 25.18 from the thread's axis, and it is 7 to 13 high."""
    thing = _elbow(_found())
    body, arm = thing.room
    assert body is thing.pieces[0]
    assert isinstance(arm.solid, Cylinder)
    assert (arm.name, arm.all_round) == ("arm", True)
    assert sorted([arm.solid.start_mm[2], arm.solid.end_mm[2]]) == pytest.approx([7, 13], abs=1e-4)
    assert hypot(25, 3) <= arm.solid.radius_mm < hypot(25, 3) * 1.0022
    # Kept all round, the arm is as sure as its axis is: it no longer counts as turned by a full circle.
    assert thing.settled is not None
    assert thing.covariance is not None
    assert thing.covariance[5, 5] - thing.settled[5, 5] == pytest.approx(np.pi**2 / 3, rel=1e-3)
    known = _elbow(_found(wanted="90 deg"))
    assert known.room is known.pieces


def test_the_finding_says_that_room_is_kept_what_it_might_meet_and_what_frees_it() -> None:
    finding = next(each for each in _found(bodies={"post": POST}).findings if each.about == "elbow")
    assert [each.text for each in finding.because] == [
        "Its turn about the axis of elbow.inlet is not fixed: it may point any way round, and counts as a full circle.",
        "Room is kept all round it: pipes keep clear of all it could sweep, and so does what comes off past elbow. "
        "Some ways round it would stand into post.",
    ]
    assert finding.do == (
        "Mark the middle of the face of elbow.outlet and name that point as its face; or say where elbow.outlet points "
        'in an entry under clocking: thread = "1/4x40", port = "elbow.outlet", wanted = ... and twelve_at = a surveyed '
        "point."
    )


@pytest.mark.parametrize(("wanted", "into_it"), [("90 deg", True), ("270 deg", False)])
def test_clocked_it_stands_into_the_post_or_does_not(wanted: str, into_it: bool) -> None:
    """Twelve is +y and one looks down on the thread, so that three o'clock is +x, where the post is."""
    found = _found(wanted=wanted, bodies={"post": POST})
    assert ("elbow and post" in [each.about for each in found.findings]) is into_it
    assert "elbow" not in [each.about for each in found.findings]


def test_an_angle_from_a_round_bush_fixes_nothing_and_what_is_said_instead_does() -> None:
    found = _found(IN_THE_BUSH | {"angle": "90 deg"})
    finding = next(each for each in found.findings if each.about == "elbow")
    assert finding.because[1].text == "Its angle from bush does not fix it: bush may itself stand any way round."
    assert "angle = " not in finding.do
    # Doing as it says instead: clocking, or the mark (25 to +y and 10 up).
    assert _found(wanted="90 deg").adjusted.free.get("elbow", ()) == ()
    marked = ELBOW | {"ports": ELBOW["ports"] | {"outlet": ELBOW["ports"]["outlet"] | {"face": "outlet"}}}
    seen = stood(POINTS | {"outlet": (0, 25, 10)}, {"bush": BUSH, "elbow": marked}, [IN_THE_BUSH])
    assert seen.adjusted.free.get("elbow", ()) == ()


def test_an_angle_is_advised_from_what_stands_one_way_only_and_then_does() -> None:
    handle = {"kind": "handle"}
    held = {"a": "elbow.outlet", "b": "handle.hub"}
    parts = {"bush": BUSH, "elbow": ELBOW, "handle": handle}
    clocking = {"elbow": CLOCKED | {"wanted": "0 deg"}}
    found = stood(POINTS, parts, [IN_THE_BUSH, held], clocking=clocking)
    finding = next(each for each in found.findings if each.about == "handle")
    assert finding.do.endswith("; or say angle = ... at its joint with elbow.")
    fixed = stood(POINTS, parts, [IN_THE_BUSH, held | {"angle": "30 deg"}], clocking=clocking)
    assert fixed.adjusted.free.get("handle", ()) == ()


def test_what_may_point_any_way_at_all_is_a_ball() -> None:
    """Its inlet's face alone is surveyed: the arm's far rim is sqrt(25^2 + 13^2) = 28.18 from there."""
    alone = ELBOW | {"ports": ELBOW["ports"] | {"inlet": ELBOW["ports"]["inlet"] | {"face": "face"}}}
    found = stood(POINTS, {"elbow": alone})
    (ball,) = _elbow(found).room
    assert isinstance(ball.solid, Capsule)
    assert ball.solid.start_mm == pytest.approx([0, 0, 0], abs=1e-6)
    assert ball.solid.radius_mm == pytest.approx(hypot(25, 13), abs=1e-6)
    finding = next(each for each in found.findings if each.about == "elbow")
    assert finding.question == "Which way does elbow point?"
    assert finding.because[1].text.startswith("Room is kept all round it")


def test_of_two_elbows_one_on_the_other_the_outer_sweeps_both_turns() -> None:
    """Against 12 x 12 rolls: 25 out and 10 up on the first, the second turns about that arm, both about the bush."""
    second = {"kind": "elbow", "ports": {"inlet": {"at": mm(0, 0, 0)}, "outlet": {"at": mm(25, 0, 10)}},
              "envelope": ELBOW["envelope"]}  # fmt: skip
    joints = [IN_THE_BUSH, {"a": "second.inlet", "b": "elbow.outlet", "hidden": "0 mm"}]
    found = stood(POINTS, {"bush": BUSH, "elbow": ELBOW, "second": second}, joints)
    thing = found.scene.thing("second")
    assert thing is not None
    assert len(thing.pivots) == 2
    rim = np.array([[25.0, 3 * np.cos(a), 10 + 3 * np.sin(a)] for a in np.linspace(0, 6.28, 13)])
    worst = -np.inf
    for first in np.linspace(0, 2 * np.pi, 12):
        for turn in np.linspace(0, 2 * np.pi, 12):
            # The second's own z lies along the first's arm.
            on_arm = Rotation.from_euler("z", turn).apply(rim) @ np.array([[0, 0, -1.0], [0, 1, 0], [1, 0, 0]])
            points = Rotation.from_euler("z", first).apply(on_arm + np.array([25.0, 0, 10]))
            away = np.min([distance_mm(piece.solid, points) for piece in thing.room], axis=0)
            worst = max(worst, float(away.max()))
    assert worst < 1e-3


def test_a_pipe_keeps_clear_of_all_it_could_sweep() -> None:
    """20 off the axis and 10 up, the arm's room reaches 5.18 farther; pointing the other way, it is out of the way."""
    pipe = {"tube": {"od": "4 mm", "wall": "0.5 mm"}, "clearance": "2 mm", "file_allowance": "0.5 mm",
            "start": {"port": "one.face", "straight": "8 mm", "enters": "3 mm"},
            "end": {"port": "two.face", "straight": "8 mm", "enters": "3 mm"}}  # fmt: skip
    union = {"kind": "union body"}
    spare, words = [], []
    for wanted in (None, "270 deg"):
        found = _found(wanted=wanted, parts={"bush": BUSH, "elbow": ELBOW, "one": union, "two": union})
        job = Job.model_validate(
            {"format": 1, "job": {"name": "t", "owner": "A. Fenwright", "date": "2026-03-14"},
             "engine": {"name": "Bittern", "working_pressure": "80 psi"}, "pipes": {"feed": pipe},
             "parts": {"bush": BUSH, "elbow": ELBOW, "one": union, "two": union},
             "points": {each: {} for each in POINTS}}
        )  # fmt: skip
        faces = tuple(
            EndFace(name, np.array([20.0, y, 10]), np.array([0.0, way, 0]), 8.0, 3.0)
            for name, y, way in (("one.face", -40, 1), ("two.face", 40, -1))
        )
        around = surroundings_of(
            "feed", job.pipes["feed"], (faces[0], faces[1]), found.scene, build_parts(job), (), assumed_shop()
        ).around
        at = around.each_spare_mm(np.array([[20.0, 0, 10]]), np.array([40.0]), np.array([40.0]))[:, 0]
        spare.append(float(at.min()))
        words.append(around.obstacles[int(np.argmin(at))].words)
    # Inside by 5.18 on the way out, but only 3 up or down: less 2 of the tube and 2 of clearance.
    assert spare[0] == pytest.approx(-3 - 2 - 2, abs=1e-3)
    assert words[0] == "the arm of elbow (room kept all round it)"
    # From the body 3.5 thick about the axis: 20 - 3.5 - 4.
    assert spare[1] == pytest.approx(12.5, abs=0.01)


def _turning(thing: Thing) -> Thing:
    return replace(thing, pivots=(Pivot(thing.pieces[1].solid.start_mm, UP),))  # type: ignore[union-attr]


def test_a_post_under_an_arm_that_may_point_anywhere_comes_off_after_the_elbow() -> None:
    """The arm points away from the post 20 to its right; known to do so it is no matter, unknown it is."""
    arm, low = elbow("P1", 0, 0, 180.0), post("P2", 20, 0, 4.0)
    free = standing((arm, screwed(arm)), (low, pulled(low)))
    assert table_of(free).of("P2")[0].strikes == ()
    any_way = standing((_turning(arm), screwed(arm)), (low, pulled(low)))
    table = table_of(any_way)
    (strike,) = table.of("P2")[0].strikes
    # From 4 high to the arm's under side, 8 - 3 = 5 high.
    assert strike_words(table.of("P2")[0], strike) == (
        "its body may strike P1's arm after 1.0 mm of the pull, as nothing says which way P1 points"
    )
    assert [move.name for move in take_off(any_way, table, ["P2"]).moves] == ["P1", "P2"]


def test_what_an_arm_may_touch_at_rest_is_no_fault_but_in_the_way() -> None:
    """A post 20 off and 20 high stands where the arm comes round; nothing says that it points there now."""
    arm, high = _turning(elbow("P1", 0, 0, 180.0)), post("P2", 20, 0, 20.0)
    stand = standing((arm, screwed(arm)), (high, pulled(high)))
    table = table_of(stand)
    assert table.overlaps == ()
    (strike,) = table.of("P1")[0].strikes
    assert (strike.overlap_mm, strike.any_way) == (0.0, ("P1",))
    assert [move.name for move in take_off(stand, table, ["P1"]).moves] == ["P2", "P1"]


def test_it_is_in_the_way_where_some_roll_of_it_is() -> None:
    """A post is drawn up through the room of an elbow, against 24 rolls of it, on 10 random scenes.

    Wherever the room is struck, so is an arm fatter by 0.65 mm in some roll: at the top of a slice 0.75 mm high its
    room is sqrt(9 - 2.25^2) = 1.98 mm too long, and hypot(1.98, 3) - 3 = 0.6 mm from the round end of the arm.
    """
    random = np.random.default_rng(12)
    struck = 0
    for _ in range(10):
        far, long, high = random.uniform(6, 30), random.uniform(8, 26), random.uniform(8, 24)
        low = post("P2", far, 0, random.uniform(2, 20))
        rolls = [elbow("P1", 0, 0, float(angle), long, high) for angle in range(0, 360, 15)]
        arms = [_turning(rolls[7]), elbow("P1", 0, 0, 0.0, long, high, 3.65), *rolls]
        tables = tables_of([standing((arm, pulled(arm)), (low, pulled(low, 40.0))) for arm in arms])
        # The first roll points straight at the post; where it stands in it at rest, it cannot stand so.
        kept, _, *some = (any(not each.overlap_mm for each in table.of("P2")[0].strikes) for table in tables)
        assert kept or not any(some)
        assert tables[1].of("P2")[0].strikes or not kept
        struck += kept
    assert 2 < struck < 9
