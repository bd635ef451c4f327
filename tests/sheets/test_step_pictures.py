"""Sheets: pictures of steps show what moves strongly, its arrow the right way round, and choose where to look from."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import cv2
import numpy as np
import pytest

from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.parts.placement import Array
from trialfit.parts.records import Part
from trialfit.parts.solids import Box, Cylinder, Hexagon
from trialfit.sheets.fitting.space import space_record
from trialfit.sheets.seen.eye import looking
from trialfit.sheets.seen.meshes import mesh_of
from trialfit.sheets.seen.motion import Motion, drawn_apart_mm, motion_arrows
from trialfit.sheets.seen.steps import SeenStep, Stage, best_photograph, picture_in_space, step_pictures
from trialfit.survey.records import Station, Survey

X, Y, Z = np.eye(3)
NUT = Hexagon(np.array([0.0, 0, 10]), np.array([0.0, 0, 18]), 10.0, X)
OUT = Motion(Z, np.zeros(3), turns=4.0, far_mm=20.0)
BACK = Box(np.array([0.0, 30, 20]), np.eye(3), np.array([60.0, 2, 40]))
STUB = Cylinder(np.zeros(3), np.array([0.0, 0, 14]), 3.0)


@dataclass(frozen=True)
class _Laid:
    survey: Survey | None = None
    parts: tuple[Part, ...] = ()
    pipes: tuple[PipePlan, ...] = ()


def _station(name: str, stands: Array, at: Array) -> Station:
    eye = looking(stands, at, Z, 1000.0, (800, 600))
    return Station(name, eye.turn, eye.shift_mm, 1000.0, (399.5, 299.5), (0.0, 0.0, 0.0, 0.0, 0.0), 12)


def _stage(*stations: Station, more: tuple[Thing, ...] = ()) -> Stage:
    survey = Survey((), np.zeros((0, 0)), (), (), stations, ((1.0, 0.0), (1.0, 0.0)), 0.0, 0, ()) if stations else None
    things = (
        Thing("backhead", "", "engine", (Piece("body", BACK),)),
        Thing("stub", "", "part", (Piece("body", STUB),)),
        Thing("nut", "", "part", (Piece("hexagon", NUT),)),
        *more,
    )
    return Stage(_Laid(survey), Scene(things))


def _step(on: bool = False, motion: Motion = OUT) -> SeenStep:
    return SeenStep(1, ("nut",), (motion,), ("stub",), on)


@pytest.mark.parametrize(("turns", "home"), [(4.0, False), (-4.0, False), (4.0, True)])
def test_the_curved_arrow_turns_the_way_the_part_does(turns: float, home: bool) -> None:
    """By hand: right-handed about z is anticlockwise looked at from above; going home it turns the other way. The head
    is 35 deg past where the eye stands, which is at -y here: at -55 deg anticlockwise, at -125 deg clockwise."""
    arrow = motion_arrows(Motion(Z, np.zeros(3), turns, 0.0), mesh_of(NUT), 40.0, -Y, home)
    anticlockwise = (turns > 0) != home
    heads = arrow.corners_mm[-60:]  # the cone comes last: its middle of three rings of 20 is its foot
    tip = heads[-1]
    angle = np.degrees(np.arctan2(tip[1], tip[0]))
    assert angle == pytest.approx(-55.0 if anticlockwise else -125.0, abs=2.0)
    foot = heads[:20].mean(axis=0)
    assert (np.cross(foot, tip)[2] > 0) == anticlockwise


@pytest.mark.parametrize(("home", "apart"), [(False, True), (True, True), (True, False)])
def test_the_straight_arrow_leads_away_or_home(home: bool, apart: bool) -> None:
    moved = mesh_of(NUT).moved(np.eye(3), drawn_apart_mm(OUT, mesh_of(NUT)) if apart else np.zeros(3))
    arrow = motion_arrows(Motion(Z, None, 0.0, 20.0), moved, 40.0, -Y, home, apart)
    low, high = moved.corners_mm[:, 2].min(), moved.corners_mm[:, 2].max()
    tail, tip = arrow.corners_mm[0, 2], arrow.corners_mm[-1, 2]
    assert (tip > tail) != home
    assert not ((low < arrow.corners_mm[:, 2]) & (arrow.corners_mm[:, 2] < high)).any()
    if home and apart:
        assert tip < low


def test_a_thing_is_drawn_no_farther_off_than_it_goes() -> None:
    near = Motion(Z, None, 0.0, 3.0)
    assert drawn_apart_mm(near, mesh_of(NUT)).tolist() == [0.0, 0.0, 3.0]


def test_what_moves_is_dark_what_stands_is_light_and_the_arrow_is_black() -> None:
    picture = picture_in_space(_stage(), _step())
    assert picture.shape == (570, 760)
    assert (picture == 255).mean() > 0.1
    dark = ((picture > 40) & (picture < 170)).mean()
    assert 0.01 < dark < 0.25
    assert (picture < 20).mean() > 0.005
    still = picture_in_space(_stage(), SeenStep(1, ("stub",), (Motion(Z),), (), False))
    assert not np.array_equal(picture, still)


def test_a_hidden_part_is_looked_at_from_another_side() -> None:
    """A plate hides the nut from the front, where one stands; from there a fifth of it at most would be seen."""
    plate = Thing(
        "plate", "", "engine", (Piece("body", Box(np.array([0.0, -25, 20]), np.eye(3), np.array([16.0, 1, 26]))),)
    )
    front = _station("front", np.array([0.0, -300, 20]), np.array([0.0, 0, 14]))
    open_view, hidden = (picture_in_space(_stage(front, more=more), _step()) for more in ((), (plate,)))
    for picture in (open_view, hidden):
        assert ((picture > 40) & (picture < 170)).mean() > 0.01


def test_the_photograph_that_shows_it_is_taken_and_drawn_on() -> None:
    """The first photograph looks from above, straight along the nut's way; the third does not show it at all."""
    stations = (
        _station("along", np.array([0.0, -1, 300]), np.array([0.0, 0, 14])),
        _station("front", np.array([14.0, -150, 40]), np.array([0.0, 0, 14])),
        _station("away", np.array([0.0, -250, 60]), np.array([300.0, 0, 14])),
    )
    stage = _stage(*stations)
    pictures = {
        name: np.full((600, 800), tone, np.uint8) for name, tone in (("along", 90), ("front", 120), ("away", 60))
    }
    found = best_photograph(stage, _step(), pictures)
    assert found is not None
    assert found[0][0, 0] == 120
    made = step_pictures(stage, [_step()], pictures)[1]
    assert made[:2] == b"\xff\xd8"
    drawn = cv2.imdecode(np.frombuffer(made, np.uint8), cv2.IMREAD_COLOR)
    assert drawn is not None
    assert drawn.shape[0] < drawn.shape[1] <= 760
    assert best_photograph(stage, _step(), {"along": pictures["along"], "away": pictures["away"]}) is None
    assert step_pictures(stage, [_step()], {})[1][:4] == b"\x89PNG"


def test_the_turning_view_has_what_stands_and_goes() -> None:
    """Corners in hundredths of a millimetre about the middle of what is not engine, 9 mm up."""
    record = space_record(_stage(), [_step(), _step(on=True)], {1: "Step 1"})
    assert [thing["name"] for thing in record["things"]] == ["backhead", "stub", "nut"]
    nut = np.array(record["things"][2]["corners"]).reshape(-1, 3) / 100
    assert nut[:, 2].min() == pytest.approx(10 - 9)
    assert nut[:, 2].max() == pytest.approx(18 - 9)
    assert record["steps"][0]["motions"] == [{"way": [0, 0, 1], "on": [0, 0, -9], "turns": 4.0, "far": 20.0}]
    assert record["atLast"] == ["stub", "nut"]
    assert -pi <= record["view"]["around"] <= pi
