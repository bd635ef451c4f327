"""Recover: what stands where on the example's backhead agrees with the truth its photographs were made from."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from click.testing import CliRunner

import backhead
from trialfit.cli.standing import what_stands_where
from trialfit.finding import Answer
from trialfit.fitup.in_place import InPlace, without_pipes
from trialfit.parts.build import build_parts


@cache
def _stood() -> InPlace:
    job = backhead.folder().job
    return without_pipes(job, build_parts(job), backhead.survey())


def _unit(vector: backhead.Array) -> backhead.Array:
    return np.asarray(vector / np.linalg.norm(vector))


def test_the_check_valve_stands_where_it_truly_does() -> None:
    """Its own z runs from the union to the cap, its middle is 17.8 mm along that; its side arm looks to its bush."""
    true = backhead.true_points()
    up = _unit(true["check_cap.face"] - true["check_union.face"])
    at = true["check_union.face"] + 17.8 * up
    arm = true["check.face"] - at
    side = _unit(arm - up * (arm @ up))
    place, spread = _stood().adjusted.places["check_valve"], _stood().adjusted.covariance["check_valve"]
    assert np.all(np.abs(at - place.shift_mm) < 1.5 * 2 * np.sqrt(np.diag(spread)[:3]))
    k2_rad = 2 * float(np.linalg.eigvalsh(spread[3:, 3:])[-1]) ** 0.5
    assert np.arccos(place.turn[:, 2] @ up) < k2_rad
    assert np.arccos(place.turn[:, 0] @ side) < k2_rad


@pytest.mark.parametrize(
    ("part", "axis"), [("check_bush", "check"), ("bare_bush", "bare_bush"), ("gauge_bush", "gauge_bot")]
)
def test_bushes_look_the_way_they_truly_do(part: str, axis: str) -> None:
    """They are taken to stand square to the plate, to 2 deg; the true ones lean by up to one and a half."""
    world = next(each for each in backhead.TRUTH["axes"] if each["name"] == axis)
    turn, _ = backhead.world_to_card()
    looks = _stood().adjusted.places[part].turn[:, 2]
    assert np.degrees(np.arccos(looks @ _unit(turn @ np.array(world["dir"])))) < 2.5


def test_the_backhead_lies_behind_its_bushes() -> None:
    """The true plate is the plane y = 0 of the world the photographs were made in."""
    turn, _ = backhead.world_to_card()
    face = _stood().bodies["backhead"].face
    thing = _stood().bodies["backhead"].thing
    assert face is not None
    assert thing.placement is not None
    normal = turn @ np.array([0.0, -1.0, 0.0])
    assert np.degrees(np.arccos(face.out @ normal)) < 1.0
    assert abs((thing.placement.shift_mm - backhead.to_card([0.0, 0.0, 0.0])) @ normal) < 1.0


def test_the_gauge_cocks_plug_ends_where_the_photographs_have_it() -> None:
    """Nobody marked that nut: it follows from bush, gland and the cock's own measures."""
    place = _stood().adjusted.places["gauge_cock"]
    envelope = _stood().envelopes["gauge_cock"]
    spindle = place.points_mm(envelope.places["spindle"].at_mm)
    assert spindle == pytest.approx(backhead.true_points()["gauge_cock.plugnut"], abs=1.5)


def test_the_command_reads_it_out_and_nothing_stops() -> None:
    answered = CliRunner().invoke(what_stands_where, [str(backhead.FOLDER)], standalone_mode=False)
    assert answered.return_value == 0
    for line in (
        "backhead: the backhead with the boiler behind it",
        "check_valve: right-hand feed check valve",
        "  rests on check_bush, backhead",
        "  held by check_cone, tank_cone, check_valve, tank_union",
        "  envelope measured: arm rod 2.0 mm thick, 18.5 mm long, knob 5.0 mm diameter, 6.0 mm long",
    ):
        assert f"{line}\n" in answered.output
    assert all(each.answer is not Answer.STOP for each in _stood().findings)
