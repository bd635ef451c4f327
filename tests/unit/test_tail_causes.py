"""Unit: causes of a break, their weights multiplied by hand; and what a job of broken tails is told."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis
from trialfit.job.breaks import Clue as ClueName
from trialfit.job.breaks import Where
from trialfit.job.records import Job
from trialfit.strength.causes import Suspect, rank_causes
from trialfit.strength.clues import causes, clues
from trialfit.strength.report import BreakReport, why_broken
from trialfit.strength.worked_out import worked_out_clues


def _job(**entry: Any) -> Job:
    tail = {"thread": "1/4x40", "bore": "5/32 in", "metal": "CW614N", **entry}
    return Job.model_validate(
        {
            "format": 1,
            "job": {"name": "snipe-elbow", "owner": "A. Fenwright", "date": "2026-03-14"},
            "engine": {"name": "Snipe", "working_pressure": "80 psi"},
            "breaks": {"tail": tail},
        }
    )


def _report(**entry: Any) -> BreakReport:
    return why_broken(_job(**entry))[0]


def _answers(report: BreakReport) -> dict[str, Answer]:
    return {finding.question: finding.answer for finding in report.findings}


def _by_key(seen: list[str]) -> dict[str, Suspect]:
    return {suspect.cause.key: suspect for suspect in rank_causes(seen).suspects}


def test_a_job_may_name_every_clue_of_the_table_and_no_other() -> None:
    assert set(get_args(ClueName)) | set(get_args(Where)) == set(clues())


def test_every_clue_names_known_causes_and_says_that_it_is_assumed() -> None:
    for clue in clues().values():
        assert set(clue.weights) <= set(causes())
        assert all(weight > 0 for weight in clue.weights.values())
        assert clue.basis is Basis.ASSUMED


def test_before_anything_is_seen_the_shares_are_those_of_the_table() -> None:
    # 3 + 1 + 2 + 1 + 1 + 0.5 + 0.3 = 8.8; overtightened 3/8.8.
    assert _by_key([])["overtightened"].share == pytest.approx(3 / 8.8)


def test_weights_multiply_between_groups() -> None:
    # Bent (5, 0.5, 0.5, 0.3, 0.3, 0.2, 1) and dark all over (0.3, 0.3, 0.3, 2, 2, 3, 1), in the order knocked,
    # overtightened, forced, fatigue, zinc, season, frozen, with 2, 3, 1, 1, 1, 0.5, 0.3 before:
    # 3, 0.45, 0.15, 0.6, 0.6, 0.3, 0.3: sum 5.4.
    found = _by_key(["bent", "dark all over"])
    assert found["knocked"].share == pytest.approx(3 / 5.4)
    assert found["fatigue"].share == pytest.approx(0.6 / 5.4)
    assert found["frozen"].share == pytest.approx(0.3 / 5.4)
    assert found["knocked"].words == "about 6 in 10"


def test_of_one_group_only_the_strongest_counts() -> None:
    # Both tell which way the crack runs: branched is 10 to 1 for season cracking, a ring beside the break 5 to 1.
    both, one = _by_key(["branched cracks", "crack ring beside the break"]), _by_key(["branched cracks"])
    weights = {key: suspect.share / causes()[key].before for key, suspect in both.items()}
    assert weights["season_cracked"] / weights["zinc_lost"] == pytest.approx(10.0)
    assert one["season_cracked"].speaks_for[0].weight == 10.0


def test_saying_a_thing_twice_changes_nothing() -> None:
    assert rank_causes(["bent", "bent"]) == rank_causes(["bent"])


def test_what_speaks_is_said_with_its_odds() -> None:
    leader = rank_causes(["threads drawn out"]).leader
    assert leader.cause.key == "overtightened"
    assert str(leader.speaks_for[0]) == "threads drawn out, 10 to 1 (pulled past yield, which only preload does)"
    against = _by_key(["threads drawn out"])["fatigue"].speaks_against[0]
    assert str(against).startswith("threads drawn out, 5 to 1 (")


def test_assumed_weights_never_make_certain() -> None:
    found = rank_causes(["broke while tightening", "threads drawn out", "bright all over", "hexagon marked"])
    assert found.leader.words == "9 in 10 or better"
    assert found.leader.tenths == 9


def test_the_next_look_is_the_one_that_splits_the_leaders() -> None:
    # Fatigue and season cracking lead; they differ most in rings like a shell (10 to 1) and branched cracks (0.3 to 10,
    # 33 to 1): which way the crack runs comes first.
    found = rank_causes(["part dark, part bright", "found broken", "straight"])
    assert {found.suspects[0].cause.key, found.suspects[1].cause.key} == {"fatigue", "season_cracked"}
    assert found.look_next == "which way the crack runs: round, along, or branched"


def test_an_unknown_clue_is_refused() -> None:
    with pytest.raises(Refusal, match='evidence: got "purple", wanted '):
        rank_causes(["purple"])


def test_figures_speak_as_clues_do() -> None:
    # Bored 3/16 in soft brass it parts at about 2 N·m: 50 N on 75 mm, 3.75 N·m, is a light hand and enough.
    weak = _report(bore="3/16 in", soldered=True, spanner={"length": "75 mm"}, shoulder="10 mm").found
    # Solid, it parts far above what a light hand gives.
    strong = _report(bore="0 mm", spanner={"length": "20 mm"}, shoulder="10 mm").found
    assert weak is not None
    assert strong is not None
    assert [clue.weight("overtightened") for clue in worked_out_clues(weak)] == [5.0]
    assert [clue.weight("overtightened") for clue in worked_out_clues(strong)] == [0.2]


def test_bronze_does_not_lose_zinc() -> None:
    report = _report(metal="CW451K", evidence=["dark all over"])
    keys = [suspect.cause.key for suspect in report.ranking.suspects]
    assert keys.index("zinc_lost") >= 5


def test_the_questions_of_a_repair() -> None:
    report = _report(
        spanner={"length": "75 mm"}, shoulder="10 mm", engaged="6 mm", into="CC491K", soldered=True,
        hangs={"mass": "60 g", "arm": "35 mm"}, repaired={"bore": "1/8 in", "metal": "CW451K"},
    )  # fmt: skip
    assert _answers(report) == {
        "Why did it break?": Answer.LOOK,
        "What shears it?": Answer.LOOK,
        "What bore would have held?": Answer.LOOK,
        "Will the new one stand?": Answer.LOOK,
        "How hard may the owner pull?": Answer.LOOK,
        "Does the thread strip before the tail parts, as repaired?": Answer.GO,
    }


def test_without_a_repair_one_like_it_is_judged() -> None:
    answers = _answers(_report(bore="3/16 in", soldered=True, spanner={"length": "75 mm"}))
    assert answers["Would one like it stand?"] is not Answer.GO
    assert "Will the new one stand?" not in answers


@pytest.mark.parametrize("which", ["as found", "as repaired"])
def test_a_bore_that_leaves_no_metal_stops_with_what_to_change(which: str) -> None:
    too_big = {"bore": "5.6 mm"}
    report = _report(**too_big) if which == "as found" else _report(repaired=too_big)
    stop = next(finding for finding in report.findings if finding.answer is Answer.STOP)
    assert stop.question == f"Is there metal left under the thread, {which}?"
    assert str(stop.figure) == "5.60 mm"
    assert str(stop.limit) == "5.54 mm"
    assert stop.do == (
        f"Change the bore {which} to less than 5.54 mm, or the thread. The thread is cut down to 5.54 mm: bore it "
        "less, or use a larger thread."
    )


def test_a_heavy_weight_on_a_long_arm_stops() -> None:
    # 3/16 bore in soft brass yields at about 10 mm3 x 103 MPa = 0.7 N·m; 2 kg at 80 mm are 1.6 N·m at rest.
    report = _report(bore="3/16 in", soldered=True, spanner={"length": "75 mm"}, hangs={"mass": "2 kg", "arm": "80 mm"})
    assert _answers(report)["Would one like it stand?"] is Answer.STOP


def test_what_is_left_out_is_said() -> None:
    job = _job(spanner={"length": "75 mm"})
    bare = job.model_copy(update={"breaks": {"tail": job.breaks["tail"].model_copy(update={"metal": None})}})
    shears = next(f for f in why_broken(bare)[0].findings if f.question == "What shears it?")
    texts = [reason.text for reason in shears.because if reason.basis is Basis.ASSUMED]
    assert "The metal is not known; CW614N, free-cutting brass, is taken." in texts
    assert "No shoulder is entered: all the torque is taken to go into the thread, which is the harder case." in texts
    assert "The spanner is taken to sit one thread's diameter, 6.35 mm, above the first thread." in texts


@pytest.mark.parametrize(
    ("where", "said"),
    [
        ("in the plain tube", "It broke in the plain tube: these figures are those of the thread, which held."),
        (
            "at a cross hole",
            "It broke at a cross hole: the hole is reckoned with only where its share is entered as lost.",
        ),
    ],
)
def test_a_break_elsewhere_is_not_passed_off_as_the_threads(where: str, said: str) -> None:
    shears = next(finding for finding in _report(where=where).findings if finding.question == "What shears it?")
    assert said in [reason.text for reason in shears.because]


def test_a_part_lends_its_metal() -> None:
    job = _job().model_dump()
    job["parts"] = {"elbow": {"kind": "elbow", "metal": "CC491K", "ports": {}}}
    job["breaks"]["tail"] |= {"metal": None, "part": "elbow"}
    job["joints"] = []
    found = why_broken(Job.model_validate(job))[0].found
    assert found is not None
    assert found.tail.state.metal.key == "CC491K"
