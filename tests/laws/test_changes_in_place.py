"""Laws: a change made in a document's text says what the same change to its tables says, and touches nothing else."""

from __future__ import annotations

import difflib
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from trialfit.job.change import Change, changed
from trialfit.job.in_place import changed_in_place
from trialfit.job.read import read_job

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/job.toml"))
BACKHEAD = next(path for path in EXAMPLES if path.parent.name == "backhead").read_text(encoding="utf-8")
READING = {"between": ["check.face", "check_cap.face"], "value": "33.2 mm", "pm": "0.1 mm", "by": "workshop, caliper"}


def _lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """The lines taken out, and those put in."""
    said = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    return [line[2:] for line in said if line[:2] == "- "], [line[2:] for line in said if line[:2] == "+ "]


@pytest.mark.parametrize(
    ("changes", "out", "into"),
    [
        ([(("job", "owner"), "N. Tarnbrook")], ['owner = "H. Wrenfield"'], ['owner = "N. Tarnbrook"']),
        ([(("job", "date"), "2026-04-01")], ["date = 2026-03-14"], ["date = 2026-04-01"]),
        (
            [(("marks", "front", "check_cap.face"), [2544.5, 1063.25])],
            ['"check_cap.face" = [2543.9, 1063.2]'],
            ['"check_cap.face" = [2544.5, 1063.25]'],
        ),
        ([(("marks", "front", "crown.face"), [1, 2])], [], ['"crown.face" = [1, 2]']),
        ([(("marks", "front", "check_cap.face"), None)], ['"check_cap.face" = [2543.9, 1063.2]'], []),
        (
            [(("points", "handle.end"), {"what": "end of the handle"})],
            [],
            ['"handle.end" = { what = "end of the handle" }'],
        ),
        (
            [(("photographs", "under", "note"), "from below")],
            [],
            ['under = { note = "from below" }'],
        ),
    ],
)  # fmt: skip
def test_a_change_takes_the_lines_it_is_about(changes: list[Any], out: list[str], into: list[str]) -> None:
    text, _ = changed_in_place(BACKHEAD, [Change(path, value) for path, value in changes])
    assert _lines(BACKHEAD, text) == (out, into)


def test_whole_tables_and_entries_of_lists_come_under_headers_of_their_own() -> None:
    count = len(tomllib.loads(BACKHEAD)["readings"])
    ports = {"inlet": {"thread": "1/4x40", "gender": "male"}}
    changes = [
        Change(("parts", "spare_cock"), {"kind": "cock", "what": "a spare one", "ports": ports}),
        Change(("readings", count), READING),
        Change(("marks", "low", "crown.face"), [10.5, 20]),
    ]
    text, document = changed_in_place(BACKHEAD, changes)
    assert tomllib.loads(text) == document
    out, into = _lines(BACKHEAD, text)
    assert [line for line in out if line] == []
    assert [line for line in BACKHEAD.splitlines() if line.startswith("#")] == [
        line for line in text.splitlines() if line.startswith("#")
    ]
    assert "[parts.spare_cock]" in into
    assert into.count("[[readings]]") == 1
    assert f'by = "{READING["by"]}"\n\n# What stands in the way.' in text


def test_windows_line_ends_stay() -> None:
    text, _ = changed_in_place(BACKHEAD.replace("\n", "\r\n"), [Change(("job", "owner"), "N. Tarnbrook")])
    assert text.replace("\r\n", "").count("\n") == 0
    assert text.replace("\r\n", "\n") == BACKHEAD.replace("H. Wrenfield", "N. Tarnbrook", 1)


def _places(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, each in inside for place in _places(each, (*path, key)))]


