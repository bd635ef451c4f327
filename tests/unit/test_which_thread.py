"""Unit: which thread is this, by arithmetic done by hand; every refusal in full."""

from __future__ import annotations

import json
from typing import Any

import pytest
from click.testing import CliRunner

from trialfit.cli.which_thread import command
from trialfit.errors import Refusal
from trialfit.parts.look_alikes import Ends, attempt, look_alikes, warning
from trialfit.parts.thread_asked import thread_asked
from trialfit.parts.thread_ranking import Origin, Ranking, rank_threads, thread_frequency
from trialfit.parts.thread_readings import PitchReading, ThreadReadings
from trialfit.parts.which_thread import which_thread
from trialfit.tables.designations import find_thread
from trialfit.tables.threads import thread_series


def test_two_threads_alike_in_all_but_angle_share_as_their_series_are_met() -> None:
    # 0BA and M6x1 have the same diameter and pitch, so the readings say the same of both. On a British engine BA is
    # taken as met 10 times to metric's 2: 10/12 and 2/12.
    readings = ThreadReadings("male", 5.95, 0.05, (PitchReading(1.0, 0.01, 0, "leaf"),))
    shares = {each.thread.designation: each.share for each in rank_threads(readings, Origin.BRITISH).candidates}
    assert shares["0BA"] == pytest.approx(10 / 12, abs=0.003)
    assert shares["M6x1"] == pytest.approx(2 / 12, abs=0.003)


def test_a_series_taken_twice_as_often_doubles_its_odds() -> None:
    readings = ThreadReadings("male", 5.95, 0.05, (PitchReading(1.0, 0.01, 0, "leaf"),))
    found = rank_threads(readings, Origin.BRITISH, {"M": 2})
    shares = {each.thread.designation: each.share for each in found.candidates}
    assert shares["0BA"] / shares["M6x1"] == pytest.approx(10 / 4, abs=0.03)


def test_a_flank_angle_is_weighed_by_its_own_error() -> None:
    # 60 read with +-5 (sigma 2.5): 47.5 deg lies 5 sigma off, so 0BA falls by exp(-12.5) against M6x1.
    readings = ThreadReadings("male", 5.95, 0.05, (PitchReading(1.0, 0.01, 0, "leaf"),), 60.0)
    found = rank_threads(readings, Origin.BRITISH)
    assert found.credible == ("M6x1",)
    assert found.candidates[0].share > 0.999


def test_worn_crests_let_a_larger_thread_in() -> None:
    sharp = rank_threads(ThreadReadings("male", 6.1, 0.05), Origin.BRITISH)
    worn = rank_threads(ThreadReadings("male", 6.1, 0.05, worn=True), Origin.BRITISH)

    def share(ranking: Ranking) -> float:
        return sum(each.share for each in ranking.candidates if each.thread.designation == "1/4x40")

    assert share(worn) > 1.4 * share(sharp)


def test_one_thread_under_two_names_is_one_candidate() -> None:
    found = rank_threads(ThreadReadings("male", 3.1, 0.05, (PitchReading(0.635, 0.008, 0, "leaf"),)), Origin.BRITISH)
    assert found.candidates[0].thread.designation == "1/8x40"
    assert found.candidates[0].also == ("1/8 BSW",)


def test_every_series_has_a_frequency_for_every_origin() -> None:
    for origin in Origin:
        assert set(thread_frequency(origin)) == set(thread_series())
        assert min(thread_frequency(origin).values()) > 0


def test_a_slip_in_counting_is_pointed_out() -> None:
    # Nine pitches of 40 tpi are 5.715 mm.
    asked = thread_asked(over="6.3 mm", ten="5.71 mm", ten_pm="0.1 mm")
    found = which_thread(asked.readings, Origin.BRITISH)
    assert found.ranking.credible == ("1/4x40",)
    assert str(found.because[-1]) == (
        "5.71 mm is nearer to 9 pitches of 1/4x40 than to 10: count again, crest to crest, nought at the first."
    )


# By hand: G1/8 has E = 9.728 - 0.6403 x 0.90714 = 9.1471; M10x1 has E = 10 - 0.6495 = 9.3505, core 8.9175.
# At diameter 9.728 the groove is 0.5 + 0.57735 (9.3505 - 9.728) = 0.28204 and the ridge 0.45357 + 0.52057
# (9.1471 - 9.728) = 0.15118: room 0.13086. At 8.9175 it is 0.74999 - 0.57310 = 0.1769. 0.13086 over
# 1 - 0.90714 is 1.41 turns.
# 3/8x26 in G1/8, one form: E 8.8995, p 0.97692, so the room is the same at every diameter: (0.90714 - 0.97692)/2 +
# tan 27.5 (9.1471 - 8.8995) = 0.0940, over 0.06978 it is 1.347 turns.
# M6x0.75 in 1/4x40: E 5.5129 and 5.9434. At 6.0: 0.3175 + 0.52057 (5.9434 - 6.0) = 0.28804 less 0.375 + 0.57735
# (5.5129 - 6.0) = 0.09378 is 0.19426; at 5.5368 0.52917 less 0.36120 is 0.16797: over 0.115 it is 1.46 turns.
@pytest.mark.parametrize(
    ("male", "female", "least_turns"),
    [("G1/8", "M10x1", 1.41), ("3/8x26 brass", "G1/8", 1.347), ("M6x0.75", "1/4x40", 1.46)],
)
def test_the_least_turns_until_it_binds(male: str, female: str, least_turns: float) -> None:
    tried = attempt(find_thread(male), find_thread(female))
    assert tried.ends is Ends.BINDS
    assert tried.turns is not None
    assert tried.turns.low == pytest.approx(least_turns, abs=0.01)
    assert tried.turns.low < tried.turns.likely < tried.turns.high


