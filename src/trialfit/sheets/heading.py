"""What every sheet says of itself, and the cautions sheets share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from trialfit.finding import Answer, Finding
from trialfit.job.records import Job

Paper = Literal["a4", "us-letter"]

# Width and height of the paper inside the sheets' margins. [mm]
ROOM_MM: dict[Paper, tuple[float, float]] = {"a4": (186.0, 240.0), "us-letter": (191.9, 222.0)}

K2_NOTE = "± is two standard deviations (k = 2)"

PRESSURE = (
    "Water and steam under pressure scald and burst. This sheet says what was checked, not that a pipe, joint or "
    "boiler is safe: that is for the boiler inspector, the insurer, the local code and licensed practice."
)
PROOF = (
    "Prove by water with all air bled out. Air only to find leaks, at the low pressure the code allows, under water."
)
FLAME = (
    "Gas torch: nothing near that burns, extinguisher to hand, eyes and hands covered, good draught for flux fume. "
    "Watch the place for half an hour after."
)
CADMIUM = (
    "Old silver solder may hold cadmium, whose fume can kill. Do not heat a joint somebody else made unless you know "
    "that its solder holds none."
)
ACID = "Pickle: acid into water, never water into acid; goggles and gloves; the work cool before it goes in."

CAUTIONS = (PRESSURE, PROOF, FLAME, CADMIUM, ACID)

_GRAVEST_FIRST = (Answer.STOP, Answer.LOOK, Answer.GO)


def head(job: Job, kind: str, title: str, paper: Paper) -> dict[str, Any]:
    """Give what stands at the head and foot of each page.

    Parameters
    ----------
    job
        The job.
    kind
        What sort of sheet it is.
    title
        What this one is about.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Record for the template.
    """
    return {
        "paper": paper,
        "kind": kind,
        "title": title,
        "job": job.job.name,
        "revision": f"revision {job.job.revision}",
        "given": f"given {job.job.date.isoformat()}",
        "foot": f"Lengths in mm unless another unit is written. {K2_NOTE}.",
    }


def gravest_first(findings: Iterable[Finding]) -> list[Finding]:
    """Put findings in the order a person should read them.

    Parameters
    ----------
    findings
        In the order of the work.

    Returns
    -------
    list
        Stop before look before go; otherwise as they came.
    """
    return sorted(findings, key=lambda finding: _GRAVEST_FIRST.index(finding.answer))


def finding_lines(finding: Finding) -> dict[str, Any]:
    """Write one finding for the template.

    Parameters
    ----------
    finding
        The finding.

    Returns
    -------
    dict
        Answer, question, figure with its limit, reasons, and what to do.
    """
    figure = "" if finding.figure is None else str(finding.figure)
    limit = "" if finding.limit is None else f"limit {finding.limit}"
    return {
        "answer": finding.answer.value,
        "stage": finding.stage,
        "about": finding.about,
        "question": finding.question,
        "figure": ", ".join(part for part in (figure, limit) if part),
        "because": [str(reason) for reason in finding.because],
        "do": finding.do,
    }
