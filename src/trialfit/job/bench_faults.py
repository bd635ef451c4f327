"""Names in the broken tails, assemblies and pressure tests of a job that refer to others: each must be there."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

from trialfit.errors import Refusal
from trialfit.job.found import Found, unknown_name
from trialfit.job.places import Path
from trialfit.job.written import table, tables, text
from trialfit.tables.gauges import wall_mm


def bench_faults(document: dict[str, Any]) -> list[Found]:
    """Find every reference to nothing.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a reference.
    """
    return [*_breaks(document), *_assemblies(document), *_pressure_tests(document)]


def _breaks(document: dict[str, Any]) -> Iterator[Found]:
    for name, entry in tables(document, "breaks").items():
        part = text(entry, "part")
        if part is not None:
            yield from _there(("breaks", name, "part"), "part", part, table(document, "parts"))


def _assemblies(document: dict[str, Any]) -> Iterator[Found]:
    for name, entry in tables(document, "assemblies").items():
        path: Path = ("assemblies", name)
        bodies, work = table(entry, "bodies"), table(entry, "work")
        for key, held, kind in (("bodies", bodies, "body"), ("work", work, "piece of work")):
            if not held:
                remedy = f"Add one under [assemblies.{name}.{key}]."
                yield Found((*path, key), "nothing", f"at least one {kind}", remedy, absent=key)
        for n, pair in enumerate(_list(entry.get("joined"))):
            yield from _listed((*path, "joined", n), "body", pair, bodies)
        for step, each in tables(entry, "work").items():
            here: Path = (*path, "work", step)
            on = each.get("on")
            yield from _listed((*here, "on"), "body", [on] if isinstance(on, str) else on, bodies)
            yield from _listed((*here, "kept_cool"), "body", each.get("kept_cool"), bodies)
            yield from _listed((*here, "after"), "piece of work", each.get("after"), work)
            shuts = text(each, "shuts")
            if shuts is not None:
                yield from _there((*here, "shuts"), "body", shuts, bodies)
            if step in _list(each.get("after")):
                yield Found((*here, "after"), f'"{step}" itself', "another piece of work", "Take it out.")


def _pressure_tests(document: dict[str, Any]) -> Iterator[Found]:
    for name, entry in tables(document, "pressure_tests").items():
        path: Path = ("pressure_tests", name)
        yield from _listed((*path, "pipes"), "pipe", entry.get("pipes"), table(document, "pipes"))
        for tube, each in tables(entry, "tubes").items():
            wall = text(each, "wall")
            if wall is not None:
                try:
                    wall_mm(wall, "wall")
                except Refusal as refusal:
                    fault = refusal.fault
                    yield Found((*path, "tubes", tube, "wall"), fault.got, fault.wanted, fault.remedy)


def _listed(path: Path, kind: str, names: Any, known: Collection[str]) -> Iterator[Found]:
    for place, each in enumerate(_list(names)):
        if isinstance(each, str):
            yield from _there((*path, place), kind, each, known)


def _there(path: Path, kind: str, name: str, known: Collection[str]) -> Iterator[Found]:
    if name not in known:
        yield unknown_name(path, kind, name, known)


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
