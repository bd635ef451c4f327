"""Unit: parts in their places, figures done by hand in the comments; whole findings compared."""

from __future__ import annotations

from math import pi, radians, sin, tan
from typing import Any

import numpy as np
import pytest

from stood import Array, Points, job_with, mm, stood
from trialfit.cli.standing import as_text, way_words
from trialfit.errors import Refusals
from trialfit.finding import Answer, Finding
from trialfit.fitup.apart import overlap_mm, sunk_mm
from trialfit.fitup.in_place import rests
from trialfit.fitup.tubes_in_place import rods
from trialfit.job.ports import KINDS
from trialfit.job.read import read_job
from trialfit.parts.build import build_parts
from trialfit.parts.made_up import seat_depth_mm
from trialfit.parts.records import Seat
from trialfit.parts.room import envelopes_of
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Hexagon, distance_mm

Z = np.array([0.0, 0.0, 1.0])

# A bush that looks straight up at the job, its face at (10, 20, 30), and a point 40 mm below that on its axis.
BUSH_POINTS: Points = {"bush.face": (10.0, 20.0, 30.0), "bush.back": (10.0, 20.0, -10.0)}
BUSH: dict[str, Any] = {
    "kind": "bush",
    "ports": {"thread": {"thread": "5/16x32", "gender": "female", "face": "bush.face", "axis_from": "bush.back"}},
    "envelope": {"body": {"shape": "cylinder", "start": mm(0, 0, 0), "end": mm(0, 0, -8), "diameter": "13 mm"}},
}
# A valve whose inlet ends 12 mm behind its middle, and whose outlet is 9 mm to its side.
VALVE: dict[str, Any] = {
    "kind": "check valve",
    "ports": {
        "inlet": {"thread": "5/16x32", "gender": "male", "at": mm(0, 0, -12), "at_pm": "0.02 mm"},
        "outlet": {"at": mm(9, 0, 0), "at_pm": "0.02 mm"},
    },
    "envelope": {
        "body": {"shape": "cylinder", "start": mm(0, 0, -6), "end": mm(0, 0, 6), "diameter": "9 mm"},
        "tail": {"shape": "cylinder", "start": mm(0, 0, -12), "end": mm(0, 0, -6), "diameter": "7.9 mm"},
        "arm": {"shape": "cylinder", "start": mm(0, 0, 0), "end": mm(9, 0, 0), "diameter": "6 mm"},
    },
}
SCREWED = {"a": "valve.inlet", "b": "bush.thread", "turns": 4, "slack": "0.02 mm", "lean": "0.1 deg"}


def _about(findings: tuple[Finding, ...], about: str) -> Finding:
    return next(each for each in findings if each.about == about)


def test_four_turns_of_32_to_the_inch_are_an_eighth() -> None:
    """4 x 25.4/32 = 3.175 mm below the face at z 30: the tail's end at 26.825, the valve's middle 12 mm above that."""
    found = stood(BUSH_POINTS, {"bush": BUSH, "valve": VALVE}, [SCREWED])
    place = found.adjusted.places["valve"]
    assert place.shift_mm == pytest.approx([10.0, 20.0, 38.825], abs=1e-6)
    assert place.directions(Z) == pytest.approx(Z, abs=1e-6)
    made = found.joints[0]
    assert (made.depth_mm, made.pitch_mm) == pytest.approx((3.175, 25.4 / 32))
    assert made.because == "4 turns of 5/16x32, 0.7937 mm each, are 3.175 mm."
    assert found.scene.thing("valve").rests_on == ("bush",)  # type: ignore[union-attr]


def test_a_roll_that_nothing_fixes_is_said_and_counts_as_a_full_circle() -> None:
    """Even over 360 deg an angle has the variance (2 pi)^2 / 12 = 3.290 rad2."""
    found = stood(BUSH_POINTS, {"bush": BUSH, "valve": VALVE}, [SCREWED])
    assert found.adjusted.covariance["valve"][5, 5] == pytest.approx((2 * pi) ** 2 / 12, rel=1e-3)
    finding = _about(found.findings, "valve")
    assert finding.answer is Answer.LOOK
    assert finding.question == "Which way round does valve stand?"
    assert str(finding.figure) == "180 deg"
    assert finding.because[0].text == (
        "Its turn about the axis of valve.inlet is not fixed: it may point any way round, and counts as a full circle."
    )
    assert finding.do == (
        "Mark the middle of the face of valve.outlet and name that point as its face; or say where valve.outlet points "
        'in an entry under clocking: thread = "5/16x32", port = "valve.outlet", wanted = ... and twelve_at = a '
        "surveyed point."
    )
    assert all(each.about != "bush" for each in found.findings), "which way round a bush stands is all one"


