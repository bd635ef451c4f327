"""Times at the bench: which operations there are, and what a job's page of them shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trialfit.app.desk import Desk
from trialfit.app.understood import understood
from trialfit.app.working import job_at, shop_now, worked_out
from trialfit.errors import Refusal
from trialfit.job.pricing import TimeEntry
from trialfit.quote.clock import known_operation, typed
from trialfit.quote.held import Held, held_of
from trialfit.quote.money import hours_words, whole_minutes
from trialfit.store.database.bench_time_rows import BenchTime
from trialfit.store.database.records import NotThere
from trialfit.tables.work_times import work_times


@dataclass(frozen=True)
class Quoted:
    """An operation of the job.

    Parameters
    ----------
    operation
        Its name.
    what
        What it is done to.
    count
        How many. [-]
    likely, high, taken
        What it is foreseen to take, as often more as less and four times in five; what it has taken so far.
    """

    operation: str
    what: str
    count: int
    likely: str
    high: str
    taken: str


@dataclass(frozen=True)
class TimesView:
    """What a job's page of times shows.

    Parameters
    ----------
    quoted
        The operations its quote foresees; none where it has no quote.
    whole
        What all of them take, in words; empty without a quote.
    others
        Every other operation that is known.
    held
        The workshop's past jobs against their quotes.
    """

    quoted: tuple[Quoted, ...]
    whole: str
    others: tuple[str, ...]
    held: tuple[Held, ...]


def times_view(desk: Desk, name: str) -> TimesView:
    """Gather what a job's page of times shows.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.

    Returns
    -------
    TimesView
        The quote's operations where the job can be worked out.
    """
    _, shop = shop_now(desk)
    try:
        quote = worked_out(desk, name).plan.quote
    except Refusal:
        quote = None
    quoted = tuple(
        Quoted(
            each.line.operation, each.line.what, each.line.count, _hours(each.minutes.likely_min),
            _hours(each.minutes.four_in_five_min), "" if each.taken_min is None else _hours(each.taken_min),
        )
        for each in (quote.operations if quote else ())
    )  # fmt: skip
    whole = ""
    if quote is not None:
        minutes = quote.minutes
        whole = (
            f"All that is quoted: likely {_hours(minutes.likely_min)}, four times in five not more than "
            f"{_hours(minutes.four_in_five_min)}."
        )
    named = {each.operation for each in quoted}
    others = tuple(each for each in dict.fromkeys([*work_times(), *shop.operations]) if each not in named)
    return TimesView(quoted, whole, others, held_now(desk))


def held_now(desk: Desk) -> tuple[Held, ...]:
    """Hold past jobs against their quotes, or remember it.

    Parameters
    ----------
    desk
        The desk.

    Returns
    -------
    tuple of Held
        The last two dozen jobs.
    """
    stamp, shop = shop_now(desk)
    held: tuple[Held, ...] = desk.jobs.get(("held", stamp), lambda: held_of(shop))
    return held


def held_svg(desk: Desk) -> bytes | None:
    """Draw past jobs against their quotes.

    Parameters
    ----------
    desk
        The desk.

    Returns
    -------
    bytes or None
        An SVG document; None where no time has been taken yet.
    """
    from trialfit.sheets.held_chart import held_drawing
    from trialfit.sheets.svg import svg

    held = held_now(desk)
    return svg(held_drawing(held, 186.0), "Quoted against taken").encode() if held else None


def need_operation(desk: Desk, operation: str) -> None:
    """Refuse an operation that neither the program nor the shop knows.

    Parameters
    ----------
    desk
        The desk.
    operation
        Its name.

    Raises
    ------
    Refusal
        It is not known; the nearest is named.
    """
    known_operation(operation, shop_now(desk)[1])


def named_in(desk: Desk, name: str) -> str:
    """Give a job's name as its document has it, by which its times are known to its quote.

    Parameters
    ----------
    desk
        The desk.
    name
        Its name in the workshop.

    Returns
    -------
    str
        The document's name for it; that in the workshop where the document has faults.
    """
    try:
        return job_at(desk, name)[1].job.name
    except NotThere:
        raise
    except Refusal:
        return name


def entry_of(desk: Desk, name: str, operation: str, count: int, took: str, day: str, note: str) -> TimeEntry:
    """Make an entry of a time that was typed freely: a bare number is of minutes.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name in the workshop.
    operation, count, took, day, note
        As typed. [-]

    Returns
    -------
    TimeEntry
        The entry.

    Raises
    ------
    Refusal
        The operation is not known, or the time or the day cannot be read.
    """
    need_operation(desk, operation)
    written, _ = understood(took, "minutes")
    try:
        when = datetime.fromisoformat(day) if day else desk.workshop.clock().astimezone()
    except ValueError:
        raise Refusal("day", f'"{day}"', "a day such as 2026-03-14", "Write year-month-day.") from None
    return typed(named_in(desk, name), operation, count, written, when, note)


def running_s(desk: Desk, each: BenchTime) -> float:
    """Say how long a clock has run, by the program's own clock.

    Parameters
    ----------
    desk
        The desk.
    each
        The clock.

    Returns
    -------
    float
        Zero where it stands. [s]
    """
    if each.state != "running":
        return 0.0
    return max(0.0, (desk.workshop.clock() - datetime.fromisoformat(each.started_at)).total_seconds())


def _hours(minutes: float) -> str:
    return hours_words(whole_minutes(minutes))
