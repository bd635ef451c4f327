"""Laws: whatever is done to a job file, the answer is a job or a refusal with places, never anything else."""

from __future__ import annotations

import tomllib
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from trialfit.errors import Refusal
from trialfit.job.read import read_job
from trialfit.job.records import Job

PAGE = Path(__file__).parents[2] / "docs" / "job-file.md"
GOOD = PAGE.read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0]
LINES = GOOD.split("\n")
SNIPPETS = st.sampled_from(
    ['"', "'", '"""', "'''", "[", "]", "[[", "{", "}", "=", ".", ",", "#", "\\", "\n", "\r", "\t", " ", "\0", "0", "-",
     "1e999", "nan", "inf", "9" * 400, "1/0", "1/0x40", "0x", "true", "[]", "{}", "a.b = 1", "“", "½", "mm", "²", "٣",
     "-0", "1979-05-27", "07:32:00", "[points]", "[[readings]]", "swg", "M", "x", "a.a.a.a = {}"]
)  # fmt: skip
VALUES = st.recursive(
    st.sampled_from(
        ['""', '"x"', '"x.y"', "0", "-1", "1.5", "true", "nan", "2026-03-14", '"0 mm"',
         '"-1 mm"', '"1/0 in"', '"22 swg"',
         '"' + "9" * 330 + ' mm"', '"' + "9" * 330 + 'x40"', '"0x0"', '"M0x0"', '"0 swg"', '" "', "9" * 400]
    ),
    lambda inner: st.lists(inner, max_size=3).map(lambda each: f"[{', '.join(each)}]")
    | st.dictionaries(st.sampled_from(["at", "pm", "px", "face", "x", '"a.b"', "port"]), inner, max_size=3).map(
        lambda each: "{" + ", ".join(f"{key} = {value}" for key, value in each.items()) + "}"
    ),
    max_leaves=5,
)  # fmt: skip


def _answers(text: str) -> None:
    try:
        assert isinstance(read_job(text, pictures=("front.jpg", "left.jpg")), Job)
    except Refusal as refusal:
        last = text.count("\n") + 1
        lines = [fault.line for fault in refusal.faults]
        assert lines == sorted(lines)
        assert all(0 <= line <= last for line in lines)
        assert all(fault.got and fault.wanted and fault.remedy and fault.file for fault in refusal.faults)
        assert len(set(refusal.faults)) == len(refusal.faults)
        assert all(str(fault).isprintable() for fault in refusal.faults)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(GOOD)), st.integers(0, 4), SNIPPETS), min_size=1, max_size=4))
def test_slips_of_the_finger(slips: list[tuple[int, int, str]]) -> None:
    text = GOOD
    for at, gone, put in slips:
        text = text[:at] + put + text[at + gone :]
    _answers(text)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(GOOD)), st.integers(0, len(GOOD)))
def test_a_piece_cut_out(a: int, b: int) -> None:
    _answers(GOOD[: min(a, b)] + GOOD[max(a, b) :])
    _answers(GOOD[: min(a, b)])


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(LINES) - 1), VALUES), min_size=1, max_size=6))
def test_values_of_every_kind_in_every_place(swaps: list[tuple[int, str]]) -> None:
    lines = list(LINES)
    for at, value in swaps:
        if "=" in lines[at]:
            lines[at] = f"{lines[at].split('=')[0]}= {value}"
    text = "\n".join(lines)
    tomllib.loads(text)
    _answers(text)


@settings(max_examples=60, deadline=None)
@given(st.permutations(range(len(LINES))))
def test_lines_in_any_order(order: list[int]) -> None:
    _answers("\n".join(LINES[at] for at in order))


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200) | st.text("[]{}\"'=.,#ab1 \n", max_size=200))
def test_text_that_is_no_job_at_all(text: str) -> None:
    _answers(text)


def test_brackets_without_end() -> None:
    for deep in (
        "[" * 5000,
        "a = " + "[" * 5000,
        "a = " + "[" * 200 + "]" * 200,
        "a" + ".a" * 5000 + " = 1",
        "{" * 5000,
    ):
        _answers(deep)
        _answers(f"{GOOD}\n{deep}")