@pytest.mark.parametrize(
    ("thread", "named"),
    [("G1/8", {"M10x1", "3/8x26 brass", "R1/8"}), ("0BA", {"M6x1"}), ("1/4x40", {"M6x0.75"}), ("2BA", {"10-32 UNF"})],
)
def test_the_trade_s_known_look_alikes_are_found_by_name(thread: str, named: set[str]) -> None:
    found = look_alikes(find_thread(thread))
    names = {name for each in found for name in (each.male.designation, each.female.designation)}
    assert named <= names


def test_no_thread_is_a_look_alike_of_its_own_mate_under_another_name() -> None:
    for name, alias in [("1/8x40", "1/8 BSW"), ("1/4 BSF", "1/4x26 brass")]:
        found = look_alikes(find_thread(name))
        assert all(alias not in (each.male.designation, each.female.designation) for each in found)


def test_look_alikes_are_warned_of_in_a_sentence() -> None:
    assert warning(attempt(find_thread("G1/8"), find_thread("M10x1"))) == (
        "A male G1/8 starts in a female M10x1 and binds after about 2.4 turns (1.4 to 3.2): "
        "ten of its threads are 0.93 mm shorter."
    )
    assert warning(attempt(find_thread("M6"), find_thread("0BA"))) == (
        "A male M6x1 starts in a female 0BA and runs on, though it is not its mate: "
        "its flanks, 60 against 47.5 deg, bear on an edge."
    )
    assert warning(attempt(find_thread("G1/8"), find_thread("R1/8"))).endswith("one of them tapers.")


def test_the_pitch_gauge_is_advised_where_pitches_differ_and_flanks_where_they_do_not() -> None:
    eight = which_thread(ThreadReadings("male", 7.85, 0.05), Origin.BRITISH)
    assert eight.tests[0].do == (
        "Try the 32 tpi leaf of a pitch gauge against it, then the 40 tpi one: over ten threads 5/16x32 is 7.94 mm and "
        "5/16x40 6.35 mm, 1.59 mm apart."
    )
    assert eight.tests[0].then[0] == "32 tpi seats: 5/16x32"
    six = which_thread(ThreadReadings("male", 5.95, 0.05, (PitchReading(1.0, 0.01, 0, "leaf"),)), Origin.BRITISH)
    assert six.tests[0].name == "flanks"
    assert six.tests[0].then == ("47.5 deg (British Association): 0BA", "60 deg (ISO metric and unified): M6x1")


def test_no_test_is_offered_twice_or_where_one_thread_is_left() -> None:
    leaf = PitchReading(25.4 / 28, 0.011, 0, "leaf")
    ten = PitchReading(25.4 / 28, 0.02, 10, "ten")
    found = which_thread(ThreadReadings("male", 9.7, 0.05, (leaf, ten), 55.0, tapers=False), Origin.METRIC)
    assert {test.name for test in found.tests} <= {"trial", "micrometer"}
    settled = which_thread(ThreadReadings("male", 6.3, 0.05, (PitchReading(0.635, 0.01, 0, "leaf"),)))
    assert settled.ranking.settled
    assert settled.tests == ()