@pytest.mark.parametrize(
    ("wanted", "outlet"), [(0, (10, 29, 38.825)), (90, (19, 20, 38.825)), (225, (3.636, 13.636, 38.825))]
)
def test_clocking_is_clockwise_as_one_looks_in(wanted: float, outlet: tuple[float, float, float]) -> None:
    """One looks down on the bush with +y at twelve: three o'clock is +x.

    At 225 deg the outlet is 9 sin 45 deg = 6.364 mm towards -x and -y of the axis.
    """
    points = BUSH_POINTS | {"twelve": (10.0, 60.0, 30.0)}
    clocking = {
        "valve": {
            "thread": "5/16x32", "wanted": f"{wanted} deg", "twelve": "the twelve", "twelve_at": "twelve",
            "port": "valve.outlet",
        }
    }  # fmt: skip
    found = stood(points, {"bush": BUSH, "valve": VALVE}, [SCREWED], clocking=clocking)
    at = found.adjusted.places["valve"].points_mm(np.array([9.0, 0.0, 0.0]))
    assert at == pytest.approx(outlet, abs=2e-3)
    assert found.adjusted.free.get("valve", ()) == ()
    # Counted to ten degrees either way, k = 2: sigma 5 deg about the job's z.
    assert found.adjusted.covariance["valve"][5, 5] ** 0.5 == pytest.approx(radians(5.0), rel=0.01)


@pytest.mark.parametrize(
    ("thread", "stopped", "outlet"),
    [
        ("5/16x32", "6 deg", (10.941, 28.951)),  # near enough: left as it stops, 9 sin 6 deg to +x
        ("5/16x32", "40 deg", (10.0, 29.0)),  # it gets washers, or its shoulder is faced back
        ("R1/8", "6 deg", (10.0, 29.0)),  # hand tight: it is turned on by a turn or two
    ],
)
def test_a_fitting_is_placed_as_it_points_in_the_end(thread: str, stopped: str, outlet: tuple[float, float]) -> None:
    points = BUSH_POINTS | {"twelve": (10.0, 60.0, 30.0)}
    inlet = VALVE["ports"]["inlet"] | {"thread": thread}
    valve = VALVE | {"ports": VALVE["ports"] | {"inlet": inlet}}
    entry = {"thread": thread, "wanted": "0 deg", "stopped": stopped, "twelve": "+y", "twelve_at": "twelve",
             "port": "valve.outlet"}  # fmt: skip
    joint = {"a": "valve.inlet", "b": "bush.thread", "hidden": "3 mm"}
    found = stood(points, {"bush": BUSH, "valve": valve}, [joint], clocking={"valve": entry})
    at = found.adjusted.places["valve"].points_mm(np.array([9.0, 0.0, 0.0]))
    assert at[:2] == pytest.approx(outlet, abs=2e-3)


def test_an_angle_at_a_joint_is_right_handed_about_the_first_port() -> None:
    """The cock's outlet looks to +y; the handle on top is turned 90 deg on: from +y right-handed about +z is -x."""
    points = BUSH_POINTS | {"out": (10.0, 29.0, 38.825)}
    valve = VALVE | {"ports": VALVE["ports"] | {"outlet": VALVE["ports"]["outlet"] | {"face": "out"}}}
    cock = valve | {"kind": "cock", "ports": valve["ports"] | {"spindle": {"direction": [0, 0, 1], "at": mm(0, 0, 6)}}}
    cock["ports"]["outlet"] = cock["ports"]["outlet"] | {"direction": [1, 0, 0]}
    handle = {"kind": "handle"}
    held = {"a": "valve.spindle", "b": "handle.hub", "angle": "90 deg", "angle_pm": "4 deg"}
    found = stood(points, {"bush": BUSH, "valve": cock, "handle": handle}, [SCREWED, held])
    place = found.adjusted.places["handle"]
    assert place.shift_mm == pytest.approx([10, 20, 44.825], abs=1e-6)
    assert place.directions(np.array([1.0, 0.0, 0.0])) == pytest.approx([-1, 0, 0], abs=1e-6)
    assert found.envelopes["handle"].basis.value == "assumed"


def test_two_faces_of_one_part_are_weighed_not_chosen() -> None:
    """Seen 10.4 mm apart, measured 10: the low face (sigma 0.1) has the middle at z 5, the high one (0.3) at 5.4.

    Weights 100 and 11.11: (100 x 5 + 11.11 x 5.4) / 111.11 = 5.04, sigma 1/sqrt(111.11) = 0.0949.
    """
    spread = np.diag([0.01] * 3 + [0.09] * 3)
    part = {
        "kind": "adaptor",
        "ports": {
            "a": {"at": mm(0, 0, -5), "at_pm": "0.0001 mm", "face": "low"},
            "b": {"at": mm(0, 0, 5), "at_pm": "0.0001 mm", "face": "high"},
        },
    }
    found = stood({"low": (0, 0, 0), "high": (0, 0, 10.4)}, {"nipple_body": part}, covariance=spread)
    assert found.adjusted.places["nipple_body"].shift_mm == pytest.approx([0, 0, 5.04], abs=1e-4)
    assert found.adjusted.covariance["nipple_body"][2, 2] ** 0.5 == pytest.approx(0.0949, abs=1e-4)
    # 0.4 mm over sqrt(0.01 + 0.09): chi-square 1.6 with one to spare.
    assert found.adjusted.chi_square == pytest.approx(1.6, abs=1e-3)
    assert found.adjusted.freedom == 1


