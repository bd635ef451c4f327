"""What keys the records take and what may stand at each."""

from __future__ import annotations

from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from trialfit.job.places import Path
from trialfit.job.values import Record


def bare(annotation: Any) -> tuple[Any, tuple[Any, ...]]:
    """Take ``None`` and the marks of `Annotated` off an annotation.

    Parameters
    ----------
    annotation
        As it stands on a record.

    Returns
    -------
    tuple
        The plain type, and the marks.
    """
    marks: tuple[Any, ...] = ()
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation, *more = get_args(annotation)
            marks += tuple(more)
        elif origin in (Union, UnionType):
            annotation = next(each for each in get_args(annotation) if each is not NoneType)
        else:
            return annotation, marks


def record_of(annotation: Any) -> type[Record] | None:
    """Find the record an annotation stands for, if it is one.

    Parameters
    ----------
    annotation
        As it stands on a record.

    Returns
    -------
    type or None
        The record.
    """
    plain, _ = bare(annotation)
    return plain if isinstance(plain, type) and issubclass(plain, Record) else None


def of_field(field: FieldInfo) -> Any:
    """Give a field's annotation with its marks.

    Parameters
    ----------
    field
        Of a record.

    Returns
    -------
    Any
        The annotation, marks of the field itself included.
    """
    return Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation


def annotation_at(record: type[Record], path: Path) -> Any:
    """Find what may stand at a place.

    Parameters
    ----------
    record
        The whole document's record.
    path
        Keys from the top.

    Returns
    -------
    Any
        Its annotation, or None where the records know no such place.
    """
    here: Any = record
    for key in path:
        plain, _ = bare(here)
        inside = record_of(here)
        if inside is not None:
            field = inside.model_fields.get(str(key))
            here = of_field(field) if field else None
        elif get_origin(plain) is dict:
            here = get_args(plain)[1]
        elif get_origin(plain) is tuple and isinstance(key, int):
            kinds = get_args(plain)
            here = kinds[0] if kinds[-1] is Ellipsis else kinds[min(key, len(kinds) - 1)]
        else:
            return None
        if here is None:
            return None
    return here


def field_at(record: type[Record], path: Path) -> FieldInfo | None:
    """Find the field a path ends at, or the one its last list belongs to.

    Parameters
    ----------
    record
        The whole document's record.
    path
        Keys from the top.

    Returns
    -------
    FieldInfo or None
        The field, with its description and examples.
    """
    while path and isinstance(path[-1], int):
        path = path[:-1]
    owner = record_of(annotation_at(record, path[:-1])) if path else None
    return owner.model_fields.get(str(path[-1])) if owner else None
