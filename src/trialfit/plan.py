"""The whole job in one function, read top to bottom."""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.finding import Answer, Finding, Reason
from trialfit.fitup.findings import pipe_findings
from trialfit.fitup.landing import scatter_of
from trialfit.fitup.pipe import pipe_between
from trialfit.fitup.records import EndFace, PipePlan, TubeStock
from trialfit.job.records import Job, PipeEnd, PipeEntry
from trialfit.job.shop import Former, Shop
from trialfit.parts.build import build_joints, build_parts, find_port
from trialfit.parts.joints import joint_findings, mate_all
from trialfit.parts.place import two_faces
from trialfit.parts.records import FaceAt, Mating, Part
from trialfit.survey.findings import survey_findings
from trialfit.survey.gather import Sighted
from trialfit.survey.records import Survey
from trialfit.survey.same_picture import SamePicture
from trialfit.survey.solve import survey_of
from trialfit.tables.gauges import wall_mm

_SAME_TUBE_MM = 0.1


@dataclass(frozen=True)
class Plan:
    """Everything worked out for one job.

    Parameters
    ----------
    job
        The job document it came from.
    shop
        The workshop it was worked out for.
    survey
        Where the points are, or None where the job has none.
    parts
        The parts with their ports.
    matings
        Each joint, and whether it goes together.
    pipes
        The pipes that could be laid out.
    findings
        Every question with its answer, stage by stage.
    """

    job: Job
    shop: Shop
    survey: Survey | None
    parts: tuple[Part, ...]
    matings: tuple[Mating, ...]
    pipes: tuple[PipePlan, ...]
    findings: tuple[Finding, ...]


def plan(job: Job, shop: Shop, sighted: Sighted | None = None, twice: tuple[SamePicture, ...] = ()) -> Plan:
    """Work out a whole job.

    Parameters
    ----------
    job
        The job document.
    shop
        What the workshop owns and has learnt.
    sighted
        The job's photographs and the card found in them; None where it has none.
    twice
        Photographs that were sent twice.

    Returns
    -------
    Plan
        One complete record a stage, and the list of findings.

    Raises
    ------
    Refusal
        The survey cannot be solved at all, or a part has a port its kind does not have.
    """
    seen = sighted or Sighted()
    survey = survey_of(job, seen) if job.points else None
    findings: list[Finding] = list(survey_findings(job, survey, seen, twice)) if survey else []

    parts = build_parts(job)
    matings = mate_all(build_joints(job, parts))
    findings += joint_findings(matings)

    pipes: list[PipePlan] = []
    for name, wanted in job.pipes.items():
        try:
            laid = _pipe(name, wanted, shop, survey, parts)
        except Refusal as refusal:
            findings.append(_cannot_be_laid(name, refusal))
        else:
            pipes.append(laid)
            findings += pipe_findings(laid, shop)
    return Plan(job, shop, survey, parts, matings, tuple(pipes), tuple(findings))


def _pipe(name: str, wanted: PipeEntry, shop: Shop, survey: Survey | None, parts: tuple[Part, ...]) -> PipePlan:
    if survey is None:
        raise Refusal(f"pipe {name}", "a job without points", "a surveyed point at either end", "Mark its two faces.")
    first, second, covariance = two_faces(
        survey, find_port(parts, wanted.start.port), find_port(parts, wanted.end.port)
    )
    od_mm = float(wanted.tube.od.to("mm"))
    tube = TubeStock(od_mm, wall_mm(wanted.tube.wall), wanted.tube.metal)
    former = _former(name, wanted, shop)
    radius = wanted.bend_radius or former.radius
    return pipe_between(
        name,
        _end(first, wanted.start),
        _end(second, wanted.end),
        covariance,
        tube,
        radius_mm=float(radius.to("mm")),
        grip_mm=float(former.grip.to("mm")),
        file_allowance_mm=float(wanted.file_allowance.to("mm")),
        scatter=scatter_of(shop.scatter),
        springs_back_deg=float(former.springs_back.to("deg")) if former.springs_back else None,
        bends_most=wanted.bends_most,
    )


def _end(face: FaceAt, wanted: PipeEnd) -> EndFace:
    return EndFace(
        wanted.port,
        face.position_mm,
        face.direction,
        straight_mm=float(wanted.straight.to("mm")),
        enters_mm=float(wanted.enters.to("mm")),
    )


def _former(name: str, wanted: PipeEntry, shop: Shop) -> Former:
    od_mm = float(wanted.tube.od.to("mm"))
    for former in shop.formers:
        if abs(float(former.od.to("mm")) - od_mm) < _SAME_TUBE_MM:
            return former
    have = ", ".join(former.od.written for former in shop.formers) or "none"
    raise Refusal(
        f"pipe {name}, former", f"tube of {wanted.tube.od} and formers for {have}",
        "a former for this tube", "Add the former to the shop file: its radius and the straight it grips.",
    )  # fmt: skip


def _cannot_be_laid(name: str, refusal: Refusal) -> Finding:
    fault = refusal.fault
    return Finding(
        "fitup", f"pipe {name}", "Can the pipe be laid out?", Answer.STOP,
        because=(Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),), do=fault.remedy,
    )  # fmt: skip
