"""Unit: the launch plant's example: what its measured sizes lead to, worked out by hand."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from trialfit.errors import Refusals
from trialfit.finding import Answer
from trialfit.job.read import read_job
from trialfit.job.shop import assumed_shop
from trialfit.plan import Plan, plan

EXAMPLE = Path(__file__).parents[2] / "examples" / "launch-plant" / "job.toml"
_GROUP = 'together = [["feed_check", "feed_cap"]]\n'


@cache
def _planned(as_one: bool) -> Plan:
    text = EXAMPLE.read_text(encoding="utf-8")
    assert _GROUP in text
    try:
        return plan(read_job(text if as_one else text.replace(_GROUP, "")), assumed_shop())
    except Refusals as refused:
        raise AssertionError(str(refused)) from refused


def test_with_its_cap_on_the_valve_does_not_go_in_and_the_one_change_that_frees_it_is_named() -> None:
    """The cap's top corner is 24 mm up and half of 10 mm across flats, over cos 30, aside: 24.68 mm at 13.52 deg from
    the valve's axis. The gauge's guard begins 120.1 - 99 - 4 = 17.1 mm to the left. 24.68 sin(30.1 + 13.5) is 17.0.
    """
    (finding,) = [each for each in _planned(True).findings if each.about == "order of fitting"]
    assert finding.answer is Answer.STOP
    assert finding.because[0].text == (
        "feed_check cannot go in at all: feed_cap's hexagon strikes water_gauge at 30 deg of turn 1."
    )
    assert finding.do == ("One of these alone frees it, each tried: feed_cap fitted by itself, once feed_check is on.")


def test_with_the_cap_fitted_afterwards_everything_goes_on() -> None:
    """Without the cap nothing of the valve reaches farther from its axis than its lower thread: 15.5 mm down and 3.95
    aside are 16.0 mm, less than 17."""
    fitting = _planned(False).fitting
    assert fitting is not None and not fitting.left
    parts = [step.part for step in fitting.steps]
    assert parts.index("feed_check") < parts.index("feed_cap")
    # R1/8 has 28 threads to the inch, 0.907 mm each: 5.4 mm are 5.95 turns. 5 mm of 32 to the inch are 6.3.
    turned = {step.part: step.motions[-1] for step in fitting.steps}
    assert turned["feed_check"] == "screw it 6 turns clockwise, seen from the front"
    assert turned["feed_cap"] == "screw it 6.3 turns clockwise, seen from the top"


def test_the_pipe_goes_over_the_spirit_tank_with_three_bends() -> None:
    """The tank's top is 45 mm up and the pump's union 36: straight on it would stand in the tank, and up at the valve
    it may rise to 76 less 13 mm of straight only."""
    (pipe,) = _planned(True).pipes
    assert len(pipe.bends) == 3
    (clear,) = [each for each in _planned(True).findings if each.question == "Does its way clear everything?"]
    assert clear.answer is Answer.GO
    over = pipe.vertices_mm[1:-1]
    assert all(z > 45.0 + pipe.tube.od_mm / 2 for x, _, z in over if 140.0 < x < 176.0)


def test_a_taper_thread_is_turned_on_and_takes_no_washers() -> None:
    """Hand tight it points to 20 deg: 160 deg, 0.44 turn, short of straight down; one to two turns leave 1.44."""
    (clocked,) = _planned(True).clocked
    assert clocked.table == ()
    assert [round(each.turns, 2) for each in clocked.turns] == [1.44]
