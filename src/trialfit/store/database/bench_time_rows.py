"""Clocks and times of the bench as the database keeps them, read as records."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, Row, select

from trialfit.job.times_file import RunningEntry, TakenEntry, TimesFile
from trialfit.store.database.document_rows import need_document
from trialfit.store.database.records import NotThere
from trialfit.store.database.schema import bench_times
from trialfit.store.database.workshop import Workshop


@dataclass(frozen=True)
class BenchTime:
    """A clock that runs, or the time it gave, or one that was typed.

    Parameters
    ----------
    clock
        The name it was started under.
    state
        ``running``, ``kept``, or ``struck`` where it counts no longer.
    job
        The job, as its document names it.
    operation
        The operation.
    count
        How many were done. [-]
    started_at
        When the clock was started, in UTC; empty where the time was typed.
    took
        How long, as written; empty while it runs.
    day
        The day, year-month-day; empty while it runs.
    note
        What made it long or short.
    """

    clock: str
    state: str
    job: str
    operation: str
    count: int
    started_at: str
    took: str
    day: str
    note: str


def times_of(workshop: Workshop, name: str) -> tuple[BenchTime, ...]:
    """Give the clocks and times of one job.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.

    Returns
    -------
    tuple of BenchTime
        The latest first, those struck out too.

    Raises
    ------
    NotThere
        No such job.
    """
    with workshop.reading() as connection:
        document_id = need_document(connection, "job", name)
        return tuple(bench_time(row) for row in rows_of(connection, document_id))[::-1]


def all_times(workshop: Workshop) -> tuple[BenchTime, ...]:
    """Give every time of the workshop that counts, and the clocks that run.

    Parameters
    ----------
    workshop
        The workshop.

    Returns
    -------
    tuple of BenchTime
        In the order they were entered.
    """
    with workshop.reading() as connection:
        wanted = select(bench_times).where(bench_times.c.state != "struck").order_by(bench_times.c.id)
        return tuple(bench_time(row) for row in connection.execute(wanted))


def times_file(times: tuple[BenchTime, ...]) -> TimesFile:
    """Write times as the file beside a shop file has them.

    Parameters
    ----------
    times
        As `all_times` gives them.

    Returns
    -------
    TimesFile
        Those that count, and the clocks that run.
    """
    taken = tuple(
        TakenEntry.model_validate(
            {"job": each.job, "operation": each.operation, "count": each.count, "took": each.took,
             "day": date.fromisoformat(each.day) if each.day else None, "note": each.note}
        )
        for each in times if each.state == "kept"
    )  # fmt: skip
    running = tuple(
        RunningEntry.model_validate(
            {"job": each.job, "operation": each.operation, "count": each.count, "since": each.started_at}
        )
        for each in times
        if each.state == "running"
    )
    return TimesFile.model_validate({"times": taken, "running": running})


def need_time(connection: Connection, document_id: int, clock: str) -> Row[Any]:
    """Find a clock or time of a job.

    Parameters
    ----------
    connection
        To the database.
    document_id
        Which job. [-]
    clock
        The clock's name.

    Returns
    -------
    Row
        Its row.

    Raises
    ------
    NotThere
        No such clock on this job.
    """
    there = (bench_times.c.clock == clock, bench_times.c.document_id == document_id)
    row = connection.execute(select(bench_times).where(*there)).first()
    if row is None:
        raise NotThere(f"clock {clock[:80]}", "nothing of that name", "a clock of this job", "Load the page anew.")
    return row


def rows_of(connection: Connection, document_id: int, state: str = "") -> list[Row[Any]]:
    """Read a job's clocks and times.

    Parameters
    ----------
    connection
        To the database.
    document_id
        Which job. [-]
    state
        Those of one state alone; empty for all.

    Returns
    -------
    list of Row
        In the order they were entered.
    """
    wanted = select(bench_times).where(bench_times.c.document_id == document_id).order_by(bench_times.c.id)
    return list(connection.execute(wanted.where(bench_times.c.state == state) if state else wanted))


def bench_time(row: Row[Any]) -> BenchTime:
    """Turn a row into a record.

    Parameters
    ----------
    row
        Of the table of times.

    Returns
    -------
    BenchTime
        It.
    """
    return BenchTime(
        row.clock, row.state, row.job, row.operation, row.how_many, row.started_at or "", row.took or "", row.day or "",
        row.note,
    )  # fmt: skip
