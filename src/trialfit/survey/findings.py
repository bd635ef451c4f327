"""What a survey has to say for itself.

Source: the chi-square test of the whole (JCGM 101 and any text on least squares); limits are named beside each.
"""

from __future__ import annotations

from scipy.stats import chi2

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.job.records import Job
from trialfit.survey.gather import Sighted
from trialfit.survey.records import LeftOut, Residual, Survey
from trialfit.survey.same_picture import SamePicture

_STAGE = "survey"
_WHOLE_ALPHA = 0.01
_ONE_SIGMAS = 3.5


def survey_findings(
    job: Job, survey: Survey, sighted: Sighted, twice: tuple[SamePicture, ...] = ()
) -> tuple[Finding, ...]:
    """Questions a survey answers about itself.

    Parameters
    ----------
    job
        The job document.
    survey
        Its survey.
    sighted
        What the survey was given.
    twice
        Photographs that were sent twice.

    Returns
    -------
    tuple of Finding
        Agreement, scale, points that could not be fixed, photographs to look at again.
    """
    found = [_agreement(survey)]
    found += [_strange(residual) for residual in survey.residuals if residual.sigmas > _ONE_SIGMAS]
    if job.card is not None:
        found.append(_scale(job, survey))
    found += [_not_fixed(left) for left in survey.left_out if _matters(job, left)]
    found += [
        _remarked(name, photograph.remarks) for name, photograph in sighted.photographs.items() if photograph.remarks
    ]
    found += [
        Finding(_STAGE, f"{same.first}, {same.second}", "Is every photograph a new one?", Answer.LOOK,
                because=(Reason(f"{same}"),), do="Ask for another photograph in place of the second.")
        for same in twice
    ]  # fmt: skip
    return tuple(found)


def _agreement(survey: Survey) -> Finding:
    limit = float(chi2.ppf(1.0 - _WHOLE_ALPHA, max(survey.freedom, 1)))
    good = survey.chi_square <= limit
    return Finding(
        _STAGE,
        "all photographs and readings",
        "Do the photographs and readings agree with each other?",
        Answer.GO if good else Answer.LOOK,
        Figure(survey.chi_square / max(survey.freedom, 1), "-"),
        Figure(limit / max(survey.freedom, 1), "-"),
        (
            Reason(
                f"Weighted squares of all disagreements come to {survey.chi_square:.0f} over {survey.freedom} degrees "
                f"of freedom; more than {limit:.0f} would come by chance once in a hundred.",
                "chi-square test",
            ),
        ),
        "" if good else "Look at the worst residuals first: a mark on the wrong thing, or a reading misread.",
    )


def _strange(residual: Residual) -> Finding:
    return Finding(
        _STAGE,
        residual.what,
        "Is this one right?",
        Answer.LOOK,
        Figure(residual.off, residual.unit, None, 2 if residual.unit == "mm" else 1),
        None,
        (Reason(f"It is out by {residual.sigmas:.1f} of its own standard deviations.", "residual test, Baarda 1968"),),
        "Look at it again; if it cannot be made out, leave it out.",
    )


def _scale(job: Job, survey: Survey) -> Finding:
    assert job.card is not None
    (long, short), (long_k2, short_k2) = survey.card_stretch
    measured = bool(job.card.check_lines)
    reasons = [
        Reason(
            f"The print came out at {100 * long:.2f} % of nominal along its long side and {100 * short:.2f} % along "
            f"its short side (k = 2: {100 * long_k2:.2f} % and {100 * short_k2:.2f} %)."
        )
    ]
    if measured:
        lines = ", ".join(
            f"{line.along} side {line.reading.value} by {line.reading.by}" for line in job.card.check_lines
        )
        reasons.append(Reason(f"Check lines were measured on the paper: {lines}.", lines, Basis.MEASURED))
    else:
        reasons.append(
            Reason(
                "No check line was measured: the print is trusted to 1 % only, and nothing in the photographs can "
                "tell a small card from a far one.",
                "home printers",
                Basis.PRACTICE,
            )
        )
    return Finding(
        _STAGE,
        "scale card",
        "Is the scale known?",
        Answer.GO if measured else Answer.LOOK,
        Figure(100 * max(long_k2, short_k2), "%"),
        Figure(1.0, "%"),
        tuple(reasons),
        "" if measured else "Ask the owner to measure both check lines on the card as printed, to 0.1 mm.",
    )


def _matters(job: Job, left: LeftOut) -> bool:
    """A point is worth a word if it was marked, or if a port asks for it."""
    marked = any(left.name in marks for marks in job.marks.values())
    wanted = any(
        left.name in (port.face, port.axis_from) for part in job.parts.values() for port in part.ports.values()
    )
    return marked or wanted


def _not_fixed(left: LeftOut) -> Finding:
    return Finding(
        _STAGE, left.name, "Where is it?", Answer.LOOK, because=(Reason(left.because),), do=left.do
    )  # fmt: skip


def _remarked(name: str, remarks: tuple[str, ...]) -> Finding:
    return Finding(
        _STAGE,
        f"photograph {name}",
        "Can this photograph be trusted?",
        Answer.LOOK,
        because=tuple(Reason(remark) for remark in remarks),
        do="Ask for the photograph as the phone stored it.",
    )
