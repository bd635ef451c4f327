"""Unit: orders of removal worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from math import acos, degrees

import numpy as np
import pytest

from loose_scenes import PLATE, UP, elbow, nut, post, pulled, screwed, standing
from trialfit.fitup.hand_spanner import HandSpanner
from trialfit.fitup.order.changes import freeing
from trialfit.fitup.order.loose import Grip, Loose, Phase, Stand, Way
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.order.no_order import why_stuck
from trialfit.fitup.order.records import FittingStep
from trialfit.fitup.order.search import take_off
from trialfit.fitup.order.spanner import windows, zero_way
from trialfit.fitup.order.table import Strike, table_of
from trialfit.fitup.order.words import direction_words, motion_words, when_words
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.fitup.tubes_in_place import rods
from trialfit.parts.solids import Box


def _only_strike(stand: Stand, name: str) -> Strike:
    (entry,) = table_of(stand).of(name)
    (strike,) = entry.strikes
    return strike


@pytest.mark.parametrize(
    ("x", "y", "first_deg"),
    [
        # An arm along x, 3 mm thick each way, comes round to a post 2 mm thick each way, 25 mm off along y. It touches
        # when the post's middle is 5 mm from the arm's line: 25 cos(angle) = 5.
        (0.0, 25.0, degrees(acos(0.2))),
        # A post at 180 deg, 20 mm off: 20 sin(180 - angle) = 5.
        (-20.0, 0.0, 180.0 - degrees(np.arcsin(0.25))),
        # Beyond the arm's end, 30 mm and its round end of 3: the post's near side at 33.4 is never reached.
        (0.0, 35.4, None),
        # At 34.5 the round end touches it over 2 deg or so: middles 5 mm apart, 30 from the axis and 34.5.
        (0.0, 34.5, 90.0 - degrees(acos((30.0**2 + 34.5**2 - 5.0**2) / (2 * 30.0 * 34.5)))),
    ],
)  # fmt: skip
def test_an_arm_comes_round_to_a_post(x: float, y: float, first_deg: float | None) -> None:
    arm, stud = elbow("P1", 0, 0, 0), post("P2", x, y)
    stand = standing((arm, screwed(arm, 4.0)), (stud, pulled(stud)))
    if first_deg is None:
        assert table_of(stand).of("P1")[0].strikes == ()
    else:
        strike = _only_strike(stand, "P1")
        assert (strike.mover_piece, strike.struck, strike.phase) == ("arm", "P2", 0)
        # 0.02 mm counts as touching: 0.1 deg at 20 mm; the graze at the round end comes on slowly, 0.6 deg for that.
        assert strike.share * 4 * 360 == pytest.approx(first_deg, abs=0.8 if y == 34.5 else 0.2)


def test_a_later_turn_is_high_enough() -> None:
    """The post is 11.2 mm high, the arm's underside 5 mm up and 1 mm higher each turn: it strikes in turn 1 only."""
    arm, low = elbow("P1", 0, 0, 0), post("P2", 0, 25, high_mm=4.0)
    assert table_of(standing((arm, screwed(arm)), (low, pulled(low)))).of("P1")[0].strikes == ()
    # One that stands 9 mm high is struck at once, at 78 deg; the way pulled straight up first is free of it.
    high = post("P2", 0, 25, high_mm=9.0)
    stand = standing((arm, screwed(arm)), (high, pulled(high)))
    assert _only_strike(stand, "P1").share * 6 * 360 == pytest.approx(degrees(acos(0.2)), abs=0.2)


def test_what_stands_in_the_way_comes_off_first_and_nothing_else_does() -> None:
    arm, stud, other = elbow("P1", 0, 0, 0), post("P2", 0, 25), post("P3", 80, 80)
    stand = standing((arm, screwed(arm)), (stud, pulled(stud)), (other, pulled(other)))
    found = take_off(stand, table_of(stand), ["P1"])
    assert [move.name for move in found.moves] == ["P2", "P1"]


def _locked() -> Stand:
    """Two elbows side by side, whose arms each lie across the other's way round."""
    one, other = elbow("P1", 0, 0, 0, 20.0), elbow("P2", 30, 8, 180, 30.0)
    away = post("P3", 200, 0)
    return standing((one, screwed(one, 2.0)), (other, screwed(other, 2.0)), (away, pulled(away)))


def test_the_smallest_reason_is_named_with_angles_and_turns() -> None:
    """P1's arm meets P2's 2 mm further off at sin(angle) = 2 / 20 or so; P2's goes straight at P1's body."""
    stand = _locked()
    table = table_of(stand)
    found = take_off(stand, table, ["P1"])
    assert found.left == ("P1",)
    stuck = why_stuck(stand, table, "P1", found.stuck)
    assert stuck.things == ("P1", "P2")
    assert stuck.because == (
        "P1 cannot come out first: its arm strikes P2's arm at 6 deg of turn 1.",
        "P2 cannot come out first: its arm strikes P1 at 2 deg of turn 1.",
    )