@pytest.mark.parametrize(
    ("male", "female", "depth"),
    [
        # (6.6 - 5) / 2 / tan 30 deg
        (Seat("cone", "male", 60.0, 5.0), Seat("cone", "female", 60.0, 6.6), 0.8 / tan(radians(30))),
        # The blunter male touches at the mouth, where it is 6.6 across: (6.6 - 5) / 2 / tan 45 deg
        (Seat("cone", "male", 90.0, 5.0), Seat("cone", "female", 60.0, 6.6), 0.8),
        # The sharper one touches at its nose, where the hollow is 5 across.
        (Seat("cone", "male", 30.0, 5.0), Seat("cone", "female", 90.0, 6.6), 0.8),
        # A 4 mm ball in a 90 deg cone of 6 mm mouth: apex 3 mm deep, middle 2 / sin 45 deg short of it, front 2 mm on.
        (Seat("ball", "male", None, 4.0), Seat("cone", "female", 90.0, 6.0), 3 - 2 / sin(radians(45)) + 2),
        (Seat("flat", "male", None), Seat("flat", "female", None), 0.0),
    ],
)  # fmt: skip
def test_how_far_a_seat_goes_into_its_fellow(male: Seat, female: Seat, depth: float) -> None:
    assert seat_depth_mm(male, female) == pytest.approx(depth)


def test_seat_to_seat_and_tube_in_socket_by_hand() -> None:
    """The cone's nose is 1.386 mm inside the mouth at z 30; its other end 4 mm above; a pipe 3 mm into that."""
    face = {"thread": "5/16x32", "gender": "male", "face": "u", "axis_from": "v",
            "seat": {"kind": "cone", "gender": "female", "angle": "60 deg", "across": "6.6 mm"}}  # fmt: skip
    body = {"kind": "union body", "ports": {"face": face}}
    seat = {"kind": "cone", "gender": "male", "angle": "60 deg", "across": "5 mm"}
    cone = {
        "kind": "union cone",
        "ports": {"seat": {"seat": seat}, "socket": {"socket": "4.86 mm", "at": mm(0, 0, -4)}},
    }
    stub = {"kind": "pipe", "ports": {"start": {"tube": "3/16 in"}}}
    joints: list[dict[str, Any]] = [
        {"a": "cone.seat", "b": "body.face"},
        {"a": "stub.start", "b": "cone.socket", "hidden": {"value": "3 mm", "pm": "0.1 mm"}},
    ]
    found = stood({"u": (0, 0, 30), "v": (0, 0, 0)}, {"body": body, "cone": cone, "stub": stub}, joints)
    nose = 30 - 0.8 / tan(radians(30))
    assert found.adjusted.places["cone"].shift_mm == pytest.approx([0, 0, nose], abs=1e-6)
    assert found.adjusted.places["stub"].shift_mm == pytest.approx([0, 0, nose + 4 - 3], abs=1e-6)
    assert found.scene.thing("stub").rests_on == ("cone", "body")  # type: ignore[union-attr]


def test_a_nut_on_its_tube_slides() -> None:
    face = {"tube": "3/16 in", "face": "u", "axis_from": "v"}
    nut = {"kind": "union nut", "ports": {"hole": {"socket": "4.9 mm"}}}
    found = stood({"u": (0, 0, 30), "v": (0, 0, 0)}, {"stub": {"kind": "pipe", "ports": {"start": face}}, "nut": nut},
                  [{"a": "stub.start", "b": "nut.hole"}])  # fmt: skip
    finding = _about(found.findings, "nut")
    assert finding.because[0].text == (
        "What is known of it leaves it free to slide: no face and no depth of a joint holds it."
    )
    assert found.scene.thing("nut") is None


def test_a_part_fixed_to_nothing_is_named() -> None:
    found = stood(BUSH_POINTS, {"bush": BUSH, "valve": VALVE}, [])
    finding = _about(found.findings, "valve")
    assert (finding.answer, finding.question) == (Answer.LOOK, "What is valve fixed to?")
    assert finding.because[0].text == "No surveyed point is on it, and no joint leads from it to a part with one."
    assert finding.do == (
        "Add the joint that holds it, or mark the middle of a face of valve and name it: face = ... on its port."
    )
    assert found.scene.thing("valve") is None


