"""The pack: every sheet of a job, by the name of its file."""

from __future__ import annotations

import re
from typing import Protocol

from trialfit.finding import Finding
from trialfit.fitup.records import PipePlan
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper
from trialfit.sheets.pipe import pipe_sheet
from trialfit.sheets.summary import summary
from trialfit.survey.records import Survey


class Planned(Protocol):
    """What the pack takes from a plan."""

    @property
    def job(self) -> Job:
        """The job."""

    @property
    def shop(self) -> Shop:
        """The workshop."""

    @property
    def survey(self) -> Survey | None:
        """What the photographs gave, if there were any."""

    @property
    def pipes(self) -> tuple[PipePlan, ...]:
        """The pipes that could be worked out."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was found."""


def sheets_of(plan: Planned, paper: Paper = "a4") -> dict[str, bytes]:
    """Set every sheet of a plan.

    Parameters
    ----------
    plan
        The job with all that was worked out.
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name, the summary first. The same plan gives the same bytes.
    """
    card = plan.job.job
    record = summary(plan.job, plan.survey, plan.findings, plan.pipes, plan.shop, paper)
    sheets = {"summary.pdf": pdf("summary.typ", record, f"{card.name}: summary", card.date)}
    for pipe in plan.pipes:
        own = [finding for finding in plan.findings if _concerns(finding, pipe.name)]
        record = pipe_sheet(plan.job, pipe, plan.shop, own, paper)
        sheets[_file_name(pipe.name, sheets)] = pdf("pipe.typ", record, f"{card.name}: pipe {pipe.name}", card.date)
    return sheets


def _concerns(finding: Finding, pipe: str) -> bool:
    """Whether a finding is about a pipe itself or about a joint of one of its ends."""
    return any(
        about == pipe or about.startswith(f"{pipe}.") for about in (finding.about, *finding.about.split(" and "))
    )


def _file_name(pipe: str, taken: dict[str, bytes]) -> str:
    """A name any disk takes, and that no other sheet has."""
    safe = re.sub(r"[^\w-]+", "-", pipe).strip("-")[:60] or "pipe"
    name, count = f"pipe-{safe}.pdf", 1
    while name.lower() in {other.lower() for other in taken}:
        count += 1
        name = f"pipe-{safe}-{count}.pdf"
    return name
