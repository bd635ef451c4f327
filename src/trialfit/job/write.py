"""Writing the job document, so that a person can read and mend it and reading it gives the same job."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from trialfit.job.places import Path
from trialfit.job.records import Job, Mark
from trialfit.job.shop import Shop
from trialfit.job.times_file import TimesFile
from trialfit.job.toml import key_text, lines_text, value_text
from trialfit.job.turned import Hidden
from trialfit.job.values import Record

_WIDEST = 120
# Sections whose entries are worth a header of their own even when they would fit on one line.
_ALWAYS_HEADED = {("marks",), ("parts",), ("pipes",), ("turned",)}


def write_job(job: Job) -> str:
    """Write a job document.

    Parameters
    ----------
    job
        The job.

    Returns
    -------
    str
        TOML. Quantities stand as they were typed; what equals its default is left out.
    """
    return _document(job)


def write_shop(shop: Shop) -> str:
    """Write what the workshop owns and has learnt.

    Parameters
    ----------
    shop
        The workshop.

    Returns
    -------
    str
        TOML.
    """
    return _document(shop)


def write_times(times: TimesFile) -> str:
    """Write the times taken at the bench.

    Parameters
    ----------
    times
        Times and running clocks.

    Returns
    -------
    str
        TOML.
    """
    return _document(times)


def _document(record: Record) -> str:
    return "\n\n".join(_blocks(_plain(record), ())) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, Mark) and value.pm is None:
        return list(value.px)
    if isinstance(value, Hidden) and value.pm is None and not value.by:
        return value.value
    if isinstance(value, Record):
        fields = type(value).model_fields
        worth = {key: getattr(value, key) for key in fields}
        kept = {key: each for key, each in worth.items() if fields[key].is_required() or each != _default(value, key)}
        return {key: _plain(each) for key, each in kept.items()}
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return value


def _default(record: Record, key: str) -> Any:
    return type(record).model_fields[key].get_default(call_default_factory=True)


def _blocks(table: dict[str, Any], path: Path, listed: bool = False) -> Iterator[str]:
    """A table's own lines under its header, then the tables and lists inside it."""
    inside = {key: value for key, value in table.items() if isinstance(value, dict)}
    if path and path not in _ALWAYS_HEADED and all(_fits(key, value) for key, value in inside.items()):
        inside = {}
    lists = {key: value for key, value in table.items() if _is_list_of_tables(value) and path[:1] != ("turned",)}
    own = {key: value for key, value in table.items() if key not in inside and key not in lists}
    lines = [f"{key_text(key)} = {entry_text(value)}" for key, value in own.items()]
    if path and (lines or listed or not (inside or lists)):
        lines.insert(0, f"[[{key_text(*path)}]]" if listed else f"[{key_text(*path)}]")
    if lines:
        yield "\n".join(lines)
    for key, value in table.items():
        if key in inside:
            yield from _blocks(value, (*path, key))
        elif key in lists:
            for each in value:
                yield from _blocks(each, (*path, key), listed=True)


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(each, dict) for each in value)


def _fits(key: str, table: dict[str, Any]) -> bool:
    """Whether a table reads well on one line."""
    flat = all(not isinstance(each, dict) and not _is_list_of_tables(each) for each in table.values())
    broken = any(isinstance(each, str) and "\n" in each for each in table.values())
    return flat and not broken and len(f"{key_text(key)} = {value_text(table)}") <= _WIDEST


def entry_text(value: Any) -> str:
    """Write a value behind its key, over several lines where that reads better.

    Parameters
    ----------
    value
        As for `trialfit.job.toml.value_text`.

    Returns
    -------
    str
        TOML.
    """
    if _is_list_of_tables(value):
        return "[\n" + "".join(f"    {value_text(each)},\n" for each in value) + "]"
    if isinstance(value, list) and value and isinstance(value[0], list) and len(value_text(value)) > _WIDEST:
        return _in_rows([value_text(each) for each in value])
    return lines_text(value) if isinstance(value, str) and "\n" in value else value_text(value)


def _in_rows(texts: list[str]) -> str:
    """A list of short lists, as many on a line as go there."""
    rows = [f"    {texts[0]},"]
    for text in texts[1:]:
        if len(rows[-1]) + len(text) + 2 <= _WIDEST:
            rows[-1] += f" {text},"
        else:
            rows.append(f"    {text},")
    return "[\n" + "\n".join(rows) + "\n]"