def test_a_point_alone_says_not_which_way_a_part_points() -> None:
    points = {"bush.face": (10.0, 20.0, 30.0)}
    bush = BUSH | {"ports": {"thread": {"thread": "5/16x32", "gender": "female", "face": "bush.face"}}}
    finding = _about(stood(points, {"bush": bush}).findings, "bush")
    assert finding.because[0].text == (
        "Its place is known, but nothing says which way it points: no axis, and no second face."
    )


def _loop(height_mm: float) -> tuple[Points, dict[str, Any], list[dict[str, Any]]]:
    """Two bushes 40 mm apart, an elbow on each, and a bar of 22 mm between the elbows' outlets: 9 + 22 + 9 = 40."""
    points: Points = {
        "l.face": (0, 0, 0), "l.back": (0, 0, -40), "r.face": (40, 0, height_mm), "r.back": (40, 0, height_mm - 40),
    }  # fmt: skip
    tight = {"hidden": {"value": "3 mm", "pm": "0.05 mm"}, "slack": "0.05 mm", "lean": "0.3 deg"}
    parts: dict[str, Any] = {}
    for side in ("l", "r"):
        bush = {"thread": "1/4x40", "gender": "female", "face": f"{side}.face", "axis_from": f"{side}.back"}
        parts[f"bush_{side}"] = {"kind": "bush", "ports": {"thread": bush}}
        parts[f"elbow_{side}"] = {
            "kind": "elbow",
            "ports": {
                "inlet": {"thread": "1/4x40", "gender": "male", "at": mm(0, 0, -12), "at_pm": "0.05 mm"},
                "outlet": {"thread": "1/4x40", "gender": "female", "at": mm(9, 0, 0), "at_pm": "0.05 mm"},
            },
        }
    parts["bar"] = {
        "kind": "adaptor",
        "ports": {
            "a": {"thread": "1/4x40", "gender": "male", "at": mm(0, 0, -14), "at_pm": "0.05 mm"},
            "b": {"thread": "1/4x40", "gender": "male", "at": mm(0, 0, 14), "at_pm": "0.05 mm"},
        },
    }
    joints = [
        {"a": "elbow_l.inlet", "b": "bush_l.thread", **tight},
        {"a": "elbow_r.inlet", "b": "bush_r.thread", **tight},
        {"a": "bar.a", "b": "elbow_l.outlet", **tight},
        {"a": "bar.b", "b": "elbow_r.outlet", **tight},
    ]
    return points, parts, joints


def test_a_row_of_joints_that_fits_is_found_straight() -> None:
    """Nothing says which way round the elbows stand but the bar between them: their outlets look at each other."""
    found = stood(*_loop(0.0), sigma_mm=0.05)
    places = found.adjusted.places
    assert places["elbow_l"].points_mm(np.array([9.0, 0, 0])) == pytest.approx([9, 0, 9], abs=1e-3)
    assert places["elbow_r"].points_mm(np.array([9.0, 0, 0])) == pytest.approx([31, 0, 9], abs=1e-3)
    assert places["bar"].shift_mm == pytest.approx([20, 0, 9], abs=1e-3)
    assert found.adjusted.chi_square < 1e-6
    assert {each.answer for each in found.findings} == {Answer.LOOK}, "only that nothing is said to carry the bushes"


def test_a_loop_that_does_not_close_is_named_with_its_gap() -> None:
    """The right bush stands 3 mm higher than the left; the straight bar between two equal elbows cannot have it so."""
    found = stood(*_loop(3.0), sigma_mm=0.05)
    stop = next(each for each in found.findings if each.answer is Answer.STOP)
    assert str(stop.figure) == "3.00 mm"
    ties = ["point l.face on bush_l.thread", "point r.face on bush_r.thread"]
    ties += [f"the joint of {pair}" for pair in (
        "elbow_l.inlet and bush_l.thread", "elbow_r.inlet and bush_r.thread",
        "bar.a and elbow_l.outlet", "bar.b and elbow_r.outlet",
    )]  # fmt: skip
    said = [reason.text for reason in stop.because]
    assert all(tie in stop.question + said[1] for tie in ties), "one of six, and nothing tells them apart"
    assert all(part in said[2] for part in ("bush_l", "elbow_l", "bar", "elbow_r", "bush_r"))
    assert said[-1] == "All of it was used together; nothing was left out of the places that are given."


