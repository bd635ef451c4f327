"""Rules of heat and acid: before whatever cannot stand them, on the same body or on one that hangs together with it.

Source: what stands what by `trialfit.making.process_stands`; the rules are the trade's.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from trialfit.finding import Basis
from trialfit.job.assemblies import AssemblyEntry
from trialfit.making.process_order import Rule
from trialfit.making.process_reach import Link, links_of, ways_to
from trialfit.making.process_stands import JOINS, heat_of, limit_of, melts_at_c
from trialfit.making.process_words import body_words, listed, work_words
from trialfit.parts.stands import Limit, seal_limit

_SOLDERS = ("silver-solder", "soft-solder")


def exposure_rules(entry: AssemblyEntry) -> Iterator[Rule]:
    """Give the rules of heat and acid.

    Parameters
    ----------
    entry
        The assembly.

    Yields
    ------
    Rule
        One for each way heat or acid gets to what cannot stand it.
    """
    links = links_of(entry)
    for name, step in entry.work.items():
        heat_c = heat_of(step)
        if heat_c is None and step.do != "pickle":
            continue
        yield from _spoils_later_work(entry, links, name, heat_c)
        yield from _spoils_what_came(entry, links, name, heat_c)
        if heat_c is not None:
            yield from _melts(entry, name, heat_c)
            yield from _bursts(entry, links, name)


def _spoils_later_work(
    entry: AssemblyEntry, links: Collection[Link], name: str, heat_c: float | None
) -> Iterator[Rule]:
    step = entry.work[name]
    for other, fitted in entry.work.items():
        limit = None if other == name else limit_of(fitted)
        if limit is None or not _hurts(limit, heat_c) or set(fitted.on) & set(step.kept_cool):
            continue
        for way in ways_to(links, step.on, fitted.on, step.kept_cool):
            needed = way - {name, other}
            what = f"{limit.what} of {work_words(entry, other)}"
            why = f"{_does(entry, name, heat_c)}; {what} {_stands(limit, heat_c)}"
            yield Rule(
                name, _in_order(entry, {other, *needed}), f"{why}{_once(entry, needed)}.",
                _frees_work(entry, name, other, limit, heat_c), "", *_source(limit, heat_c),
            )  # fmt: skip


def _spoils_what_came(entry: AssemblyEntry, links: Collection[Link], name: str, heat_c: float | None) -> Iterator[Rule]:
    step = entry.work[name]
    for body, each in entry.bodies.items():
        for seal in each.seals:
            limit = seal_limit(seal)
            ways = ways_to(links, step.on, [body], step.kept_cool)
            if not ways or not _hurts(limit, heat_c):
                continue
            came = f"{limit.what} that came in {body_words(entry, body)}"
            why = f"{_does(entry, name, heat_c)}; {came} {_stands(limit, heat_c)}"
            frees = f"Take {limit.what} out of {body_words(entry, body)} first, as work of its own."
            yield from _unless_first(entry, name, body, "take off", ways, (why, frees), limit, heat_c)


def _bursts(entry: AssemblyEntry, links: Collection[Link], name: str) -> Iterator[Rule]:
    step = entry.work[name]
    for body, each in entry.bodies.items():
        ways = ways_to(links, step.on, [body], step.kept_cool)
        words = body_words(entry, body)
        if each.wet and ways:
            why = f"{work_words(entry, name)} heats {words}, which may hold water shut in and would burst"
            frees = f"Open and drain {words} first, as work of its own."
            yield from _unless_first(entry, name, body, "drain", ways, (why, frees), None, None)
        shutting = [other for other, shuts in entry.work.items() if shuts.shuts == body]
        if each.openings is not None and len(shutting) >= each.openings:
            for way in ways:
                open_until = {*shutting, *way} - {name}
                shut = f"air shut in by {_names(entry, shutting)}"
                why = f"{work_words(entry, name)} heats {words}, and {shut} would blow the joint or burst it."
                frees = f"Leave a vent in {words}, and close it cold when all else is done."
                yield Rule(name, _in_order(entry, open_until), why, frees)


def _melts(entry: AssemblyEntry, name: str, heat_c: float) -> Iterator[Rule]:
    for body in entry.work[name].on:
        metal = entry.bodies[body].metal if body in entry.bodies else None
        solidus_c = melts_at_c(metal)
        if solidus_c is not None and heat_c >= solidus_c:
            melts = f"{body_words(entry, body)}, {metal}, melts from {solidus_c:.0f} °C"
            why = f"{_does(entry, name, heat_c)}; {melts}."
            yield Rule(name, (), why, "Use a filler of lower melting range.")


def _unless_first(
    entry: AssemblyEntry, name: str, body: str, do: str, ways: Collection[frozenset[str]],
    words: tuple[str, str], limit: Limit | None, heat_c: float | None,
) -> Iterator[Rule]:  # fmt: skip
    """What came with a body goes first, where there is work to take it away; else the heat keeps away from it."""
    why, frees = words
    source, basis = ("", Basis.COMPUTED) if limit is None else _source(limit, heat_c)
    away = [other for other, step in entry.work.items() if step.do == do and body in step.on]
    if away:
        yield from (Rule(other, (name,), f"{why}.", "", "", source, basis) for other in away)
        return
    for way in ways:
        needed = way - {name}
        yield Rule(name, _in_order(entry, needed), f"{why}{_once(entry, needed)}.", frees, "", source, basis)


def _source(limit: Limit, heat_c: float | None) -> tuple[str, Basis]:
    """What stands heat is printed; what stands acid is the trade's custom."""
    return ("", Basis.PRACTICE) if heat_c is None else (limit.source, limit.basis)


def _hurts(limit: Limit, heat_c: float | None) -> bool:
    return not limit.acid if heat_c is None else heat_c >= limit.most_c


def _does(entry: AssemblyEntry, name: str, heat_c: float | None) -> str:
    did = work_words(entry, name)
    return f"{did} is acid" if heat_c is None else f"{did} reaches {heat_c:.0f} °C"


def _stands(limit: Limit, heat_c: float | None) -> str:
    return "does not stand it" if heat_c is None else f"{limit.fails} {limit.most_c:.0f} °C"


def _once(entry: AssemblyEntry, needed: Collection[str]) -> str:
    return f" once {_names(entry, needed)} has joined the two" if needed else ""


def _names(entry: AssemblyEntry, names: Collection[str]) -> str:
    return listed(work_words(entry, name) for name in _in_order(entry, names))


def _in_order(entry: AssemblyEntry, names: Collection[str]) -> tuple[str, ...]:
    return tuple(name for name in entry.work if name in names)


def _frees_work(entry: AssemblyEntry, name: str, other: str, limit: Limit, heat_c: float | None) -> str:
    if heat_c is None:
        return f"Pickle before {work_words(entry, other)}, or clean without acid."
    fitted, hot = entry.work[other], entry.work[name].on
    away = [body for body in fitted.on if body not in hot] or list(fitted.on)
    cool = f"keep {listed((body_words(entry, body) for body in away), 'or')} cool during {work_words(entry, name)}"
    if fitted.do in _SOLDERS:
        return (
            f"Run both joints in one heat, give {work_words(entry, other)} a filler that begins to melt above "
            f"{heat_c:.0f} °C, or {cool}."
        )
    if fitted.do in JOINS or fitted.do == "fit seal":
        return f"Use something that stands {heat_c:.0f} °C in place of {limit.what}, or {cool}."
    return f"Do {work_words(entry, other)} after the heat, or {cool}."
