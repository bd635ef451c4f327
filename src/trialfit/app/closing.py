"""Closing a job of the workshop's database, and its archive: made once, and the same bytes ever after."""

from __future__ import annotations

from datetime import date

from trialfit import __version__
from trialfit.app.desk import Desk
from trialfit.app.working import sheets_for, worked_out
from trialfit.job.closing import closed_of, hold_to
from trialfit.job.records import Job
from trialfit.parcel.closing import need_accounted
from trialfit.sheets.archive import archive_files
from trialfit.sheets.heading import Paper
from trialfit.store.closing import zipped
from trialfit.store.database.closings import Closing, close_revision, closed_as, closings_of
from trialfit.store.database.documents import holding
from trialfit.store.database.pictures import picture_path, pictures_of
from trialfit.store.database.records import Conflict
from trialfit.store.folder import DOCUMENT, PHOTOGRAPHS
from trialfit.store.plain import json_text
from trialfit.tables.edition import tables_edition


def close_job(desk: Desk, name: str, base: int, paper: Paper, by: str) -> Closing:
    """Close the revision of a job that holds.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    base
        The revision of its document that is meant. [-]
    paper
        Size of the paper its sheets went out on.
    by
        From which screen.

    Returns
    -------
    Closing
        That of the first time, where it is closed already.

    Raises
    ------
    Conflict
        Another revision holds now.
    Refusal
        Its parcel is not accounted for, it has faults, or it bears the number of another revision that is closed.
    """
    held = holding(desk.workshop, "job", name).revision
    if held.number != base:
        raise Conflict(base, "", held)
    plan = worked_out(desk, name, base).plan
    need_accounted(name, plan.parcel)
    document, photographs = held.text.encode("utf-8"), _photographs(desk, name, plan.job)
    day = desk.workshop.clock().astimezone().date()
    closed = closed_of(plan.job, document, photographs, day, __version__, tables_edition())
    before = next((each for each in closings_of(desk.workshop, name) if each.issue == closed.revision), None)
    if before is not None:  # no sheet is set again for what was closed before
        hold_to(before.record, closed)
        return before
    contents = {
        DOCUMENT: document,
        **{f"{PHOTOGRAPHS}/{file}": content for file, content in photographs.items()},
        "plan.json": json_text(plan).encode(),
        **{f"sheets/{file}": made for file, made in sheets_for(desk, name, paper, base).items()},
    }
    files = archive_files(plan.job, closed, plan.findings, contents)
    made = {file: content for file, content in files.items() if not file.startswith(f"{PHOTOGRAPHS}/")}
    return close_revision(desk.workshop, name, base, closed, made, by)


def archive_of(desk: Desk, name: str, issue: int) -> tuple[str, bytes]:
    """Give the archive of a closed revision.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    issue
        The number its sheets bear. [-]

    Returns
    -------
    tuple of str and bytes
        Name of the file, and a ZIP file that can be read without this program.

    Raises
    ------
    NotThere
        That revision is not closed.
    """
    closing, made = closed_as(desk.workshop, name, issue)
    photographs = {
        f"{PHOTOGRAPHS}/{file}": picture_path(desk.workshop, digest).read_bytes()
        for file, digest in closing.record.photographs.items()
    }
    last = {file: made.pop(file) for file in ("manifest.json",) if file in made}
    files = {**made, **photographs, **last}
    return f"{name}-revision-{issue}.zip", zipped(files, date.fromisoformat(closing.record.day))


def _photographs(desk: Desk, name: str, job: Job) -> dict[str, bytes]:
    """The photographs the job names, by their files' names, as a job folder has them."""
    wanted = {entry.file for entry in job.photographs.values()}
    return {
        each.file: picture_path(desk.workshop, each.sha256).read_bytes()
        for each in pictures_of(desk.workshop, name)
        if each.file in wanted
    }
