"""Names in what is quoted that refer to other names: each must be there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from trialfit.job.found import Found, unknown_name
from trialfit.job.places import Path
from trialfit.job.written import table, tables, text
from trialfit.tables.work_times import work_times


def quoting_faults(document: dict[str, Any]) -> list[Found]:
    """Find every reference to nothing in what is quoted.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a reference.
    """
    return [*_choices(document), *_left_out(document)]


def work_names(document: dict[str, Any]) -> list[str]:
    """Give every name by which a choice can call work.

    Parameters
    ----------
    document
        As read from TOML.

    Returns
    -------
    list of str
        Names of the quote's own work; ``turned.NAME``, ``pipes.NAME``, ``assemblies.NAME``, ``assemblies.NAME.WORK``.
    """
    names = list(table(document, "quote", "work"))
    names += [f"{kind}.{name}" for kind in ("turned", "pipes", "assemblies") for name in table(document, kind)]
    for name, entry in tables(document, "assemblies").items():
        names += [f"assemblies.{name}.{step}" for step in table(entry, "work")]
    return names


def _choices(document: dict[str, Any]) -> Iterator[Found]:
    known, breaks = work_names(document), list(table(document, "breaks"))
    for name, entry in tables(document, "quote", "choices").items():
        path: Path = ("quote", "choices", name)
        for key in ("repair", "remake"):
            for place, each in enumerate(_list(entry.get(key))):
                if isinstance(each, str) and each not in known:
                    yield unknown_name((*path, key, place), "piece of work", each, known)
        broken = text(entry, "breaks")
        if broken is not None and broken not in breaks:
            yield unknown_name((*path, "breaks"), "broken tail", broken, breaks)


def _left_out(document: dict[str, Any]) -> Iterator[Found]:
    known = [*work_names(document), *work_times()]
    for place, each in enumerate(_list(table(document, "quote").get("leave_out"))):
        if isinstance(each, str) and each not in known:
            yield unknown_name(("quote", "leave_out", place), "piece of work", each, known)


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
