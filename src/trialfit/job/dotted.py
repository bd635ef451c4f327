"""Names with a dot in them that were not put in quotes.

TOML takes ``[points.cap.face]`` for a table `face` inside a point `cap`. What was meant is plain, so the slip is
named once, and the rest of the document is read as it was meant.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_origin

from trialfit.job.found import Found
from trialfit.job.nearest import nearest
from trialfit.job.places import Path, Places
from trialfit.job.shape import annotation_at, bare, record_of
from trialfit.job.toml import key_text
from trialfit.job.values import Record

_MOST_DOTS = 5  # more than this is no name but a fault of its own


def quote_names(
    document: dict[str, Any], places: Places, record: type[Record]
) -> tuple[dict[str, Any], Places, list[Found]]:
    """Read unquoted names as they were meant.

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
        The document as meant, its places, and one fault a name.
    """
    faults: list[Found] = []
    for path, table in list(_named_tables(document, record)):
        owner = record_of(annotation_at(record, (*path, "any name")))
        keys = list(owner.model_fields) if owner else []
        meant: dict[str, Any] = {}
        for name in table:
            for parts, entry in _whole_names((name,), table[name], keys, path[0] == "marks"):
                whole = ".".join(parts)
                meant[whole] = entry
                if len(parts) > 1:
                    places = places.renamed((*path, *parts), (*path, whole))
                    faults.append(_unquoted(path, whole))
        document = _replaced(document, path, meant)
    return document, places, faults


def _named_tables(document: dict[str, Any], record: type[Record]) -> Iterator[tuple[Path, dict[str, Any]]]:
    for key, value in document.items():
        if not isinstance(value, dict):
            continue
        if _is_flat(record_of(annotation_at(record, (key, "any name")))):
            yield (key,), value
        elif _is_flat(record_of(annotation_at(record, (key, "any name", "any name")))):
            yield from (((key, name), each) for name, each in value.items() if isinstance(each, dict))


def _is_flat(record: type[Record] | None) -> bool:
    """Whether a table inside the record can only be the rest of a name."""
    if record is None:
        return False
    kinds = [field.annotation for field in record.model_fields.values()]
    return not any(record_of(kind) or get_origin(bare(kind)[0]) is dict for kind in kinds)


def _whole_names(
    parts: tuple[str, ...], entry: Any, keys: list[str], lists_too: bool
) -> Iterator[tuple[tuple[str, ...], Any]]:
    """The names an entry was meant to hold, each with what stands under it."""
    rest_of_names = dict | list if lists_too else dict
    split = [
        key
        for key, value in (entry.items() if isinstance(entry, dict) else ())
        if isinstance(value, rest_of_names) and not nearest(key, keys)
    ]
    if not split or len(parts) == _MOST_DOTS:
        yield parts, entry
        return
    own = {key: value for key, value in entry.items() if key not in split}
    if own:
        yield parts, own
    for key in split:
        yield from _whole_names((*parts, key), entry[key], keys, lists_too)


def _unquoted(path: Path, whole: str) -> Found:
    quoted = key_text(whole)
    remedy = f"Write {quoted} = ..." if path[0] == "marks" else f"Write [{key_text(*path)}.{quoted}]."
    return Found((*path, whole), f"{whole} without quotes", "a name with a dot in it in quotes", remedy)


def _replaced(document: dict[str, Any], path: Path, table: dict[str, Any]) -> dict[str, Any]:
    key, *more = path
    inner = _replaced(document[str(key)], tuple(more), table) if more else table
    return {**document, str(key): inner}
