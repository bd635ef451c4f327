"""The one way a command answers: as text for a person, or as JSON for a program."""

from __future__ import annotations

import os
from dataclasses import fields, is_dataclass
from enum import Enum
from fractions import Fraction
from typing import Any, Protocol, runtime_checkable

import click


@runtime_checkable
class BaseModelLike(Protocol):
    """A record of the job document; named by what it can do, so that bench commands need not load its library."""

    def model_dump(self, *, mode: str) -> dict[str, Any]:
        """Give it as what JSON can hold."""


as_json = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


def plain(record: object) -> Any:
    """Turn frozen records into what JSON can hold.

    Parameters
    ----------
    record
        Dataclasses, job records, tuples, mappings, enums, fractions and arrays, nested as they come.

    Returns
    -------
    Any
        Dictionaries, lists, strings, numbers, None.
    """
    if is_dataclass(record) and not isinstance(record, type):
        return {field.name: plain(getattr(record, field.name)) for field in fields(record)}
    if isinstance(record, Enum):
        return record.value
    if isinstance(record, dict):
        return {str(key): plain(value) for key, value in record.items()}
    if isinstance(record, tuple | list | set | frozenset):
        return [plain(item) for item in record]
    if isinstance(record, BaseModelLike):
        return record.model_dump(mode="json")
    if isinstance(record, Fraction):
        return float(record)
    if isinstance(record, os.PathLike):
        return os.fspath(record)
    if hasattr(record, "tolist"):
        return record.tolist()
    return record


def answer(as_json: bool, text: str, record: object) -> None:
    """Print one answer.

    Parameters
    ----------
    as_json
        Whether a program is reading.
    text
        The answer as a person reads it.
    record
        The same answer as a record.
    """
    if as_json:
        import json  # a question answered in words does not wait for it

        text = json.dumps(plain(record), indent=2, ensure_ascii=False)
    click.echo(text)