def test_a_loop_of_joints_alone_is_walked_round() -> None:
    """Four links round a square of 20 mm; one is 22 mm long, so that the square gapes 2 mm.

    An outlet looks along y, so its side is x; an inlet looks along x, so its side is z. All lie flat, z up: from x to z
    about y is 90 deg left-handed.
    """
    points: Points = {"f": (0, 0, 0), "b": (30, 0, 0)}
    tight = {"hidden": "0 mm", "slack": "0.02 mm", "lean": "0.1 deg", "angle": "-90 deg", "angle_pm": "0.2 deg"}

    def link(long_mm: float, first: dict[str, Any]) -> dict[str, Any]:
        """From (0, 0, 0), where it looks to -x, along x and round a corner to look to +y."""
        ports = {
            "inlet": {"tube": "5 mm", "direction": [-1, 0, 0], "at": mm(0, 0, 0), "at_pm": "0.02 mm", **first},
            "outlet": {"socket": "5.1 mm", "direction": [0, 1, 0], "at": mm(long_mm, 0, 0), "at_pm": "0.02 mm"},
        }
        return {"kind": "elbow", "ports": ports}

    parts = {
        "south": link(20, {"face": "f", "axis_from": "b"}),
        "east": link(20, {}),
        "north": link(22, {}),
        "west": link(20, {}),
    }
    joints = [
        {"a": f"{one}.outlet", "b": f"{other}.inlet", **tight}
        for one, other in (("south", "east"), ("east", "north"), ("north", "west"), ("west", "south"))
    ]
    found = stood(points, parts, joints, sigma_mm=0.02)
    stop = next(each for each in found.findings if each.answer is Answer.STOP)
    assert stop.question == "Does the loop of joints close?"
    assert str(stop.figure) == "2.00 mm"
    assert all(name in stop.because[0].text for name in ("south", "east", "north", "west"))


def test_a_valve_turned_into_its_neighbour_is_a_stop_and_a_tail_in_its_bush_is_not() -> None:
    """The arm reaches 9 mm out; a post of 6 mm whose axis is 10 mm out begins at 7: 2 mm of the arm are in it."""
    points = BUSH_POINTS | {"out": (19.0, 20.0, 38.825), "post": (20.0, 20.0, 60.0), "foot": (20.0, 20.0, 0.0)}
    valve = VALVE | {"ports": VALVE["ports"] | {"outlet": VALVE["ports"]["outlet"] | {"face": "out"}}}
    post = {
        "kind": "bush",
        "ports": {"thread": {"face": "post", "axis_from": "foot"}},
        "envelope": {"body": {"shape": "cylinder", "start": mm(0, 0, -60), "end": mm(0, 0, 0), "diameter": "6 mm"}},
    }
    found = stood(points, {"bush": BUSH, "valve": valve, "post": post}, [SCREWED], sigma_mm=0.05)
    overlaps = [each for each in found.findings if each.question == "Is there room for both?"]
    assert [each.about for each in overlaps] == ["valve and post"]
    stop = overlaps[0]
    assert stop.answer is Answer.STOP
    assert stop.figure.value == pytest.approx(2.0, abs=0.02)  # type: ignore[union-attr]
    assert stop.because[0].text.startswith("The arm of valve stands ")
    assert stop.because[0].text.endswith(" into the body of post.")


def test_screwed_in_past_its_shoulder_a_valve_stands_in_its_bush() -> None:
    """Drawn out by the 3.175 mm the joint hides, its tail is clear; a hook 2 mm below the tail's end still is not."""
    low = {"shape": "box", "start": mm(-6, -2, -14), "end": mm(6, 2, -13)}
    valve = VALVE | {"envelope": VALVE["envelope"] | {"hook": low}}
    found = stood(BUSH_POINTS, {"bush": BUSH, "valve": valve}, [SCREWED])
    finding = _about(found.findings, "valve and bush") if any(
        each.about == "valve and bush" for each in found.findings
    ) else _about(found.findings, "bush and valve")  # fmt: skip
    assert finding.because[0].text.endswith("more than their joint hides.")
    # Whichever way round it stands the hook reaches across the bush: no roll would help.
    assert "some ways round" not in finding.because[0].text


