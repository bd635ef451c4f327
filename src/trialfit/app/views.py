"""What the working view of each place shows besides its findings, and the drawings in it."""

from __future__ import annotations

from typing import Any

from trialfit.app.desk import Desk
from trialfit.plan import Plan
from trialfit.sheets.heading import Paper

_SHEETS_AT = {
    "fit": ("pipe", "over-photographs", "fitting"),
    "turned": ("turned",),
    "order": ("order",),
    "torch": ("heat", "solder"),
    "test": ("test", "pressure"),
    "parcel-in": ("label",),
    "parcel-out": ("packing", "times", "quote", "invoice"),
}
_CIRCUIT_WIDE_MM = 170.0


def view_of(desk: Desk, name: str, place: str, plan: Plan, paper: Paper) -> dict[str, Any]:
    """Gather what a working view shows.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    place
        Key of the place.
    plan
        The job worked out.
    paper
        Size of the paper of its sheets.

    Returns
    -------
    dict
        For the place's template.
    """
    view: dict[str, Any] = {"plan": plan, "sheets": _sheets(desk, name, place, plan, paper), "feed": None}
    if place in ("water", "parts") and plan.job.circuit is not None:
        view["feed"] = _feed(plan)
    return view


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


def _sheets(desk: Desk, name: str, place: str, plan: Plan, paper: Paper) -> list[str]:
    if place not in _SHEETS_AT and place != "sheets":
        return []
    from trialfit.app.working import sheets_for

    if place != "sheets" and not _has_sheets(place, plan):
        return []
    files = list(sheets_for(desk, name, paper))
    return files if place == "sheets" else [file for file in files if file.startswith(_SHEETS_AT[place])]


def _has_sheets(place: str, plan: Plan) -> bool:
    made = {
        "fit": plan.pipes,
        "turned": plan.turned.parts,
        "order": plan.orders,
        "torch": plan.heats,
        "test": plan.tests,
    }
    return bool(made.get(place, True))


def _feed(plan: Plan) -> dict[str, Any]:
    from trialfit.feed.report import LEVEL_WORDS, feed_report
    from trialfit.sheets.feed import bench_sheet

    report = feed_report(plan.job)
    return {"report": report, "levels": LEVEL_WORDS, "sheet": bench_sheet(plan.job, report, "a4")}
