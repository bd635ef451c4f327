"""Drills by number, letter, fraction and millimetre; what thread a hole leaves, and which hole clears one.

Source: ASME B94.11M (number and letter sizes), ISO 235 (metric steps, from memory); tapping and clearance drills by
the rows of ``figures/tapping_drills.csv`` and ``figures/clearance_holes.csv``; the three meanings of a percentage of
thread in ``figures/thread_forms.toml``.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import cache
from math import sqrt

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.tables.rows import Row, rows
from trialfit.tables.threads import Thread, same_threads
from trialfit.units import length_mm

SERIES = ("metric", "fraction", "number", "letter")
_CLOSE_PCT, _FREE_PCT = 1.5, 4.0
_ALIKE_MM = 1e-6


@dataclass(frozen=True)
class Drill:
    """One drill.

    Parameters
    ----------
    series
        Metric, fraction, number or letter; empty for a diameter that is no standard drill.
    name
        As it is asked for: ``5.7 mm``, ``7/32 in``, ``#1``, ``F``.
    diameter_mm
        Diameter. [mm]
    sources, basis
        Where its size comes from.
    """

    series: str
    name: str
    diameter_mm: float
    sources: tuple[str, ...]
    basis: Basis


@dataclass(frozen=True)
class Nearest:
    """The drills of one series on either side of a diameter.

    Parameters
    ----------
    series
        The series.
    under
        The greatest drill not over the diameter; None where the series begins above it.
    over
        The least drill not under the diameter; None where the series ends below it. A drill of the very diameter
        stands in both places.
    """

    series: str
    under: Drill | None
    over: Drill | None


@dataclass(frozen=True)
class ThreadPercent:
    """How much thread a hole leaves, by each of the three depths that print calls 100 %.

    Parameters
    ----------
    of_form_pct
        Of the depth of the thread's own form (Whitworth, BA, or ISO basic). [%]
    of_us_pct
        Of the US handbook depth, 1.299 pitch on the diameter. [%]
    of_iso_pct
        Of the ISO basic depth, 1.0825 pitch on the diameter. [%]
    """

    of_form_pct: float
    of_us_pct: float
    of_iso_pct: float


@dataclass(frozen=True)
class TappingDrill:
    """A drill before the tap.

    Parameters
    ----------
    drill
        The drill.
    percent
        The thread it leaves.
    printed_pct
        The percentage its source prints, or None. [%]
    printed_of
        Which depth the source says it means: ``us``, or empty where it does not say.
    sources, basis, note
        Where the choice comes from; basis computed where it is only a drill of the right size.
    """

    drill: Drill
    percent: ThreadPercent
    printed_pct: float | None
    printed_of: str
    sources: tuple[str, ...]
    basis: Basis
    note: str


@dataclass(frozen=True)
class ClearanceDrill:
    """A drill whose hole a thread passes through.

    Parameters
    ----------
    fit
        Close, normal or free.
    drill
        The drill.
    over_mm
        How much the hole is greater than the thread. [mm]
    sources, basis, note
        Where the choice comes from.
    """

    fit: str
    drill: Drill
    over_mm: float
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def drills(series: str = "") -> tuple[Drill, ...]:
    """Give the drills.

    Parameters
    ----------
    series
        Metric, fraction, number or letter; empty for all four.

    Returns
    -------
    tuple of Drill
        From small to large.
    """
    if series:
        return tuple(drill for drill in drills() if drill.series == series)
    return tuple(sorted((_drill(row) for row in rows("drills.csv")), key=lambda drill: drill.diameter_mm))


def find_drill(text: str, what: str = "drill") -> Drill:
    """Find a drill by its name, or take a diameter as one.

    Parameters
    ----------
    text
        ``#43`` or ``No 43``, ``F`` or ``letter F``, ``7/32 in``, ``5.57mm``.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    Drill
        The drill; one without a series for a diameter no standard drill has.

    Raises
    ------
    Refusal
        Neither a drill's name nor a length.
    """
    plain = text.strip()
    if match := re.fullmatch(r"(?:#|no\.?)\s*(\d+)", plain, re.IGNORECASE):
        return _named(f"#{int(match[1])}", "number", text, what)
    if match := re.fullmatch(r"(?:letter\s+)?([a-z])", plain, re.IGNORECASE):
        return _named(match[1].upper(), "letter", text, what)
    try:
        diameter_mm = length_mm(text, what)
    except Refusal as refusal:
        wanted = "a drill such as 5.6 mm, 7/32 in, #43 or F"
        raise Refusal(what, refusal.fault.got, wanted, refusal.fault.remedy) from None
    if diameter_mm <= 0:
        raise Refusal(what, plain, "a diameter greater than nought", "Write the diameter of the drill or hole.")
    known = drills()
    first = bisect_left(known, diameter_mm - _ALIKE_MM, key=_diameter_mm)
    near = known[first : bisect_right(known, diameter_mm + _ALIKE_MM, key=_diameter_mm)]
    alike = (drill for drill in near if abs(drill.diameter_mm - diameter_mm) < _ALIKE_MM and _written_so(drill, plain))
    return next(alike, Drill("", plain, diameter_mm, ("S-EXACT",), Basis.COMPUTED))


def _diameter_mm(drill: Drill) -> float:
    return drill.diameter_mm


def nearest_drills(diameter_mm: float) -> tuple[Nearest, ...]:
    """Give the drills next to a diameter in each series.

    Parameters
    ----------
    diameter_mm
        Diameter wanted. [mm]

    Returns
    -------
    tuple of Nearest
        One for each of the four series.
    """
    return tuple(_nearest(diameter_mm, series) for series in SERIES)


def percent_of_thread(thread: Thread, hole_mm: float) -> ThreadPercent:
    """Say how much thread a hole leaves.

    Parameters
    ----------
    thread
        The thread to be tapped.
    hole_mm
        Diameter of the hole. [mm]

    Returns
    -------
    ThreadPercent
        By each of the three depths; over 100 where the hole is smaller than that depth asks for. [%]
    """
    height_mm = thread.pitch_mm * sqrt(3) / 2
    cut_mm = 100 * (thread.major_mm - hole_mm)
    return ThreadPercent(
        cut_mm / (thread.major_mm - thread.core_internal_mm), cut_mm / (1.5 * height_mm), cut_mm / (1.25 * height_mm)
    )


def usual_percent(thread: Thread, percent: ThreadPercent) -> float:
    """Give the percentage that the thread's own trade means when it says "75 %".

    Parameters
    ----------
    thread
        The thread.
    percent
        The three percentages. [%]

    Returns
    -------
    float
        Of the form's own depth for Whitworth and BA threads; of the US handbook depth for ISO and unified. [%]
    """
    return percent.of_us_pct if thread.form == "ISO60" else percent.of_form_pct


def tapping_drills(thread: Thread, least_pct: float = 60.0, most_pct: float = 85.0) -> tuple[TappingDrill, ...]:
    """Give the standard drills that leave a share of thread.

    Parameters
    ----------
    thread
        The thread to be tapped; not a taper one, whose hole depends on its depth.
    least_pct, most_pct
        The share wanted, of the depth `usual_percent` goes by. [%]

    Returns
    -------
    tuple of TappingDrill
        From small to large; empty for a taper thread.
    """
    if thread.taper:
        return ()
    found = ((drill, percent_of_thread(thread, drill.diameter_mm)) for drill in drills())
    return tuple(
        TappingDrill(drill, percent, None, "", drill.sources, Basis.COMPUTED, "")
        for drill, percent in found
        if least_pct <= usual_percent(thread, percent) <= most_pct
    )


def printed_tapping_drills(thread: Thread) -> tuple[TappingDrill, ...]:
    """Give the tapping drills that print recommends, each with the thread it really leaves.

    Parameters
    ----------
    thread
        The thread to be tapped.

    Returns
    -------
    tuple of TappingDrill
        From small to large; empty where no table has the thread.
    """
    names = {thread.designation, *(other.designation for other in same_threads(thread))}
    found = (_printed(thread, row) for row in rows("tapping_drills.csv") if row["thread"] in names)
    return tuple(sorted(found, key=lambda tapping: tapping.drill.diameter_mm))


def clearance_drills(thread: Thread) -> tuple[ClearanceDrill, ...]:
    """Give drills whose hole the thread passes through.

    Parameters
    ----------
    thread
        The thread.

    Returns
    -------
    tuple of ClearanceDrill
        Close, normal, free: those that print gives for the thread; where print leaves out close or free, the next
        metric drill and the next of any other series by the rule in Source.

    Source
    ------
    Rows of ``figures/clearance_holes.csv``; the rule (close 1.5 %, free 4 % over the thread) is common practice, no
    source.
    """
    names = {thread.series, *(other.series for other in same_threads(thread))}
    printed = [
        _cleared(thread, row)
        for row in rows("clearance_holes.csv")
        if names & set(row["series"].split()) and abs(row.length_mm("major") - thread.major_mm) < _ALIKE_MM
    ]
    have = {clearance.fit for clearance in printed}
    for fit, over_pct in (("close", _CLOSE_PCT), ("free", _FREE_PCT)):
        if fit not in have:
            printed += _by_rule(thread, fit, over_pct)
    order = ("close", "normal", "free")
    return tuple(sorted(printed, key=lambda clearance: order.index(clearance.fit)))


def _drill(row: Row) -> Drill:
    return Drill(row["series"], row["name"] or row["diameter"], row.length_mm("diameter"), row.sources, row.basis)


def _named(name: str, series: str, text: str, what: str) -> Drill:
    for drill in drills(series):
        if drill.name == name:
            return drill
    wanted = f"a {series} drill from {drills(series)[0].name} to {drills(series)[-1].name}"
    raise Refusal(what, text.strip(), wanted, "Write a name on the drill stand, or a diameter with its unit.")


def _written_so(drill: Drill, text: str) -> bool:
    """A length in millimetres is a metric drill; a fraction of an inch is a fractional one."""
    return drill.series == ("metric" if text.endswith("mm") else "fraction")


def _nearest(diameter_mm: float, series: str) -> Nearest:
    under = [drill for drill in drills(series) if drill.diameter_mm <= diameter_mm + _ALIKE_MM]
    over = [drill for drill in drills(series) if drill.diameter_mm >= diameter_mm - _ALIKE_MM]
    return Nearest(series, under[-1] if under else None, over[0] if over else None)


def _printed(thread: Thread, row: Row) -> TappingDrill:
    drill = find_drill(row["drill"], row.place)
    percent = percent_of_thread(thread, drill.diameter_mm)
    return TappingDrill(
        drill, percent, row.number_if_any("printed_pct"), row["printed_depth"], row.sources, row.basis, row.note
    )


def _cleared(thread: Thread, row: Row) -> ClearanceDrill:
    drill = find_drill(row["drill"], row.place)
    over_mm = drill.diameter_mm - thread.major_mm
    return ClearanceDrill(row["fit"], drill, over_mm, row.sources, row.basis, row.note)


def _by_rule(thread: Thread, fit: str, over_pct: float) -> list[ClearanceDrill]:
    least_mm = thread.major_mm * (1 + over_pct / 100)
    metric = _nearest(least_mm, "metric").over
    others = [drill for drill in drills() if drill.series != "metric" and drill.diameter_mm >= least_mm]
    chosen = [drill for drill in (metric, others[0] if others else None) if drill is not None]
    note = f"the next drill at least {over_pct:g} % over the thread"
    return [
        ClearanceDrill(fit, drill, drill.diameter_mm - thread.major_mm, ("S-PRACTICE",), Basis.PRACTICE, note)
        for drill in chosen
    ]