def test_bodies_from_points_and_typed() -> None:
    points: Points = {
        "a": (0, 0, 10), "b": (20, 0, 10), "c": (0, 20, 10), "seen": (5, 5, 50),
        "r1": (10, 0, 0), "r2": (0, 10, 0), "r3": (-10, 0, 0),
    }  # fmt: skip
    bodies = {
        "wall": {"shape": "plane", "through": ["a", "b", "c"], "behind": "4 mm", "seen_from": "seen"},
        "barrel": {
            "shape": "cylinder",
            "rim": ["r1", "r2", "r3"],
            "seen_from": "seen",
            "long": "50 mm",
            "lagging": "3 mm",
        },
        "tank": {"shape": "box", "corner": mm(100, 0, 0), "size": mm(10, 20, -30), "turned": "90 deg"},
    }
    found = stood(points, {}, sigma_mm=0.1, bodies=bodies)
    wall, barrel, tank = (found.bodies[name] for name in bodies)
    (plane,) = (piece.solid for piece in wall.thing.pieces)
    assert isinstance(plane, HalfSpace)
    assert (plane.on_mm[2], plane.out[2]) == pytest.approx((6.0, 1.0))
    # Three points of 0.1 mm, the plane through their middle: 0.1 / sqrt 3; and the assumed 1 mm, k = 2, of `behind`.
    assert wall.thing.covariance is not None
    assert wall.thing.covariance[2, 2] == pytest.approx(0.01 / 3 + 0.25, rel=0.01)
    body, lagging = (piece.solid for piece in barrel.thing.pieces)
    assert isinstance(body, Cylinder)
    assert isinstance(lagging, Cylinder)
    assert (body.radius_mm, lagging.radius_mm) == pytest.approx((10.0, 13.0))
    assert body.end_mm == pytest.approx([0, 0, -50])
    # Turned by a quarter about its corner: 10 along x becomes along y, 20 along y becomes along -x.
    assert distance_mm(
        tank.thing.pieces[0].solid, np.array([[80.0, 10.0, -30.0], [90.0, 5.0, -15.0]])
    ) == pytest.approx([0.0, -5.0], abs=1e-9)


def test_points_in_one_line_and_points_off_their_plane_are_said() -> None:
    points: Points = {
        "a": (0, 0, 0),
        "b": (20, 0, 0),
        "c": (40, 0, 0),
        "d": (0, 20, 0),
        "e": (40, 20, 8),
        "o": (5, 5, 50),
    }
    bodies = {
        "line": {"shape": "plane", "through": ["a", "b", "c"], "seen_from": "o"},
        "bent": {"shape": "plane", "through": ["a", "c", "d", "e"], "seen_from": "o", "pm": "0.5 mm"},
    }
    found = stood(points, {}, bodies=bodies)
    said = _about(found.findings, "line")
    assert said.because[0].text == (
        "body line: got points that lie in one line, wanted three points or more spread over its face."
    )
    # The four stand 0, 0, 0, 8 mm high on a rectangle: the plane through them leaves each 2 mm off, along its normal
    # a little less.
    bent = _about(found.findings, "bent")
    assert bent.figure.value == pytest.approx(2.0, abs=0.1)  # type: ignore[union-attr]
    assert bent.because[0].text.startswith("Laid through all its points, the plane leaves ")
    assert bent.question == "Do the points of bent lie on one face?"


def test_a_bush_stands_square_to_the_plate_that_carries_it() -> None:
    points: Points = {"a": (0, 0, 10), "b": (20, 0, 10), "c": (0, 20, 10), "seen": (5, 5, 50), "bush.face": (7, 7, 14)}
    bodies = {"wall": {"shape": "plane", "through": ["a", "b", "c"], "seen_from": "seen"}}
    bush = BUSH | {"ports": {"thread": {"thread": "5/16x32", "gender": "female", "face": "bush.face"}}, "on": "wall"}
    found = stood(points, {"bush": bush}, bodies=bodies)
    place = found.adjusted.places["bush"]
    assert place.points_mm(np.zeros(3)) == pytest.approx([7, 7, 14])
    assert place.directions(Z) == pytest.approx(Z)
    assert found.scene.thing("bush").rests_on == ("wall",)  # type: ignore[union-attr]
    assert _about(found.findings, "Bittern").answer is Answer.GO


def test_two_parts_may_rest_on_one_point() -> None:
    """A nut flush with its bush: both faces at the point, the nut's mouth looking the other way."""
    nut = {"kind": "union nut", "ports": {"thread": {"thread": "5/16x32", "face": "bush.face"}}}
    flush = {"a": "nut.thread", "b": "bush.thread", "hidden": {"value": "0 mm", "pm": "0.1 mm"}}
    found = stood(BUSH_POINTS, {"bush": BUSH, "nut": nut}, [flush])
    assert found.adjusted.places["nut"].shift_mm == pytest.approx([10, 20, 30], abs=1e-6)
    assert found.adjusted.places["nut"].directions(Z) == pytest.approx(-Z, abs=1e-6)


def test_what_rests_on_what_goes_down_to_the_engine() -> None:
    parts = {"bush": {"kind": "bush", "on": "wall"}, "valve": {"kind": "check valve"}, "nut": {"kind": "union nut"}}
    bodies = {"wall": {"shape": "box", "corner": mm(0, 0, 0), "size": mm(1, 1, 1)}}
    joints = [{"a": "nut.thread", "b": "valve.inlet"}, {"a": "valve.outlet", "b": "bush.thread"}]
    job = job_with({}, parts, joints, bodies=bodies)
    assert rests(job) == {"bush": ("wall",), "valve": ("bush", "wall"), "nut": ("valve", "bush", "wall")}


def _at(*place: float) -> Array:
    return np.array(place, dtype=float)


