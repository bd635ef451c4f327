"""TOML that may be broken: every broken statement is named, and what is left is read."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from trialfit.errors import Fault
from trialfit.job.syntax import doubled, explain

# A table's header, also one that has lost its first bracket.
_HEADER = re.compile(r"\s*(?:\[|[^=\"'#\[\s][^=#\[]*\]\s*(?:#|$))")
# Inside a list that was never closed: a word right behind the bracket can only be a table's name.
_NEXT_TABLE = re.compile(r"\s*\[\[?\s*(?!(?:true|false|inf|nan)\b)[A-Za-z_]")
_KEY_LINE = re.compile(r"""\s*(?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*\s*=""")
_AT_LINE = re.compile(r"\(at line (\d+)")


@dataclass(frozen=True)
class Readable:
    """What could be read of a text.

    Parameters
    ----------
    document
        The document without the broken statements.
    text
        The text with the broken statements blanked, line for line.
    lost
        The broken statements, and what stood under a broken header.
    bad
        What is wrong with each, with its line.
    """

    document: dict[str, Any]
    text: str
    lost: str
    bad: tuple[Fault, ...]


@dataclass(frozen=True)
class _Statement:
    first: int
    after: int
    good: bool

    def text(self, lines: list[str]) -> str:
        return "\n".join(lines[self.first : self.after])


def read_statements(text: str) -> Readable:
    """Read a TOML text, broken or not.

    Parameters
    ----------
    text
        The whole file.

    Returns
    -------
    Readable
        The document, and every statement that had to be left out of it.
    """
    document, _ = _loads(text)
    if document is not None:
        return Readable(document, text, "", ())
    lines = text.replace("\r\n", "\n").split("\n")
    statements = list(_statements(lines))
    bad = [_broken(statement, lines) for statement in statements if not statement.good]
    lost = [_lose(statement, statements, lines) for statement in statements if not statement.good]
    while True:
        document, message = _loads("\n".join(lines))
        if document is not None:
            return Readable(document, "\n".join(lines), "\n".join(lost), tuple(bad))
        culprit = _at(message, statements, lines)
        words = doubled(culprit.text(lines), _earlier(culprit, statements, lines), message)
        bad.append(_fault(culprit.first + 1, *words))
        lost.append(_lose(culprit, statements, lines))


def _loads(text: str) -> tuple[dict[str, Any] | None, str]:
    try:
        return tomllib.loads(text), ""
    except RecursionError:
        return None, "brackets nested too deep (at line 1)"
    except ValueError as error:
        return None, str(error)


def _statements(lines: list[str]) -> Iterator[_Statement]:
    at = 0
    while at < len(lines):
        line = lines[at].strip()
        if not line or line.startswith("#"):
            if _loads(lines[at])[0] is None:
                yield _Statement(at, at + 1, good=False)
            at += 1
            continue
        after = _whole(lines, at)
        statement = _Statement(at, after or _cut_short(lines, at), good=after is not None)
        yield statement
        at = statement.after


def _whole(lines: list[str], at: int) -> int | None:
    """Where a statement that can be read ends; None when it cannot be."""
    if _loads(lines[at])[0] is not None:
        return at + 1
    if _HEADER.match(lines[at]) or not re.search(r"\[|\{|\"\"\"|'''", lines[at]):
        return None
    quoted = _triple(lines[at])
    for after in range(at + 1, len(lines)):
        line = lines[after]
        if not quoted and _KEY_LINE.match(line):
            return None
        may_close = quoted in line if quoted else "]" in line or "}" in line
        if may_close and _loads("\n".join(lines[at : after + 1]))[0] is not None:
            return after + 1
    return None


def _triple(line: str) -> str:
    return next((mark for mark in ('"""', "'''") if line.count(mark) % 2), "")


def _cut_short(lines: list[str], at: int) -> int:
    """Where a statement that cannot be read most likely ends."""
    if _HEADER.match(lines[at]) or "=" not in lines[at]:
        return at + 1
    value = lines[at].split("=", 1)[1].strip()
    if quoted := _triple(lines[at]):
        closing = (after + 1 for after in range(at + 1, len(lines)) if quoted in lines[after])
        return next(closing, len(lines))
    if not value.startswith(("[", "{")):
        return at + 1
    for after in range(at + 1, len(lines)):
        if value.startswith("{") and lines[after].rstrip().endswith("}") and "{" not in lines[after]:
            return after + 1
        if not lines[after].strip() or _NEXT_TABLE.match(lines[after]) or _KEY_LINE.match(lines[after]):
            return after
        if lines[after].strip()[0] in "]}":
            return after + 1
    return len(lines)


def _fault(line: int, got: str, wanted: str, remedy: str) -> Fault:
    return Fault("this line", got, wanted, remedy, line=line)


def _broken(statement: _Statement, lines: list[str]) -> Fault:
    _, message = _loads(statement.text(lines))
    match = _AT_LINE.search(message)
    line = statement.first + (int(match.group(1)) if match else 1)
    opened_and_not_closed = line > statement.after or not match
    line = statement.first + 1 if opened_and_not_closed else line
    return _fault(line, *explain(statement.text(lines), lines[line - 1], message))


def _lose(statement: _Statement, statements: list[_Statement], lines: list[str]) -> str:
    """Blank a statement, and what stands under it when it is a header."""
    after = statement.after
    if _HEADER.match(lines[statement.first]):
        headers = (s.first for s in statements if s.first > statement.first and _HEADER.match(lines[s.first]))
        after = next(headers, len(lines))
    lost = "\n".join(lines[statement.first : after])
    lines[statement.first : after] = [""] * (after - statement.first)
    return lost


def _at(message: str, statements: list[_Statement], lines: list[str]) -> _Statement:
    left = [s for s in statements if s.text(lines).strip()]
    match = _AT_LINE.search(message)
    line = int(match.group(1)) - 1 if match else len(lines)
    return next((s for s in reversed(left) if s.first <= line), left[0])


def _earlier(culprit: _Statement, statements: list[_Statement], lines: list[str]) -> int:
    """Line of an earlier statement that begins alike, or 0."""
    start = culprit.text(lines).split("=")[0].split("#")[0].strip()
    for statement in statements:
        if statement.first < culprit.first and statement.text(lines).split("=")[0].split("#")[0].strip() == start:
            return statement.first + 1
    return 0
