"""Unit: turned parts as a job file has them: each kind of line is read, each slip named with its line and remedy."""

from __future__ import annotations

from typing import Any

import pytest

from trialfit.errors import Refusals
from trialfit.job.read import read_job
from trialfit.job.turned import InsideLine, OutsideLine, inside_kind, outside_kind
from trialfit.job.turned_sizes import PATTERN_SIZES, TurnedSizes
from trialfit.job.write import write_job
from trialfit.making.turned.patterns import PATTERNS, expanded
from turned_jobs import TEXT, bench, entry, job, part

OUTSIDE: list[dict[str, Any]] = [
    {"plain": "9.5 mm", "long": "3 mm"},
    {"spigot": "6.5 mm", "shows": "1 mm", "port": "tail.a"},
    {"hexagon": "10 mm", "long": "6 mm"},
    {"thread": "1/4x40", "long": "8 mm", "undercut": "1.3 mm"},
    {"groove": "5.4 mm", "long": "1.5 mm", "o_ring": "1.78 mm", "ring_bore": "5 mm", "against": "8 mm"},
    {"taper": "8 mm", "to": "5 mm", "angle": "60 deg"},
    {"chamfer": "0.4 mm"},
]
INSIDE: list[dict[str, Any]] = [
    {"bore": "5/32 in", "through": True, "reamed": True, "ball": "3/16 in"},
    {"counterbore": "6.5 mm", "deep": "5 mm", "o_ring": "1.78 mm", "ring_bore": "2.9 mm"},
    {"thread": "5/16x32", "deep": "7 mm", "drill": "7.2 mm", "drilled": "9 mm", "flat": True},
    {"cone": "60 deg", "mouth": "4.8 mm"},
    {"groove": "8.4 mm", "at": "2 mm", "long": "2.4 mm", "o_ring": "1.78 mm", "ring_bore": "6 mm", "against": "6 mm"},
]

WASHER = {"body": "9 mm", "bore": "6 mm", "long": "1 mm"}

# What is written instead of a line of the example, what the fault must say, and the text its line must hold.
SLIPS = [
    (
        '{ spigot = "6.5 mm", long = "4 mm" }',
        '{ spigot = "6.5 mm" }',
        "turned part tail, outside line 1: got none of long, shows, wanted one of long, shows. "
        'Write long = "8 mm", or shows = "0 mm" with a port.',
    ),
    (
        '{ hexagon = "10 mm", long = "6 mm" }',
        '{ hexagon = "10 mm", plain = "9 mm", long = "6 mm" }',
        "turned part tail, outside line 3: got plain and hexagon, wanted only one of them. "
        'Begin with what it is, for instance { thread = "1/4x40", long = "8 mm" }.',
    ),
    (
        '{ hexagon = "10 mm", long = "6 mm" }',
        '{ hexagon = "10", long = "6 mm" }',
        "turned part tail, outside line 3, hexagon: got 10 without a unit, wanted a length such as 5.6 mm or 3/16 in. "
        "Put the unit behind the number: 10 mm.",
    ),
    (
        'thread = "1/4x40", shows',
        'thread = "1/4x41", shows',
        "turned part tail, outside line 5, thread: got 1/4x41, wanted a thread of the tables, such as 1/4x40, 2BA, "
        "M8x1, G1/8 or 1/4-20 UNC. The nearest known are 1/4x40, 1/4x32 and 1/4-28 UNF.",
    ),
    (
        'port = "tail.a", undercut',
        'port = "tail.aa", undercut',
        'turned part tail, outside line 5, port: got "tail.aa", wanted a port that a joint names. '
        'Did you mean "tail.a"?',
    ),
    (
        'hidden = { value = "8 mm", pm = "0.2 mm", by = "workshop, depth rod" }\n',
        "",
        "turned part tail, outside line 5, port: got a joint that does not say how much it hides, wanted its hidden "
        'length, to be added to what shows. Add hidden = "8 mm" to the joint of tail.a: how much of it is out of '
        "sight when it is home. Without it the part would come out too short.",
    ),
    (
        '{ bore = "5/32 in", through = true }',
        '{ bore = "5/32 in", through = true, deep = "9 mm" }',
        "turned part tail, line from the left 1: got deep and through, wanted only one of them. "
        'Write deep = "7 mm", or through = true.',
    ),
    (
        'mouth = "4.4 mm"',
        'muoth = "4.4 mm"',
        'turned part tail, line from the right 1: got a key "muoth", wanted one of its known keys. '
        'Did you mean "mouth"?',
    ),
    (
        'walls = "one"',
        'walls = "two"',
        'turned part tail, cross hole 1, walls: got "two", wanted one of "one", "both". '
        "Write one of them, letter for letter.",
    ),
    (
        'hexagon = "3/8 in", long',
        "long",
        "turned part nut, sizes: got a union nut without hexagon, wanted hexagon. "
        'Add hexagon = "10 mm": hexagon across its flats.',
    ),
]  # fmt: skip