def test_a_trial_nut_settles_what_diameter_and_pitch_cannot() -> None:
    asked = thread_asked(over="5.95 mm", pitch="1 mm", runs_on=["M6"])
    assert rank_threads(asked.readings, Origin.BRITISH).credible == ("M6x1", "0BA")
    asked = thread_asked(over="5.95 mm", pitch="1 mm", binds=["M6"])
    assert rank_threads(asked.readings, Origin.BRITISH).credible == ("0BA",)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (
            {},
            "diameter: got neither, wanted one of over and bore. "
            "Measure a male thread over its crests (over), a female one across its bore (bore).",
        ),
        (
            {"over": "9.7 mm", "bore": "8.6 mm"},
            "diameter: got both, wanted one of over and bore. "
            "Measure a male thread over its crests (over), a female one across its bore (bore).",
        ),
        (
            {"over": "9.7"},
            "over the crests: got 9.7 without a unit, wanted a length such as 5.6 mm or 3/16 in. "
            "Put the unit behind the number: 9.7 mm.",
        ),
        (
            {"over": "0.382 mm"},
            "over the crests: got 0.382 mm, wanted 1 to 22 mm, where the tables' threads lie. "
            "Were inches meant? 0.382 in is 9.70 mm.",
        ),
        (
            {"bore": "6 in"},
            "bore: got 6 in, wanted 1 to 22 mm, where the tables' threads lie. Were millimetres meant? Write 6 mm.",
        ),
        (
            {"over": "40 mm"},
            "over the crests: got 40 mm, wanted 1 to 22 mm, where the tables' threads lie. "
            "Measure again; the tables hold no thread of that size.",
        ),
        (
            {"over": "9.7 mm", "pm": "0 mm"},
            "over the crests, plus-or-minus: got 0 mm, wanted more than nought. Check the figure and its sign.",
        ),
        (
            {"over": "9.7 mm", "ten": "0.91 mm"},
            "ten threads: got 0.91 mm, wanted 2.5 to 30 mm. "
            "Measure from one crest to the eleventh; give a single pitch as the pitch.",
        ),
        (
            {"over": "9.7 mm", "pitch": "9.1 mm"},
            "pitch: got 9.1 mm, wanted 0.25 to 3 mm. "
            "Give the distance from crest to crest; give ten of them as ten threads.",
        ),
        (
            {"over": "9.7 mm", "tpi": "280"},
            "tpi: got 280, wanted 8.5 to 101 tpi. Read the leaf again; for a metric leaf give the pitch instead.",
        ),
        (
            {"over": "9.7 mm", "tpi": "0.9 mm"},
            "tpi: got 0.9 mm, a length, wanted a number of threads per inch such as 40 tpi. "
            "Give the threads per inch here, for instance 40 tpi.",
        ),
        (
            {"over": "9.7 mm", "angle": "27.5"},
            "flank angle: got 27.5, wanted 40 to 70 deg. "
            "Give the included angle, both flanks together: 55 deg for Whitworth, 60 deg for metric.",
        ),
        (
            {"over": "9.7 mm", "runs_on": ["M11"]},
            "thread of the trial nut or screw: got M11, wanted a thread of the tables, such as 1/4x40, 2BA, M8x1, G1/8 "
            "or 1/4-20 UNC. The nearest known are M10x1.5, M12x1.75 and M10x1.",
        ),
    ],
)
def test_readings_that_make_no_sense_are_refused(written: dict[str, Any], said: str) -> None:
    with pytest.raises(Refusal) as refused:
        thread_asked(**written)
    assert str(refused.value) == said


def test_series_and_weights_that_make_no_sense_are_refused() -> None:
    readings = ThreadReadings("male", 9.7, 0.05)
    with pytest.raises(Refusal, match=r"^series: got NPT, wanted ME40, .*MF\. Write the series as the tables do\.$"):
        rank_threads(readings, favour={"NPT": 2})
    with pytest.raises(Refusal) as refused:
        rank_threads(readings, favour={"BSF": -1})
    assert str(refused.value) == "weight of BSF: got -1, wanted nought or more. Write 2 for twice as often met."


def test_what_is_left_open_is_settled_by_a_test_or_not_in_the_tables() -> None:
    found = which_thread(ThreadReadings("male", 9.7, 0.05), Origin.BRITISH)
    assert not found.ranking.settled and found.tests[0].do.startswith("Try the 28 tpi leaf")
    leaf = PitchReading(0.635, 0.01, 0, "leaf")
    sure = which_thread(ThreadReadings("male", 6.3, 0.05, (leaf,)))
    assert sure.ranking.settled and not sure.tests
    odd = which_thread(ThreadReadings("male", 11.9, 0.05, (PitchReading(0.55, 0.01, 0, "leaf"),)))
    assert odd.ranking.none_of_them


def test_the_command_prints_what_a_person_needs() -> None:
    words = ["--over", "9.7 mm", "--tpi", "28", "--from", "british"]
    lines = CliRunner().invoke(command, words).output.splitlines()
    assert lines[0] == (
        "Male, 9.70 ± 0.05 mm over the crests, a leaf of 28 tpi; from a British engine. Plus-or-minus is k = 2."
    )
    assert lines[3].split()[:3] == ["87", "%", "G1/8"]
    assert "With 95 % it is one of G1/8 and R1/8." in lines
    assert any(line.startswith("Next. Caliper over the crests at both ends") for line in lines)
    assert any("starts in a female M10x1 and binds" in line for line in lines)
    assert lines[-1].endswith("[assumed]")


def test_the_command_answers_in_json() -> None:
    answered = json.loads(CliRunner().invoke(command, ["--bore", "5.7 mm", "--ten", "6.35 mm", "--json"]).output)
    assert answered["credible"] == ["1/4x40"]
    assert answered["found"]["readings"]["gender"] == "female"


def test_nothing_near_is_said_so() -> None:
    output = CliRunner().invoke(command, ["--over", "11.9 mm", "--pitch", "0.55 mm"]).output
    assert "No thread of the tables is near these readings." in output