_BAR = Hexagon(_at(0, 0, 0), _at(0, 0, 8), 10.0, _at(1, 0, 0))


@pytest.mark.parametrize(
    ("one", "other", "depth"),
    [
        # Two rods of 2 and 3 mm radius, crossing square 4 mm apart: 2 + 3 - 4.
        (Capsule(_at(-9, 0, 0), _at(9, 0, 0), 2.0), Capsule(_at(0, -9, 4), _at(0, 9, 4), 3.0), 1.0),
        # A cylinder standing 1.5 mm into a plate.
        (Cylinder(_at(0, 0, -1.5), _at(0, 0, 9), 3.0), HalfSpace(_at(0, 0, 0), Z), 1.5),
        # A 10 mm hexagon on its flat, 0.25 mm into a box; and 0.5 mm clear of one.
        (_BAR, Box(_at(14.75, 0, 4), np.eye(3), _at(10, 9, 9)), 0.25),
        (_BAR, Box(_at(15.5, 0, 4), np.eye(3), _at(10, 9, 9)), -0.5),
        # Two cylinders, their rims 3 mm apart sideways and 4 mm up: 5 mm apart.
        (Cylinder(_at(0, 0, 0), _at(0, 0, 5), 2.0), Cylinder(_at(7, 0, 9), _at(7, 0, 12), 2.0), -5.0),
    ],
    ids=["rods", "plate", "hexagon in", "hexagon off", "rims"],
)
def test_how_far_solids_are_into_each_other(one: Any, other: Any, depth: float) -> None:
    assert overlap_mm(one, other) == pytest.approx(depth, abs=0.01)
    assert overlap_mm(other, one) == pytest.approx(depth, abs=0.01)
    assert sunk_mm(one, other) == pytest.approx(max(depth, 0.0), abs=0.01)


def test_a_rounded_line_is_held_by_its_rods() -> None:
    """A quarter bend of radius 10 about (0, 10): its middle is at 10 sin 45 deg, 10 - 10 cos 45 deg."""
    pieces = rods(np.array([[-20.0, 0, 0], [10.0, 0, 0], [10.0, 30, 0]]), 10.0, 2.0)
    assert [piece.name for piece in pieces] == ["leg1", *[f"bend1.{n}" for n in range(1, 10)], "leg2"]
    turns = np.radians(np.linspace(0, 90, 181))
    outer = np.column_stack([12 * np.sin(turns), 10 - 12 * np.cos(turns), 0 * turns])
    nearest = np.min([distance_mm(piece.solid, outer) for piece in pieces], axis=0)
    assert nearest.max() <= 1e-9
    assert nearest.min() > -0.1, "and hardly more"


def test_ways_in_words() -> None:
    assert way_words(np.array([0.0, 0.0, -1.0])) == "-z"
    tilted = np.array([sin(radians(7)), np.cos(radians(7)), 0.0])
    assert way_words(tilted) == "+y, 7 deg towards +x"


def test_a_part_as_a_person_reads_it() -> None:
    text = as_text(stood(BUSH_POINTS, {"bush": BUSH, "valve": VALVE}, [SCREWED]))
    assert "valve: check valve\n  at 10.00, 20.00, 38.8" in text
    assert "which way round is not known: room is kept all round\n  inlet at 10.00, 20.00, 26.8" in text
    assert "  rests on bush\n" in text


BODY = """
format = 1
[job]
name = "t"
owner = "A. Fenwright"
date = 2026-03-14
[engine]
name = "Bittern"
working_pressure = "80 psi"
[points]
a = {}
b = {}
c = {}
[bodies.wall]
shape = "plane"
through = ["a", "b", "c"]
seen_from = "a"
[parts.bush]
kind = "bush"
on = "wall"
"""


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('on = "wall"', 'on = "wall"\n[[joints]]\na = "bush.thread"\nb = "nut.thread"\nturns = 3\nhidden = "3 mm"\n'
         '[parts.nut]\nkind = "union nut"', "got both hidden and turns, wanted one of the two"),
        ('"b", "c"]', '"b", "d"]', 'got "d", wanted the name of a point that is there'),
        ('"b", "c"]', '"b", "b"]', 'got "b" twice, wanted different points'),
        ('on = "wall"', 'on = "wal"', 'got "wal", wanted the name of a body that is there. Did you mean "wall"?'),
        ('on = "wall"', 'turned = "wall"', 'got "wall", wanted the name of a turned part that is there'),
        ('seen_from = "a"', "", "wanted seen_from, as it is a plane"),
        ('seen_from = "a"', 'seen_from = "a"\nlong = "3 mm"', "long on a plane"),
        ('"b", "c"]', '"b"]', "through"),
        ("[parts.bush]", "[parts.wall]", 'got the name "wall", which a part or pipe has too'),
        ('on = "wall"', 'envelope.body = { shape = "hexagon", start = ["0 mm", "0 mm", "0 mm"], '
         'end = ["0 mm", "0 mm", "8 mm"] }', "wanted flats, as it is a hexagon"),
        ('on = "wall"', 'envelope.body = { shape = "box", start = ["0 mm", "0 mm", "0 mm"], '
         'end = ["5 mm", "0 mm", "8 mm"] }', "a box without thickness"),
        ('on = "wall"', 'envelope.body = { shape = "cylinder", diameter = "3 mm", start = ["0 mm", "0 mm", "0 mm"], '
         'end = ["0 mm", "0 mm", "0 mm"] }', "a cylinder without length"),
    ],
)  # fmt: skip
def test_slips_in_bodies_and_envelopes_are_said(old: str, new: str, said: str) -> None:
    assert BODY.count(old) == 1
    read_job(BODY)
    with pytest.raises(Refusals) as caught:
        read_job(BODY.replace(old, new))
    assert said in str(caught.value)


