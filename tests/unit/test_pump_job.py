"""Unit: a pump's figures in the job, by hand: bands, what the joints put in its suction, slips word for word."""

from __future__ import annotations

import pytest

from feed_jobs import SMALL_CIRCUIT, SMALL_JOINTS, SMALL_PARTS, job_text
from trialfit.errors import Refusal
from trialfit.feed.pump_job import pumps_of
from trialfit.feed.pump_report import PumpReport
from trialfit.finding import Answer, Finding
from trialfit.job.read import read_job
from trialfit.job.records import Job
from trialfit.job.write import write_job

FIGURES = """[circuit.sources.pump.pump]
ram = "10 mm"
stroke = "10 mm"
share = ["70 %", "80 %", "90 %"]
[circuit.use]
turns = [100, 200, 300]
heat = ["1 kW", "1 kW", "2 kW"]
"""
AXLE = SMALL_CIRCUIT.replace('pump = { kind = "axle pump" }', '[circuit.sources.pump]\nkind = "axle pump"')


def _job(
    figures: str = FIGURES, circuit: str = AXLE, joints: str = SMALL_JOINTS, parts: dict[str, str] | None = None
) -> Job:
    return read_job(job_text(parts or SMALL_PARTS, joints, circuit + figures))


def _only(job: Job) -> tuple[PumpReport, tuple[Finding, ...]]:
    (report,), said = pumps_of(job)
    return report, said


def test_the_axle_s_turns_are_its_strokes_and_low_goes_with_low() -> None:
    """pi/4 x 10² x 10 mm3 = 0.785398 mL; 100 x 0.7, 200 x 0.8 and 300 x 0.9 times that."""
    report, said = _only(_job())
    band = report.delivers
    assert (band.low, band.likely, band.high) == pytest.approx((54.978, 125.664, 212.058), abs=1e-3)
    assert {each.about for each in said} == {"pump"}
    # 22.5 mL/min is boiled away by 1 kW at 80 psi; at 60 psi of this engine 22.5 too (within 0.1), twice that at 2 kW.
    assert report.boiled is not None
    assert report.boiled.likely == pytest.approx(22.5, abs=0.15)
    assert report.boiled.high == pytest.approx(45.0, abs=0.3)


@pytest.mark.parametrize(
    ("turns", "answer"),
    [
        # At every speed of the engine 0.7 of what it sweeps covers 45 mL/min: 0.785 x 100 x 0.7 = 55.
        ("[100, 200, 300]", Answer.GO),
        # At 40 turns it gives 22 to 28, which may or may not do; at 300 it does.
        ("[40, 200, 300]", Answer.LOOK),
        # At 5 to 20 turns it gives 14 at the most.
        ("[5, 10, 20]", Answer.STOP),
    ],
)
def test_does_it_feed_what_is_used(turns: str, answer: Answer) -> None:
    _, said = _only(_job(FIGURES.replace("[100, 200, 300]", turns)))
    assert next(each.answer for each in said if "feed what is used" in each.question) is answer


def test_cylinders_and_pump_on_one_axle_are_held_against_each_other_turn_by_turn() -> None:
    """A pump that gives 0.55 to 0.71 mL a turn, cylinders that draw less a turn at any speed: it feeds.

    One cylinder of 10 x 10 mm at full stroke fills 2 x 0.7854 mL of steam a turn, which at 60 psi weighs under 2.8 g/L
    (steam tables: 2.75): 0.0043 g, 2.5 times that on cold walls 0.011 mL. Held against each other at unlike speeds they
    would leave a doubt where the speeds lie further apart than 50 to 1: here 1 to 100.
    """
    wide = FIGURES.replace("[100, 200, 300]", "[1, 10, 100]").replace('heat = ["1 kW", "1 kW", "2 kW"]\n', "")
    job = _job(wide + 'cylinders = { number = 1, bore = "10 mm", stroke = "10 mm", cut_off = "100 %" }\n')
    report, said = _only(job)
    assert report.drawn is not None and report.drawn.high > report.delivers.low
    assert next(each.answer for each in said if "feed what is used" in each.question) is Answer.GO


