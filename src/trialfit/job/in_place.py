"""Changes made in the text of a document, so that notes, order and the way things were written stay as they were."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array

from trialfit.errors import Refusal
from trialfit.job.blocks import Block, Path, blocks_of
from trialfit.job.change import Change, changed, parsed
from trialfit.job.least import Step, least_steps
from trialfit.job.toml import key_text, value_text
from trialfit.job.write import entry_text

_WIDEST = 120
_BROKEN = (TOMLKitError, KeyError, ValueError, TypeError, AttributeError, IndexError)


def changed_in_place(text: str, changes: Iterable[Change]) -> tuple[str, dict[str, Any]]:
    """Change a document in its own text.

    Parameters
    ----------
    text
        TOML that can be read.
    changes
        In order.

    Returns
    -------
    tuple of str and dict
        The changed text, empty where that could not be done in place; and the changed document, which is what the
        text says. Only what is not as it was is written: where a list is sent whole, the entries in it that changed.

    Raises
    ------
    Refusal
        A path leads nowhere, or the text is no TOML.
    """
    before = parsed(text)
    document = changed(before, [_with_day(before, change) for change in changes])
    made = text.removeprefix("\ufeff")
    line_end = "\r\n" if "\r\n" in made else "\n"
    try:
        for step in least_steps(before, document):
            made = "".join(block.text for block in _made(blocks_of(made), step, line_end))
        # What is not exactly the change asked for is not taken, however it came about.
        good = tomllib.loads(made) == document
    except (*_BROKEN, Refusal):
        return "", document
    return (made if good else ""), document


def _with_day(document: dict[str, Any], change: Change) -> Change:
    """A day comes from a page as text; where a day stands, it is written as one."""
    there: Any = document
    for key in change.path:
        try:
            there = there[key]
        except (KeyError, IndexError, TypeError):
            return change
    if isinstance(there, date) and isinstance(change.value, str):
        try:
            return Change(change.path, date.fromisoformat(change.value))
        except ValueError:
            return change
    return change


def _made(blocks: list[Block], step: Step, line_end: str) -> list[Block]:
    path, value = step.path, step.value
    under = [place for place, block in enumerate(blocks) if block.path[: len(path)] == path]
    if step.comes_between and under:
        return _put_in(blocks, under[0] - 1, path, value, line_end)
    if under:
        blocks = _taken_out(blocks, set(under))
        if value is None:
            return blocks
    owner = max(
        (place for place, block in enumerate(blocks) if path[: len(block.path)] == block.path),
        key=lambda place: len(blocks[place].path),
    )
    block, rest = blocks[owner], path[len(blocks[owner].path) :]
    said = tomllib.loads(block.own)
    if rest[0] in said:
        blocks[owner] = replace(block, own=_own_changed(block.own, rest, step))
    elif value is None:
        raise KeyError(str(path))
    elif isinstance(path[-1], int) or _is_headed(blocks, path, value):
        return _put_in(blocks, _last_under(blocks, path), path, value, line_end)
    elif len(rest) > 1:
        return _put_in(blocks, _last_under(blocks, path), path[:-1], {str(path[-1]): value}, line_end)
    else:
        line = _ended(f"{key_text(str(path[-1]))} = {entry_text(value)}\n", line_end)
        own = block.own if block.own.endswith("\n") or not block.own else block.own + line_end
        blocks[owner] = replace(block, head=_closed(block.head, line_end), own=own + line)
    return blocks


def _own_changed(own: str, rest: Path, step: Step) -> str:
    written = tomlkit.parse(own)
    place: Any = written
    for key in rest[:-1]:
        place = place[key]
    key, value = rest[-1], step.value
    if value is None:
        del place[key]
    elif step.comes_between:
        place.insert(key, tomlkit.value(value_text(value)))
    elif isinstance(place, Array) and key == len(place):
        place.append(tomlkit.value(value_text(value)))
    else:
        # Behind a key of its own a long list takes several lines; inside another value there is no room for them.
        is_line = len(rest) == 1 and not (isinstance(value, list) and "\n" not in _line_of(own, str(key)))
        place[key] = tomlkit.value(entry_text(value) if is_line else value_text(value))
    return tomlkit.dumps(written)


def _line_of(own: str, key: str) -> str:
    """A value as it was written behind its key."""
    item: Any = tomlkit.parse(own).item(key)
    return str(item.as_string())


def _is_headed(blocks: list[Block], path: Path, value: Any) -> bool:
    """Whether something new comes under a header of its own."""
    if isinstance(value, list):
        return bool(value) and all(isinstance(each, dict) for each in value)
    if not isinstance(value, dict):
        return False
    has_lines = any(block.path == path[:-1] and (block.path or block.own) for block in blocks)
    return not _fits(str(path[-1]), value) or not has_lines or len(path) == 1


def _last_under(blocks: list[Block], path: Path) -> int:
    """The block below which something new comes: the last of its own kind, else the last of what holds it."""
    for long in range(len(path) - 1, 0, -1):
        under = [place for place, block in enumerate(blocks) if block.path[:long] == path[:long]]
        if under:
            return under[-1]
    return len(blocks) - 1


def _put_in(blocks: list[Block], after: int, path: Path, value: Any, line_end: str) -> list[Block]:
    """Put new headers in below a block: above the note that belongs to what comes next, with a blank line between."""
    each = value if isinstance(value, list) else [value]
    is_list = isinstance(value, list) or isinstance(path[-1], int)
    keys = [key for key in path if isinstance(key, str)]
    new = _ended("\n".join(_headed(keys, one, is_list) for one in each), line_end)
    before = blocks[after]
    own = before.own if not before.own or before.own.endswith("\n") else before.own + line_end
    head = _closed(before.head, line_end)
    apart = line_end if head or own else ""
    is_last = after == len(blocks) - 1
    tail = before.tail if is_last or before.tail.startswith(("\n", "\r\n")) else line_end + before.tail
    made = [replace(before, head=head, own=own, tail=apart), Block(path, "", new, tail)]
    return [*blocks[:after], *made, *blocks[after + 1 :]]


def _headed(keys: list[str], value: dict[str, Any], is_list: bool) -> str:
    lines = [
        f"{key_text(key)} = {entry_text(each)}\n"
        for key, each in value.items()
        if not isinstance(each, dict) or _fits(key, each)
    ]
    deeper = [
        _headed([*keys, key], each, False)
        for key, each in value.items()
        if isinstance(each, dict) and not _fits(key, each)
    ]
    head = key_text(*keys)
    own = [(f"[[{head}]]\n" if is_list else f"[{head}]\n") + "".join(lines)] if lines or is_list or not deeper else []
    return "\n".join([*own, *deeper])


def _taken_out(blocks: list[Block], places: set[int]) -> list[Block]:
    """Take headers out with their lines; the notes below them belong to what comes next, and stay."""
    kept: list[Block] = []
    for place, block in enumerate(blocks):
        if place not in places:
            kept.append(block)
            continue
        note = block.tail
        if not kept[-1].text or kept[-1].text.endswith(("\n\n", "\n\r\n")):
            note = note.lstrip("\r\n")
        kept[-1] = replace(kept[-1], tail=kept[-1].tail + note)
    return kept


def _closed(head: str, line_end: str) -> str:
    return head if not head or head.endswith("\n") else head + line_end


def _ended(text: str, line_end: str) -> str:
    return text.replace("\n", line_end)


def _fits(key: str, value: dict[str, Any]) -> bool:
    flat = all(not isinstance(each, dict) for each in value.values())
    return flat and len(f"{key_text(key)} = {value_text(value)}") <= _WIDEST