@pytest.mark.parametrize("line", OUTSIDE, ids=lambda line: next(iter(line)))
def test_each_kind_of_outside_line_is_read(line: dict[str, Any]) -> None:
    assert outside_kind(OutsideLine.model_validate(line)) == next(iter(line))


@pytest.mark.parametrize("line", INSIDE, ids=lambda line: next(iter(line)))
def test_each_kind_of_inside_line_is_read(line: dict[str, Any]) -> None:
    assert inside_kind(InsideLine.model_validate(line)) == next(iter(line))


@pytest.mark.parametrize(("was", "slip", "said"), SLIPS, ids=[slip[:30] or "hidden" for _, slip, _ in SLIPS])
def test_a_slip_is_named_with_its_line(was: str, slip: str, said: str) -> None:
    assert TEXT.count(was) == 1
    with pytest.raises(Refusals) as refused:
        read_job(TEXT.replace(was, slip))
    (fault,) = refused.value.faults
    place, _, rest = str(fault).partition(": ")
    assert rest == said
    number = int(place.removeprefix("job.toml:"))
    written = TEXT.replace(was, slip).splitlines()[number - 1]
    assert slip.splitlines()[0] in written if slip else 'port = "tail.a"' in written


def test_a_job_with_turned_parts_is_written_one_line_a_feature_and_read_back() -> None:
    written = write_job(job())
    assert read_job(written) == job()
    assert '    { hexagon = "10 mm", long = "6 mm" },\n' in written
    assert 'hidden = { value = "8 mm", pm = "0.2 mm", by = "workshop, depth rod" }\n' in written


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        ({"outside": [{"chamfer": "0.4 mm"}]}, "at least one line with a length"),
        ({"pattern": "shim washer", "sizes": {"body": "9 mm", "bore": "6 mm"}}, "long"),
        ({"pattern": "shim washer", "sizes": {**WASHER, "ball": "2 mm"}}, "sizes"),
        ({"sizes": {"body": "9 mm"}, "outside": OUTSIDE[:1]}, "a pattern"),
        ({"outside": [{"taper": "8 mm", "to": "5 mm"}]}, "two of them"),
        ({"outside": [{"groove": "5 mm", "long": "2 mm", "o_ring": "1.78 mm"}]}, "all of o_ring, ring_bore, against"),
        ({"outside": [{"chamfer": "0.4 mm", "long": "1 mm"}]}, "keys that belong to a chamfer"),
        ({"outside": OUTSIDE[:1], "from_left": [{"cone": "60 deg"}]}, "mouth"),
        ({"outside": OUTSIDE[:1], "from_left": [{"cone": "180 deg", "mouth": "5 mm"}]}, "an included angle"),
        ({"outside": OUTSIDE[:1], "metal": "unobtainium"}, "a metal of the tables"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused(lines: dict[str, Any], wanted: str) -> None:
    with pytest.raises(ValueError) as refused:
        entry(**lines)
    assert wanted in str(refused.value.errors()[0]["ctx"]["wanted"])  # type: ignore[attr-defined]


# The least sizes of each ready-made part, then all it may have.
def _sizes(pattern: str, all_of_them: bool) -> dict[str, Any]:
    needed, more = PATTERN_SIZES[pattern]
    keys = [*needed, *(more if all_of_them else ())]
    if {"thread_long", "thread_shows"} <= {*needed, *more}:
        keys = [key for key in keys if key != "thread_shows"]
        keys += [] if "thread_long" in keys else ["thread_long"]
    given = {key: (TurnedSizes.model_fields[key].examples or [None])[0] for key in keys}
    sound = {
        "thread": "5/16x32",
        "body": "12 mm",
        "long": "14 mm",
        "hexagon": "12 mm",
        "spigot": "8.5 mm",
        "bore": "4 mm",
    }
    other = {"other_long": "6 mm", "hexagon_long": "9 mm", "nose": "5.2 mm", "spigot_long": "5 mm", "ball": "5.5 mm"}
    return {key: {**sound, **other}.get(key, value) for key, value in given.items()}


@pytest.mark.parametrize("all_of_them", [False, True])
@pytest.mark.parametrize("pattern", PATTERNS)
def test_each_ready_made_part_is_written_out_as_lines_and_can_be_made(pattern: str, all_of_them: bool) -> None:
    lines = expanded(entry(pattern=pattern, sizes=_sizes(pattern, all_of_them)))
    assert lines.pattern is None
    assert lines.outside
    made = part(
        {"a": "tail.a", "b": "bush.thread", "hidden": "5 mm"}, pattern=pattern, sizes=_sizes(pattern, all_of_them)
    )
    assert made.long_mm > 0.0
    assert bench().drills
