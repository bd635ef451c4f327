"""What pydantic finds wrong with a document, in the bench's words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from trialfit.job.found import Found
from trialfit.job.nearest import did_you_mean, nearest
from trialfit.job.places import Path
from trialfit.job.shape import annotation_at, field_at, record_of
from trialfit.job.syntax import shortened
from trialfit.job.toml import value_text
from trialfit.job.values import Record
from trialfit.job.wording import called, example_of, kind_words


def structure_faults(error: ValidationError, record: type[Record]) -> list[Found]:
    """Say everything pydantic found.

    Parameters
    ----------
    error
        Of the whole document.
    record
        The record it was to be.

    Returns
    -------
    list
        One fault a mistake.
    """
    faults: list[Found] = []
    short_lists: set[Path] = set()
    for each in error.errors(include_url=False):
        path = each["loc"]
        if each["type"] == "missing" and isinstance(path[-1], int):
            if path[:-1] not in short_lists:
                short_lists.add(path[:-1])
                faults.append(_wrong(path[:-1], each["input"], record))
        elif each["type"] == "missing":
            faults.append(_missing(path, record))
        elif each["type"] == "extra_forbidden":
            faults.append(_unknown_key(path, record))
        elif each["type"] == "refused":
            faults.append(_refused(path, each.get("ctx", {})))
        elif each["type"] == "too_short" and isinstance(each["input"], list | tuple):
            faults.append(_too_short(path, each["input"], int(each["ctx"]["min_length"]), record))
        else:
            faults.append(_wrong(path, each["input"], record))
    return faults


def _unknown_key(path: Path, record: type[Record]) -> Found:
    owner = record_of(annotation_at(record, path[:-1]))
    keys = list(owner.model_fields) if owner else []
    remedy = did_you_mean(str(path[-1]), keys, f"Take it out; the keys here are {', '.join(keys)}.")
    what = called(path[:-1]) or "top of the file"
    return Found(path, f'a key "{path[-1]}"', "one of its known keys", remedy, what)


def _missing(path: Path, record: type[Record]) -> Found:
    field = field_at(record, path)
    example = example_of(field) if field else ""
    about = f": {_as_clause(field.description)}" if field and field.description else ""
    if len(path) == 1 and record_of(annotation_at(record, path)):
        remedy = f"Add a table [{path[0]}]{about}."
    else:
        remedy = f"Add {path[-1]} = {example}{about}."
    return Found(path, "nothing", kind_words(annotation_at(record, path)), remedy, absent=str(path[-1]))


def _as_clause(description: str) -> str:
    first, *rest = description.rstrip(".").split(" ")
    return " ".join([first.lower() if first[1:].islower() or len(first) == 1 else first, *rest])


def _refused(path: Path, words: Mapping[str, Any]) -> Found:
    return Found((*path, *words.get("at", ())), words["got"], words["wanted"], words["remedy"])


def _too_short(path: Path, value: Sequence[Any], least: int, record: type[Record]) -> Found:
    field = field_at(record, path)
    example = example_of(field) if field else ""
    remedy = f"Write it like this: {path[-1]} = {example}." if example else "Add what is missing."
    what = "a list that is not empty" if least == 1 else f"a list of {least} or more"
    return Found(path, f"{len(value)} of them" if value else "an empty list", what, remedy)


def _wrong(path: Path, value: Any, record: type[Record]) -> Found:
    annotation = annotation_at(record, path)
    field = field_at(record, path)
    wanted = kind_words(annotation)
    remedy = "Mend it."
    if path[:1] == ("marks",) and len(path) == 3:
        wanted, remedy = "[x, y] or a table", 'Write it as [1521.9, 852.8] or { px = [1521.9, 852.8], pm = "5 px" }.'
    elif wanted.startswith("one of") and isinstance(value, str):
        near = nearest(value, wanted.removeprefix("one of ").replace('"', "").split(", "))
        remedy = f'Did you mean "{near}"?' if near else "Write one of them, letter for letter."
    elif wanted == "a number":
        remedy = "Write it bare, without quotes or unit."
    elif value == "":
        wanted, remedy = "some words", "Fill it in; it is printed."
    elif field and (example := example_of(field)):
        remedy = f"Write it like this: {path[-1] if isinstance(path[-1], str) else called(path[-2:])} = {example}."
    elif wanted == "a list of tables":
        remedy = f"Head each with [[{'.'.join(str(key) for key in path)}]]."
    elif wanted == "a table" and isinstance(path[-1], int):
        remedy = f"Head each with [[{'.'.join(str(key) for key in path[:-1])}]]."
    elif wanted.startswith("a table"):
        remedy = f"Head it with [{'.'.join(str(key) for key in path)}], its keys below."
    return Found(path, got_words(value), wanted, remedy)


def got_words(value: Any) -> str:
    """Show what was found.

    Parameters
    ----------
    value
        As read from the file.

    Returns
    -------
    str
        As it would be written, shortened; ``a table`` for a table.
    """
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple) and any(isinstance(each, dict) for each in value):
        return "a list of tables"
    return shortened(value_text(value))
