"""What the working view of each place shows besides its findings, and the drawings in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from trialfit.app.desk import Desk
from trialfit.job.example_prices import still_assumed
from trialfit.plan import Plan
from trialfit.sheets.heading import Paper

_SHEETS_AT = {
    "photographs": ("letter", "flat-print"),
    "water": ("settings", "setting-"),
    "fit": ("pipe", "over-photographs", "fitting"),
    "turned": ("turned",),
    "order": ("order",),
    "torch": ("heat",),
    "test": ("pressure-test", "test-record"),
    "parcel-in": ("labels",),
    "parcel-out": ("packing", "before-and-after", "times", "quote", "invoice"),
}
_FOR = {
    "html": "The fitting sheet for the owner's telephone",
    "svg": "Drawing: {}",
    "dxf": "Drawing for other programs: {}",
}
_CIRCUIT_WIDE_MM = 170.0


@dataclass(frozen=True)
class Sheet:
    """One thing on paper, or for a machine.

    Parameters
    ----------
    file
        Its file name.
    title
        What it is.
    pages
        Number of its pages; 0 where it has none. [-]
    """

    file: str
    title: str
    pages: int


def view_of(place: str, plan: Plan) -> dict[str, Any]:
    """Gather what a working view shows.

    Parameters
    ----------
    place
        Key of the place.
    plan
        The job worked out.

    Returns
    -------
    dict
        For the place's template.
    """
    sheets = place in _SHEETS_AT or place == "sheets"
    view: dict[str, Any] = {"plan": plan, "sheets": sheets, "feed": None, "prices": "own"}
    if place == "parcel-out" and plan.quote is not None:
        priced = plan.quote.price is not None
        view["prices"] = ("assumed" if still_assumed(plan.shop.pricing) else "own") if priced else "none"
    if place in ("water", "parts") and plan.job.circuit is not None:
        view["feed"] = _feed(plan)
    return view


def on_paper(desk: Desk, name: str, place: str, paper: Paper) -> tuple[Sheet, ...]:
    """Say what there is on paper at a place.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    place
        Key of the place; all of it at ``sheets``.
    paper
        Size of the paper.

    Returns
    -------
    tuple of Sheet
        In the order in which a person wants them, those for a machine or a telephone last.
    """
    from trialfit.app.working import sheets_for, worked_out
    from trialfit.sheets.bound import PACK, contents_of

    files = sheets_for(desk, name, paper)
    listed = [Sheet(file, title, pages) for title, file, pages in contents_of(worked_out(desk, name).plan.job, files)]
    named = {sheet.file for sheet in listed} | {PACK}
    rest = [
        Sheet(file, _FOR[kind].format(stem.replace("-", " ")), 0)
        for file, (stem, _, kind) in ((file, file.rpartition(".")) for file in files)
        if file not in named
    ]
    starts = _SHEETS_AT.get(place, ("",))
    return tuple(sheet for sheet in (*listed, *rest) if sheet.file.startswith(starts))


def drawing_of(plan: Plan, kind: str, name: str) -> bytes | None:
    """Draw one thing.

    Parameters
    ----------
    plan
        The job worked out.
    kind
        ``water``, by its setting, or ``turned``, by its part.
    name
        Which.

    Returns
    -------
    bytes or None
        An SVG document; None where there is no such thing.
    """
    from trialfit.sheets.svg import svg

    if kind == "water" and plan.job.circuit is not None:
        from trialfit.feed.report import feed_report
        from trialfit.sheets.feed_drawing import circuit_drawing
        from trialfit.sheets.words import Words

        report = feed_report(plan.job)
        use = next((each for each in report.in_use if each.name == name), None)
        if use is None:
            return None
        return svg(circuit_drawing(report, use, _CIRCUIT_WIDE_MM, Words()), use.what or use.name).encode()
    if kind == "turned":
        from trialfit.sheets.turned_drawing import turned_drawing

        part = next((each for each in plan.turned.parts if each.part.name == name), None)
        return None if part is None else svg(turned_drawing(part, 170.0, 110.0).layered, name).encode()
    return None


def _feed(plan: Plan) -> dict[str, Any]:
    from trialfit.feed.report import LEVEL_WORDS, feed_report
    from trialfit.sheets.feed import bench_sheet

    report = feed_report(plan.job)
    return {"report": report, "levels": LEVEL_WORDS, "sheet": bench_sheet(plan.job, report, "a4")}
