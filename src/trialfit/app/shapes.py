"""What may stand where in a document, for a page that lets it be written: taken from the records themselves."""

from __future__ import annotations

from datetime import date
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from trialfit.job.money import Money
from trialfit.job.shape import bare, of_field, record_of
from trialfit.job.values import Measure, Record
from trialfit.job.wording import example_of

Shape = dict[str, Any]

_BARE: dict[Any, str] = {str: "text", float: "number", int: "whole", bool: "yes", date: "day"}


def shapes_of(record: type[Record]) -> dict[str, Shape]:
    """Describe a record and all records in it.

    Parameters
    ----------
    record
        The whole document's record.

    Returns
    -------
    dict
        By the record's name, its fields in order; ``""`` is the document itself.
    """
    known: dict[str, Shape] = {}
    top = _record(record, known)
    return {"": known[top["of"]], **known}


def _record(record: type[Record], known: dict[str, Shape]) -> Shape:
    name = record.__name__
    if name not in known:
        known[name] = {}  # a record may hold its own kind
        known[name] = {"fields": [_field(key, field, known) for key, field in record.model_fields.items()]}
    return {"is": "record", "of": name}


def _field(key: str, field: FieldInfo, known: dict[str, Shape]) -> Shape:
    example = example_of(field) if field.examples else ""
    shown = example[1:-1] if example.startswith('"') and example.endswith('"') else example
    return {
        "key": key,
        "needed": field.is_required(),
        "about": field.description or "",
        "example": shown,
        "shape": _shape(of_field(field), known),
    }


def _shape(annotation: Any, known: dict[str, Shape]) -> Shape:
    if _several(annotation):
        return {"is": "any"}
    plain, marks = bare(annotation)
    measure = next((mark for mark in marks if isinstance(mark, Measure)), None)
    if measure:
        return {"is": "measure", "kind": measure.kind}
    if any(isinstance(mark, Money) for mark in marks):
        return {"is": "amount"}
    record = record_of(annotation)
    if record is not None:
        return _record(record, known)
    origin = get_origin(plain)
    if origin is Literal:
        return {"is": "choice", "of": list(get_args(plain))}
    if origin is dict:
        return {"is": "named", "of": _shape(get_args(plain)[1], known)}
    if origin is tuple:
        kinds = get_args(plain)
        if kinds[-1] is Ellipsis:
            return {"is": "list", "of": _shape(kinds[0], known)}
        return {"is": "fixed", "of": [_shape(kind, known) for kind in kinds]}
    return {"is": _BARE.get(plain, "any")}


def _several(annotation: Any) -> bool:
    """Whether several kinds of thing may stand there."""
    plain = annotation
    while hasattr(plain, "__metadata__"):
        plain = get_args(plain)[0]
    if get_origin(plain) not in (Union, UnionType):
        return False
    return len([each for each in get_args(plain) if each is not NoneType]) > 1
