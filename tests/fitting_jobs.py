"""A job whose owner has two things to fit, and the order he does it in, for the tests of his sheet."""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.fitup.clocking_findings import Clocked, clock_all
from trialfit.fitup.fit import Fit
from trialfit.job.read import read_job
from trialfit.job.records import Job
from trialfit.job.shop import assumed_shop
from trialfit.sheets.fitting.doings import Doing, FittingOrder, Move
from trialfit.strength.report import BreakReport, why_broken

JOB = """
format = 1
[job]
name = "test-elbow"
owner = {owner}
date = 2026-03-04
language = "{language}"
units = "{units}"
[engine]
name = "Dunlin"
working_pressure = "90 psi"
[parts.elbow]
kind = "elbow"
what = "the feed elbow"
[parts.nut]
kind = "union nut"
what = "the pipe's nut"
[clocking.elbow]
thread = "1/4x40"
wanted = "105 deg"
twelve = "straight up"
[breaks.tail]
thread = "1/4x40"
bore = "1/8 in"
metal = "CW614N"
shoulder = "10 mm"
engaged = "6 mm"
spanner = {{ length = "75 mm" }}
[fitting.elbow]
seal = "retaining compound"
tail = "tail"
tight = "{tight}"
spanner = "8 mm"
[fitting.nut]
seal = "dry"
spanner = "5/16 in"
hold = true
note = "Mind the glass."
"""

ORDER = FittingOrder(
    (Doing("nut", "the pipe's nut", (Move("unscrew", "left", turns=4.2), Move("pull", "left", far_mm=12.4))),),
    (
        Doing("elbow", "the feed elbow", (Move("screw", "right", turns=7.6),), side="right"),
        Doing("nut", "the pipe's nut", (Move("push", "right", far_mm=12.4), Move("screw", "left", turns=4.2))),
    ),
)


@dataclass(frozen=True)
class Planned:
    """What the fitting sheet takes from a plan."""

    job: Job
    clocked: tuple[Clocked, ...]
    breaks: tuple[BreakReport, ...]
    fits: tuple[Fit, ...] = ()


def planned(
    language: str = "en", units: str = "metric", tight: str = "0.837 N·m", owner: str = '"B. Sandling"'
) -> Planned:
    """Plan the job as far as the sheet needs it."""
    text = JOB.format(language=language, units=units, tight=tight, owner=owner)
    job = read_job(text, "job.toml", ())
    return Planned(job, clock_all(job, assumed_shop(), None), why_broken(job))
