"""Clocks at the bench and the times they gave: each press is made once, however often it is sent, and none is lost."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from trialfit.errors import Refusal
from trialfit.job.pricing import TimeEntry
from trialfit.job.times_file import RunningEntry, TimesFile
from trialfit.quote import clock as clocks
from trialfit.store.database.bench_time_rows import BenchTime, bench_time, need_time, rows_of
from trialfit.store.database.document_rows import need_document
from trialfit.store.database.records import Taken
from trialfit.store.database.schema import bench_times
from trialfit.store.database.workshop import Workshop, as_written

_KEY = re.compile(r"[\x21-\x7e]{1,80}")
# A press that waited longer in a tablet than this is typed in instead.
LONGEST_AGO_S = 16 * 3600.0


def start_clock(
    workshop: Workshop, name: str, job: str, operation: str, count: int, clock: str, by: str, ago_s: float = 0.0
) -> BenchTime:
    """Start a clock.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.
    job
        The job, as its document names it.
    operation
        The operation; whether it is known has been asked.
    count
        How many are being done. [-]
    clock
        A name for this clock, the same when the press is sent again.
    by
        From which screen.
    ago_s
        How long ago it was pressed. [s]

    Returns
    -------
    BenchTime
        The clock, as it stands now.

    Raises
    ------
    Refusal
        The same operation's clock is running on this job already, or the name stands for another clock.
    """
    _check(clock, ago_s)
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", name, lock=True)
        if (there := _again(connection, document_id, clock, operation)) is not None:
            return bench_time(there)
        running = rows_of(connection, document_id, "running")
        clocks.start(_file_of(running), job, operation, count, _local(workshop))  # refuses one that runs already
        started = as_written(workshop.clock() - timedelta(seconds=ago_s))
        _add(
            connection, workshop, document_id=document_id, clock=clock, state="running", job=job, operation=operation,
            how_many=count, started_at=started, note="", entered_by=by[:80],
        )  # fmt: skip
        return bench_time(need_time(connection, document_id, clock))


def stop_clock(
    workshop: Workshop, name: str, clock: str, key: str, ago_s: float = 0.0, note: str = "", keep: bool = True
) -> BenchTime:
    """Stop a clock, and keep its time or not.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.
    clock
        The clock's name.
    key
        A name for this press, the same when it is sent again.
    ago_s
        How long ago it was pressed. [s]
    note
        What made it long or short.
    keep
        Whether its time counts.

    Returns
    -------
    BenchTime
        The time.

    Raises
    ------
    NotThere
        No such clock.
    Refusal
        It was stopped by another press, or has run for longer than a working day.
    """
    _check(key, ago_s)
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", name, lock=True)
        row = need_time(connection, document_id, clock)
        if row.state != "running":
            if row.stopped_by_key == key:
                return bench_time(row)
            raise Refusal(
                f"clock of {row.operation}", "one that stands already", "one that runs",
                "It was stopped meanwhile, perhaps from another screen; its time stands in the list.",
            )  # fmt: skip
        state, took, day = "struck", "", None
        if keep:
            now = _local(workshop) - timedelta(seconds=ago_s)
            _, entry = clocks.stop(_file_of([row], now.tzinfo), now, row.operation, note)
            state, took, day = "kept", str(entry.took), str(entry.day)
        stopped = update(bench_times).where(bench_times.c.id == row.id)
        connection.execute(stopped.values(state=state, took=took, day=day, stopped_by_key=key, note=note))
        return bench_time(need_time(connection, document_id, clock))


def enter_time(workshop: Workshop, name: str, entry: TimeEntry, clock: str, by: str) -> BenchTime:
    """Keep a time that was typed.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.
    entry
        The time.
    clock
        A name for this time, the same when it is sent again.
    by
        From which screen.

    Returns
    -------
    BenchTime
        The time.

    Raises
    ------
    Refusal
        The name stands for another.
    """
    _check(clock, 0.0)
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", name, lock=True)
        if (there := _again(connection, document_id, clock, entry.operation)) is not None:
            return bench_time(there)
        _add(
            connection, workshop, document_id=document_id, clock=clock, state="kept", job=entry.job,
            operation=entry.operation, how_many=entry.count, took=str(entry.took),
            day=str(entry.day or _local(workshop).date()), note=entry.note, entered_by=by[:80],
        )  # fmt: skip
        return bench_time(need_time(connection, document_id, clock))


def count_time(workshop: Workshop, name: str, clock: str, counts: bool) -> BenchTime:
    """Strike a time out, or have it count again. It stays written down either way.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.
    clock
        The clock's name.
    counts
        Whether it counts from now on.

    Returns
    -------
    BenchTime
        The time.

    Raises
    ------
    NotThere
        No such time.
    Refusal
        Its clock still runs, or gave no time.
    """
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", name, lock=True)
        row = need_time(connection, document_id, clock)
        if not row.took:
            raise Refusal(
                f"time of {row.operation}", "a clock that gave none" if row.state == "struck" else "a running clock",
                "a time that was taken", "Stop the clock first, or type the time.",
            )  # fmt: skip
        there = bench_times.c.id == row.id
        connection.execute(update(bench_times).where(there).values(state="kept" if counts else "struck"))
        return bench_time(need_time(connection, document_id, clock))


def _again(connection: Connection, document_id: int, clock: str, operation: str) -> Row[Any] | None:
    row = connection.execute(select(bench_times).where(bench_times.c.clock == clock)).first()
    if row is not None and (row.document_id, row.operation) != (document_id, operation):
        raise Taken("clock", f"{clock}, which stands for another", "a name of its own", "Send it under a new key.")
    return row


def _add(connection: Connection, workshop: Workshop, **row: Any) -> None:
    connection.execute(insert(bench_times).values(entered_at=workshop.now, **row))


def _local(workshop: Workshop) -> datetime:
    """The hour at the bench: a day of work ends at its own midnight."""
    return workshop.clock().astimezone()


def _file_of(rows: list[Row[Any]], zone: Any = None) -> TimesFile:
    def since(row: Row[Any]) -> str:
        began = datetime.fromisoformat(row.started_at)
        return began.astimezone(zone).isoformat() if zone else row.started_at

    running = tuple(
        RunningEntry.model_validate(
            {"job": row.job, "operation": row.operation, "count": row.how_many, "since": since(row)}
        )
        for row in rows
    )
    return TimesFile.model_validate({"running": running})


def _check(key: str, ago_s: float) -> None:
    if not _KEY.fullmatch(key):
        raise Refusal(
            "key of the request", f'"{key[:100]}"', "1 to 80 letters, digits and signs without blanks",
            "Give each press a key of its own, such as a random one.",
        )  # fmt: skip
    if not 0 <= ago_s <= LONGEST_AGO_S:
        raise Refusal("press", f"{ago_s:.0f} s ago", f"0 to {LONGEST_AGO_S:.0f} s ago", "Type the time instead.")
