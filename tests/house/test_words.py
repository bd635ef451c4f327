"""House: every language says every sentence with the same things in it, none lies unused, and the words are plain."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fluent.syntax import FluentParser, ast, visitor

from trialfit.cli import COMMANDS
from trialfit.sheets.words import LANGUAGES, Language, Words, catalogue

SOURCES = Path(__file__).parents[2] / "src" / "trialfit"
_VOWELS = re.compile(r"[aeiouyäöü]+", re.IGNORECASE)


class _Named(visitor.Visitor):
    def __init__(self) -> None:
        self.names: set[str] = set()

    def visit_VariableReference(self, node: ast.VariableReference) -> None:  # noqa: N802  the library's own name
        self.names.add(node.id.name)


def _sentences(language: Language) -> dict[str, ast.Message]:
    found: dict[str, ast.Message] = {}
    for file, text in catalogue(language).items():
        for entry in FluentParser().parse(text).body:
            assert not isinstance(entry, ast.Junk), f"{language}/{file}: {entry.content}"
            if isinstance(entry, ast.Message):
                assert entry.id.name not in found, f"{language}/{file}: {entry.id.name} twice"
                found[entry.id.name] = entry
    return found


def _filled_in(message: ast.Message) -> set[str]:
    named = _Named()
    named.visit(message)
    return named.names


SENTENCES = {language: _sentences(language) for language in LANGUAGES}
# "half past four" is "halb fünf": German counts to the hour that comes.
_ANOTHER_HOUR = {"hour", "next"}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_every_file_and_every_sentence(language: Language) -> None:
    assert set(catalogue(language)) == set(catalogue("en"))
    assert set(SENTENCES[language]) == set(SENTENCES["en"])


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_fills_in_what_the_english_does(language: Language) -> None:
    for name, message in SENTENCES[language].items():
        apart = _filled_in(message) ^ _filled_in(SENTENCES["en"][name])
        assert apart in (set(), _ANOTHER_HOUR), f"{language}: {name}"


def test_every_sentence_is_used_and_every_one_used_is_there() -> None:
    written = "\n".join(path.read_text(encoding="utf-8") for path in SOURCES.rglob("*.py"))
    prefixes = {name.split("-")[0] for name in SENTENCES["en"] if "-" in name}
    used = set(re.findall(rf'"((?:{"|".join(sorted(prefixes))})-[a-z0-9-]+)"', written))
    in_english = {name for name in SENTENCES["en"] if "-" in name}
    assert in_english <= used, f"never said: {sorted(in_english - used)}"
    # A command, and the start of a file's name, look as a sentence's name does.
    said = used - set(COMMANDS) - {"packing-list"}
    assert said <= in_english, f"said, but in no catalogue: {sorted(said - in_english)}"


def test_what_is_missing_is_not_passed_over() -> None:
    with pytest.raises(KeyError, match="no sentence fitting-nonsense in de"):
        Words("de").say("fitting-nonsense")
    with pytest.raises(KeyError, match="fitting-step in en"):
        Words("en").say("fitting-step")


def _plain(language: Language, file: str) -> str:
    """A file's whole sentences as they are read, what is filled in standing as a short word."""
    said = []
    for entry in FluentParser().parse(catalogue(language)[file]).body:
        if isinstance(entry, ast.Message) and entry.value is not None:
            text = "".join(part.value if isinstance(part, ast.TextElement) else "nut" for part in entry.value.elements)
            said += [text] if text.rstrip().endswith((".", ";", ":")) else []
    return " ".join(said)


def _counts(text: str) -> tuple[int, int, int]:
    words = re.findall(r"[A-Za-zÄÖÜäöüß']+", text)
    sentences = len(re.findall(r"[.:;]+(?:\s|$)", text))
    return len(words), sentences, sum(_syllables(word) for word in words)


def _syllables(word: str) -> int:
    found = len(_VOWELS.findall(word))
    return max(1, found - (word.lower().endswith("e") and not word.lower().endswith("le") and found > 1))


OWNERS = (
    "card.ftl", "charge.ftl", "fitting.ftl", "letter.ftl", "packing.ftl", "pair.ftl", "quote.ftl", "settings.ftl",
    "tested.ftl",
)  # fmt: skip


@pytest.mark.parametrize("file", OWNERS)
def test_the_owners_english_is_plain(file: str) -> None:
    """Flesch's reading ease, A new readability yardstick, J. Appl. Psychol. 32 (1948) 221: 70 to 80 is fairly easy."""
    words, sentences, syllables = _counts(_plain("en", file))
    assert 206.835 - 1.015 * words / sentences - 84.6 * syllables / words >= 70.0


@pytest.mark.parametrize("file", OWNERS)
def test_the_owners_german_is_plain(file: str) -> None:
    """Amstad's form for German (Wie verständlich sind unsere Zeitungen?, 1978; from memory): 60 to 70 is medium."""
    words, sentences, _ = _counts(_plain("de", file))
    syllables = sum(len(_VOWELS.findall(word)) or 1 for word in re.findall(r"[A-Za-zÄÖÜäöüß]+", _plain("de", file)))
    assert 180.0 - words / sentences - 58.5 * syllables / words >= 60.0
