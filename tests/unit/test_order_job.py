"""Unit: how a job says what comes off, in which order, and what its joints say of it by themselves."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from trialfit.cli.fitting_order import command
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.fitup.order.plan import removal_of
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.job.read import read_job
from trialfit.job.records import Job
from trialfit.job.shop import assumed_shop
from trialfit.parts.solids import Capsule
from trialfit.plan import Plan, plan

# A cock screwed 6 mm into a bush on a plate, 1/4x40; its handle held on its spindle by a pin; a pillar 22 mm off that
# the handle strikes as the cock turns. Everything typed, nothing surveyed but three points known exactly.
JOB = """
format = 1
[job]
name = "order"
owner = "H. Wrenfield"
date = 2026-03-14
[engine]
name = "Greylag"
working_pressure = "80 psi"
[points]
"bush.face" = { at = ["0 mm", "0 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
"bush.back" = { at = ["0 mm", "20 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
"handle.tip" = { at = ["-26 mm", "-18 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
[bodies.backhead]
what = "the backhead"
shape = "box"
corner = ["-60 mm", "0 mm", "0 mm"]
size = ["120 mm", "20 mm", "100 mm"]
[bodies.pillar]
what = "a pillar of the cab"
shape = "box"
corner = ["-4 mm", "-30 mm", "PILLAR mm"]
size = ["8 mm", "30 mm", "12 mm"]
[parts.bush]
kind = "bush"
on = "backhead"
[parts.bush.ports]
thread = { thread = "1/4x40", gender = "female", face = "bush.face", axis_from = "bush.back" }
[parts.bush.envelope.body]
shape = "cylinder"
start = ["0 mm", "0 mm", "0 mm"]
end = ["0 mm", "0 mm", "-8 mm"]
diameter = "10 mm"
[parts.cock]
kind = "cock"
what = "the drain cock"
[parts.cock.envelope]
tail = { shape = "cylinder", start = ["0 mm", "0 mm", "-14 mm"], end = ["0 mm", "0 mm", "-8 mm"], diameter = "6.3 mm" }
body = { shape = "cylinder", start = ["0 mm", "0 mm", "-8 mm"], end = ["0 mm", "0 mm", "8 mm"], diameter = "8 mm" }
[parts.cock.ports]
inlet = { thread = "1/4x40", gender = "male", at = ["0 mm", "0 mm", "-14 mm"], direction = [0, 0, -1] }
spindle = { at = ["0 mm", "0 mm", "8 mm"], direction = [0, 0, 1] }
[parts.handle]
kind = "handle"
[parts.handle.envelope]
arm = { shape = "capsule", start = ["0 mm", "0 mm", "2 mm"], end = ["26 mm", "0 mm", "2 mm"], diameter = "3 mm" }
[parts.handle.ports]
hub = { at = ["0 mm", "0 mm", "0 mm"], direction = [0, 0, -1] }
end = { at = ["26 mm", "0 mm", "2 mm"], direction = [1, 0, 0], face = "handle.tip" }
[[joints]]
a = "cock.inlet"
b = "bush.thread"
hidden = "6 mm"
[[joints]]
a = "handle.hub"
b = "cock.spindle"
[order]
off = ["cock"]
directions = { front = [0, -1, 0], left = [-1, 0, 0], top = [0, 0, 1] }
"""


def _planned(text: str) -> Plan:
    job = read_job(text)
    assert isinstance(job, Job)
    return plan(job, assumed_shop())


@pytest.mark.parametrize(
    ("pillar_from", "handle_first"),
    [
        # The handle reaches 26 + 1.5 mm from the axis at 50 mm; a pillar that begins at 70 mm is in its way round.
        ("70", True),
        # One that begins at 79 mm is not.
        ("79", False),
    ],
)
def test_the_handle_comes_off_first_only_where_it_strikes(pillar_from: str, handle_first: bool) -> None:
    worked = _planned(JOB.replace("PILLAR", pillar_from))
    assert worked.removal is not None
    steps = worked.removal.steps
    assert [step.part for step in steps] == (["handle", "cock"] if handle_first else ["cock"])
    assert steps[-1].rides == (() if handle_first else ("handle",))
    # 6 mm of 40 threads to the inch, 0.635 mm each, are 9.45 turns.
    assert steps[-1].motions[0] == "unscrew it 9.4 turns anticlockwise, seen from the front"
    assert steps[0].frees == (("cock",) if handle_first else ())
    assert worked.fitting is not None
    assert [step.part for step in worked.fitting.steps] == [step.part for step in reversed(steps)]
    assert worked.fitting.steps[0].motions[-1] == "screw it 9.4 turns clockwise, seen from the front"
    assert all(finding.answer is Answer.GO for finding in worked.removal.findings if "which order" in finding.question)


def test_what_cannot_come_off_is_a_stop_with_the_angle_and_a_way_out() -> None:
    worked = _planned(
        JOB.replace("PILLAR", "70").replace('off = ["cock"]', 'off = ["cock"]\ntogether = [["cock", "handle"]]')
    )
    assert worked.removal is not None
    (finding,) = worked.removal.findings
    assert finding.answer is Answer.STOP
    # Seen from the front it goes anticlockwise from 9 o'clock to 12, which is 270 deg, less the corner's own angle,
    # atan(4 / 20) = 11.31, less half the arm's thickness at the corner's distance, asin(1.5 / 20.4) = 4.22: 254.47.
    assert finding.because[0].text == "cock cannot come out at all: handle's arm strikes pillar at 254 deg of turn 1."
    assert "shorter" in finding.do
    assert "handle's arm made to come off first" in finding.do


def test_a_job_may_say_how_a_thing_comes_off() -> None:
    said = """
[[comes_off.cock]]
side = ["front"]
by_hand = true
[[comes_off.cock.moves]]
do = "unscrew"
turns = 2.5
thread = "1/4x40"
left_hand = true
[[comes_off.cock.moves]]
do = "pull"
by = "12 mm"
along = [0, -1, 0]
"""
    worked = _planned(JOB.replace("PILLAR", "79") + said)
    assert worked.removal is not None
    (step,) = worked.removal.steps
    assert step.motions == ("unscrew it 2.5 turns clockwise, seen from the front", "pull it 12 mm towards the front")
    assert (step.side, step.spanners) == ("front", ())
    unscrew, pull = (phase.motion for phase in step.way.phases)
    assert unscrew.travel_mm == pytest.approx(2.5 * 25.4 / 40)
    assert unscrew.turn_deg == -900
    assert pull.along == pytest.approx([0, -1, 0])


def test_what_stays_is_not_taken_off() -> None:
    worked = _planned(JOB.replace("PILLAR", "79").replace('off = ["cock"]', 'off = ["cock"]\nstays = ["cock"]'))
    assert worked.removal is not None
    assert worked.removal.left == ("cock",)
    assert worked.removal.findings[0].answer is Answer.STOP


def test_an_old_pipe_comes_off_before_what_it_is_fixed_to() -> None:
    """As surveyed: it leaves the cock's front straight towards one, then turns up; nothing else is said of it."""
    worked = _planned(JOB.replace("PILLAR", "79"))
    start = np.array([0.0, -16.0, 50.0])
    corner, end = np.array([0.0, -46.0, 50.0]), np.array([0.0, -46.0, 90.0])
    legs = (Piece("leg1", Capsule(start, corner, 2.0)), Piece("leg2", Capsule(corner, end, 2.0)))
    old = Thing("old_feed", "the old feed pipe", "old pipe", legs)
    scene = Scene((*(each for each in worked.scene.things if each.name != "handle"), old))
    order = removal_of(worked.job, replace(worked.in_place, scene=scene), worked.survey)
    assert order is not None
    assert [step.part for step in order.steps] == ["old_feed", "cock"]
    # Midway between forward, the way it leaves the cock, and down, the way it leaves its far end.
    assert order.steps[0].way.phases[0].motion.along == pytest.approx([0, -(0.5**0.5), -(0.5**0.5)])
    assert order.steps[0].frees == ("cock",)


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ('moves = [{ do = "pull" }]', "by with pull"),
        ('moves = [{ do = "pull", by = "3 mm", turns = 2 }]', "turns only with unscrew"),
        ('moves = [{ do = "turn", by = "3 mm", angle = "90 deg" }]', "by only with pull, lift"),
        ('moves = [{ do = "turn" }]', "angle with turn"),
        ('moves = [{ do = "unscrew", along = [0, 0, 0] }]', "a direction"),
        ("moves = []", "moves"),
    ],
)
def test_motions_that_make_no_sense_are_refused(line: str, complaint: str) -> None:
    with pytest.raises(Refusal) as refused:
        read_job(JOB.replace("PILLAR", "79") + f"\n[[comes_off.cock]]\n{line}\n")
    assert complaint in str(refused.value)


def test_names_of_nothing_are_refused() -> None:
    with pytest.raises(Refusal) as refused:
        read_job(
            JOB.replace("PILLAR", "79").replace('off = ["cock"]', 'off = ["cok"]\ntogether = [["cock", "handel"]]')
        )
    assert 'Did you mean "cock"?' in str(refused.value)
    assert 'Did you mean "handle"?' in str(refused.value)


def test_the_command_says_it(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOB.replace("PILLAR", "70"))
    said = CliRunner().invoke(command, [str(tmp_path)], standalone_mode=False)
    assert said.return_value == 0
    assert "TAKING OFF" in said.output and "FITTING" in said.output
    assert "  1.  Take off handle" in said.output
    assert "  2.  Take off cock (the drain cock)" in said.output
    assert "Frees cock." in said.output
    assert "Cold, fire out, and no pressure" in said.output
    told = CliRunner().invoke(command, [str(tmp_path), "--json"], standalone_mode=False)
    record: list[dict[str, Any]] = json.loads(told.output)
    assert [step["part"] for step in record[0]["steps"]] == ["handle", "cock"]


def test_a_job_with_nothing_to_take_off_is_refused(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOB.partition("[points]")[0])
    with pytest.raises(Refusal) as refused:
        CliRunner().invoke(command, [str(tmp_path)], standalone_mode=False, catch_exceptions=False)
    assert "nothing that comes off or goes on" in str(refused.value)


# An elbow that is not there yet goes into a bush; a lever on a rod beside it lies 6 mm in front of its arm, 8 mm from
# its axis, and the arm is 14 mm long.
BARRED = """
format = 1
[job]
name = "barred"
owner = "H. Wrenfield"
date = 2026-03-14
[engine]
name = "Greylag"
working_pressure = "80 psi"
[points]
"bush.face" = { at = ["0 mm", "0 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
"bush.back" = { at = ["0 mm", "20 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
"elbow.end" = { at = ["14 mm", "-8 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
"rod.face" = { at = ["-30 mm", "-14 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
"rod.back" = { at = ["-30 mm", "20 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
"lever.tip" = { at = ["-8 mm", "-14 mm", "50 mm"], pm = "0.1 mm", by = "typed" }
[bodies.backhead]
shape = "box"
corner = ["-60 mm", "0 mm", "0 mm"]
size = ["120 mm", "20 mm", "100 mm"]
[parts.bush]
kind = "bush"
on = "backhead"
[parts.bush.ports]
thread = { thread = "1/4x40", gender = "female", face = "bush.face", axis_from = "bush.back" }
[parts.bush.envelope.body]
shape = "cylinder"
start = ["0 mm", "0 mm", "0 mm"]
end = ["0 mm", "0 mm", "-8 mm"]
diameter = "10 mm"
[parts.elbow]
kind = "elbow"
[parts.elbow.envelope]
tail = { shape = "cylinder", start = ["0 mm", "0 mm", "-14 mm"], end = ["0 mm", "0 mm", "-8 mm"], diameter = "6.3 mm" }
arm = { shape = "cylinder", start = ["0 mm", "0 mm", "0 mm"], end = ["14 mm", "0 mm", "0 mm"], diameter = "6 mm" }
[parts.elbow.ports]
inlet = { thread = "1/4x40", gender = "male", at = ["0 mm", "0 mm", "-14 mm"] }
outlet = { at = ["14 mm", "0 mm", "0 mm"], face = "elbow.end" }
[parts.rod]
kind = "bush"
on = "backhead"
[parts.rod.envelope.rod]
shape = "cylinder"
start = ["0 mm", "0 mm", "0 mm"]
end = ["0 mm", "0 mm", "-14 mm"]
diameter = "4 mm"
[parts.rod.ports]
thread = { face = "rod.face", axis_from = "rod.back" }
[parts.lever]
kind = "handle"
[parts.lever.envelope.arm]
shape = "capsule"
start = ["0 mm", "0 mm", "1.5 mm"]
end = ["22 mm", "0 mm", "1.5 mm"]
diameter = "3 mm"
[parts.lever.ports]
hub = { at = ["0 mm", "0 mm", "0 mm"] }
end = { at = ["22 mm", "0 mm", "0 mm"], face = "lever.tip" }
[[joints]]
a = "elbow.inlet"
b = "bush.thread"
hidden = { value = "6 mm", pm = "0.1 mm", by = "typed" }
[[joints]]
a = "rod.thread"
b = "lever.hub"
hidden = { value = "0.01 mm", pm = "0.1 mm", by = "typed" }
[order]
on = ["elbow"]
new = ["elbow"]
"""


def test_what_bars_the_way_of_a_new_part_comes_off_first_and_goes_on_after_it() -> None:
    planned = plan(read_job(BARRED), assumed_shop())
    assert planned.removal is not None and planned.fitting is not None
    assert [step.part for step in planned.removal.steps] == ["lever"]
    assert [step.part for step in planned.fitting.steps] == ["elbow", "lever"]


def test_a_lever_too_short_to_bar_the_way_stays_where_it_is() -> None:
    """Its tip then ends 18 mm from the elbow's axis, and its round end 16.5: the arm reaches 14.4 at its corner."""
    short = BARRED.replace('["-8 mm", "-14 mm", "50 mm"]', '["-18 mm", "-14 mm", "50 mm"]').replace("22 mm", "12 mm")
    planned = plan(read_job(short), assumed_shop())
    assert planned.removal is None
    assert planned.fitting is not None and [step.part for step in planned.fitting.steps] == ["elbow"]