def test_what_cannot_be_true_names_the_figures_to_look_at_and_what_would_close_it() -> None:
    """Its outlet was seen where 3.175 mm of its inlet are hidden (see above); 9 mm are written."""
    points = BUSH_POINTS | {"out": (10.0, 29.0, 38.825), "far": (10.0, 0.0, 38.825)}
    outlet = VALVE["ports"]["outlet"] | {"face": "out", "axis_from": "far"}
    valve = VALVE | {"ports": VALVE["ports"] | {"outlet": outlet}}
    joint = {"a": "valve.inlet", "b": "bush.thread", "hidden": {"value": "9 mm", "pm": "0.2 mm"}}
    wall = {"shape": "box", "corner": mm(5, 27, 30), "size": mm(10, 5, 20)}
    found = stood(points, {"bush": BUSH, "valve": valve}, [joint], bodies={"wall": wall})
    stop = next(each for each in found.findings if each.answer is Answer.STOP)
    assert (
        "ook at how deep the joint of valve.inlet and bush.thread goes in: 9.00 mm of the male end is hidden, as "
        in (stop.do)
    )
    assert "With 3.2 mm in it would close." in stop.do
    assert "ook at the marks of point bush.face" in stop.do
    # Arm and wall overlap, but not for sure while what says where they stand disagrees.
    room = _about(found.findings, "valve and wall")
    assert room.answer is Answer.LOOK
    assert room.do.startswith("Look at arm under [parts.valve.envelope] and at [bodies.wall], and at what says where ")


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "pipe"])
def test_every_kind_has_all_its_ports_on_its_own_skin_unmeasured_or_measured(kind: str) -> None:
    """A face is where the part ends the way it looks: on the skin of some piece, and a hair farther out of all."""
    typical = {"kind": kind, "ports": {port.name: {} for port in KINDS[kind]}}  # type: ignore[index]
    shapes = {
        "block": {"shape": "box", "start": mm(-4, -5, -6), "end": mm(4, 5, 6)},
        "rod": {"shape": "capsule", "start": mm(0, 0, 0), "end": mm(15, 0, 0), "diameter": "3 mm"},
        "barrel": {"shape": "cylinder", "start": mm(0, 0, -9), "end": mm(0, 0, 9), "diameter": "5 mm"},
        "nut": {"shape": "hexagon", "start": mm(0, 0, 9), "end": mm(0, 0, 12), "flats": "8 mm"},
    }
    job = job_with({}, {"as_usual": typical, "measured": typical | {"envelope": shapes}})
    for envelope in envelopes_of(job, build_parts(job)).values():
        assert set(envelope.places) == {port.name for port in envelope.part.ports}
        assert envelope.pieces
        for place in envelope.places.values():
            at = np.array([place.at_mm, place.at_mm + 0.05 * place.direction])
            on, beyond = np.min([distance_mm(piece.solid, at) for piece in envelope.pieces], axis=0)
            assert on == pytest.approx(0, abs=1e-9), place.port.full_name
            assert beyond > 0, place.port.full_name


def test_a_pipe_that_nobody_measured_is_asked_for() -> None:
    pipe = {"kind": "pipe", "ports": {"start": {"face": "bush.face", "axis_from": "bush.back"}}}
    (finding,) = [each for each in stood(BUSH_POINTS, {"old": pipe}).findings if each.about == "Bittern"]
    assert "Nobody measured how long old is: no room is kept for it." in [each.text for each in finding.because]
    assert finding.do.endswith("Measure old and write its pieces under envelope.")
    ends = {"start": mm(0, 0, 0), "end": mm(0, 0, 40), "diameter": "4 mm"}
    measured = pipe | {"envelope": {"tube": {"shape": "capsule"} | ends}}
    place = stood(BUSH_POINTS, {"old": measured}).envelopes["old"].places["end"]
    assert place.at_mm == pytest.approx([0, 0, 42])