VALUES = st.recursive(
    st.text(max_size=8) | st.integers(-(10**6), 10**6) | st.floats(-1e6, 1e6) | st.booleans(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)


SPEAKING = st.sampled_from([
    'what = "[a] # no note"', "pm = 0.5  # by rule", "list = [\n  1,  # one\n  2,\n]", "q = 'a\"b'", "n.m = 3",
    'said = """\n[no.header]\n# no note\n"""', 'in = { a = 1, b = "[[x]]" }',
])  # fmt: skip
NOTES = st.sampled_from(["", "\n", "# a note\n", "\n# what comes next\n", "\n\n"])
HEADS = st.sampled_from([
    "[[readings]]", "[[joints]]", "[marks.front]", "[marks.low]", "[pipes.feed]", "[[pipes.feed.bends]]",
    "[[readings.by]]", "[odd.'a b'.c]",
])  # fmt: skip


@st.composite
def scattered(draw: st.DrawFn) -> str:
    """Documents whose lists of tables stand here and there, with notes between, and text that looks like headers."""
    text = draw(NOTES) + "format = 1\n"
    for head in draw(st.lists(HEADS, min_size=2, max_size=9)):
        lines = draw(st.lists(SPEAKING, unique=True, max_size=4))
        text += draw(NOTES) + head + draw(st.sampled_from(["\n", "  # here\n"]))
        text += "".join(f"{line}\n" for line in ["key = 7  # seven", *lines])
    text += draw(NOTES)
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assume(False)
    return text.replace("\n", draw(st.sampled_from(["\n", "\r\n"])))


@settings(max_examples=40, deadline=None)
@given(text=scattered(), picked=st.data())
def test_a_change_of_one_key_leaves_every_other_line_as_it_was(text: str, picked: st.DataObject) -> None:
    document = tomllib.loads(text)
    path = picked.draw(st.sampled_from([place for place in _places(document) if place and place[-1] == "key"]))
    whole = next((path[:end] for end, key in enumerate(path) if isinstance(key, int)), path)
    wanted = changed(document, [Change(path, "eight")])
    # As a page sends it: alone, or with the whole list in which it stands.
    sent: Any = wanted
    for key in whole:
        sent = sent[key]
    made, _ = changed_in_place(text, [Change(whole, sent) if picked.draw(st.booleans()) else Change(path, "eight")])
    before, after = text.split("\n"), made.split("\n")
    assert tomllib.loads(made) == wanted
    assert len(after) == len(before)
    [(old, new)] = [(one, other) for one, other in zip(before, after, strict=True) if one != other]
    assert new == old.replace("7", '"eight"', 1)
    # A key that was not there is one line more; taken out again, the text is the one it was.
    more, _ = changed_in_place(text, [Change((*path[:-1], "new"), "nine")])
    [place] = [place for place, line in enumerate(more.split("\n")) if line.strip() == 'new = "nine"']
    assert [line for k, line in enumerate(more.split("\n")) if k != place] == before
    assert changed_in_place(more, [Change((*path[:-1], "new"), None)])[0] == text


@settings(max_examples=20, deadline=None)
@given(text=scattered(), picked=st.data())
def test_an_entry_taken_out_or_put_in_leaves_every_note_and_all_others_as_they_were(
    text: str, picked: st.DataObject
) -> None:
    document = tomllib.loads(text)
    lists = [name for name in ("readings", "joints") if isinstance(document.get(name), list)]
    assume(lists)
    name = picked.draw(st.sampled_from(lists))
    entries = list(document[name])
    place = picked.draw(st.integers(0, len(entries)))
    added = [*entries[:place], {"key": 70, "what": "new"}, *entries[place:]]
    made, _ = changed_in_place(text, [Change((name,), added)])
    assert tomllib.loads(made) == {**document, name: added}
    # As many as before of every line, and three more.
    before, after = (Counter(line for line in each.splitlines() if line.strip()) for each in (text, made))
    assert after == before + Counter([f"[[{name}]]", "key = 70", 'what = "new"'])
    again, _ = changed_in_place(made, [Change((name,), entries)])
    assert tomllib.loads(again) == document
    assert [line for line in again.split("\n") if line.strip()] == [line for line in text.split("\n") if line.strip()]


@settings(max_examples=20, deadline=None)
@given(picked=st.data())
def test_text_and_tables_always_agree(picked: st.DataObject) -> None:
    text = picked.draw(st.sampled_from(EXAMPLES)).read_text(encoding="utf-8")
    document = tomllib.loads(text)
    changes: list[Change] = []
    for _ in range(picked.draw(st.integers(1, 3))):
        now = changed(document, changes)
        path = picked.draw(st.sampled_from([place for place in _places(now) if place]))
        if picked.draw(st.booleans()) and isinstance(path[-1], str):
            path = (*path[:-1], picked.draw(st.text(max_size=6)))
        changes.append(Change(path, picked.draw(st.none() | VALUES)))
    made, wanted = changed_in_place(text, changes)
    assert wanted == changed(document, changes)
    if made:
        assert tomllib.loads(made) == wanted


@pytest.mark.parametrize("path", EXAMPLES, ids=[path.parent.name for path in EXAMPLES])
def test_a_changed_example_can_still_be_read(path: Path) -> None:
    before = path.read_text(encoding="utf-8")
    text, _ = changed_in_place(before, [Change(("job", "story"), "Two\nlines."), Change(("job", "revision"), 7)])
    job = read_job(text)
    assert (job.job.story, job.job.revision) == ("Two\nlines.", 7)
