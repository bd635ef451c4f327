"""On which jobs a clock of the bench is running, as the rack says it."""

from __future__ import annotations

from datetime import datetime

from trialfit.store.database.workshop import Workshop

# As text, for `Workshop.rows`: the first page reads it.
_RUNNING = """
    select documents.name, bench_times.operation, bench_times.started_at
    from bench_times
    join documents on documents.id = bench_times.document_id
    where bench_times.state = 'running'
    order by bench_times.id
"""


def clocks_on(workshop: Workshop) -> dict[str, tuple[str, ...]]:
    """Say on which jobs a clock of the bench is running.

    Parameters
    ----------
    workshop
        The workshop.

    Returns
    -------
    dict
        By the job's name: each operation with the hour since when, on the clock on the wall; with the day too where
        that is not today.
    """
    today = workshop.clock().astimezone().date()
    found: dict[str, tuple[str, ...]] = {}
    for row in workshop.rows(_RUNNING):
        began = datetime.fromisoformat(row["started_at"]).astimezone()
        since = f"{began:%H:%M}" if began.date() == today else f"{began:%Y-%m-%d %H:%M}"
        found[row["name"]] = (*found.get(row["name"], ()), f"{row['operation']} since {since}")
    return found
