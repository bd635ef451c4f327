"""Records as what JSON can hold."""

from __future__ import annotations

import os
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Any, Protocol, runtime_checkable

_AS_THEY_ARE = (str, float, int, bool)


@runtime_checkable
class BaseModelLike(Protocol):
    """A record of the job document; named by what it can do, so that bench commands need not load its library."""

    def model_dump(self, *, mode: str) -> dict[str, Any]:
        """Give it as what JSON can hold."""


def json_text(record: object) -> str:
    """Write a record as JSON, as ``plan.json`` has it.

    Parameters
    ----------
    record
        As `plain` takes it.

    Returns
    -------
    str
        JSON, indented.
    """
    import json  # a question answered in words does not wait for it

    return json.dumps(plain(record), indent=2, ensure_ascii=False)


def plain(record: object) -> Any:
    """Turn frozen records into what JSON can hold.

    Parameters
    ----------
    record
        Dataclasses, job records, tuples, mappings, enums, fractions and arrays, nested as they come. Fields marked
        ``in_json = False`` are working figures and left out.

    Returns
    -------
    Any
        Dictionaries, lists, strings, numbers, None.
    """
    if record is None or type(record) in _AS_THEY_ARE:
        return record
    if is_dataclass(record) and not isinstance(record, type):
        kept = [field.name for field in fields(record) if field.metadata.get("in_json", True)]
        return {name: plain(getattr(record, name)) for name in kept}
    if isinstance(record, Enum):
        return record.value
    if isinstance(record, dict):
        return {str(key): plain(value) for key, value in record.items()}
    if isinstance(record, set | frozenset):
        # A set comes in another order in each run; the same record gives the same text.
        return sorted((plain(item) for item in record), key=str)
    if isinstance(record, tuple | list):
        return [plain(item) for item in record]
    if hasattr(record, "tolist"):
        return record.tolist()
    if isinstance(record, BaseModelLike):
        return record.model_dump(mode="json")
    if isinstance(record, Decimal | date):
        return str(record)
    if isinstance(record, Fraction):
        return float(record)
    if isinstance(record, os.PathLike):
        return os.fspath(record)
    return record
