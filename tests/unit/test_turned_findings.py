"""Unit: what stops a turned part, or wants looking at, says which figure to change and to what.

Figures by hand: core of 1/4x40 is 6.35 - 1.280654 x 0.635 = 5.5368; the assumed least wall is 0.5.
"""

from __future__ import annotations

from typing import Any

import pytest

from trialfit.finding import Answer, Finding
from trialfit.job.read import read_job
from trialfit.job.shop import assumed_shop
from trialfit.making.turned.plan import turned_parts
from turned_jobs import TEXT, found, graver

STEM = {"thread": "1/4x40", "long": "8 mm"}
ROD = {"plain": "10 mm", "long": "20 mm"}
BAR = {"shape": "round", "size": "1/2 in"}


def _about(findings: list[Finding], words: str) -> Finding:
    (match,) = [finding for finding in findings if words in finding.question]
    return match


# The lines of a part; words of the question; answer; the figure; what to do.
CASES: dict[str, tuple[dict[str, Any], str, Answer, float | None, str]] = {
    # (5.5368 - 5.6) / 2 = -0.0316; at most 5.5368 - 2 x 0.5 = 4.5368, and 4.5 mm is the largest drill under that.
    "a bore bigger than the core": (
        {"outside": [STEM], "from_left": [{"bore": "5.6 mm", "through": True}]},
        "Does the bore 5.60 mm stay inside the core of the thread 1/4x40?",
        Answer.STOP, -0.0316,
        "Change bore from 5.60 mm to at most 4.53 mm in line 1 from the left; the largest drill owned under that is "
        "4.5 mm.",
    ),
    # (5.5368 - 5.1) / 2 = 0.2184, under half of the assumed 0.5.
    "a wall nobody would leave": (
        {"outside": [STEM], "from_left": [{"bore": "5.1 mm", "through": True}]},
        "Is there wall enough between the bore 5.10 mm and the core of the thread 1/4x40?",
        Answer.STOP, 0.2184,
        "Change bore from 5.10 mm to at most 4.53 mm in line 1 from the left; the largest drill owned under that is "
        "4.5 mm.",
    ),
    # (5.5368 - 4.7625) / 2 = 0.3871: between half the assumed limit and the whole.
    "a wall to look at": (
        {"outside": [STEM], "from_left": [{"bore": "3/16 in", "through": True}]},
        "Is there wall enough", Answer.LOOK, 0.3871,
        "Change bore from 4.76 mm to at most 4.53 mm in line 1 from the left; the largest drill owned under that is "
        "4.5 mm.",
    ),
    # The job's own limit stops where the assumed one would only ask: at most 5.5368 - 1.2 = 4.3368; #18 is 4.3053.
    "a wall below what the job asks": (
        {"outside": [STEM], "from_left": [{"bore": "4.5 mm", "through": True}], "least_wall": "0.6 mm"},
        "Is there wall enough", Answer.STOP, 0.5184,
        "Change bore from 4.50 mm to at most 4.33 mm in line 1 from the left; the largest drill owned under that is "
        "#18.",
    ),
    # (5.5368 - 5.7) / 2 = -0.0816 at the face.
    "a cone mouth that cuts into the thread": (
        {"outside": [STEM], "from_right": [{"cone": "60 deg", "mouth": "5.7 mm"}]},
        "Does the 60 deg cone with a mouth of 5.70 mm stay inside the core of the thread 1/4x40?",
        Answer.STOP, -0.0816, "Change mouth from 5.70 mm to at most 4.53 mm in line 1 from the right.",
    ),
    # 7.9375 in 8.5: 0.28125; a body of 7.9375 + 1 = 8.9375.
    "a female thread in too thin a body": (
        {"outside": [{"plain": "8.5 mm", "long": "8 mm"}], "from_left": [{"thread": "5/16x32", "through": True}]},
        "Is there wall enough", Answer.LOOK, 0.28125,
        "Make the plain 8.50 mm at least 8.94 mm there, or take a smaller thread in line 1 from the left.",
    ),
    # 20 - 19.7 = 0.3 at the bottom: 19.7 - 0.2 = 19.5.
    "a thin bottom": (
        {"outside": [ROD], "from_left": [{"counterbore": "6 mm", "deep": "19.7 mm"}]},
        "Is there wall enough", Answer.LOOK, 0.3,
        "Make the counterbore 6.00 mm at most 19.50 mm deep (line 1 from the left).",
    ),
    "a bore that lies in a counterbore": (
        {"outside": [ROD], "from_left": [{"counterbore": "6 mm", "deep": "9 mm"}, {"bore": "4 mm", "deep": "7 mm"}]},
        "Does the bore 4.00 mm cut anything?", Answer.STOP, None,
        "Make it deeper or wider, or take line 2 from the left out.",
    ),
    # 5/16x32 in a 7.5 mm bore right through: its hole is 9/32 in, 7.14 mm, so nothing but crests is left.
    "a bore that takes a thread away": (
        {
            "outside": [{"plain": "12 mm", "long": "10 mm"}],
            "from_left": [{"thread": "5/16x32", "deep": "6 mm"}, {"bore": "7.5 mm", "through": True}],
        },
        "Is any of the female thread 5/16x32 left?", Answer.STOP, 0.0,
        "Make it at most 7.14 mm, or the thread deeper than 10.00 mm.",
    ),
    # 19.5 + 0.3004 x 5 = 21.002 in a part of 20: at most 20 - 1.502 = 18.498.
    "a blind bore whose point comes out": (
        {"outside": [ROD], "from_left": [{"bore": "5 mm", "deep": "19.5 mm"}]},
        "Does the bore 5.00 mm end inside the part?", Answer.STOP, 21.0021,
        "Make deep less than 18.50 mm in line 1 from the left, or write through = true.",
    ),
    "a groove that is none": (
        {"outside": [ROD, {"groove": "10.5 mm", "long": "2 mm"}, ROD]},
        "Is the groove 10.50 mm a groove?", Answer.STOP, 10.5, "Make groove less than 10.00 mm, or call it plain.",
    ),
    # 3/16 in is the major of 3/16x40 too; next comes 2BA with 4.7.
    "a thread no die cuts": (
        {"outside": [{"thread": "3/16x32", "long": "6 mm"}]},
        "Can the shop cut 3/16x32?", Answer.STOP, None,
        "Buy or borrow the die, or change the thread in outside line 1 to one it cuts, such as 3/16x40 or 2BA; its "
        "mate must have the same.",
    ),
    "a thread no tap cuts": (
        {"outside": [ROD], "from_left": [{"thread": "3/16x32", "through": True}]},
        "Can the shop cut 3/16x32?", Answer.STOP, None,
        "Buy or borrow the tap, or change the thread in line 1 from the left to one it cuts, such as 3/16x40 or 2BA; "
        "its mate must have the same.",
    ),
    "a bar that is too thin": (
        {"outside": [{"hexagon": "10 mm", "long": "5 mm"}], "bar": {"shape": "round", "size": "11 mm"}},
        "Is there bar for it?", Answer.STOP, 11.0,
        "Take round bar of at least 11.55 mm, or make the part thinner.",
    ),
    "a bar that is not in stock": (
        {"outside": [ROD], "bar": {"shape": "round", "size": "12 mm"}},
        "Is there bar for it?", Answer.LOOK, 12.0, "Buy round bar 12.00 mm diameter in CW614N.",
    ),
    "no bar of the metal": (
        {"outside": [ROD], "metal": "SS303"},
        "Is there bar for it?", Answer.LOOK, None,
        "Buy SS303 bar, round 10.00 mm or over, or add what there is to the shop file.",
    ),
    # 20 / 2 = 10 diameters.
    "a drill too long for its diameter": (
        {"outside": [ROD], "from_left": [{"bore": "2 mm", "through": True}]},
        "Will a drill of 2.00 mm go that deep?", Answer.LOOK, 10.0,
        "Drill from both ends, or take a long drill and clear it every diameter, or open the far part out first.",
    ),
    # 5.57: 7/32 in is 5.556 and #2 is 5.613; #2 5.6134 is 0.043 off, 5.6 mm 0.03: 7/32 in and 5.6 mm.
    "a bore no drill gives": (
        {"outside": [ROD], "from_left": [{"bore": "5.57 mm", "through": True}]},
        "Is there a drill for the bore 5.57 mm?", Answer.LOOK, 5.57,
        "Bore it to size, or change it in line 1 from the left to 7/32 in or 5.6 mm.",
    ),
    "a reamer that is not there": (
        {"outside": [ROD], "from_left": [{"bore": "4.2 mm", "through": True, "reamed": True}]},
        "Is there a reamer for the bore 4.20 mm?", Answer.LOOK, 4.2,
        "Bore it, or change it in line 1 from the left to a reamer that is owned.",
    ),
    # 100 (4.7 - 4.5) / 0.972 = 20.6 %.
    "a tapping drill that leaves no thread worth having": (
        {"outside": [ROD], "from_left": [{"thread": "2BA", "through": True, "drill": "4.5 mm"}]},
        "Which drill before tapping 2BA?", Answer.LOOK, 20.576, "Drill 5/32 in instead in line 1 from the left.",
    ),
    # Two pitches of 0.81 below 6: 7.62.
    "no room for the tap": (
        {"outside": [ROD], "from_left": [{"thread": "2BA", "deep": "6 mm", "drilled": "6.5 mm"}]},
        "Is there room below the female thread 2BA for the tap?", Answer.LOOK, 0.5,
        "Make drilled at least 7.62 mm in line 1 from the left, or deep less.",
    ),
    "a die that runs out at the shoulder": (
        {"outside": [ROD, STEM]},
        "Does the thread 1/4x40 run full to its shoulder?", Answer.LOOK, 6.73,
        'Add undercut = "1.27 mm" to outside line 2, or chamfer its mate over two pitches.',
    ),
    # Half the hole is 1: the middle must be 1 + 0.5 from a face.
    "a cross hole off the end": (
        {"outside": [ROD], "cross_holes": [{"hole": "2 mm", "at": "0.5 mm", "walls": "both"}]},
        "Does the cross hole 2.00 mm at 0.50 mm lie within the part?", Answer.STOP, 0.5,
        "Set at between 1.50 and 18.50 mm.",
    ),
    # 1.3 - 1 = 0.3 to the face.
    "a cross hole near the end": (
        {"outside": [ROD], "cross_holes": [{"hole": "2 mm", "at": "1.3 mm", "walls": "both"}]},
        "Is there metal enough left round the cross hole 2.00 mm at 1.30 mm?", Answer.LOOK, 0.3,
        "Move it 0.20 mm away, or drill it at most 1.60 mm.",
    ),
    # A tangent of 44 deg needs 1.39 bores; 4.2 on 4 mm is 1.05: bore 4.2/1.40 to 4.2/1.25.
    "a ball too small for its seat": (
        {"outside": [ROD], "from_left": [{"bore": "4 mm", "through": True, "ball": "4.2 mm"}]},
        "Does a ball of 4.20 mm seat on a bore of 4.00 mm?", Answer.LOOK, 1.05,
        "Bore between 3.00 and 3.36 mm for this ball.",
    ),
    "a ball that falls through": (
        {"outside": [ROD], "from_left": [{"bore": "4 mm", "through": True, "ball": "4 mm"}]},
        "Does a ball of 4.00 mm seat on a bore of 4.00 mm?", Answer.STOP, 1.0,
        "Take a ball of at least 5.00 mm, or bore at most 3.20 mm.",
    ),
    # Depth (9 - 6) / 2 = 1.5 for a ring of 1.78: 15.7 %; width 2: fill 2.4885 / 3 = 83 %, both within.
    # With a width of 1.7: 97.6 %. The middle of the limits: 1.78 x 0.775 = 1.3795 deep, 2.405 wide.
    "an O-ring that fills its groove": (
        {
            "outside": [
                ROD,
                {"groove": "6 mm", "long": "1.7 mm", "o_ring": "1.78 mm", "ring_bore": "5.9 mm", "against": "9 mm"},
                {"plain": "8.9 mm", "long": "3 mm"},
            ]
        },
        "Does the O-ring lie right in the groove 6.00 mm?", Answer.LOOK, 15.730,
        "Make the groove 2.76 mm smaller than its bore on the diameter and 2.41 mm wide.",
    ),
    "a washer too thin to hold": (
        {"pattern": "shim washer", "sizes": {"body": "10 mm", "bore": "6.4 mm", "long": "0.15 mm"}},
        "Can it be held to be faced?", Answer.LOOK, 0.15,
        "Cut it from shim of that thickness, a stack clamped between two discs, and only bore and turn the stack.",
    ),
    # Mild steel at half of 100 ft/min on 16 in is 11.9 turns: the slowest of the lathe is 130.
    "a lathe that is too fast": (
        {"outside": [{"plain": "406.4 mm", "long": "20 mm"}], "metal": "MS070M20"},
        "Is the lathe slow enough for parting 406.40 mm?", Answer.LOOK, 130.0,
        "Take a lighter cut, keep the tool wet, or turn by hand.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_finding_says_which_figure_to_change_and_to_what(name: str) -> None:
    lines, question, answer, figure, do = CASES[name]
    finding = _about(graver(**lines), question)
    assert (finding.answer, finding.do) == (answer, do)
    assert finding.about == "turned piece"
    value = getattr(finding.figure, "value", None)
    assert value == (None if figure is None else pytest.approx(figure, abs=5e-4))


@pytest.mark.parametrize(("long", "answer", "do"), [
    ("7.9 mm", Answer.STOP, "Make long at least 8.20 mm, or write shows instead of long."),
    ("8.1 mm", Answer.LOOK, "It may be short by 0.10 mm: make long 8.20 mm."),
    ("8.2 mm", Answer.GO, ""),
])  # fmt: skip
def test_a_length_that_was_written_is_held_against_what_its_joint_hides(long: str, answer: Answer, do: str) -> None:
    joint = {"a": "tail.a", "b": "bush.thread", "hidden": {"value": "8 mm", "pm": "0.2 mm", "by": "workshop"}}
    stem = {"thread": "1/4x40", "long": long, "port": "tail.a", "undercut": "1.3 mm"}
    finding = _about(found(joint, outside=[ROD, stem]), "as long as its joint hides")
    assert (finding.answer, finding.do) == (answer, do)


def test_a_female_thread_is_held_against_what_is_screwed_into_it() -> None:
    joint = {"a": "tail.a", "b": "bush.thread", "hidden": {"value": "8 mm", "pm": "0.2 mm", "by": "workshop"}}
    nut = {"thread": "1/4x40", "deep": "8.1 mm", "port": "bush.thread"}
    finding = _about(found(joint, outside=[ROD], from_left=[nut]), "deep enough")
    assert (finding.answer, finding.do) == (Answer.STOP, "Make deep at least 8.20 mm in line 1 from the left.")


def test_a_thread_full_too_short_for_its_mate_stops() -> None:
    # 9 mm less a run-out of 1.27 is 7.73 of full thread for 8 hidden.
    joint = {"a": "tail.a", "b": "bush.thread", "hidden": "8 mm"}
    finding = _about(found(joint, outside=[ROD, {**STEM, "long": "9 mm", "port": "tail.a"}]), "run full")
    assert finding.answer is Answer.STOP


def test_a_sound_part_is_told_what_is_good_with_its_reasons() -> None:
    made = turned_parts(read_job(TEXT), assumed_shop())
    own = [finding for finding in made.findings if finding.about == "turned tail"]
    assert {finding.answer for finding in own} == {Answer.GO}
    blank = _about(own, "How long must the blank be?")
    assert [str(reason) for reason in blank.because] == [
        "8.00 mm of tail.a is out of sight in bush.thread (± 0.20 mm, k = 2); it is counted in. [workshop, depth rod]",
        "Saw length is 18.00 mm finished, 1.00 mm for facing both ends and 2.00 mm for the parting cut.",
    ]
    wall = _about(own, "Is there wall enough")
    assert "That 0.50 mm of wall is enough is assumed. [assumed]" in [str(reason) for reason in wall.because]


def test_a_part_that_cannot_be_worked_out_is_a_stop_and_the_others_go_on() -> None:
    slip = TEXT.replace('{ chamfer = "0.4 mm" },\n    { hexagon', '{ chamfer = "7 mm" },\n    { hexagon')
    made = turned_parts(read_job(slip), assumed_shop())
    assert [plan.part.name for plan in made.parts] == ["nut"]
    (stop,) = [finding for finding in made.findings if finding.about == "turned tail"]
    assert stop.answer is Answer.STOP
    assert stop.do == "Make it smaller, or take it out."


def test_percentages_of_thread_name_their_depth() -> None:
    # The usual share of a Whitworth depth is 78 %: 7.9375 - 0.78 x 1.01652 = 7.145, and 9/32 in is 7.14375.
    # (7.9375 - 7.14375) / 1.01652 = 78.1 % of its own depth; / (1.299038 x 0.79375) = 77.0 % of the US handbook depth;
    # / (1.082532 x 0.79375) = 92.4 % of the ISO basic depth.
    made = turned_parts(read_job(TEXT), assumed_shop())
    finding = _about([f for f in made.findings if f.about == "turned nut"], "Which drill before tapping 5/16x32?")
    assert str(finding.figure) == "78 % of its own form's depth"
    assert str(finding.because[0]) == (
        "9/32 in (7.14 mm) leaves 78 % of its own form's depth, 77 % of the US handbook depth, 92 % of the ISO basic "
        "depth."
    )
