"""What a survey has to say for itself.

Source: the chi-square test of the whole (JCGM 101 and any text on least squares); limits are named beside each.
"""

from __future__ import annotations

from scipy.special import chdtri

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.job.records import Job
from trialfit.survey.gather import Sighted
from trialfit.survey.records import LeftOut, Residual, Survey, Suspect
from trialfit.survey.same_picture import SamePicture
from trialfit.survey.trust import ALPHA

_STAGE = "survey"
_WHOLE_ALPHA = 0.01
_ONE_SIGMAS = 3.5
_OF_OUTLINES = ("outside diameter", "bend radius", "radius", "marks on")
_NO_MARKS = ("known place", *_OF_OUTLINES)  # single marks have their own test
_AGAIN = "Look at it again; if it cannot be made out, leave it out."
_OTHER_EDGE = (
    "See that the edge that was marked is the one that was measured: a chamfer has two. If in doubt leave the measured "
    "size out."
)


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
    found += [_suspect(suspect) for suspect in survey.suspects]
    found += [
        _strange(residual)
        for residual in survey.residuals
        if residual.sigmas > _ONE_SIGMAS and residual.what.startswith(_NO_MARKS)
    ]
    if job.card is not None:
        found.append(_scale(job, survey))
    found += _not_fixed(job, survey.left_out)
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
    if not survey.freedom:
        aside = [suspect.what for suspect in survey.suspects if suspect.set_aside]
        said = f"Without what is set aside ({', '.join(aside)}) no more" if aside else "No more"
        reason = Reason(f"{said} was said than was needed, so nothing holds one reading or mark against another.")
        return Finding(
            _STAGE, "all photographs and readings", "Do the photographs and readings agree with each other?",
            Answer.LOOK, because=(reason,), do="Have one length measured that could be worked out from the rest.",
        )  # fmt: skip
    limit = float(chdtri(survey.freedom, _WHOLE_ALPHA))
    good = survey.chi_square <= limit
    return Finding(
        _STAGE,
        "all photographs and readings",
        "Do the photographs and readings agree with each other?",
        Answer.GO if good else Answer.LOOK,
        Figure(survey.chi_square / survey.freedom, "-"),
        Figure(limit / survey.freedom, "-"),
        (
            Reason(
                f"Weighted squares of all disagreements come to {survey.chi_square:.0f} over {survey.freedom} degrees "
                f"of freedom; more than {limit:.0f} would come by chance once in a hundred.",
                "chi-square test",
            ),
        ),
        "" if good else "Look at the worst residuals first: a mark on the wrong thing, or a reading misread.",
    )


def _suspect(suspect: Suspect) -> Finding:
    return Finding(
        _STAGE,
        suspect.what,
        "Is this one right?",
        Answer.LOOK,
        Figure(suspect.off, suspect.unit, None, 0 if suspect.unit == "px" else 2),
        None,
        (Reason(suspect.because, f"residual test, Baarda 1968, one false alarm in {1 / ALPHA:.0f}"),),
        suspect.do,
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
        _OTHER_EDGE if residual.what.startswith(_OF_OUTLINES) else _AGAIN,
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
        lines = ", ".join(f"{line.along} side {line.reading.value}" for line in job.card.check_lines)
        by = "; ".join(dict.fromkeys(line.reading.by for line in job.card.check_lines))
        reasons.append(Reason(f"Check lines were measured on the paper: {lines}.", by, Basis.MEASURED))
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


def _not_fixed(job: Job, left_out: tuple[LeftOut, ...]) -> list[Finding]:
    """A point that a port asks for gets a word of its own; others that were marked share one."""
    wanted = (
        {name for part in job.parts.values() for port in part.ports.values() for name in (port.face, port.axis_from)}
        | {f"tube {name}" for name in job.tubes}
        | {f"rim {name}" for name in job.rims}
    )
    marked = {name for marks in job.marks.values() for name in marks}
    found = [
        Finding(_STAGE, left.name, "Where is it?", Answer.LOOK, because=(Reason(left.because),), do=left.do)
        for left in left_out
        if left.name in wanted
    ]
    others = [left for left in left_out if left.name in marked and left.name not in wanted]
    if others:
        found.append(
            Finding(
                _STAGE,
                ", ".join(left.name for left in others),
                "Where are these points, which no port asks for?",
                Answer.LOOK,
                because=tuple(Reason(f"{left.name}: {left.because}") for left in others),
                do="Mark them in a second photograph if they are wanted; nothing here waits for them.",
            )
        )
    return found


def _remarked(name: str, remarks: tuple[str, ...]) -> Finding:
    return Finding(
        _STAGE,
        f"photograph {name}",
        "Can this photograph be trusted?",
        Answer.LOOK,
        because=tuple(Reason(remark) for remark in remarks),
        do="Ask for the photograph as the phone stored it.",
    )