def test_the_suction_s_fittings_are_those_the_joints_put_there() -> None:
    """Tank, union, elbow, pipe, pump: the union's 200 and the elbow's 800 in slow flow, mouth 160, ball 2000."""
    parts = {**SMALL_PARTS, "under": "union body", "turn": "elbow"}
    joints = SMALL_JOINTS + "\nunder.face - turn.inlet\nturn.outlet - suction.start"
    circuit = AXLE.replace("suction.start", "under")
    pipe = '[circuit.sources.pump.pump.suction]\nbore = "3 mm"\nlength = "300 mm"\n'
    figures = FIGURES.replace("[circuit.use]", pipe + "[circuit.use]")
    report, _ = _only(_job(figures, circuit, joints, parts))
    assert report.asked.suction is not None
    assert report.asked.suction.passes == ("ball check", "union", "elbow")
    assert report.asked.suction.k_slow == 160 + 2000 + 200 + 800
    # A suction valve that is a part of the job is met once, not twice.
    valve = {**parts, "foot": "check valve"}
    with_valve = joints.replace("suction.end - pump.inlet", "suction.end - foot.inlet\nfoot.outlet - pump.inlet")
    own = circuit.replace('kind = "axle pump"', 'kind = "axle pump"\nvalves = ["delivery"]')
    report, _ = _only(_job(figures, own, with_valve, valve))
    assert report.asked.suction is not None
    assert sorted(report.asked.suction.passes) == ["ball check", "elbow", "union"]


def test_a_pump_that_cannot_draw_at_all_is_a_stop_of_its_own() -> None:
    pipe = '[circuit.sources.pump.pump.suction]\nbore = "3 mm"\nlength = "300 mm"\nlift = "11 m"\n'
    reports, (said,) = pumps_of(_job(FIGURES.replace("[circuit.use]", pipe + "[circuit.use]")))
    assert reports == ()
    assert said.answer is Answer.STOP
    assert said.do == "Lower the pump, cool the water, or take a lighter ball."


def test_figures_are_written_back_as_they_are() -> None:
    job = _job(FIGURES.replace('["1 kW", "1 kW", "2 kW"]', '"1 kW"'))
    assert read_job(write_job(job)) == job
    assert "turns = [100, 200, 300]" in write_job(job)


@pytest.mark.parametrize(
    ("was", "then", "said"),
    [
        (
            "turns = [100, 200, 300]", "",
            "job.toml:70: source pump, pump, strokes: got nothing, wanted how fast it works. Add strokes = [180, 240, "
            "300]: delivery strokes a minute, or turns = [180, 240, 300] under [circuit.use].",
        ),
        (
            '["70 %", "80 %", "90 %"]', '["90 %", "80 %", "70 %"]',
            "source pump, pump, share: got 90 %, 80 %, 70 %, wanted low, likely and high, rising. Write the "
            "least first.",
        ),
        (
            '["70 %", "80 %", "90 %"]', '"120 %"',
            "source pump, pump, share: got 120 %, wanted at most 100 % of what is swept. Measure it again.",
        ),
        (
            "[100, 200, 300]", "[100, 200]",
            "circuit, use, turns: got a list of 2, wanted one figure, or low, likely and high. Give one or three.",
        ),
        (
            '[circuit.use]', '[circuit.sources.pump.pump.suction]\nlength = "1 m"\n[circuit.use]',
            'source pump, pump, suction, bore: got neither, wanted one of bore and pipe. Give its bore, for instance '
            'bore = "3 mm".',
        ),
        (
            '[circuit.use]', '[circuit.sources.pump.pump.suction]\npipe = "sucton"\nlength = "1 m"\n[circuit.use]',
            'source pump, pump, suction, pipe: got "sucton", wanted the name of a pipe to be made, under [pipes]. '
            "Add it to the job.",
        ),
        (
            '[circuit.use]', '[circuit.sources.pump.pump.balls]\nlow = { ball = "3 mm", seat = "4 mm" }\n[circuit.use]',
            "source pump, pump, ball valve low, seat: got a ball of 3 mm on a seat of 4 mm, wanted a ball greater than "
            "its seat. Check which is which; it falls through.",
        ),
    ],
)  # fmt: skip
def test_slips_are_named_in_full(was: str, then: str, said: str) -> None:
    assert was in FIGURES
    with pytest.raises(Refusal) as raised:
        _job(FIGURES.replace(was, then))
    assert said.partition("job.toml:70: ")[2] in str(raised.value) or said in str(raised.value)
