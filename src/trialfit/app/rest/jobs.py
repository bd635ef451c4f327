"""Calls: jobs, their revisions, undo and redo."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from pydantic import Field

from trialfit.app.answers import DocumentSaid, JobLineSaid, RevisionLineSaid, RevisionSaid, Said
from trialfit.app.at_desk import AtDesk
from trialfit.app.rest.callers import Caller, Key
from trialfit.app.rest.documents import Changing, Saving, Stepping, changed_text, said, text_of
from trialfit.store.database import documents, rack
from trialfit.store.database.lines import Away, list_jobs

router = APIRouter(prefix="/api/jobs", tags=["jobs"])

JobName = Annotated[str, Path(max_length=80, description="The job's name in the workshop.")]


class Starting(Said):
    """A job to be started."""

    name: str = Field(max_length=80, description="Its name in the workshop, as a folder's name.")
    text: str | None = Field(None, description="Its document as TOML.")
    document: dict[str, Any] | None = Field(None, description="Or as tables and lists.")


@router.get("")
def jobs(
    desk: AtDesk,
    words: Annotated[str, Query(max_length=400, description="Words that all stand in it; thread:, part: ...")] = "",
    most: Annotated[int, Query(ge=1, le=5000)] = 1000,
    away: Annotated[Away, Query(description="Those put away: with the others, without them, or only those.")] = "with",
) -> list[JobLineSaid]:
    """List the jobs, saved last first."""
    return [JobLineSaid(**vars(line)) for line in list_jobs(desk.workshop, words, most, away)]


@router.post("", status_code=201)
def start(desk: AtDesk, caller: Caller, job: Starting, key: Key = "") -> DocumentSaid:
    """Start a job."""
    documents.check_name(job.name)
    text = text_of(desk, "job", job.name, job.text, job.document)
    return said(desk, documents.start(desk.workshop, "job", job.name, text, caller, key))


@router.get("/{job}")
def job(desk: AtDesk, job: JobName) -> DocumentSaid:
    """Give the revision of a job that holds."""
    return said(desk, documents.holding(desk.workshop, "job", job))


@router.put("/{job}")
def save(desk: AtDesk, caller: Caller, job: JobName, saving: Saving, key: Key = "") -> DocumentSaid:
    """Save a job over the revision it was made from."""
    documents.holding(desk.workshop, "job", job)
    text = text_of(desk, "job", job, saving.text, saving.document)
    return said(desk, documents.save(desk.workshop, "job", job, text, saving.base, caller, key))


@router.post("/{job}/changes")
def change(desk: AtDesk, caller: Caller, job: JobName, changing: Changing, key: Key = "") -> DocumentSaid:
    """Change a job key by key."""
    text = changed_text(desk, "job", job, changing)
    return said(desk, documents.save(desk.workshop, "job", job, text, changing.base, caller, key))


@router.post("/{job}/undo")
def undo(desk: AtDesk, caller: Caller, job: JobName, step: Stepping, key: Key = "") -> DocumentSaid:
    """Go back to the revision that the present one was made from."""
    return said(desk, documents.undo(desk.workshop, "job", job, step.base, caller, key))


@router.post("/{job}/redo")
def redo(desk: AtDesk, caller: Caller, job: JobName, step: Stepping, key: Key = "") -> DocumentSaid:
    """Take back the last undo."""
    return said(desk, documents.redo(desk.workshop, "job", job, step.base, caller, key))


class AwaySaid(Said):
    """Whether a job is put away."""

    name: str = Field(description="Its name in the workshop.")
    away_at: str = Field(description="Since when, in UTC; empty where it is on the rack.")


@router.put("/{job}/away")
def put_away(desk: AtDesk, caller: Caller, job: JobName) -> AwaySaid:
    """Put a job away: off the rack, found by search, all of it kept."""
    return AwaySaid(name=job, away_at=rack.put_away(desk.workshop, job, caller))


@router.delete("/{job}/away")
def put_back(desk: AtDesk, caller: Caller, job: JobName) -> AwaySaid:
    """Put a job back on the rack."""
    rack.put_back(desk.workshop, job, caller)
    return AwaySaid(name=job, away_at="")


@router.get("/{job}/revisions")
def revisions(desk: AtDesk, job: JobName) -> list[RevisionLineSaid]:
    """List a job's revisions, the newest first."""
    return [RevisionLineSaid(**vars(line)) for line in documents.history(desk.workshop, "job", job)]


@router.get("/{job}/revisions/{number}")
def revision(desk: AtDesk, job: JobName, number: Annotated[int, Path(ge=1, le=2**31 - 1)]) -> RevisionSaid:
    """Give one revision of a job."""
    found = documents.revision(desk.workshop, "job", job, number)
    return RevisionSaid(
        name=found.name, revision=found.number, parent=found.parent, text=found.text, sha256=found.sha256,
        saved_at=found.saved_at, saved_by=found.saved_by,
    )  # fmt: skip
