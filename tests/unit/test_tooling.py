"""Unit: what a workshop owns, read from its shop file; sets counted by hand."""

from __future__ import annotations

import pytest

from trialfit.errors import Refusals
from trialfit.job.read import read_shop
from trialfit.job.shop import Shop, assumed_shop
from trialfit.job.tooling import Tooling, fill_tooling, owned_drills
from trialfit.job.write import write_shop

_REST = """name = "the workshop"
[scatter]
length = "0.6 mm"
bend = "2 deg"
rotation = "4 deg"
"""


def _shop(tooling: str) -> Shop:
    return read_shop(_REST + tooling)


def _names(tooling: str) -> list[str]:
    read = _shop(tooling).tooling
    assert read is not None
    return [drill.name for drill in owned_drills(read)]


@pytest.mark.parametrize(
    ("drill_set", "count", "some"),
    [
        ('{ first = "1 mm", last = "10 mm", step = "0.1 mm" }', 91, ["1 mm", "5.6 mm", "10 mm"]),
        ('{ first = "1/16 in", last = "1/2 in", step = "1/64 in" }', 29, ["1/16 in", "7/32 in", "1/2 in"]),
        ('{ first = "1/2 in", last = "1 1/4 in", step = "1/4 in" }', 4, ["1/2 in", "3/4 in", "1 in", "1 1/4 in"]),
        ('{ first = "#1", last = "#60" }', 60, ["#1", "#43", "#60"]),
        ('{ first = "A", last = "Z" }', 26, ["A", "F", "Z"]),
        ('{ first = "1 mm", last = "1.2 mm", step = "0.05 mm" }', 5, ["1.05 mm", "1.15 mm"]),
    ],
)
def test_a_set_holds_every_step_and_both_ends(drill_set: str, count: int, some: list[str]) -> None:
    names = _names(f"[tooling]\ndrill_sets = [{drill_set}]")
    assert len(names) == count
    assert set(some) <= set(names)


def test_one_drill_and_a_set_are_put_together_each_once() -> None:
    sets = '[{ first = "5 mm", last = "6 mm", step = "0.5 mm" }]'
    assert _names(f'[tooling]\ndrills = ["7/32 in", "5.5 mm"]\ndrill_sets = {sets}') == [
        "5 mm", "5.5 mm", "7/32 in", "6 mm",
    ]  # fmt: skip


def test_what_is_not_said_is_assumed_and_named() -> None:
    filled = fill_tooling(_shop('[tooling]\ndrills = ["5.6 mm"]\ntaps = ["1/4x40"]\nfacing = "0 mm"').tooling)
    assert filled.assumed == ("dies", "reamers", "spindle_rpm", "bars", "spanners", "shims", "parting_width")
    assert [drill.name for drill in owned_drills(filled.tooling)] == ["5.6 mm"]
    assert filled.tooling.taps == ("1/4x40",)
    assert filled.rests_on("dies")
    assert not filled.rests_on("drills", "drill_sets", "taps", "facing")


@pytest.mark.parametrize("tooling", [None, Tooling.model_validate({}), assumed_shop().tooling])
def test_a_shop_that_says_nothing_is_all_assumed(tooling: Tooling | None) -> None:
    assert fill_tooling(tooling).assumed == tuple(Tooling.model_fields)


def test_the_assumed_shop_is_read_back_as_it_was_written() -> None:
    assert read_shop(write_shop(assumed_shop())) == assumed_shop()


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        (
            'drills = ["#99"]',
            "tooling, drill 1: got #99, wanted a number drill from #80 to #1. "
            "Write a name on the drill stand, or a diameter with its unit.",
        ),
        (
            "drills = [5.6]",
            "tooling, drill 1: got 5.6, wanted a drill such as 5.6 mm, 7/32 in, #43 or F. "
            'Write it in quotes: "7/32 in".',
        ),
        (
            'taps = ["1/4x40", "1/4x41"]',
            "tooling, tap 2: got 1/4x41, wanted a thread of the tables, such as 1/4x40, 2BA, M8x1, G1/8 or 1/4-20 UNC. "
            "The nearest known are 1/4x40, 1/4x32 and 1/4-28 UNF.",
        ),
        (
            'drill_sets = [{ first = "1 mm", last = "#4" }]',
            "tooling, drill set 1: got 1 mm to #4 without a step, wanted two drills of one kind, or a step. "
            'Add the step, for instance step = "0.1 mm", or name two drills of one kind, such as #1 and #60.',
        ),
        (
            'drill_sets = [{ first = "2 mm", last = "2 mm", step = "0.1 mm" }]',
            "tooling, drill set 1, last: got 2 mm, wanted another drill than 2 mm. Name the two ends of the set.",
        ),
        (
            'drill_sets = [{ first = "1 mm", last = "10 mm", step = "0.1 um" }]',
            "tooling, drill set 1, step: got 0.1 um, wanted a step that gives a set of at most 500 drills. "
            "Check the step and its unit.",
        ),
        (
            "spindle_rpm = [200, 0]",
            "tooling, spindle_rpm: got 0, wanted a whole number of at least 1. "
            "Write it like this: spindle_rpm = [200, 350, 600, 1000].",
        ),
        (
            'bars = [{ metal = "CZ120X", shape = "round", size = "6 mm" }]',
            "tooling, bar 1, metal: got CZ120X, wanted a metal of the tables. Did you mean CW612N?",
        ),
    ],
)
def test_what_cannot_be_owned_is_refused_by_its_name(line: str, fault: str) -> None:
    with pytest.raises(Refusals) as refused:
        _shop(f"[tooling]\n{line}")
    assert [str(each) for each in refused.value.faults] == [f"shop.toml:7: {fault}"]
