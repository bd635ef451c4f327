"""House: one spelling each; every command and every outside check stands where a person looks for it."""

from __future__ import annotations

import re
from pathlib import Path

from trialfit.cli import COMMANDS

ROOT = Path(__file__).parents[2]


def _unused_spellings() -> list[str]:
    rows = [
        line.split("|") for line in (ROOT / "docs" / "glossary.md").read_text().splitlines() if line.startswith("|")
    ]
    return [word.strip() for row in rows[2:] for word in row[3].split(",") if word.strip()]


def _prose() -> list[Path]:
    """What a person reads: sources, templates, documents and examples; tables quote their sources' own words."""
    found = [ROOT / "README.md", ROOT / "CHANGELOG.md"]
    for folder, endings in (("src", (".py", ".typ")), ("docs", (".md",)), ("examples", (".toml",))):
        found += [path for path in (ROOT / folder).rglob("*") if path.suffix in endings]
    return [path for path in found if path.name != "glossary.md"]


def test_there_are_spellings_to_look_for() -> None:
    assert len(_unused_spellings()) > 15


def test_no_second_spelling_is_used() -> None:
    wrong = re.compile(r"\b(" + "|".join(re.escape(word) for word in _unused_spellings()) + r")s?\b", re.IGNORECASE)
    found = [
        f"{path.relative_to(ROOT)}:{number}: {match[0]}"
        for path in _prose()
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if (match := wrong.search(line))
    ]
    assert found == []


def test_terms_are_in_order_and_named_once() -> None:
    lines = (ROOT / "docs" / "glossary.md").read_text().splitlines()
    terms = [line.split("|")[1].strip() for line in lines if line.startswith("| ") and not line.startswith("| term")]
    assert terms == sorted(set(terms), key=str.lower)


def test_every_command_is_explained() -> None:
    page = (ROOT / "docs" / "using.md").read_text()
    assert [name for name in COMMANDS if f"`trialfit {name}" not in page] == []


def test_every_outside_check_is_listed() -> None:
    page = (ROOT / "docs" / "checks.md").read_text()
    files = [path.name for path in (ROOT / "tests" / "outside").glob("test_*.py")]
    assert [name for name in files if name not in page] == []
