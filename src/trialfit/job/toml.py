"""Pieces of TOML, written."""

from __future__ import annotations

import json
import re
from datetime import date
from typing import Any

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def key_text(*path: str | int) -> str:
    """Write a key, quoted where it has to be.

    Parameters
    ----------
    *path
        One name, or several to be joined with dots.

    Returns
    -------
    str
        Such as ``points."cap.face"``.
    """
    return ".".join(str(key) if _BARE_KEY.fullmatch(str(key)) else _quoted(str(key)) for key in path)


def value_text(value: Any) -> str:
    """Write a value on one line.

    Parameters
    ----------
    value
        Text, number, day, truth, quantity, or lists and tables of them.

    Returns
    -------
    str
        TOML. A quantity is written as it was typed.
    """
    if isinstance(value, dict):
        pairs = ", ".join(f"{key_text(key)} = {value_text(each)}" for key, each in value.items())
        return f"{{ {pairs} }}" if pairs else "{}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(value_text(each) for each in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float | date):
        return str(value)
    return _quoted(str(value))


def lines_text(text: str) -> str:
    """Write text of several lines between three quotes, so that it reads as it stands.

    Parameters
    ----------
    text
        The text.

    Returns
    -------
    str
        TOML.
    """
    return '"""\n' + "\n".join(_quoted(line)[1:-1] for line in text.split("\n")) + '"""'


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
