"""Closed revisions that go out with a job's folder and come in with it."""

from __future__ import annotations

import base64
from datetime import date

from sqlalchemy import insert, select

from trialfit.errors import Refusal
from trialfit.job.closing import closed_text, hold_to, read_closed
from trialfit.store.closed_files import ClosedFiles
from trialfit.store.closing import zipped
from trialfit.store.database.closings import closed_as, closings_of
from trialfit.store.database.document_rows import need_document
from trialfit.store.database.schema import closings, revisions
from trialfit.store.database.workshop import Workshop
from trialfit.store.folder import DOCUMENT


def closings_given(workshop: Workshop, job: str, number: int = 0) -> list[ClosedFiles]:
    """Give a job's closed revisions as its folder has them.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.
    number
        Only those closed up to this revision of the document; 0 for all. [-]

    Returns
    -------
    list of ClosedFiles
        The earliest first.

    Raises
    ------
    NotThere
        No such job.
    """
    wanted = [each for each in closings_of(workshop, job) if not number or each.revision <= number]
    return [
        ClosedFiles(each.record, each.closed_at, each.closed_by, closed_as(workshop, job, each.issue)[1])
        for each in reversed(wanted)
    ]


def need_unchanged(workshop: Workshop, job: str, given: list[ClosedFiles]) -> None:
    """Refuse closed revisions that are closed in the workshop as something else.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name; it is there.
    given
        As they came.

    Raises
    ------
    Refusal
        One of them is not what the workshop has.
    """
    there = {each.issue: each.record for each in closings_of(workshop, job)}
    for each in given:
        if each.record.revision in there:
            hold_to(there[each.record.revision], each.record)


def keep_closing(workshop: Workshop, job: str, given: ClosedFiles, by: str) -> bool:
    """Keep a closed revision that came with a folder.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.
    given
        As it came.
    by
        Who took it in, for one that does not say who closed it.

    Returns
    -------
    bool
        Whether it was not there yet.

    Raises
    ------
    NotThere
        No such job.
    Refusal
        It is closed as something else, or its document is none of the job's revisions.
    """
    record = given.record
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", job, lock=True)
        there = (closings.c.document_id == document_id, closings.c.issue == record.revision)
        before = connection.execute(select(closings.c.record).where(*there)).scalar()
        if before is not None:
            hold_to(read_closed(before, job), record)
            return False
        row = connection.execute(
            select(revisions.c.id, revisions.c.text)
            .where(revisions.c.document_id == document_id, revisions.c.sha256 == record.document)
            .order_by(revisions.c.number)
        ).first()
        if row is None:
            raise Refusal(
                f"job {job}, closed revision {record.revision}", "a document that is none of its revisions",
                "the document that was closed", "Unpack its archive into the folder of that revision under closed/.",
            )  # fmt: skip
        made = given.made or {DOCUMENT: row.text.encode("utf-8")}
        packed = base64.b64encode(zipped(made, date.fromisoformat(record.day))).decode("ascii")
        connection.execute(
            insert(closings).values(
                document_id=document_id, revision_id=row.id, issue=record.revision,
                closed_at=given.closed_at or workshop.now, closed_by=given.closed_by or by[:80],
                record=closed_text(record), made=packed,
            )
        )  # fmt: skip
    return True
