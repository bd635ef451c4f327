"""Unit: what to drill, by hand; the words of the command; every refusal in full."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from trialfit.cli.what_to_drill import command
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.job.tooling import Tooling, fill_tooling, owned_drills
from trialfit.making.drilling import WhatToDrill, before_a_reamer, what_to_drill
from trialfit.making.drilling_findings import drilling_findings
from trialfit.making.strip import strip_strength, tapping_torque
from trialfit.making.wanted_thread import read_wanted
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import drills
from trialfit.tables.metals import find_metal

_QUARTER = find_thread("1/4x40")
_BRASS = find_metal("CW614N")


def _tooling(*names: str) -> Tooling:
    return Tooling.model_validate({"drills": names, "taps": ["1/4x40"]})


def _found(want: str, *names: str, engaged_mm: float = 6.0, passes_mm: float | None = None) -> WhatToDrill:
    owned = owned_drills(_tooling(*names))
    return what_to_drill(_QUARTER, _BRASS, read_wanted(want, _QUARTER), owned, engaged_mm, passes_mm)


# Depth of 1/4x40 on the diameter: 1.280654 x 0.635 = 0.81322 mm. 5.7 mm leaves 79.9 %, 5.8 mm 67.6 %, 5.6 mm 92.2 %.
@pytest.mark.parametrize(
    ("want", "chosen"),
    [("usual", "5.7 mm"), ("strong", "5.6 mm"), ("easy", "5.8 mm"), ("70 % of form", "5.8 mm"),
     ("90 % of Whitworth", "5.6 mm"), ("80% of form", "5.7 mm")],
)  # fmt: skip
def test_the_drill_nearest_to_what_is_wanted_is_taken(want: str, chosen: str) -> None:
    found = _found(want, "5.6 mm", "5.7 mm", "5.8 mm", "7/32 in")
    assert found.chosen is not None
    assert found.chosen.drill.name == chosen


def test_the_same_figure_of_another_depth_is_another_hole() -> None:
    # M8x1: 75 % of US is 8 - 0.75 x 1.299 = 7.026 mm; of the ISO basic depth 8 - 0.75 x 1.0825 = 7.188 mm.
    fine = find_thread("M8x1")
    owned = [drill for drill in drills("metric") if drill.name in ("6.9 mm", "7 mm", "7.1 mm", "7.2 mm")]
    chosen = [
        what_to_drill(fine, _BRASS, read_wanted(text, fine), owned, 8.0).chosen for text in ("75 % us", "75 % iso")
    ]
    assert [each.drill.name if each else "" for each in chosen] == ["7 mm", "7.2 mm"]


def test_what_has_to_pass_rules_small_drills_out() -> None:
    found = _found("strong", "7/32 in", "5.6 mm", "5.7 mm", passes_mm=5.6)
    assert [choice.drill.name for choice in found.serve] == ["5.6 mm", "5.7 mm"]
    assert str(found.because[0]) == (
        "5.6 mm leaves 92 % of the Whitworth depth, nearest of the drills owned to the 90 % aimed at "
        "and lets 5.6 mm pass."
    )


def test_the_reason_compares_with_the_next_drill() -> None:
    # 5.8 mm is 5.4 points off, 5.7 mm 6.9. From 5.8 to 5.7 the torque goes by
    # (0.65/0.55)^2 (6.35 + 11.4)/(6.35 + 11.6) = 1.381: 38 % more.
    found = _found("73 % of form", "5.7 mm", "5.8 mm")
    assert found.chosen is not None
    assert found.chosen.drill.name == "5.8 mm"
    assert str(found.because[0]).endswith("5.7 mm would add 13 % more strength for 38 % more torque at the tap.")


def test_a_printed_percentage_that_names_no_depth_is_recomputed() -> None:
    # The hobby table prints 5.8 mm as 75 %; it is (6.35 - 5.8)/0.81322 = 67.6 % of the form's depth.
    printed = {each.drill.name: each for each in _found("usual", "5.7 mm").printed}
    assert printed["5.8 mm"].printed_pct == 75
    assert printed["5.8 mm"].percent.of_form_pct == pytest.approx(67.6, abs=0.05)


def test_where_no_owned_drill_serves_one_is_named_to_buy() -> None:
    found = _found("usual", "5 mm", "6 mm")
    assert (found.chosen, found.serve) == (None, ())
    assert found.to_buy is not None
    finding = drilling_findings(found, fill_tooling(_tooling("5 mm", "6 mm")), "nut.thread")[0]
    assert finding.answer is Answer.LOOK
    assert str(finding.because[0]) == "No drill owned leaves 65 to 87 % of the Whitworth depth."
    assert finding.do == f"Buy or borrow {found.to_buy.name}, or bore to {found.to_buy.diameter_mm:.2f} mm."


def test_where_no_drill_at_all_serves_it_stops() -> None:
    found = _found("usual", "5.7 mm", passes_mm=6.2)
    finding = drilling_findings(found, fill_tooling(_tooling("5.7 mm")), "nut.thread")[0]
    assert (finding.answer, finding.do) == (Answer.STOP, "Ask for less thread, or for less to pass through it.")


def test_a_tap_that_is_not_owned_stops_and_one_that_is_not_said_is_passed_over() -> None:
    thread = find_thread("3/16x40")
    found = what_to_drill(thread, _BRASS, read_wanted("usual", thread), drills("metric"), 4.0)
    said = drilling_findings(found, fill_tooling(_tooling("4.1 mm")), "plug")
    assert [(each.question, each.answer) for each in said][1] == ("Is there a 3/16x40 tap?", Answer.STOP)
    assert str(said[1].because[0]) == "None of the taps the shop file names is 3/16x40."
    unsaid = drilling_findings(found, fill_tooling(None), "plug")
    assert not any("tap?" in each.question and each.question.startswith("Is there a 3/16") for each in unsaid)


def test_a_shallow_thread_is_a_finding_that_says_how_deep() -> None:
    findings = drilling_findings(_found("usual", "5.7 mm", engaged_mm=2.0), fill_tooling(None), "nut")
    holds = findings[-1]
    assert holds.answer is Answer.LOOK
    # 11.0 kN of core over 4.3 kN that 2 mm hold at the least: 5.2 mm.
    assert holds.do == "Thread it 5.2 mm deep, or count on 4.3 kN and no more."
    deep = drilling_findings(_found("usual", "5.7 mm", engaged_mm=5.3), fill_tooling(None), "nut")[-1]
    assert deep.answer is Answer.GO


def test_a_weak_hole_strips_before_a_strong_screw() -> None:
    gunmetal, stainless = find_metal("LG2"), find_metal("SS303")
    strip = strip_strength(find_thread("M6"), 5.0, 6.0, gunmetal, stainless)
    assert strip.first == "hole"
    assert strip_strength(find_thread("M6"), 5.0, 6.0, gunmetal).first == "screw"


def test_metals_without_a_printed_cutting_force_are_only_compared() -> None:
    torque = tapping_torque(_QUARTER, 5.7, find_metal("LG2"))
    assert torque.torque_n_m is None
    assert str(torque.because).startswith("No cutting force is printed for leaded gunmetal")
    # 75 % of 0.81322 leaves a 5.74 mm hole: (0.65/0.60992)^2 (6.35 + 11.4)/(6.35 + 11.48) = 1.1306.
    assert torque.times_usual == pytest.approx(1.1306, abs=0.0005)


def test_a_taper_thread_is_left_to_print() -> None:
    thread = find_thread("R1/8")
    found = what_to_drill(thread, _BRASS, read_wanted("usual", thread), drills("metric"), 6.0)
    assert (found.serve, found.chosen, found.to_buy) == ((), None, None)
    assert [each.drill.name for each in found.printed] == ["8.6 mm"]


def test_clearance_is_by_the_owned_drill_next_above() -> None:
    # Hobby table: 6.6 mm is free for 1/4x40; the shop's next above is 7 mm, 0.65 mm over the thread.
    free = [each for each in _found("usual", "5.7 mm", "7 mm").clearance if each.asked.drill.name == "6.6 mm"]
    assert [(each.asked.fit, each.owned and each.owned.name) for each in free] == [("free", "7 mm")]
    assert free[0].over_mm == pytest.approx(0.65)
    assert all(each.owned is None for each in _found("usual", "5.7 mm").clearance)


def test_a_reamer_is_left_the_least_it_wants() -> None:
    # 3/16 in = 4.7625 mm wants 0.1 to 0.25 mm: 4.5125 to 4.6625 mm.
    found = before_a_reamer(4.7625, owned_drills(_tooling("4.4 mm", "4.5 mm", "4.6 mm", "4.7 mm")))
    assert [drill.name for drill in found.serve] == ["4.6 mm"]
    assert found.chosen is not None
    assert str(found.because) == "A reamer of 4.763 mm wants 0.1 to 0.25 mm left on the diameter. [common practice]"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "75 %",
            "thread wanted: got 75 %, wanted a percentage that names its depth. "
            "Three depths are called 100 %: write 75 % of form, of us or of iso.",
        ),
        (
            "75 % of BA",
            "thread wanted: got 75 % of BA, wanted a percentage that names its depth. "
            "Three depths are called 100 %: write 75 % of form, of us or of iso.",
        ),
        (
            "tight",
            "thread wanted: got tight, wanted strong, usual, easy, or a percentage with its depth such as 75 % of "
            "form. Write usual where you have no reason for another.",
        ),
        (
            "120 % of form",
            "thread wanted: got 120 % of form, wanted 30 to 101 %. "
            "Below 30 % a thread hardly holds; above it no metal is left to cut.",
        ),
    ],
)
def test_an_amount_of_thread_that_says_nothing_is_refused(text: str, said: str) -> None:
    with pytest.raises(Refusal) as refused:
        read_wanted(text, _QUARTER)
    assert str(refused.value) == said


def test_sizes_that_make_no_thread_are_refused() -> None:
    cases: list[tuple[Callable[[], object], str]] = [
        (lambda: strip_strength(_QUARTER, 6.5, 6.0, _BRASS),
         "hole for 1/4x40: got 6.50 mm, wanted less than the 6.35 mm of the screw. No thread is left: drill smaller."),
        (lambda: _found("usual", "5.7 mm", engaged_mm=0.0),
         "depth of thread: got 0 mm, wanted more than nought. Give the length of full thread."),
        (lambda: _found("usual", "5.7 mm", passes_mm=6.35),
         "what passes: got 6.35 mm, wanted less than 6.35 mm, the thread itself. Take a larger thread."),
        (lambda: before_a_reamer(20.0, drills()),
         "reamed hole: got 20 mm, wanted 1 to 13 mm. Take the reamer maker's allowance."),
    ]  # fmt: skip
    for ask, said in cases:
        with pytest.raises(Refusal) as refused:
            ask()
        assert str(refused.value) == said


_SHOP = """name = "the workshop"
[scatter]
length = "0.6 mm"
bend = "2 deg"
rotation = "4 deg"
[tooling]
drills = ["5.7 mm", "7/32 in", "6.6 mm"]
taps = ["1/4x40"]
"""


def test_the_command_reads_the_shop_and_marks_the_choice(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(_SHOP)
    words = ["1/4x40", "--metal", "CZ121", "--depth", "6 mm", "--shop", str(shop)]
    lines = CliRunner().invoke(command, words).output.splitlines()
    assert lines[0] == "1/4x40 in CW614N (free-cutting brass), 6.00 mm of thread; wanted: usual."
    assert lines[3].split()[:6] == [">", "5.7", "mm", "80", "%", "79"]
    assert (
        "Drill 5.7 mm. 5.7 mm leaves 80 % of the Whitworth depth, nearest of the drills owned to the 78 % aimed at."
        in lines
    )
    assert (
        "  7/32 in    98 % of the Whitworth depth, 96 % of US; common in brass fittings; nearly the whole thread, "
        "so hard on the tap [memory; owned]"
    ) in lines
    assert "  free    6.6 mm   +0.25 mm [common practice]; owned" in lines
    assert not any("assumed" in line for line in lines if "drills" in line)


def test_the_command_answers_in_json_and_before_a_reamer() -> None:
    answered = json.loads(CliRunner().invoke(command, ["2BA", "--metal", "LG2", "--json"]).output)
    # 78 % of 1.2 x 0.81 mm leaves a 3.942 mm hole; 5/32 in is 3.969, #23 3.912 mm.
    assert answered["found"]["chosen"]["drill"]["name"] == "5/32 in"
    assert [each["text"] for each in answered["assumed"]] == [
        "No depth was given: one diameter, 4.70 mm.",
        "No shop file says which drills are owned: the usual sets of a small workshop.",
    ]
    reaming = CliRunner().invoke(command, ["--ream", "6 mm"]).output
    assert reaming.splitlines()[1].startswith("Drill ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "what to drill: got no thread, wanted a thread and --metal, or --ream. "
             "Write for instance: trialfit what-to-drill 1/4x40 --metal CW614N."),
        (["1/4x40"], "what to drill: got no metal, wanted a thread and --metal, or --ream. "
                     "Write for instance: trialfit what-to-drill 1/4x40 --metal CW614N."),
        (["1/4x40", "--metal", "CW614N", "--depth", "6"],
         "depth of thread: got 6 without a unit, wanted a length such as 5.6 mm or 3/16 in. "
         "Put the unit behind the number: 6 mm."),
    ],
)  # fmt: skip
def test_words_that_are_missing_are_asked_for(words: list[str], said: str) -> None:
    result = CliRunner().invoke(command, words)
    assert isinstance(result.exception, Refusal)
    assert str(result.exception) == said
