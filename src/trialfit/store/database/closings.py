"""Closed revisions in the workshop's database: what was closed stays, to the last letter."""

from __future__ import annotations

import base64
import io
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, Row, insert, select

from trialfit.job.closing import Closed, closed_text, hold_to, read_closed
from trialfit.store.closing import zipped
from trialfit.store.database.document_rows import (
    held_id_of,
    holding_of,
    need_document,
    revision_row,
)
from trialfit.store.database.records import Conflict, NotThere
from trialfit.store.database.schema import closings, revisions
from trialfit.store.database.workshop import Workshop


@dataclass(frozen=True)
class Closing:
    """One closed revision.

    Parameters
    ----------
    issue
        The number its sheets bear. [-]
    revision
        The revision of the document in the database. [-]
    closed_at
        When, in UTC.
    closed_by
        From which screen.
    record
        What was closed.
    """

    issue: int
    revision: int
    closed_at: str
    closed_by: str
    record: Closed


def close_revision(
    workshop: Workshop, name: str, number: int, closed: Closed, made: Mapping[str, bytes], by: str
) -> Closing:
    """Close a revision of a job.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.
    number
        The revision of its document. [-]
    closed
        The record.
    made
        Plan and sheets as they go out, by file name.
    by
        From which screen.

    Returns
    -------
    Closing
        That of the first time, where it was closed before and nothing has changed.

    Raises
    ------
    Conflict
        Another revision holds now.
    Refusal
        It was closed before, and is another document now.
    """
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", name, lock=True)
        before = _row(connection, document_id, closed.revision)
        if before is not None:
            hold_to(read_closed(before.record, name), closed)
            return _closing(before, name)
        revision = revision_row(connection, document_id, number)
        assert revision is not None
        if held_id_of(connection, document_id) != revision.id:  # somebody saved while the sheets were being set
            raise Conflict(number, "", holding_of(connection, document_id, "job", name).revision)
        packed = base64.b64encode(zipped(made, date.fromisoformat(closed.day))).decode("ascii")
        connection.execute(
            insert(closings).values(
                document_id=document_id, revision_id=revision.id, issue=closed.revision, closed_at=workshop.now,
                closed_by=by[:80], record=closed_text(closed), made=packed,
            )
        )  # fmt: skip
        row = _row(connection, document_id, closed.revision)
        assert row is not None
        return _closing(row, name)


def closings_of(workshop: Workshop, name: str) -> tuple[Closing, ...]:
    """Give the closed revisions of a job.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.

    Returns
    -------
    tuple of Closing
        The latest first.

    Raises
    ------
    NotThere
        No such job.
    """
    with workshop.reading() as connection:
        document_id = need_document(connection, "job", name)
        rows = connection.execute(_wanted().where(closings.c.document_id == document_id))
        return tuple(_closing(row, name) for row in rows)


def closed_as(workshop: Workshop, name: str, issue: int) -> tuple[Closing, dict[str, bytes]]:
    """Give a closed revision with plan and sheets as they went out.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.
    issue
        The number its sheets bear. [-]

    Returns
    -------
    tuple of Closing and dict
        The closing, and contents by file name.

    Raises
    ------
    NotThere
        No such job, or that revision is not closed.
    """
    with workshop.reading() as connection:
        document_id = need_document(connection, "job", name)
        row = _row(connection, document_id, issue)
        if row is None:
            raise NotThere(f"job {name}", f"revision {issue}, which is not closed", "a closed revision", "Close it.")
        packed = connection.execute(select(closings.c.made).where(closings.c.id == row.id)).scalar_one()
    with zipfile.ZipFile(io.BytesIO(base64.b64decode(packed))) as archive:
        return _closing(row, name), {each: archive.read(each) for each in archive.namelist()}


def _wanted() -> Any:
    shown = (closings.c.id, closings.c.issue, closings.c.closed_at, closings.c.closed_by, closings.c.record)
    return (
        select(*shown, revisions.c.number)
        .join(revisions, closings.c.revision_id == revisions.c.id)
        .order_by(closings.c.issue.desc())
    )


def _row(connection: Connection, document_id: int, issue: int) -> Row[Any] | None:
    there = (closings.c.document_id == document_id, closings.c.issue == issue)
    found: Row[Any] | None = connection.execute(_wanted().where(*there)).first()
    return found


def _closing(row: Row[Any], name: str) -> Closing:
    return Closing(row.issue, row.number, row.closed_at, row.closed_by, read_closed(row.record, name))
