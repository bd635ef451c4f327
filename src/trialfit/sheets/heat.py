"""The bench sheet of one heat with the torch: what to be careful of, figures to work by, what it rests on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from trialfit.finding import Answer, Finding
from trialfit.heat.records import HeatCaution, HeatReport
from trialfit.job.records import Job
from trialfit.sheets.compile import pdf
from trialfit.sheets.file_names import free_name
from trialfit.sheets.heading import ACID, CADMIUM, FLAME, PRESSURE, Paper, finding_lines, gravest_first, head
from trialfit.sheets.processes import SHUT

ZINC = (
    "Brass heated well past the run of the solder gives off white zinc fume, which makes ill the same night: stop "
    "heating when the solder has run, and keep the draught going."
)
FLUORIDE = (
    "Silver-solder flux holds fluorides: good draught, no food at the bench, wash hands; wash or pickle all of it off, "
    "for it eats the metal later."
)
QUENCH = (
    "Let it lose its redness and cool in the air before water or pickle: hot work spits acid and steam, and a thick "
    "part beside a thin one may crack."
)
CHARRED = (
    "Sealing rings and retaining compound that char give off harsh fume, fluorocarbon above all; what is left of a "
    "charred fluorocarbon ring may hold an acid that burns skin: do not touch it, wear gloves."
)
CAUTION_WORDS = {
    HeatCaution.SHUT: SHUT,
    HeatCaution.FLAME: FLAME,
    HeatCaution.CADMIUM: CADMIUM,
    HeatCaution.ZINC: ZINC,
    HeatCaution.FLUX: FLUORIDE,
    HeatCaution.QUENCH: QUENCH,
    HeatCaution.ACID: ACID,
    HeatCaution.CHARRED: CHARRED,
}


def heat_sheets(job: Job, reports: Iterable[HeatReport], paper: Paper = "a4") -> dict[str, bytes]:
    """Set the bench sheet of each heat.

    Parameters
    ----------
    job
        The job document.
    reports
        Its heats, worked out.
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name.
    """
    sheets: dict[str, bytes] = {}
    for report in reports:
        name = free_name("heat", report.name, sheets)
        title = f"{job.job.name}: heat, {report.name}"
        sheets[f"{name}.pdf"] = pdf("heat.typ", heat_sheet(job, report, paper), title, job.job.date)
    return sheets


def heat_sheet(job: Job, report: HeatReport, paper: Paper = "a4") -> dict[str, Any]:
    """Write the bench sheet of a heat as a record for its template.

    Parameters
    ----------
    job
        The job it belongs to.
    report
        The heat, worked out.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    graver = [each for each in gravest_first(report.findings) if each.answer is not Answer.GO]
    return {
        "head": head(job, "heat, bench sheet", report.what, paper),
        "cautions": cautions_of(report),
        "figures": [{"name": name, "figure": figure} for name, figure in figures_of(report)],
        "findings": [_kept_together(finding_lines(each)) for each in graver],
        "good": [_good(each) for each in report.findings if each.answer is Answer.GO],
        "record": [["Time from cold to the run of the solder", "Date and initials"], ["What was seen"]],
    }


def figures_of(report: HeatReport) -> list[tuple[str, str]]:
    """Give the figures a person works by.

    Parameters
    ----------
    report
        The heat, worked out.

    Returns
    -------
    list of tuple
        What it is, and the figure with its unit.
    """
    found = [("bring the joint to", f"{report.needs_c:.0f} °C, to {report.do}")]
    trial = "timed on a slug" if report.torch.measured else "not timed: assumed"
    found.append(("torch", f"{report.torch.name}, {trial}; cold work takes {report.torch.takes}"))
    time = report.outcome.time
    if report.torch.measured and time is not None:
        found.append(("time", str(time)))
    found.append(("would stall at", str(report.outcome.stalls)))
    found += [(f"{each.words}", f"comes to {report.outcome.most[each.name]}") for each in report.watched]
    found += [("wet rag" if "wet rag" in each else "clamp", each) for each in report.cool]
    if report.hot_gap is not None:
        found.append(("gap a side when hot", str(report.hot_gap)))
    if report.wire:
        found.append(("solder", report.wire))
    return found


def cautions_of(report: HeatReport) -> list[str]:
    """Give the cautions a heat calls for.

    Parameters
    ----------
    report
        The heat, worked out.

    Returns
    -------
    list of str
        Each once, and that of pressure.
    """
    return [words for caution, words in CAUTION_WORDS.items() if caution in report.cautions] + [PRESSURE]


def _kept_together(lines: dict[str, Any]) -> dict[str, Any]:
    """A figure keeps its unit on its line."""
    return {**lines, "figure": lines["figure"].replace(" °C", "\u00a0°C")}


def _good(finding: Finding) -> str:
    figure = "" if finding.figure is None else f" {finding.figure}"
    return f"{finding.question}{figure}"
