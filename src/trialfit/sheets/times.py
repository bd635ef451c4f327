"""The bench's own sheet of times, and past jobs held against their quotes."""

from __future__ import annotations

from datetime import date
from typing import Any

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.quote.held import Held, held_of
from trialfit.quote.money import hours_words, whole_minutes
from trialfit.quote.records import Quote
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper, head
from trialfit.sheets.held_chart import held_drawing
from trialfit.sheets.layers import flat


def times_sheet(job: Job, shop: Shop, quote: Quote, paper: Paper = "a4") -> dict[str, Any]:
    """Write the bench's sheet of times as a record for its template.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop, for its past jobs.
    quote
        The job's quote.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values: a row an operation with a blank for what it takes, and past jobs against their quotes.
    """
    rows = [
        [
            each.line.operation,
            each.line.what,
            f"{each.line.count} {each.line.each}{'' if each.line.count == 1 else 's'}",
            _hours(each.minutes.likely_min),
            _hours(each.minutes.four_in_five_min),
            str(each.times),
            "" if each.taken_min is None else _hours(each.taken_min),
        ]
        for each in quote.operations
    ]
    whole = quote.minutes
    return {
        "head": head(job, "times, bench sheet", f"What the work takes: {job.engine.name}", paper) | {"foot": ""},
        "columns": ["operation", "on", "how many", "likely", "4 in 5", "past times", "took"],
        "rows": rows,
        "whole": f"All that is quoted: likely {_hours(whole.likely_min)}, mean {_hours(whole.mean_min)}, four times in "
        f"five not more than {_hours(whole.four_in_five_min)}. Random numbers: seed {quote.seed}, {quote.draws} draws.",
        "note": "write down what each took, and enter it: trialfit times add JOB OPERATION TIME",
        **_held(held_of(shop), paper),
    }


def held_sheet(shop: Shop, held: tuple[Held, ...], day: date, paper: Paper = "a4") -> dict[str, bytes]:
    """Set the sheet that holds past jobs against their quotes.

    Parameters
    ----------
    shop
        The workshop.
    held
        Its past jobs.
    day
        The date on the sheet.
    paper
        Size of the paper.

    Returns
    -------
    dict
        One PDF and one SVG by file name.
    """
    from trialfit.sheets.svg import svg

    title, own = "Quoted against taken", shop.name if shop.measured else "the workshop"
    record = {
        "head": {
            "paper": paper, "kind": "the workshop's own", "title": title, "job": own,
            "revision": f"{len(held)} jobs", "given": f"given {day.isoformat()}", "foot": "",
        },
        "columns": [], "rows": [], "whole": "", "note": "", **_held(held, paper),
    }  # fmt: skip
    drawn = held_drawing(held, _CHART_MM[paper])
    return {
        "quoted-against-taken.pdf": pdf("times.typ", record, title, day),
        "quoted-against-taken.svg": svg(drawn, title).encode(),
    }


_CHART_MM: dict[Paper, float] = {"a4": 186.0, "us-letter": 191.9}


def _held(held: tuple[Held, ...], paper: Paper) -> dict[str, Any]:
    if not held:
        return {"held": "", "chart": None}
    kept = sum(each.holds for each in held)
    return {
        "held": f"The four-in-five time held in {kept} of {len(held)} past jobs. Each is foreseen from the other jobs' "
        "times, of the operations that were timed on it.",
        "chart": flat(held_drawing(held, _CHART_MM[paper])).record(),
    }


def _hours(minutes: float) -> str:
    return hours_words(whole_minutes(minutes))
