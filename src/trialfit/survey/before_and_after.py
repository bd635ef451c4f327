"""Pieces as they came and as they go back: two photographs at one scale, and how surely.

Source: `at_scale`; a scale within 3 % is assumed good enough to look at two pictures side by side.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.job.before_and_after import BeforeAndAfterEntry, SideEntry
from trialfit.job.records import Job
from trialfit.survey.at_scale import HEIGHT_PM_MM, LEAST_SHARE, AtScale, Surveyed, at_scale
from trialfit.survey.gather import Sighted

_QUESTION = "Do both photographs stand at one scale?"
_GOOD_SHARE = 0.03


@dataclass(frozen=True)
class BeforeAndAfter:
    """A piece as it came and as it goes back.

    Parameters
    ----------
    name
        Its name in the job.
    what
        What it is, in words.
    before, after
        The two photographs.
    """

    name: str
    what: str
    before: AtScale
    after: AtScale

    @property
    def k2_share(self) -> float:
        """Of the less sure of the two, two standard deviations of a length as a share of it. [-]"""
        return max(self.before.k2_share, self.after.k2_share)


def befores_and_afters(
    job: Job, bench: Sighted, surveyed: Surveyed | None
) -> tuple[tuple[BeforeAndAfter, ...], tuple[Finding, ...]]:
    """Find the scale of every pair of photographs.

    Parameters
    ----------
    job
        The job document.
    bench
        The photographs of the bench, and the card found in them.
    surveyed
        The survey with its photographs, or None where there is none.

    Returns
    -------
    tuple
        The pairs whose scale is known, and one finding each that the job names.
    """
    made: list[BeforeAndAfter] = []
    findings: list[Finding] = []
    for name, entry in job.before_and_after.items():
        try:
            sides = [at_scale(job, side, bench, surveyed) for side in (entry.before, entry.after)]
        except Refusal as refusal:
            findings.append(_no_scale(name, refusal))
            continue
        pair = BeforeAndAfter(name, entry.what or name, *sides)
        made.append(pair)
        findings.append(_scale(job, entry, pair))
    return tuple(made), tuple(findings)


def _scale(job: Job, entry: BeforeAndAfterEntry, pair: BeforeAndAfter) -> Finding:
    good, limit = pair.k2_share <= _GOOD_SHARE, Figure(100.0 * _GOOD_SHARE, "%", None, 1)
    reasons = [
        reason
        for word, side, shown in (("Before", entry.before, pair.before), ("After", entry.after, pair.after))
        for reason in _reasons(job, word, side, shown)
    ]
    do = "Lay a card whose check lines were measured beside the piece, and photograph it with the camera over it."
    return Finding(
        "survey", f"before and after {pair.name}", _QUESTION, Answer.GO if good else Answer.LOOK,
        Figure(100.0 * pair.k2_share, "%", None, 1), limit,
        (*reasons, Reason(f"That {limit} is good enough to look at is assumed.", "", Basis.ASSUMED)),
        "" if good else do,
    )  # fmt: skip


def _reasons(job: Job, word: str, side: SideEntry, shown: AtScale) -> list[Reason]:
    within = f"within {100.0 * shown.k2_share:.1f} % (k = 2)"
    if side.by_card:
        of_bench = job.photographs[side.photograph].bench
        lines = side.check_lines if of_bench else job.card.check_lines if job.card else ()
        first = Reason(f"{word}: by the scale card, {shown.away_mm:.0f} mm from the lens, {within}.")
        if not lines:
            return [first, Reason("Nobody measured that print: 1 % is taken.", "", Basis.PRACTICE)]
        read = ", ".join(f"{line.reading.value} by {line.reading.by}" for line in lines)
        height = Reason(f"The outline's height over the card is taken as right within {HEIGHT_PM_MM:g} mm.", "",
                        Basis.ASSUMED)  # fmt: skip
        return [Reason(first.text, read, Basis.MEASURED), height]
    if side.apart is not None:
        return [
            Reason(f"{word}: by two marks {side.apart.value} apart, {within}.", side.apart.by, Basis.MEASURED),
            Reason(
                f"{100.0 * LEAST_SHARE:g} % of that is for the lens and for a camera up to 8 deg out of square.", "",
                Basis.ASSUMED,
            ),
        ]  # fmt: skip
    away = f"{shown.away_mm:.0f} mm from the lens by the survey"
    return [Reason(f"{word}: {side.point} is {away}, {within}.")]


def _no_scale(name: str, refusal: Refusal) -> Finding:
    fault = refusal.faults[0]
    return Finding(
        "survey", f"before and after {name}", _QUESTION, Answer.LOOK,
        because=(Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),), do=fault.remedy,
    )  # fmt: skip