def test_the_changes_named_have_been_tried() -> None:
    stand = _locked()
    table = table_of(stand)
    stuck = why_stuck(stand, table, "P1", take_off(stand, table, ["P1"]).stuck)
    words = [change.words for change in freeing(stand, stuck, ["P1"], {})]
    assert "P1's arm made to come off first" in words
    assert "P2's arm made to come off first" in words
    assert "P2 left loose and fitted afterwards" in words
    # Without its arm P1 is a round body that turns on the spot, so one of those changes made by hand must free it too.
    bare = replace(stand.scene.things[1], pieces=stand.scene.things[1].pieces[:2])
    changed = Stand(Scene((PLATE, bare, *stand.scene.things[2:])), stand.loose)
    assert not take_off(changed, table_of(changed), ["P1"]).left


def _under_a_rail(stud_y_mm: float) -> Stand:
    """A pipe that goes down, 80 mm along under a rail, and up again; a stud of 3 mm stands beside its middle.

    It may be drawn down, where the plate is 6 mm under it, or away from the stud, where a post stands 30 mm off.
    """
    line = np.array([[-40.0, 0, 40], [-40, 0, 8], [40, 0, 8], [40, 0, 40]])
    pipe = Thing("P", "the pipe", "pipe", rods(line, 9.0, 2.0))
    beam = Box(np.array([0, 0, 20.0]), np.eye(3), np.array([8.0, 90, 5]))
    rail = Thing("rail", "rail", "engine", (Piece("body", beam),))
    fixed = [replace(post(name, 0, y, 14.0, 3.0), kind="engine") for name, y in (("stud", stud_y_mm), ("post", -30.0))]
    pulls = [Motion("pull", np.zeros(3), np.array(out), 60.0, 0.0) for out in ((0, 0, -1.0), (0, -1.0, 0))]
    loose = Loose("P", "the pipe", ("P",), tuple(Way((Phase(("P",), pull),)) for pull in pulls))
    return Stand(Scene((PLATE, rail, *fixed, pipe)), (loose,))


@pytest.mark.parametrize(
    ("stud_y_mm", "where"),
    [
        # The union is 2.2 x 4 = 8.8 mm across flats, 5.1 mm from its middle to a corner, and 20 long. A stud 30 mm off
        # is nowhere near; one 6 mm off, of 3, stands 2 mm in it until its end is past the stud: 10 and some more along.
        (30.0, "in the middle of its straight between bends 1 and 2"),
        (6.0, "in its straight between bends 1 and 2, 15 mm before its middle"),
    ],
)
def test_a_pipe_that_cannot_go_in_whole_is_freed_by_one_more_union_where_there_is_room_for_it(
    stud_y_mm: float, where: str
) -> None:
    stand = _under_a_rail(stud_y_mm)
    table = table_of(stand)
    found = take_off(stand, table, ["P"])
    stuck = why_stuck(stand, table, "P", found.stuck)
    assert "strikes plate" in stuck.because[0]
    words = [change.words for change in freeing(stand, stuck, ["P"], {})]
    assert f"P made in two, with one more union, a flat-faced one, {where}" in words
    # The same made by hand: two angles of pipe, each drawn from under the rail along the straight they shared.
    halves = []
    for name, sign in (("A", -1.0), ("B", 1.0)):
        line = np.array([[sign * 40.0, 0, 40], [sign * 40, 0, 8], [sign * 1.0, 0, 8]])
        half = Thing(name, name, "pipe", rods(line, 9.0, 2.0))
        halves.append((half, replace(pulled(half, 60.0, np.array([sign, 0, 0])), mates=frozenset({"A", "B"}))))
    by_hand = Stand(
        Scene((*stand.scene.things[:4], *(half for half, _ in halves))), tuple(loose for _, loose in halves)
    )
    assert not take_off(by_hand, table_of(by_hand), ["A", "B"]).left


def test_no_union_is_named_where_none_would_help_or_none_has_room() -> None:
    """With the straight under the rail shorter than the 20 mm a union takes there is no room for one."""
    stand = _under_a_rail(30.0)
    line = np.array([[-18.0, 0, 40], [-18, 0, 8], [18, 0, 8], [18, 0, 40]])
    short = Thing("P", "the pipe", "pipe", rods(line, 9.0, 2.0))
    stand = Stand(Scene((*stand.scene.things[:4], short)), stand.loose)
    table = table_of(stand)
    stuck = why_stuck(stand, table, "P", take_off(stand, table, ["P"]).stuck)
    words = [change.words for change in freeing(stand, stuck, ["P"], {})]
    assert not [each for each in words if "between bends" in each]


