"""Designations that must be in the tables, and walls that must leave a bore."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any

from trialfit.errors import Refusal
from trialfit.job.found import Found
from trialfit.job.places import Path
from trialfit.job.written import quantity, table, tables, text
from trialfit.tables.designations import find_thread
from trialfit.tables.gauges import wall_mm
from trialfit.tables.metals import find_metal


def trade_faults(document: dict[str, Any]) -> list[Found]:
    """Find every thread, metal and wall the tables do not know.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a designation.
    """
    return [*_parts(document), *_tubes(document)]


def _parts(document: dict[str, Any]) -> Iterator[Found]:
    for part, entry in tables(document, "parts").items():
        yield from _known(("parts", part, "metal"), text(entry, "metal"), find_metal)
        for port, each in tables(entry, "ports").items():
            yield from _known(("parts", part, "ports", port, "thread"), text(each, "thread"), find_thread)


def _tubes(document: dict[str, Any]) -> Iterator[Found]:
    for pipe, entry in tables(document, "pipes").items():
        tube = table(entry, "tube")
        path: Path = ("pipes", pipe, "tube")
        yield from _known((*path, "metal"), text(tube, "metal"), find_metal)
        written = text(tube, "wall")
        unknown = list(_known((*path, "wall"), written, wall_mm))
        yield from unknown
        od = quantity(tube.get("od"), "length")
        if written is None or unknown or od is None:
            continue
        if Fraction(wall_mm(written)) * 2 >= od.to("mm"):
            remedy = "Check both; was one of them typed in the other's unit?"
            got = written if written.endswith("mm") else f"{written}, which is {wall_mm(written):g} mm"
            yield Found((*path, "wall"), got, f"less than half of {od}", remedy)


def _known(path: Path, written: str | None, find: Callable[[str], object]) -> Iterator[Found]:
    try:
        if written is not None:
            find(written)
    except Refusal as refusal:
        fault = refusal.fault
        yield Found(path, fault.got, fault.wanted, fault.remedy)
    except OverflowError:
        yield Found(path, "a figure with hundreds of digits", "a figure of a likely size", "Check the figure.")
