"""One broken tail, worked out: why it broke, what the new one stands, how hard the owner may pull.

Source: `trialfit.strength.tail`, `trialfit.strength.causes` and `trialfit.strength.spanner`.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.finding import Finding
from trialfit.job.records import Job
from trialfit.strength.assumed import hand_on_spanner_n
from trialfit.strength.causes import Ranking, rank_causes
from trialfit.strength.findings import (
    does_the_thread_strip,
    how_hard,
    no_metal,
    what_shears_it,
    what_would_have_held,
    why_it_broke,
    will_it_stand,
)
from trialfit.strength.from_job import BreakCase, break_case
from trialfit.strength.records import Duty, Tail, TailStrength
from trialfit.strength.spanner import SafePull, safe_pull
from trialfit.strength.tail import tail_strength
from trialfit.strength.worked_out import worked_out_clues
from trialfit.strength.would_hold import WouldHold, would_hold

# A short spanner of model sizes, for a job that does not say how long its own is.
_USUAL_SPANNER_MM = 75.0


@dataclass(frozen=True)
class BreakReport:
    """All that is said of one broken tail.

    Parameters
    ----------
    name, what
        Its name in the job, and in words.
    found
        What it stood; None where the figures leave it no metal.
    repaired
        What the new one stands; None where none is planned or it has no metal.
    ranking
        The causes.
    would_have_held
        Bore and thread; None where `found` is.
    safe
        What the owner is told of the new one, or of one like the old where none is planned; None where neither has
        metal.
    findings
        In the order a person asks.
    """

    name: str
    what: str
    found: TailStrength | None
    repaired: TailStrength | None
    ranking: Ranking
    would_have_held: WouldHold | None
    safe: SafePull | None
    findings: tuple[Finding, ...]


def why_broken(job: Job) -> tuple[BreakReport, ...]:
    """Work out every broken tail of a job.

    Parameters
    ----------
    job
        The job.

    Returns
    -------
    tuple of BreakReport
        In the order of the job.
    """
    return tuple(break_report(break_case(job, name, entry)) for name, entry in job.breaks.items())


def break_report(case: BreakCase) -> BreakReport:
    """Work out one broken tail.

    Parameters
    ----------
    case
        The tail, as found and as it is to be.

    Returns
    -------
    BreakReport
        Complete; a tail without metal is a *stop* among its findings.
    """
    about, duty = case.name, case.duty
    findings: list[Finding] = []
    found = _strength(about, "as found", case.found, duty, findings)
    repaired = None
    if case.repaired is not None:
        repaired = _strength(about, "as repaired", case.repaired, duty, findings)
    ranking = rank_causes(case.seen, () if found is None else worked_out_clues(found))
    findings.append(why_it_broke(about, ranking, looked=bool(case.seen)))
    held = None
    if found is not None:
        held = _would_hold(case, found)
        findings += [what_shears_it(about, found, case.assumed), what_would_have_held(about, case.found, held)]
    judged = repaired if case.repaired is not None else found
    safe = None if judged is None else safe_pull(judged)
    if judged is not None and safe is not None:
        which = "as found" if case.repaired is None else "as repaired"
        findings.append(will_it_stand(about, judged, found if case.repaired is not None else None, safe))
        findings.append(how_hard(about, safe, judged))
        findings += [each for each in (does_the_thread_strip(about, which, judged),) if each is not None]
    return BreakReport(case.name, case.what, found, repaired, ranking, held, safe, tuple(findings))


def _strength(about: str, which: str, tail: Tail, duty: Duty, findings: list[Finding]) -> TailStrength | None:
    try:
        return tail_strength(tail, duty)
    except Refusal as refusal:
        findings.append(no_metal(about, which, tail, refusal))
        return None


def _would_hold(case: BreakCase, found: TailStrength) -> WouldHold:
    light_n, _, _ = hand_on_spanner_n()
    spanner_mm = case.duty.spanner_mm or _USUAL_SPANNER_MM
    return would_hold(case.found, found.duty, light_n * spanner_mm / 1000)
