"""The owner's fitting sheet as a record: the same for the printed sheet and for the page on his telephone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Protocol

from trialfit.fitup.clocking_findings import Clocked
from trialfit.fitup.fit import Fit
from trialfit.job.fitting import FittingEntry
from trialfit.job.records import Job
from trialfit.sheets.fitting.doings import Doing, FittingOrder
from trialfit.sheets.fitting.going_on import chance_lines
from trialfit.sheets.fitting.moving import moving_lines
from trialfit.sheets.fitting.pointing import marked_mm, pointing
from trialfit.sheets.fitting.tightening import seal_lines, tight_lines
from trialfit.sheets.heading import Paper
from trialfit.sheets.owner_head import owner_head
from trialfit.sheets.unheld import owner_name
from trialfit.sheets.words import Words, words_for
from trialfit.strength.report import BreakReport

_BEFORE = ("fitting-cold", "fitting-drained", "fitting-photograph")
_STOP = ("fitting-stop-force", "fitting-stop-points", "fitting-stop-left", "fitting-stop-drip", "fitting-stop-crack")
_LOW_SHARE = 3.0
_NOTHING_SAID = FittingEntry.model_validate({})


class Planned(Protocol):
    """What the fitting sheet takes from a plan."""

    @property
    def job(self) -> Job:
        """The job."""

    @property
    def clocked(self) -> tuple[Clocked, ...]:
        """Fittings that must point somewhere."""

    @property
    def fits(self) -> tuple[Fit, ...]:
        """Of each new pipe whether it drops on."""

    @property
    def breaks(self) -> tuple[BreakReport, ...]:
        """The broken tails, with what the new ones stand."""


def fitting_record(
    plan: Planned, order: FittingOrder, transit: Sequence[str] = (), paper: Paper = "a4"
) -> dict[str, Any]:
    """Write the owner's fitting sheet as a record.

    Parameters
    ----------
    plan
        The job with all that was worked out.
    order
        What comes off and what goes on.
    transit
        Pieces that are for the post only, in words.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    job, words = plan.job, words_for(plan.job)
    said = words.say
    working_mpa = float(job.engine.working_pressure.to("MPa"))
    doings = [*(order.removal or ()), *(order.fitting or ())]
    return {
        "language": words.language,
        "head": owner_head(job, words, paper, said("fitting-kind"), said("fitting-title"), said("fitting-foot")),
        "for": said("fitting-for", owner=owner_name(job), engine=job.engine.name),
        "before": {"name": said("fitting-before"), "lines": [said(each) for each in _BEFORE]},
        "transit": {"name": said("fitting-transit"), "lines": list(transit)},
        "needs": {"name": said("fitting-needs"), "lines": _needs(plan, doings, words)},
        "off": _stage(plan, said("fitting-off"), order.removal, said("fitting-nothing-off"), words, on=False, first=1),
        "on": _stage(plan, said("fitting-on"), order.fitting, "", words, on=True, first=1 + len(order.removal or ())),
        "steam": {
            "name": said("fitting-steam"),
            "lines": [
                said("fitting-steam-cold"),
                said("fitting-steam-settings"),
                said("fitting-steam-weep"),
                said("fitting-steam-low", third=words.pressure(working_mpa / _LOW_SHARE)),
                said("fitting-steam-full", working=words.pressure(working_mpa)),
                said("fitting-steam-inspector"),
            ],
        },
        "stop": {"name": said("fitting-stop"), "lines": [said(each) for each in _STOP]},
    }


def _stage(
    plan: Planned,
    name: str,
    doings: tuple[Doing, ...] | None,
    nothing: str,
    words: Words,
    *,
    on: bool,
    first: int,
) -> dict[str, Any]:
    if doings is None:
        return {"name": name, "lines": [words.say("fitting-no-order")], "steps": []}
    steps = [_step(plan, doing, number, words, on=on) for number, doing in enumerate(doings, first)]
    return {"name": name, "lines": [nothing] if nothing and not steps else [], "steps": steps}


def _step(plan: Planned, doing: Doing, number: int, words: Words, *, on: bool) -> dict[str, Any]:
    entry = plan.job.fitting.get(doing.part, _NOTHING_SAID)
    written = words.number(number)
    step: dict[str, Any] = {
        "number": number,
        "name": words.say("fitting-step", number=written),
        "what": doing.what,
        "do": moving_lines(doing, words),
        "seal": [],
        "tight": [],
        "points": None,
        "note": entry.note,
        "picture": doing.picture,
        "caption": words.say("fitting-picture", number=written, what=doing.what),
    }
    if not on:
        return step
    screwed = any(move.kind == "screw" for move in doing.moves)
    step["do"] = [*step["do"], *chance_lines(doing.part, plan.fits, words)]
    step["seal"] = seal_lines(entry, words)
    step["tight"] = tight_lines(entry, plan.breaks, words) if screwed else []
    clocking = entry.clocking or doing.part
    found = next((each for each in plan.clocked if each.name == clocking), None)
    if found is not None:
        step["points"] = pointing(plan.job.clocking[clocking], found, words)
    return step


def _needs(plan: Planned, doings: Iterable[Doing], words: Words) -> list[str]:
    entries = [plan.job.fitting[each.part] for each in doings if each.part in plan.job.fitting]
    spanners = {each.spanner.to("mm"): each.spanner for each in entries if each.spanner is not None}
    lines = [words.say("fitting-needs-spanner", size=words.as_marked(size)) for _, size in sorted(spanners.items())]
    washers = sorted({row_mm for each in plan.clocked for row in each.table for row_mm in row.fit.shims_mm})
    if washers:
        sizes = ", ".join(marked_mm(each, words) for each in washers)
        lines.append(words.say("fitting-needs-washers", sizes=sizes))
    seals = dict.fromkeys(each.seal for each in entries if each.seal not in (None, "dry"))
    named = dict.fromkeys(_SEAL_NAMES[seal] for seal in seals if seal is not None)
    return [*lines, *(words.say(name) for name in named)]


_SEAL_NAMES = {
    "retaining compound": "fitting-needs-retaining",
    "high-temperature retaining compound": "fitting-needs-retaining",
    "jointing compound": "fitting-needs-jointing",
    "PTFE tape": "fitting-needs-tape",
    "washer": "fitting-needs-washer",
    "copper washer": "fitting-needs-washer",
    "fibre washer": "fitting-needs-washer",
    "bonded seal": "fitting-needs-washer",
}
