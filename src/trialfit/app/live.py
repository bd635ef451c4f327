"""What a mark being dragged does to the survey, the pipes and the chance of fit: quick, and nothing is saved."""

from __future__ import annotations

from typing import Any

from trialfit.app.desk import Desk
from trialfit.app.rest.documents import Changing
from trialfit.app.working import job_at, looked_at, shop_now
from trialfit.errors import Fault, Refusal, Refusals
from trialfit.fitup.fit import fit_of
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.change import Change, changed, parsed
from trialfit.job.records import Job
from trialfit.parts.build import build_parts
from trialfit.store.database.records import Revision
from trialfit.store.plain import plain
from trialfit.survey.records import Survey
from trialfit.survey.solve import survey_of


def survey_at(desk: Desk, name: str, number: int = 0) -> tuple[Revision, Survey | None]:
    """Survey a job at a revision, without the rest of the plan.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    number
        Which revision; 0 for the one that holds. [-]

    Returns
    -------
    tuple of Revision and Survey
        The survey is None where the job has no points.

    Raises
    ------
    Refusal
        The document has faults, or the survey cannot be solved at all.
    """
    found, job = job_at(desk, name, number)
    return found, survey_of(job, looked_at(desk, name, job).sighted) if job.points else None


def tried(desk: Desk, name: str, changing: Changing) -> dict[str, Any]:
    """Work out what changes would give.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    changing
        The changes, and the revision they are made to.

    Returns
    -------
    dict
        ``revision``; ``survey``, or null; ``pipes`` and ``fits`` by the pipe's name; ``refused``, one fault for each
        thing that could not be worked out.

    Raises
    ------
    Refusals
        The changes do not make a document at all.
    """
    found, _ = job_at(desk, name, changing.base)
    document = desk.jobs.get(("parsed", found.sha256), lambda: parsed(found.text))
    job = _job(changed(document, [Change(each.path, each.value) for each in changing.changes]))
    refused: list[Fault] = []
    survey: Survey | None = None
    try:
        survey = survey_of(job, looked_at(desk, name, job).sighted) if job.points else None
    except Refusal as refusal:
        refused += refusal.faults
    pipes, fits = _pipes(desk, job, survey, refused) if survey else ({}, {})
    return {
        "revision": found.number,
        "survey": None if survey is None else plain(survey),
        "pipes": pipes,
        "fits": fits,
        "refused": [vars(fault) for fault in refused],
    }


def _pipes(desk: Desk, job: Job, survey: Survey, refused: list[Fault]) -> tuple[dict[str, Any], dict[str, Any]]:
    _, shop = shop_now(desk)
    working_mpa = float(job.engine.working_pressure.to("MPa"))
    pipes: dict[str, Any] = {}
    fits: dict[str, Any] = {}
    try:
        parts = build_parts(job)
    except Refusal as refusal:
        refused += refusal.faults
        return pipes, fits
    for name, entry in job.pipes.items():
        try:
            laid = wanted_pipe(name, entry, parts, survey, shop)
            pipes[name] = plain(laid)
            fits[name] = plain(fit_of(laid, parts, survey, shop, working_mpa))
        except Refusal as refusal:
            refused += refusal.faults
    return pipes, fits


def _job(document: dict[str, Any]) -> Job:
    """The quick way: what disagrees within a sound document is asked when it is saved."""
    from pydantic import ValidationError

    try:
        return Job.model_validate(document)
    except ValidationError as error:
        raise Refusals(
            Fault(
                ", ".join(str(key) for key in each["loc"]), str(each.get("input"))[:100],
                str(each.get("ctx", {}).get("wanted", each["msg"])),
                str(each.get("ctx", {}).get("remedy", "Look at docs/job-file.md.")),
            )
            for each in error.errors()
        ) from None  # fmt: skip
