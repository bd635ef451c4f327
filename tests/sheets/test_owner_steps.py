"""Sheets: the owner's steps from the two orders, by hand: a pipe between two unions comes off, a handle goes on."""

from __future__ import annotations

import re
from typing import Literal

import numpy as np
import pytest

from trialfit.finding import Basis
from trialfit.fitup.order.loose import Phase, Stand, Way
from trialfit.fitup.order.motion import Do, Motion
from trialfit.fitup.order.records import FittingStep, Order
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.job.read import read_job
from trialfit.job.records import Job
from trialfit.parts.placement import Array
from trialfit.parts.solids import Cylinder
from trialfit.sheets.fitting.from_order import owner_steps, towards
from trialfit.sheets.fitting.moving import moving_lines
from trialfit.sheets.words import words_for

X, Y, Z = np.eye(3)
TEXT = """
format = 1
[job]
name = "steps"
owner = "B. Sandling"
date = 2026-03-04
[engine]
name = "Dunlin"
working_pressure = "90 psi"
[parts.left_nut]
kind = "union nut"
[fitting.left_nut]
called = "the left-hand nut"
[order]
directions = { "tank side" = [1, 0, 0] }
"""


def _job() -> Job:
    return read_job(TEXT, "job.toml", ())


def _thing(name: str, what: str = "", old: bool = False) -> Thing:
    piece = Piece("body", Cylinder(np.zeros(3), 5.0 * Z, 2.0))
    return Thing(name, what, "old pipe" if old else "part", (piece,))


def _phase(do: Do, along: Array, travel: float, turn: float, *moves: str) -> Phase:
    return Phase(moves, Motion(do, np.zeros(3), along, travel, turn), None, Basis.MEASURED)


PIPE_WAY = Way(
    (
        _phase("unscrew", -X, 6.0, 1440.0, "left_nut"),
        _phase("pull", -X, 2.0, 0.0, "left_nut"),
        _phase("unscrew", X, 6.0, -1440.0, "right_nut"),
        _phase("pull", -Y, 40.0, 0.0, "pipe", "left_nut", "right_nut"),
    )
)
HANDLE_WAY = Way((_phase("turn", Z, 0.0, 90.0, "handle"), _phase("lift", Z, 12.0, 0.0, "handle")))
THINGS = (_thing("stub"), _thing("pipe", "the old pipe", old=True), _thing("left_nut"), _thing("right_nut", "far nut"))


def _step(
    number: int, part: str, do: Literal["off", "on"], things: tuple[str, ...], way: Way, side: str = ""
) -> FittingStep:
    return FittingStep(number, part, part, do, things, (), way, (), side, bool(side), (), (), (), ())


def _order(
    do: Literal["off", "on"], things: tuple[Thing, ...], *steps: FittingStep, left: tuple[str, ...] = ()
) -> Order:
    scene = Scene(things)
    wanted = tuple(step.part for step in steps)
    return Order(do, scene, Stand(scene, ()), wanted, steps, 0, left, (), (), (), (), (), (), ())


def _removal(left: tuple[str, ...] = ()) -> Order:
    things = ("pipe", "left_nut", "right_nut")
    return _order("off", THINGS, _step(1, "pipe", "off", things, PIPE_WAY, "tank side"), left=left)


def _fitting() -> Order:
    things = (*THINGS[:1], _thing("handle", "the cock's handle"))
    return _order("on", things, _step(1, "handle", "on", ("handle",), HANDLE_WAY, "front"))


def test_every_nut_is_a_step_of_its_own_and_the_pipe_comes_last() -> None:
    """4 turns are 1440 deg; a right-hand thread comes off anticlockwise, so the second is left-hand."""
    job = _job()
    steps = owner_steps(job, _removal(), _fitting(), Scene(()))
    assert steps.order.removal is not None
    said = [(doing.part, moving_lines(doing, words_for(job))) for doing in steps.order.removal]
    assert said == [
        ("left_nut", [
            "Turn the engine so that you work from the right.",
            "Unscrew the left-hand nut, anticlockwise as you look at it from the left. It takes about 4 turns.",
        ]),
        ("right_nut", [
            "Unscrew far nut. It has a left-hand thread: turn it clockwise as you look at it from the right, about 4 "
            "turns.",
        ]),
        ("pipe", [
            "These go as one: the old pipe, the left-hand nut, far nut.",
            "Draw the old pipe straight off, about 40 mm, towards you.",
        ]),
    ]  # fmt: skip


def test_what_goes_on_goes_the_other_way_round() -> None:
    job = _job()
    steps = owner_steps(job, _removal(), _fitting(), Scene(()))
    assert steps.order.fitting is not None
    (doing,) = steps.order.fitting
    assert [move.kind for move in doing.moves] == ["push", "turn back"]
    assert doing.moves[0].towards == "down"
    assert doing.side == "to you"
    assert re.search(r"90", " ".join(moving_lines(doing, words_for(job))))


def test_the_pictures_show_what_stands_there_at_the_time() -> None:
    seen = owner_steps(_job(), _removal(), _fitting(), Scene(())).seen
    assert [(step.number, step.moving, step.on) for step in seen] == [
        (1, ("left_nut",), False), (2, ("right_nut",), False), (3, ("pipe", "left_nut", "right_nut"), False),
        (4, ("handle",), True),
    ]  # fmt: skip
    assert seen[0].there == ("stub", "pipe", "right_nut")
    assert seen[2].there == ("stub",)
    assert seen[3].there == ("stub",)
    assert [(motion.turns, motion.far_mm) for motion in seen[1].motions] == [(-4.0, 6.0)]


def test_an_order_that_is_not_found_to_its_end_is_not_told() -> None:
    steps = owner_steps(_job(), _removal(left=("pipe",)), None, Scene(()))
    assert steps.order.removal is None
    assert steps.order.fitting == ()
    assert steps.seen == ()


@pytest.mark.parametrize(
    ("way", "name"),
    [((0.9, 0.3, 0.1), "right"), ((0, -1, 0.2), "to you"), ((0, 0.1, -1), "down"), ((0, 1, 0), "from you")],
)
def test_directions_are_as_seen_from_the_card_s_foot(way: tuple[float, float, float], name: str) -> None:
    assert towards(np.array(way)) == name
