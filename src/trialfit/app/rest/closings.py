"""Calls: closing a job's revision, and its archive."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Response
from pydantic import Field

from trialfit.app.answers import Said
from trialfit.app.at_desk import AtDesk
from trialfit.app.rest.callers import Caller
from trialfit.app.rest.jobs import JobName
from trialfit.app.rest.plans import Paper, saved_as

router = APIRouter(prefix="/api/jobs/{job}/closings", tags=["closing"])

Issue = Annotated[int, Path(ge=1, le=2**31 - 1, description="The number that the sheets of that revision bear.")]


class Closing(Said):
    """A revision to be closed."""

    base: int = Field(ge=0, le=2**31 - 1, description="The revision of the document that holds, as you know it.")
    paper: Paper = Field("a4", description="Size of the paper its sheets went out on.")


class ClosingSaid(Said):
    """A closed revision."""

    issue: int = Field(description="The number its sheets bear.")
    revision: int = Field(description="The revision of the document.")
    day: str = Field(description="The day it was closed.")
    closed_at: str = Field(description="When, in UTC.")
    closed_by: str = Field(description="From which screen.")
    program: str = Field(description="Version of the program it was worked out with.")
    tables: str = Field(description="Edition of the tables.")
    document: str = Field(description="SHA-256 of the document.")
    photographs: dict[str, str] = Field(description="SHA-256 of each photograph, by its file's name.")


@router.get("")
def closings(desk: AtDesk, job: JobName) -> list[ClosingSaid]:
    """List the closed revisions of a job, the latest first."""
    from trialfit.store.database.closings import closings_of

    return [_said(each) for each in closings_of(desk.workshop, job)]


@router.post("", status_code=201)
def close(desk: AtDesk, caller: Caller, job: JobName, closing: Closing) -> ClosingSaid:
    """Close the revision that holds: it can no longer be changed, and a correction is a new revision."""
    from trialfit.app.closing import close_job

    return _said(close_job(desk, job, closing.base, closing.paper, caller))


@router.get("/{issue}/archive.zip", response_class=Response)
def archive(desk: AtDesk, job: JobName, issue: Issue) -> Response:
    """Give the record of a closed revision as one file, which can be read without this program."""
    from trialfit.app.closing import archive_of

    file, packed = archive_of(desk, job, issue)
    return Response(packed, media_type="application/zip", headers=saved_as(file))


def _said(closing: object) -> ClosingSaid:
    from trialfit.store.database.closings import Closing as Closed

    assert isinstance(closing, Closed)
    record = closing.record
    return ClosingSaid(
        issue=closing.issue, revision=closing.revision, day=record.day, closed_at=closing.closed_at,
        closed_by=closing.closed_by, program=record.program, tables=record.tables, document=record.document,
        photographs=dict(record.photographs),
    )  # fmt: skip
