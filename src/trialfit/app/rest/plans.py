"""Calls: what is worked out for a job. Nothing of it is stored; the same revision gives the same answer."""

from __future__ import annotations

from typing import Annotated, Any, Literal
from urllib.parse import quote

from fastapi import APIRouter, Path, Query, Response
from fastapi.responses import JSONResponse
from pydantic import Field

from trialfit.app.answers import Said
from trialfit.app.at_desk import AtDesk
from trialfit.app.rest.documents import Changing
from trialfit.app.rest.jobs import JobName
from trialfit.store.database.records import NotThere
from trialfit.store.plain import plain

router = APIRouter(prefix="/api/jobs/{job}", tags=["worked out"])

Number = Annotated[int, Query(ge=0, le=2**31 - 1, description="Which revision; 0 for the one that holds.")]
Paper = Literal["a4", "us-letter"]

_TYPES = {
    "pdf": "application/pdf", "svg": "image/svg+xml", "dxf": "image/vnd.dxf", "html": "text/html; charset=utf-8",
}  # fmt: skip


class PlanSaid(Said):
    """Everything that was worked out for a revision."""

    revision: int = Field(description="The revision it was worked out for.")
    plan: dict[str, Any] = Field(description="As plan.json has it: one record a stage, and the findings.")


class FindingsSaid(Said):
    """The findings of a revision."""

    revision: int = Field(description="The revision they were worked out for.")
    findings: list[dict[str, Any]] = Field(description="Those nearest to `will it go on` first.")


class SurveySaid(Said):
    """Where every point is, and how surely."""

    revision: int = Field(description="The revision it was worked out for.")
    survey: dict[str, Any] | None = Field(description="Null where the job has no points.")


class SheetsSaid(Said):
    """The sheets of a revision."""

    revision: int = Field(description="The revision they were set for.")
    files: list[str] = Field(description="Their file names; ask for each under sheets/NAME.")


@router.get("/plan")
def whole_plan(desk: AtDesk, job: JobName, revision: Number = 0) -> PlanSaid:
    """Work the whole job out."""
    from trialfit.app.working import worked_out

    worked = worked_out(desk, job, revision)
    return PlanSaid(revision=worked.revision.number, plan=plain(worked.plan))


@router.get("/findings")
def findings(desk: AtDesk, job: JobName, revision: Number = 0) -> FindingsSaid:
    """Give the findings alone."""
    from trialfit.app.working import worked_out

    worked = worked_out(desk, job, revision)
    return FindingsSaid(revision=worked.revision.number, findings=plain(worked.plan.findings))


@router.get("/survey")
def survey(desk: AtDesk, job: JobName, revision: Number = 0) -> SurveySaid:
    """Give the survey alone, without waiting for the rest."""
    from trialfit.app.live import survey_at

    found, made = survey_at(desk, job, revision)
    return SurveySaid(revision=found.number, survey=None if made is None else plain(made))


@router.post("/trial", response_model=dict[str, Any])
def trial(desk: AtDesk, job: JobName, changing: Changing) -> Response:
    """Work out what changes would give, quickly and without saving them: points, pipes, chance of fit."""
    from trialfit.app.live import tried

    # Written by ourselves: looking through it once more for what JSON cannot hold takes longer than writing it.
    return JSONResponse(tried(desk, job, changing))


@router.get("/sheets")
def sheets(desk: AtDesk, job: JobName, paper: Paper = "a4", revision: Number = 0) -> SheetsSaid:
    """List the sheets."""
    from trialfit.app.working import sheets_for, worked_out

    files = sheets_for(desk, job, paper, revision)
    return SheetsSaid(revision=worked_out(desk, job, revision).revision.number, files=list(files))


@router.get("/sheets.zip", response_class=Response)
def all_sheets(desk: AtDesk, job: JobName, paper: Paper = "a4", revision: Number = 0) -> Response:
    """Give everything in one file: plan.json, every sheet, and the pack that binds them."""
    from trialfit.app.working import zip_for

    file, packed = zip_for(desk, job, paper, revision)
    return Response(packed, media_type="application/zip", headers=saved_as(file))


@router.get("/sheets/{file}", response_class=Response)
def sheet(
    desk: AtDesk, job: JobName, file: Annotated[str, Path(max_length=200)], paper: Paper = "a4", revision: Number = 0
) -> Response:
    """Give one sheet."""
    from trialfit.app.working import sheets_for

    files = sheets_for(desk, job, paper, revision)
    if file not in files:
        raise NotThere(f"sheet {file[:100]}", "nothing of that name", "one of the job's sheets", "Look at the list.")
    kind = _TYPES.get(file.rsplit(".", 1)[-1], "application/octet-stream")
    headers = (
        {"Content-Disposition": "inline", "Cache-Control": "no-cache"} if kind == _TYPES["pdf"] else saved_as(file)
    )
    return Response(files[file], media_type=kind, headers=headers)


def saved_as(file: str) -> dict[str, str]:
    """Have a browser save an answer under a name.

    Parameters
    ----------
    file
        The name.

    Returns
    -------
    dict
        Headers.
    """
    return {
        "Content-Disposition": f"attachment; filename*=UTF-8''{quote(file, safe='')}", "Cache-Control": "no-cache",
    }  # fmt: skip
