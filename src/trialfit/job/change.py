"""Changes to a job document, key by key, as a page sends them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from trialfit.errors import Refusal


@dataclass(frozen=True)
class Change:
    """One key of a document set, or taken out.

    Parameters
    ----------
    path
        Keys from the top of the document, such as ``("marks", "front", "cap.face")``; a place in a list is counted
        from 0, and its length adds one at the end.
    value
        What is to stand there, as TOML can hold it; None takes the key out.
    """

    path: tuple[str | int, ...]
    value: Any


def changed(document: dict[str, Any], changes: Iterable[Change]) -> dict[str, Any]:
    """Change a document.

    Parameters
    ----------
    document
        As read from TOML; it is left as it was.
    changes
        In order.

    Returns
    -------
    dict
        The changed document. Tables that are not there are made; a table left empty goes.

    Raises
    ------
    Refusal
        A path leads through something that is no table or list, or to a place a list does not have.
    """
    made = deepcopy(document)
    for change in changes:
        if not change.path:
            raise _nowhere(change, "no key at all", "the keys that lead there")
        _change(made, change, 0)
    return made


def parsed(text: str) -> dict[str, Any]:
    """Read a sound document's text as tables and lists.

    Parameters
    ----------
    text
        TOML that has been read before.

    Returns
    -------
    dict
        The document.

    Raises
    ------
    Refusal
        It is no TOML.
    """
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        raise Refusal(
            "the document", f"text that is no TOML ({error})", "a sound document", "Mend the text itself first."
        ) from None


def _change(table: Any, change: Change, depth: int) -> None:
    key = change.path[depth]
    last = depth == len(change.path) - 1
    if isinstance(table, dict) and isinstance(key, str):
        if last and change.value is None:
            table.pop(key, None)
        elif last:
            table[key] = deepcopy(change.value)
        elif change.value is None and key not in table:
            return
        else:
            _change(table.setdefault(key, [] if change.path[depth + 1] == 0 else {}), change, depth + 1)
            if table[key] in ({}, []) and change.value is None:
                del table[key]
    elif isinstance(table, list) and isinstance(key, int):
        if not 0 <= key <= len(table) - (change.value is None or not last):
            raise _nowhere(change, f"place {key} of a list of {len(table)}", "a place the list has")
        if not last:
            _change(table[key], change, depth + 1)
        elif change.value is None:
            del table[key]
        else:
            table[key : key + 1] = [deepcopy(change.value)]
    else:
        wanted = "a place counted from 0" if isinstance(table, list) else "a name in a table"
        raise _nowhere(change, repr(key), wanted)


def _nowhere(change: Change, got: str, wanted: str) -> Refusal:
    path = ", ".join(str(key) for key in change.path)
    return Refusal(f"change of {path or 'the document'}", got, wanted, "Send the keys as they stand in the document.")