def test_what_stands_in_another_at_rest_is_a_fault_with_its_depth() -> None:
    """Two posts of 2 mm radius, 3 mm apart, overlap by 1 mm."""
    one, other = post("P1", 0, 0), post("P2", 3, 0)
    stand = standing((one, pulled(one)), (other, pulled(other)))
    table = table_of(stand)
    (overlap,) = table.overlaps
    assert (overlap.one, overlap.other) == ("P1", "P2")
    assert overlap.deep_mm == pytest.approx(1.0, abs=1e-3)
    found = take_off(stand, table, ["P1"])
    assert found.left == ("P1",)
    stuck = why_stuck(stand, table, "P1", found.stuck)
    assert "its body stands 1.0 mm deep in P2 before anything moves" in stuck.because[0]


def test_things_that_lean_on_each_other_come_apart() -> None:
    """3.8 mm apart they overlap by 0.2 mm, which a survey cannot tell from leaning."""
    one, other = post("P1", 0, 0), post("P2", 3.8, 0)
    stand = standing((one, pulled(one, along=np.array([-0.6, 0.0, 0.8]))), (other, pulled(other)))
    assert not take_off(stand, table_of(stand), ["P1", "P2"]).left


def test_what_rides_comes_along_and_what_holds_does_not() -> None:
    arm, handle, pipe = elbow("P1", 0, 0, 0), post("P2", 0, 0, 24.0, 1.0), post("P3", 6, 0, 24.0, 1.0)
    riding = replace(screwed(arm), rides=("P2",), mates=frozenset({"plate", "P2"}))
    own = replace(pulled(handle), mates=frozenset({"P1", "plate"}))
    stand = standing((arm, riding), (handle, own))
    (move,) = take_off(stand, table_of(stand), ["P1"]).moves
    assert (move.name, move.rides) == ("P1", ("P2",))
    held = replace(screwed(arm), held_by=("P3",), mates=frozenset({"plate", "P3"}))
    stand = standing((arm, held), (pipe, replace(pulled(pipe), mates=frozenset({"P1", "plate"}))))
    assert [move.name for move in take_off(stand, table_of(stand), ["P1"]).moves] == ["P3", "P1"]
    without = replace(stand, loose=(stand.loose[0], replace(stand.loose[1], ways=())))
    stuck = take_off(without, table_of(without), ["P1"])
    assert why_stuck(without, table_of(without), "P1", stuck.stuck).because[0] == (
        "P1 cannot come out first: P3 is still fixed to it."
    )


def test_one_goes_round_no_more_than_need_be() -> None:
    """Left, right, left in the order they stand, but both on the left can be done at one go."""
    posts = [post(f"P{k}", 20 * k, 0) for k in range(3)]
    sides = ("left", "right", "left")
    stand = standing(*((each, pulled(each, 30.0, UP, side)) for each, side in zip(posts, sides, strict=True)))
    assert take_off(stand, table_of(stand), ["P0", "P1", "P2"]).turns == 1


def _spannered(slanted: bool, *around: tuple[float, float]) -> Stand:
    """An 8 mm nut, a spanner 100 mm long, and tall posts 40 mm off at given angles."""
    hexagon = nut("N", 0, 0)
    spanner = HandSpanner(8.0, 100.0, 4.0, 17.6, 6.4, slanted)
    grip = Grip("N", "hexagon", np.array([0.0, 0.0, 3.0]), UP, spanner)
    turn = Phase(("N",), Motion("unscrew", np.zeros(3), UP, 4.0, 4 * 360.0), grip)
    loose = Loose("N", "the nut", ("N",), (Way((turn,)),), mates=frozenset({"plate"}))
    posts = [
        post(f"P{k}", 40 * np.cos(np.radians(angle)), 40 * np.sin(np.radians(angle)), 20.0, radius)
        for k, (angle, radius) in enumerate(around)
    ]
    return Stand(Scene((PLATE, hexagon, *posts)), (loose,))


