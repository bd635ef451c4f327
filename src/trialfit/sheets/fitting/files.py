"""The owner's fitting sheet as files: one to print, one for his telephone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.clocking_findings import Clocked
from trialfit.fitup.fit import Fit
from trialfit.fitup.order.records import Order
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Scene
from trialfit.job.records import Job
from trialfit.parts.records import Part
from trialfit.sheets.compile import pdf
from trialfit.sheets.fitting.from_order import owner_steps
from trialfit.sheets.fitting.html import fitting_page
from trialfit.sheets.fitting.record import fitting_record
from trialfit.sheets.fitting.space import space_record
from trialfit.sheets.heading import Paper
from trialfit.sheets.seen.steps import Stage, step_pictures
from trialfit.sheets.words import words_for
from trialfit.strength.report import BreakReport
from trialfit.survey.records import Survey


class Fitted(Protocol):
    """What the owner's fitting sheet takes from a plan."""

    @property
    def job(self) -> Job:
        """The job."""

    @property
    def survey(self) -> Survey | None:
        """What the photographs gave, if there were any."""

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts with their ports."""

    @property
    def pipes(self) -> tuple[PipePlan, ...]:
        """The pipes that could be worked out."""

    @property
    def scene(self) -> Scene:
        """What stands where."""

    @property
    def removal(self) -> Order | None:
        """In which order things come off."""

    @property
    def fitting(self) -> Order | None:
        """In which order things go on."""

    @property
    def clocked(self) -> tuple[Clocked, ...]:
        """Fittings that must point somewhere."""

    @property
    def fits(self) -> tuple[Fit, ...]:
        """Of each new pipe whether it drops on."""

    @property
    def breaks(self) -> tuple[BreakReport, ...]:
        """The broken tails, with what the new ones stand."""


def fitting_files(
    plan: Fitted,
    photographs: Mapping[str, NDArray[np.uint8]],
    paper: Paper = "a4",
    transit: Sequence[str] = (),
) -> dict[str, bytes]:
    """Set the owner's fitting sheet.

    Parameters
    ----------
    plan
        The job with all that was worked out.
    photographs
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue. [-]
    paper
        Size of the paper.
    transit
        Pieces that are for the post only, in words.

    Returns
    -------
    dict
        A PDF and an HTML file by name; none where the owner has nothing to take off or put on.
    """
    if plan.removal is None and plan.fitting is None and not plan.clocked:
        return {}
    job, words = plan.job, words_for(plan.job)
    steps = owner_steps(job, plan.removal, plan.fitting, plan.scene)
    stage = Stage(plan, steps.scene)
    pictures = {f"step-{number}": made for number, made in step_pictures(stage, steps.seen, photographs).items()}
    record = fitting_record(plan, steps.order.shown(pictures), transit, paper)
    told = {
        step["number"]: f"{step['name']}: {step['what']}" for each in ("off", "on") for step in record[each]["steps"]
    }
    space = space_record(stage, steps.seen, told) if steps.seen else None
    title = f"{job.job.name}: {record['head']['title']}"
    return {
        "fitting-sheet.pdf": pdf("fitting.typ", record, title, job.job.date, pictures),
        "fitting-sheet.html": fitting_page(record, words, pictures, space).encode(),
    }
