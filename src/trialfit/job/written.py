"""Reading a document of which nothing is certain yet: what is of the wrong kind is passed over."""

from __future__ import annotations

import tomllib
from typing import Any

from trialfit.errors import Refusal
from trialfit.units import Quantity, read


def tables_in(text: str) -> dict[str, Any]:
    """Read a text as tables and lists, whatever faults it has.

    Parameters
    ----------
    text
        TOML, or what was meant to be.

    Returns
    -------
    dict
        The document; empty where it is no TOML.
    """
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError:
        return {}


def table(document: Any, *keys: str) -> dict[str, Any]:
    """Give a table of the document.

    Parameters
    ----------
    document
        The document, or a table in it.
    *keys
        Keys down to the table.

    Returns
    -------
    dict
        The table; empty when there is none.
    """
    for key in keys:
        document = document.get(key) if isinstance(document, dict) else None
    return document if isinstance(document, dict) else {}


def tables(document: Any, *keys: str) -> dict[str, dict[str, Any]]:
    """Give the tables inside a table of the document.

    Parameters
    ----------
    document
        The document, or a table in it.
    *keys
        Keys down to the table that holds them.

    Returns
    -------
    dict
        By name.
    """
    return {name: each for name, each in table(document, *keys).items() if isinstance(each, dict)}


def listed(document: Any, key: str) -> list[tuple[int, dict[str, Any]]]:
    """Give the tables of a list.

    Parameters
    ----------
    document
        The document, or a table in it.
    key
        Key of the list.

    Returns
    -------
    list
        Place from 0, and table.
    """
    value = table(document).get(key)
    return [(n, each) for n, each in enumerate(value if isinstance(value, list) else []) if isinstance(each, dict)]


def text(document: Any, key: str) -> str | None:
    """Give a piece of text.

    Parameters
    ----------
    document
        A table.
    key
        Its key.

    Returns
    -------
    str or None
        The text, or None where there is none.
    """
    value = table(document).get(key)
    return value if isinstance(value, str) and value else None


def quantity(value: Any, kind: str) -> Quantity | None:
    """Read a quantity.

    Parameters
    ----------
    value
        As written.
    kind
        Kind of quantity.

    Returns
    -------
    Quantity or None
        None where it cannot be read, or is not above zero: that is a fault of its own.
    """
    try:
        found = read(value, kind)
    except Refusal:
        return None
    return found if found.number > 0 else None
