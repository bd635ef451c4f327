"""Putting jobs away and back on the rack. Nothing of a job that is put away is taken out."""

from __future__ import annotations

from sqlalchemy import insert, select, update

from trialfit.store.database.document_rows import need_document
from trialfit.store.database.schema import documents, rack_moves
from trialfit.store.database.workshop import Workshop


def put_away(workshop: Workshop, job: str, by: str) -> str:
    """Put a job away: off the rack, found by search, all of it kept.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.
    by
        Who puts it away.

    Returns
    -------
    str
        Since when it is away, in UTC. One that is away already stays so.

    Raises
    ------
    NotThere
        No such job.
    """
    return _move(workshop, job, by, away=True)


def put_back(workshop: Workshop, job: str, by: str) -> None:
    """Put a job back on the rack.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.
    by
        Who puts it back.

    Raises
    ------
    NotThere
        No such job.
    """
    _move(workshop, job, by, away=False)


def away_since(workshop: Workshop, job: str) -> str:
    """Say since when a job is away.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.

    Returns
    -------
    str
        In UTC; empty where it is on the rack.

    Raises
    ------
    NotThere
        No such job.
    """
    with workshop.reading() as connection:
        document_id = need_document(connection, "job", job)
        found = connection.execute(select(documents.c.away_at).where(documents.c.id == document_id)).scalar()
        return found or ""


def _move(workshop: Workshop, job: str, by: str, away: bool) -> str:
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", job, lock=True)
        there = documents.c.id == document_id
        since = connection.execute(select(documents.c.away_at).where(there)).scalar() or ""
        if bool(since) == away:
            return since
        now = workshop.now
        kind = "away" if away else "back"
        connection.execute(update(documents).where(there).values(away_at=now if away else None))
        connection.execute(
            insert(rack_moves).values(document_id=document_id, kind=kind, moved_at=now, moved_by=by[:80])
        )
        return now if away else ""