@pytest.mark.parametrize(
    ("slanted", "gaps", "comes_off"),
    [
        # A handle 6.4 mm wide and a post of 2 mm radius 40 mm off touch within asin(5.2 / 40) = 7.5 deg of it. Posts
        # every 60 deg leave 45 deg: too little for a straight spanner, enough for one that is turned over.
        (False, 60.0, False),
        (True, 60.0, True),
        # Every 120 deg they leave 105 deg.
        (False, 120.0, True),
        # Every 40 deg they leave 25 deg: too little for either.
        (True, 40.0, False),
    ],
)  # fmt: skip
def test_a_spanner_needs_sixty_degrees_or_thirty_turned_over(slanted: bool, gaps: float, comes_off: bool) -> None:
    stand = _spannered(slanted, *((angle, 2.0) for angle in np.arange(0.0, 360.0, gaps)))
    found = take_off(stand, table_of(stand), ["N"])
    assert (not found.left) == comes_off
    if not comes_off:
        words = why_stuck(stand, table_of(stand), "N", found.stuck).because[0]
        assert words.startswith(
            f"N cannot come out at all: the 8 mm spanner has nowhere {30 if slanted else 60} deg to"
        )


def test_a_spanners_windows_are_those_its_handle_clears() -> None:
    """A post 20 deg on from the zero direction blocks the windows whose span comes within 7.5 deg, and no others."""
    free = _spannered(False)
    grip = free.loose[0].ways[0].phases[0].grip
    assert grip is not None
    # The plate is 1 mm under the spanner, which is 4 mm thick and 3 mm up.
    (open_,) = windows([(grip, free.scene)])
    assert len(open_) == 24 and all(not window.blockers for window in open_)
    zero = zero_way(grip)
    at = np.degrees(np.arctan2(zero[1], zero[0]))
    (found,) = windows([(grip, _spannered(False, (at + 20.0, 2.0)).scene)])
    for window in found:
        # Steps that meet 12.5 to 27.5 deg are those from 0 to 15 and from 15 to 30.
        meets = any((window.starts_deg + 15 * n) % 360 in (0.0, 15.0) for n in range(4))
        assert window.blockers == (frozenset({"P0"}) if meets else frozenset())


@pytest.mark.parametrize(
    ("motion", "back", "words"),
    [
        (Motion("unscrew", UP, UP, 4.5, 4.5 * 360), False, "unscrew it 4.5 turns anticlockwise, seen from the top"),
        (Motion("unscrew", UP, UP, 4.0, 4 * 360), True, "screw it 4 turns clockwise, seen from the top"),
        (Motion("unscrew", UP, UP, 4.0, -4 * 360), False, "unscrew it 4 turns clockwise, seen from the top"),
        (Motion("pull", UP, UP, 30.0, 0.0), False, "pull it 30 mm towards the top"),
        (Motion("pull", UP, UP, 30.0, 0.0), True, "hold it 30 mm out, towards the top, and bring it straight in"),
    ],
)  # fmt: skip
def test_motions_in_words(motion: Motion, back: bool, words: str) -> None:
    assert motion_words(motion, {"top": UP, "front": np.array([0.0, -1.0, 0.0])}, back) == words


def test_directions_and_places_in_words() -> None:
    named = {"left": np.array([-1.0, 0.0, 0.0]), "front": np.array([0.0, -1.0, 0.0])}
    assert direction_words(np.array([-1.0, 0.1, 0.0]), named) == "towards the left"
    assert direction_words(np.array([-1.0, -1.0, 0.0]), named) == "between towards the front and towards the left"
    assert direction_words(np.array([0.0, 0.0, -2.0]), named) == "down to the card"
    screw = Motion("unscrew", UP, UP, 6.0, 6 * 360)
    assert when_words(screw, 148 / (6 * 360)) == "at 148 deg of turn 1"
    assert when_words(screw, (360 + 20) / (6 * 360)) == "at 20 deg of turn 2"
    assert when_words(Motion("pull", UP, UP, 30.0, 0.0), 0.5) == "after 15.0 mm of the pull"


def test_poses_go_from_its_place_outwards_or_the_other_way_round() -> None:
    """Two turns of 1 mm and then 10 mm up: at the end 12 mm up and turned back to where it was."""
    arm = elbow("P1", 0, 0, 0)
    way = screwed(arm, 2.0, 1.0, 10.0).ways[0]
    step = FittingStep(1, "P1", "", "off", ("P1",), (), way, (), "", False, (), (), (), ())
    poses = step.poses(4)
    tip = np.array([30.0, 0.0, 8.0])
    assert len(poses) == 9
    assert poses[0]["P1"].points_mm(tip) == pytest.approx(tip)
    assert poses[1]["P1"].points_mm(tip) == pytest.approx([-30.0, 0.0, 8.5])
    assert poses[4]["P1"].points_mm(tip) == pytest.approx([30.0, 0.0, 10.0])
    assert poses[8]["P1"].points_mm(tip) == pytest.approx([30.0, 0.0, 20.0])
    fitted = replace(step, do="on").poses(4)
    assert fitted[0]["P1"].points_mm(tip) == pytest.approx([30.0, 0.0, 20.0])
    assert fitted[-1]["P1"].points_mm(tip) == pytest.approx(tip)
