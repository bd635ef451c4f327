"""A document's text as it stands: its headers, the lines under each, and the notes between."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

Path = tuple[str | int, ...]
_LINE = re.compile(r"[^\n]*\n|[^\n]+")


@dataclass(frozen=True)
class Block:
    """A header with what stands under it.

    Parameters
    ----------
    path
        Keys from the top of the document; a place in a list is counted from 0. Empty for what stands over the first
        header.
    head
        The header's line; empty over the first one.
    own
        The lines up to the last that says something.
    tail
        Blank lines and notes below, which belong to what comes next.
    """

    path: Path
    head: str
    own: str
    tail: str

    @property
    def text(self) -> str:
        """All of it."""
        return self.head + self.own + self.tail


def blocks_of(text: str) -> list[Block]:
    """Part a text at its headers.

    Parameters
    ----------
    text
        Sound TOML.

    Returns
    -------
    list of Block
        In order; their texts joined are the text.
    """
    found: list[Block] = []
    lasts: dict[Path, int] = {}
    path: Path = ()
    head = ""
    lines: list[str] = []
    for line, is_header in _lines(text):
        if not is_header:
            lines.append(line)
            continue
        found.append(_block(path, head, lines))
        path, head, lines = _path(line, lasts), line, []
    found.append(_block(path, head, lines))
    return found


def _block(path: Path, head: str, lines: list[str]) -> Block:
    says = 0
    inside = ""
    for place, line in enumerate(lines):
        bare = line.strip()
        if inside or (bare and not bare.startswith("#")):
            says = place + 1
        inside = _after(line, inside)
    return Block(path, head, "".join(lines[:says]), "".join(lines[says:]))


def _lines(text: str) -> Iterator[tuple[str, bool]]:
    inside = ""
    for line in _LINE.findall(text):
        yield line, not inside and line.lstrip().startswith("[")
        inside = _after(line, inside)


def _after(line: str, inside: str) -> str:
    """What is still open at the end of a line: brackets, and behind them the quotes of a text."""
    place = 0
    while place < len(line):
        quotes = inside[-3:] if inside[-3:] in ('"""', "'''") else ""
        if quotes:
            if line[place] == "\\" and quotes == '"""':
                place += 2
            elif line.startswith(quotes, place):
                place += 3
                while line[place : place + 1] == quotes[0]:  # a text may end with quotes of its own
                    place += 1
                inside = inside[:-3]
            else:
                place += 1
            continue
        sign = line[place]
        if sign == "#":
            return inside
        if line.startswith(('"""', "'''"), place):
            inside += sign * 3
            place += 3
        elif sign in "\"'":
            place = _past(line, place)
        else:
            inside = inside + sign if sign in "[{" else inside[:-1] if sign in "]}" else inside
            place += 1
    return inside


def _past(line: str, place: int) -> int:
    """Behind a text on one line."""
    quote = line[place]
    place += 1
    while place < len(line) and line[place] != quote:
        place += 2 if line[place] == "\\" and quote == '"' else 1
    return place + 1


def _path(header: str, lasts: dict[Path, int]) -> Path:
    """Where a header leads, and what it counts up."""
    keys: list[str] = []
    said: Any = tomllib.loads(header)
    is_list = False
    while said:
        is_list = isinstance(said, list)
        if is_list:
            break
        (key,) = said
        keys.append(key)
        said = said[key]
    path: Path = ()
    for place, key in enumerate(keys):
        path = (*path, key)
        if is_list and place == len(keys) - 1:
            lasts[path] = lasts.get(path, -1) + 1
        if path in lasts:
            path = (*path, lasts[path])
    return path
