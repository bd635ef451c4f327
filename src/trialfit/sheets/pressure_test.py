"""The bench sheet of a pressure test: what to be careful of, what to do, and blanks for what is seen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from trialfit.finding import Answer, Finding, Reason
from trialfit.job.records import Job
from trialfit.sheets.heading import PRESSURE, PROOF, Paper, finding_lines, gravest_first, head
from trialfit.strength.pressure_findings import WHO_DECIDES, agreed_words, seen_question
from trialfit.strength.pressure_report import PressureTest
from trialfit.tables.codes import cautions
from trialfit.units import psi

BLANK_TESTS = 4
_CAUTIONS = ("who decides", "risk", "protection")


def pressure_sheet(job: Job, test: PressureTest, findings: tuple[Finding, ...], paper: Paper = "a4") -> dict[str, Any]:
    """Write the bench sheet of a pressure test as a record for its template.

    Parameters
    ----------
    job
        The job it belongs to.
    test
        The test, worked out.
    findings
        What was said of it.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    entry = test.entry
    water = "________ agreed with ______________________"
    if entry.water is not None:
        water = f"{entry.water}, agreed with {entry.agreed_with or '______________________'}"
    return {
        "head": head(job, "pressure test, bench sheet", test.what, paper),
        "stops": [
            {**finding_lines(each), "about": _which(test, each)} for each in findings if each.answer is Answer.STOP
        ],
        "findings": _said_once(test, findings),
        "cautions": _cautions(),
        "steps": _steps(test, water),
        "given": [
            ["working pressure", f"{psi(test.working_mpa):.0f} psi"],
            ["water test", water],
            ["air, to find leaks only", f"{test.air_mpa * 10:.2f} bar, under water"],
        ],
        "seen": [_seen(test, n) for n in range(len(test.seen))],
        "blanks": BLANK_TESTS,
    }


def _cautions() -> list[str]:
    return [PRESSURE, PROOF, *(each.text for each in cautions() if each.name in _CAUTIONS)]


def _said_once(test: PressureTest, findings: tuple[Finding, ...]) -> list[dict[str, Any]]:
    """What was worked out, less what stands on the sheet already: cautions, pressures, tests that were tight."""
    told = {*_cautions(), WHO_DECIDES.text, agreed_words(test)}
    seen = {seen_question(each) for each in test.seen}
    lines = []
    for finding in gravest_first(findings):
        if finding.answer is Answer.STOP or (finding.answer is Answer.GO and finding.question in seen):
            continue
        because = tuple(reason for reason in finding.because if reason.text not in told)
        lines.append({**finding_lines(finding), "because": _by_source(because), "about": _which(test, finding)})
    return lines


def _by_source(because: tuple[Reason, ...]) -> list[str]:
    """Reasons that follow one another from the same source run on, with the source once behind them."""
    runs: list[list[Reason]] = []
    for reason in because:
        alike = runs and reason.source and (runs[-1][-1].source, runs[-1][-1].basis) == (reason.source, reason.basis)
        if alike:
            runs[-1].append(reason)
        else:
            runs.append([reason])
    return [str(replace(run[-1], text=" ".join(reason.text for reason in run))) for run in runs]


def _which(test: PressureTest, finding: Finding) -> str:
    """Which tube or part of the test it is about; the test itself stands in the sheet's head."""
    name = finding.about.removeprefix(f"{test.name}").removeprefix(": ")
    return "" if name == test.name else name


def _steps(test: PressureTest, water: str) -> list[str]:
    hold = "" if test.decay is None else f" A leak of one 3 mm bubble a second shows in {test.decay.hold_min:.1f} min."
    return [
        "Look it over: nothing cracked, kinked or half screwed in. Gauge and hose in order, screen up, eyes covered.",
        "Fill with water; bleed at the highest place until no air comes.",
        f"Water: {water}. Raise it slowly, stop half-way and look. Nobody in line with a plug or nut.",
        "Pump shut off: wait until the gauge stands, then hold ten minutes. Look for drops; a gauge that falls without "
        "one shows warmth, air not bled or a hose that gives.",
        "Let the pressure off before a nut is touched.",
        f"Only then air, {test.air_mpa * 10:.2f} bar, under water. Wait until it has the water's temperature.{hold}",
        "Write down what was seen, also where nothing was.",
    ]


def _seen(test: PressureTest, number: int) -> list[str]:
    seen = test.seen[number].seen
    held = "" if seen.held is None else str(seen.held)
    after = "" if seen.after is None else str(seen.after)
    bubbles = "" if seen.bubbles is None else f"{seen.bubbles.bubble} every {seen.bubbles.every}"
    return [seen.day.isoformat(), seen.medium, str(seen.pressure), held, after, bubbles, seen.what, seen.by]
