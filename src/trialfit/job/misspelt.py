"""Keys that are misspelt.

What was meant is plain when a key is near to one that is not there. The slip is named once, and the rest is read as it
was meant: a misspelt section would otherwise bring a complaint about every name in it.
"""

from __future__ import annotations

from typing import Any, get_args, get_origin

from trialfit.job.found import Found
from trialfit.job.nearest import nearest
from trialfit.job.places import Path, Places
from trialfit.job.shape import bare, of_field, record_of
from trialfit.job.values import Record
from trialfit.job.wording import called


def spell_keys(
    document: dict[str, Any], places: Places, record: type[Record]
) -> tuple[dict[str, Any], Places, list[Found]]:
    """Read misspelt keys as they were meant.

    Parameters
    ----------
    document
        As TOML has it.
    places
        Where everything stands.
    record
        The record it is to be.

    Returns
    -------
    tuple
        The document as meant, its places, and one fault a key.
    """
    slips: list[tuple[Path, str]] = []
    meant = _meant(document, record, (), slips)
    for path, key in slips:
        places = places.renamed((*path[:-1], key), path)
    return meant, places, [_misspelt(path, key) for path, key in slips]


def _meant(value: Any, annotation: Any, path: Path, slips: list[tuple[Path, str]]) -> Any:
    plain, _ = bare(annotation)
    inside = record_of(annotation)
    if isinstance(value, dict) and inside is not None:
        return _table(value, inside, path, slips)
    if isinstance(value, dict) and get_origin(plain) is dict:
        return {name: _meant(each, get_args(plain)[1], (*path, name), slips) for name, each in value.items()}
    kinds = get_args(plain)
    if isinstance(value, list) and get_origin(plain) is tuple and kinds[-1] is Ellipsis:
        return [_meant(each, kinds[0], (*path, place), slips) for place, each in enumerate(value)]
    return value


def _table(table: dict[str, Any], record: type[Record], path: Path, slips: list[tuple[Path, str]]) -> dict[str, Any]:
    fields = record.model_fields
    absent = [key for key in fields if key not in table]
    meant: dict[str, Any] = {}
    for key, value in table.items():
        near = None if key in fields else nearest(key, fields)
        if near is not None and near in absent and _could_be(value, of_field(fields[near])):
            slips.append(((*path, near), key))
            absent.remove(near)
            key = near
        meant[key] = _meant(value, of_field(fields[key]), (*path, key), slips) if key in fields else value
    return meant


def _could_be(value: Any, annotation: Any) -> bool:
    """Whether a value is of the make a key takes; a table of names holds nothing but tables and lists."""
    plain, _ = bare(annotation)
    if get_origin(plain) is dict:
        return isinstance(value, dict) and all(isinstance(each, dict | list) for each in value.values())
    return isinstance(value, dict) == (record_of(annotation) is not None)


def _misspelt(path: Path, key: str) -> Found:
    what = called(path[:-1]) or "top of the file"
    return Found((*path[:-1], key), f'a key "{key}"', "one of its known keys", f'Did you mean "{path[-1]}"?', what)
