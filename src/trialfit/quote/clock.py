"""The bench's clock: start, stop, and times typed afterwards. The hour is given from outside.

Source: plain bookkeeping.
"""

from __future__ import annotations

from datetime import datetime

from trialfit.errors import Refusal
from trialfit.job.nearest import did_you_mean
from trialfit.job.shop import Shop
from trialfit.job.times_file import RunningEntry, StruckEntry, TakenEntry, TimesFile
from trialfit.tables.work_times import work_times

# A clock somebody forgot to stop is no time taken.
_LONGEST_MIN = 16 * 60


def start(times: TimesFile, job: str, operation: str, count: int, now: datetime) -> TimesFile:
    """Start a clock.

    Parameters
    ----------
    times
        As they are.
    job
        Name of the job.
    operation
        Name of the operation.
    count
        How many are being done. [-]
    now
        The hour.

    Returns
    -------
    TimesFile
        With the clock running.

    Raises
    ------
    Refusal
        The same clock is running already.
    """
    if any(each.job == job and each.operation == operation for each in times.running):
        raise Refusal(
            f"clock of {operation} on {job}",
            "running already",
            "one that stands",
            "Stop it first: trialfit times stop.",
        )
    since = now.replace(microsecond=0).isoformat()
    entry = RunningEntry.model_validate({"job": job, "operation": operation, "count": count, "since": since})
    return times.model_copy(update={"running": (*times.running, entry)})


def stop(times: TimesFile, now: datetime, operation: str = "", note: str = "") -> tuple[TimesFile, TakenEntry]:
    """Stop a clock and keep the time.

    Parameters
    ----------
    times
        As they are.
    now
        The hour.
    operation
        Which one, where several run.
    note
        Anything that made it long or short.

    Returns
    -------
    tuple
        The times with the new one, and that one.

    Raises
    ------
    Refusal
        None is running, several are, or the hour is before its start or a day after it.
    """
    running = [each for each in times.running if operation in ("", each.operation)]
    if len(running) != 1:
        got = "none running" if not running else ", ".join(each.operation for each in running)
        raise Refusal("clock", got, "one that runs", "Name it: trialfit times stop --operation OPERATION.")
    one = running[0]
    minutes = (now - datetime.fromisoformat(one.since)).total_seconds() / 60
    if not 0 < minutes <= _LONGEST_MIN:
        raise Refusal(
            f"clock of {one.operation}", f"{minutes:.0f} min since {one.since}", "a time of one working day",
            "Type the time instead: trialfit times add. Then stop the clock with --forget.",
        )  # fmt: skip
    took = f"{max(round(minutes, 1), 0.1):g} min"
    entry = typed(one.job, one.operation, one.count, took, now, note)
    if one.clock:  # the workshop that gave the clock out knows its time again by the name
        entry = TakenEntry.model_validate({**dict(entry), **_entered(one)})
    left = tuple(each for each in times.running if each is not one)
    return times.model_copy(update={"running": left, "times": (*times.times, entry)}), entry


def forget(times: TimesFile, operation: str = "") -> TimesFile:
    """Stop clocks without keeping their times.

    Parameters
    ----------
    times
        As they are.
    operation
        Which; all where empty.

    Returns
    -------
    TimesFile
        Without them.
    """
    let_go = tuple(each for each in times.running if operation in ("", each.operation))
    left = tuple(each for each in times.running if each not in let_go)
    struck = tuple(
        StruckEntry.model_validate(
            {"job": each.job, "operation": each.operation, "count": each.count, **_entered(each)}
        )
        for each in let_go
        if each.clock
    )
    return times.model_copy(update={"running": left, "struck": (*times.struck, *struck)})


def typed(job: str, operation: str, count: int, took: str, now: datetime, note: str = "") -> TakenEntry:
    """Make an entry of a time that was taken.

    Parameters
    ----------
    job
        Name of the job.
    operation
        Name of the operation.
    count
        How many were done. [-]
    took
        How long, as typed.
    now
        The day.
    note
        Anything that made it long or short.

    Returns
    -------
    TakenEntry
        The entry.
    """
    entry = {"job": job, "operation": operation, "count": count, "took": took, "day": now.date(), "note": note}
    return TakenEntry.model_validate(entry)


def _entered(one: RunningEntry) -> dict[str, str | None]:
    return {"clock": one.clock, "started": one.since, "entered": one.entered, "entered_by": one.entered_by}


def known_operation(operation: str, shop: Shop | None) -> str:
    """Hold the name of an operation against those that are known.

    Parameters
    ----------
    operation
        As typed.
    shop
        The workshop, or None where it has no file.

    Returns
    -------
    str
        The same.

    Raises
    ------
    Refusal
        Neither the program nor the shop file knows it; the nearest is named.
    """
    known = [*work_times(), *(shop.operations if shop else ())]
    if operation not in known:
        remedy = did_you_mean(operation, known, "Add it under [operations] of the shop file.")
        raise Refusal("operation", f'"{operation}"', "one that is known", remedy)
    return operation
