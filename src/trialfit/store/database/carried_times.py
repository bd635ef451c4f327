"""Clocks and times that go out with a job's folder and come in with it: each once, however often it comes."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any

from sqlalchemy import insert, select, update

from trialfit.job.times_file import RunningEntry, StruckEntry, TakenEntry, TimesFile
from trialfit.store.database.bench_time_rows import rows_of
from trialfit.store.database.document_rows import need_document
from trialfit.store.database.schema import bench_times, documents
from trialfit.store.database.workshop import Workshop, as_written

_LONGEST_MOMENT = 32


@dataclass(frozen=True)
class TimesTaken:
    """Times that came with a folder.

    Parameters
    ----------
    new
        How many the workshop had not. [-]
    left
        What was not taken, and why, in words.
    """

    new: int
    left: tuple[str, ...]


def times_given(workshop: Workshop, job: str) -> TimesFile:
    """Give a job's clocks and times as its folder has them, those struck out too.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.

    Returns
    -------
    TimesFile
        In the order they were entered.

    Raises
    ------
    NotThere
        No such job.
    """
    with workshop.reading() as connection:
        rows = rows_of(connection, need_document(connection, "job", job))
    kept: dict[str, list[dict[str, Any]]] = {"running": [], "kept": [], "struck": []}
    for row in rows:
        entry = {
            "job": row.job, "operation": row.operation, "count": row.how_many, "clock": row.clock,
            "entered": row.entered_at, "entered_by": row.entered_by,
        }  # fmt: skip
        if row.state == "running":
            entry["since"] = row.started_at
        else:
            entry |= {
                "took": row.took or None, "day": row.day or None, "note": row.note, "started": row.started_at,
                "stopped_by": row.stopped_by_key,
            }  # fmt: skip
        kept[row.state].append(entry)
    return TimesFile.model_validate({"times": kept["kept"], "running": kept["running"], "struck": kept["struck"]})


def take_times(workshop: Workshop, job: str, names: tuple[str, ...], times: TimesFile, by: str) -> TimesTaken:
    """Take in the clocks and times that came with a job's folder.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.
    names
        By which times that no workshop gave out are known to be this job's.
    times
        As they came. One that is there already stays as the workshop has it, unless its clock was still running.
    by
        Who takes them in, for those that do not say who entered them.

    Returns
    -------
    TimesTaken
        How many were new, and what was left.

    Raises
    ------
    NotThere
        No such job.
    """
    new, left = 0, Counter[str]()
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", job, lock=True)
        there = {
            row.clock: row
            for row in connection.execute(
                select(bench_times.c.clock, bench_times.c.id, bench_times.c.state, documents.c.name)
                .join(documents, bench_times.c.document_id == documents.c.id)
            )
        }  # fmt: skip
        for row in sorted(_rows_in(times), key=lambda row: row["entered_at"] or "~"):
            if row.pop("unnamed"):
                if row["job"] not in names:
                    left[f"of job {row['job']}"] += 1
                    continue
                if row["state"] == "running":
                    left[f"of {row['operation']}, whose clock still runs: stop it with trialfit times stop"] += 1
                    continue
            before = there.get(row["clock"])
            row["entered_at"] = row["entered_at"] or workshop.now
            row["entered_by"] = (row["entered_by"] or by)[:80]
            if before is None:
                connection.execute(insert(bench_times).values(document_id=document_id, **row))
                new += 1
            elif before.name != job:
                left[f"which stands on job {before.name} already"] += 1
            elif before.state == "running" and row["state"] != "running":
                connection.execute(update(bench_times).where(bench_times.c.id == before.id).values(**row))
                new += 1
    said = tuple(f"{number} time{'s' if number > 1 else ''} {why}" for why, number in left.items())
    return TimesTaken(new, said)


def _rows_in(times: TimesFile) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    seen: Counter[str] = Counter()
    for state, entries in (("kept", times.times), ("struck", times.struck), ("running", times.running)):
        for each in entries:
            row = _row_in(state, each)
            row["unnamed"] = each.clock is None
            if each.clock is None:
                # Two that are alike in every letter are two times; the same file again gives the same names.
                alike = json.dumps([str(row[key]) for key in sorted(row)])
                seen[alike] += 1
                row["clock"] = f"file-{sha256(f'{alike}{seen[alike]}'.encode()).hexdigest()[:40]}"
            rows.append(row)
    return rows


def _row_in(state: str, each: TakenEntry | StruckEntry | RunningEntry) -> dict[str, Any]:
    row: dict[str, Any] = {
        "state": state, "job": each.job, "operation": each.operation, "how_many": each.count, "clock": each.clock,
        "entered_at": _utc(each.entered), "entered_by": each.entered_by, "note": "",
    }  # fmt: skip
    if isinstance(each, RunningEntry):
        return {**row, "started_at": _utc(each.since)}
    return {
        **row, "started_at": _utc(each.started), "took": str(each.took) if each.took else "", "note": each.note,
        "day": each.day.isoformat() if each.day else None, "stopped_by_key": each.stopped_by,
    }  # fmt: skip


def _utc(moment: str | None) -> str | None:
    if moment is None or (moment.endswith("Z") and len(moment) <= _LONGEST_MOMENT):
        return moment
    return as_written(datetime.fromisoformat(moment))
