"""Changes made in the text of a document, so that notes, order and the way things were written stay as they were."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from datetime import date
from typing import Any

import tomlkit
from tomlkit.container import Container
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Item, Table

from trialfit.errors import Refusal
from trialfit.job.change import Change, changed, parsed
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
        text says.

    Raises
    ------
    Refusal
        A path leads nowhere, or the text is no TOML.
    """
    before = parsed(text)
    wanted = [_with_day(before, change) for change in changes]
    document = changed(before, wanted)
    try:
        written = tomlkit.parse(text)
        for change in wanted:
            _make(written, change.path, change.value)
        made = tomlkit.dumps(written)
        # What is not exactly the change asked for is not taken, however it came about.
        good = tomllib.loads(made.removeprefix("\ufeff")) == document
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


def _make(place: Any, path: tuple[str | int, ...], value: Any) -> None:
    key, rest = path[0], path[1:]
    there = key in place if isinstance(key, str) else key < len(place)
    if rest and there:
        _make(place[key], rest, value)
        if value is None and len(place[key]) == 0:
            del place[key]
    elif value is None:
        if there:
            del place[key]
    else:
        for inner in reversed(rest):
            value = [value] if inner == 0 else {inner: value}
        _put(place, key, value, there)


def _put(place: Any, key: str | int, value: Any, there: bool) -> None:
    if isinstance(place, AoT):
        made = _table(value)
        if there:
            raise ValueError("a whole entry of a list of tables is written anew")
        made.add(tomlkit.nl())
        note = _note_below(place)
        place.append(made)
        made.value.body.extend(note)
        return
    inline = isinstance(place, InlineTable | Array)
    headed = isinstance(value, dict) and not inline and (_is_super(place) or not _fits(str(key), value))
    tables = isinstance(value, list) and bool(value) and all(isinstance(each, dict) for each in value) and not inline
    item: Item
    if tables and not there:
        item = tomlkit.aot()
        for each in value:
            made = _table(each)
            made.add(tomlkit.nl())
            item.append(made)
    elif headed:
        item = _table(value)
        item.add(tomlkit.nl())
    else:
        item = tomlkit.value(value_text(value) if inline else entry_text(value))
    if isinstance(key, int):
        if there:
            place[key] = item
        else:
            place.append(item)
    elif there or inline or headed or tables:
        place[key] = item
    else:
        _after_the_last(place, key, item)


def _note_below(place: AoT) -> list[Any]:
    """Take the note below the last entry, which belongs to what comes next, away from it."""
    body = place[-1].value.body
    begin = len(body)
    while begin and body[begin - 1][0] is None:
        begin -= 1
    apart = next((k for k in range(begin, len(body)) if not body[k][1].as_string().strip()), len(body))
    note = body[apart + 1 :]
    del body[apart + 1 :]
    return note


def _after_the_last(place: Any, key: str, item: Item) -> None:
    """Below the last line of its own, not below the note that belongs to what comes next."""
    container: Container = place.value if isinstance(place, Table) else place
    plain = [name for name, each in container.body if name is not None and not isinstance(each, Table | AoT)]
    if plain:
        container._insert_after(plain[-1], key, item)
    else:
        place[key] = item


def _table(value: dict[str, Any]) -> Table:
    only_tables = bool(value) and all(isinstance(each, dict) for each in value.values())
    made = tomlkit.table(is_super_table=only_tables)
    for key, each in value.items():
        made.add(
            key, _table(each) if isinstance(each, dict) and not _fits(key, each) else tomlkit.value(entry_text(each))
        )
    return made


def _is_super(place: Any) -> bool:
    return isinstance(place, Container) or (isinstance(place, Table) and place.is_super_table())


def _fits(key: str, value: dict[str, Any]) -> bool:
    flat = all(not isinstance(each, dict) for each in value.values())
    return flat and len(f"{key_text(key)} = {value_text(value)}") <= _WIDEST
