"""The job's summary: what was found, where the points are, what it rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from trialfit.finding import Answer, Finding
from trialfit.fitup.records import PipePlan
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.heading import CAUTIONS, Paper, finding_lines, gravest_first, head
from trialfit.survey.records import Residual, Survey, SurveyedPoint

_WORST = 8


def summary(
    job: Job,
    survey: Survey | None,
    findings: Sequence[Finding],
    pipes: Iterable[PipePlan] = (),
    shop: Shop | None = None,
    paper: Paper = "a4",
) -> dict[str, Any]:
    """Write the summary of a job as a record for its template.

    Parameters
    ----------
    job
        The job.
    survey
        What its photographs and readings gave, or None where there was nothing to survey.
    findings
        All that was found, in the order of the work.
    pipes
        The pipes that have bench sheets of their own.
    shop
        The workshop, for what is assumed of it.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    return {
        "head": head(job, "job summary", job.engine.name, paper),
        "facts": _facts(job),
        "count": _count(findings),
        "answer": gravest_first(findings)[0].answer.value if findings else "",
        "findings": [finding_lines(each) for each in gravest_first(findings)],
        "pipes": [_pipe_line(pipe) for pipe in pipes],
        "survey": None if survey is None else _survey(job, survey),
        "assumed": _assumed(job, survey, findings, shop),
        "cautions": list(CAUTIONS),
    }


def _facts(job: Job) -> list[list[str]]:
    pressure = job.engine.working_pressure
    other = "bar" if pressure.unit == "psi" else "psi"
    engine = ", ".join(part for part in (job.engine.name, job.engine.note) if part)
    facts = [
        ["Owner", job.job.owner],
        ["Engine", engine],
        ["Working pressure", f"{pressure.written} by the gauge ({float(pressure.to(other)):.1f} {other})"],
    ]
    return [*facts, *([["What happened", job.job.story]] if job.job.story else [])]


def _count(findings: Sequence[Finding]) -> str:
    if not findings:
        return "Nothing was checked."
    counted = Counter(finding.answer for finding in findings)
    return ", ".join(f"{counted[answer]} {answer.value}" for answer in (Answer.STOP, Answer.LOOK, Answer.GO)) + "."


def _pipe_line(pipe: PipePlan) -> str:
    bends = "no bend" if not pipe.bends else "1 bend" if len(pipe.bends) == 1 else f"{len(pipe.bends)} bends"
    return f"{pipe.name}: {bends}, cut length {pipe.cut_length}. See its bench sheet."


def _survey(job: Job, survey: Survey) -> dict[str, Any]:
    return {
        "points": [_point_row(job, point) for point in survey.points],
        "left_out": [
            {"name": left.name, "because": left.because, "do": left.do} for left in survey.left_out
        ],
        "residuals": [_residual_row(each) for each in _worst(survey.residuals)] if survey.freedom else [],
        "fit": _fit_lines(job, survey),
        "photographs": _photographs(job, survey),
    }  # fmt: skip


def _point_row(job: Job, point: SurveyedPoint) -> list[str]:
    entry = job.points.get(point.name)
    axes = zip(point.position_mm, point.k2_mm, strict=True)
    return [point.name, entry.what if entry else "", *(f"{at:.2f} ± {k2:.2f}" for at, k2 in axes), str(point.rays)]


def _worst(residuals: Iterable[Residual]) -> list[Residual]:
    return sorted(residuals, key=lambda residual: -abs(residual.sigmas))[:_WORST]


def _residual_row(residual: Residual) -> list[str]:
    return [residual.what, f"{residual.off:.2f} {residual.unit}", f"{residual.sigmas:.1f}"]


def _fit_lines(job: Job, survey: Survey) -> list[str]:
    lines = [f"All together: chi-square {survey.chi_square:.1f} on {survey.freedom} degrees of freedom."]
    if not survey.freedom:
        lines = ["No more was said than was needed, so nothing holds one reading or mark against another."]
    if job.card is not None:
        (long, short), (long_k2, short_k2) = survey.card_stretch
        lines.append(
            f"The card came out at {long:.4f} ± {long_k2:.4f} of its nominal length and {short:.4f} ± {short_k2:.4f} "
            "of its nominal width."
        )
    return lines


def _photographs(job: Job, survey: Survey) -> list[list[str]]:
    rows = []
    for station in survey.stations:
        entry = job.photographs.get(station.photograph)
        corners = f"{station.card_corners} corners" if station.card_corners else "no card seen"
        told = [entry.file, entry.phone, corners, entry.note] if entry else ["", "", corners, ""]
        rows.append([station.photograph, *told])
    return rows


def _assumed(job: Job, survey: Survey | None, findings: Sequence[Finding], shop: Shop | None) -> list[str]:
    """Each thing once: what the reasons say is assumed, then the card and the bench."""
    reasons = [reason for finding in findings for reason in finding.because if reason.basis.must_be_shown]
    lines = list(dict.fromkeys(str(reason) for reason in reasons))
    if survey is not None and job.card is not None and not job.card.check_lines:
        lines.append("The card is as large as it should be, to 1 % [assumed: none of its check lines was measured].")
    if shop is not None and not shop.measured:
        lines.append(f"Formers and scatter are those of the {shop.name} [assumed: common practice, no source].")
    return lines
