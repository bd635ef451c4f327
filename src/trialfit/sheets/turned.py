"""The bench sheet of one turned part: what to saw, the drawing, tools, speeds, and what to do in order."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from trialfit.finding import Answer, Figure, Finding
from trialfit.job.records import Job
from trialfit.making.turned.across import AcrossSection
from trialfit.making.turned.records import HoleCut, Speed, TurnedPlan
from trialfit.sheets.gauges import BAR_MM, check_bar
from trialfit.sheets.heading import PRESSURE, ROOM_MM, Paper, finding_lines, gravest_first, head
from trialfit.sheets.turned_drawing import TurnedDrawing, turned_drawing
from trialfit.tables.threads import Thread
from trialfit.units import nearest_64th

LATHE = (
    "Lathe: eyes covered, sleeves and rings off, chuck key out before the motor starts, no fingers near a die or drill "
    "under power, chips moved with a brush."
)
BAR_NOTE = f"to compare by eye; if the bar is not {BAR_MM:.1f} mm, the print was scaled"
DRAWN_NOTE = (
    "Above the axis seen from outside, below it cut open. Distances stand upright and are counted from the face named "
    "beside their row; labels give size × length. Threads: thin line at the bottom of the thread."
)
SETTINGS = {1: "First chucking", 2: "Reversed", 0: "Off the lathe"}

# Paper for the dimensioned view, beside what else stands on the first page.
_TALLEST_MM = 150.0
_LEAST_ROOM_MM = 70.0
# Shorter than this, sixty-fourths say nothing.
_INCHES_FROM_MM = 3.0


def turned_sheet(
    job: Job,
    plan: TurnedPlan,
    findings: Iterable[Finding] = (),
    paper: Paper = "a4",
    drawn: TurnedDrawing | None = None,
) -> dict[str, Any]:
    """Write the bench sheet of one turned part as a record for its template.

    Parameters
    ----------
    job
        The job the part belongs to.
    plan
        The part, worked out.
    findings
        What was found about it; anything but *go* stands at the top of the sheet.
    paper
        Size of the paper.
    drawn
        Its drawing, if it has been made for this paper; None makes it.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    drawing = drawn or drawing_for(plan, paper)
    return {
        "head": head(job, "turned part, bench sheet", plan.part.name, paper),
        "made_of": _made_of(plan),
        "findings": [finding_lines(each) for each in gravest_first(findings) if each.answer is not Answer.GO],
        "lengths": _lengths(plan),
        "view": {"drawing": drawing.drawing.record(), "note": f"drawn {drawing.scale_text}", "how": DRAWN_NOTE},
        "true_size": {
            "drawing": drawing.true_size.record(),
            "bar": check_bar(False).record(),
            "bar_note": BAR_NOTE,
        },
        "facts": _facts(plan),
        "tools": [_tool(hole) for hole in plan.holes],
        "cones": [_cone_line(plan)] if plan.cones else [],
        "speeds": [_speed(each) for each in plan.speeds],
        "rules": _rules(plan),
        "settings": [
            {"name": name, "steps": [step.text for step in plan.steps if step.setting == setting]}
            for setting, name in SETTINGS.items()
        ],
        "assumed": list(plan.assumed),
        "cautions": [LATHE, PRESSURE],
    }


def drawing_for(plan: TurnedPlan, paper: Paper) -> TurnedDrawing:
    """Draw a part to fit a sheet.

    Parameters
    ----------
    plan
        The part.
    paper
        Size of the paper.

    Returns
    -------
    TurnedDrawing
        Dimensioned and at true size.
    """
    wide, high = ROOM_MM[paper]
    return turned_drawing(plan, wide, max(min(_TALLEST_MM, high - 75.0), _LEAST_ROOM_MM))


def _made_of(plan: TurnedPlan) -> str:
    part = plan.part
    count = f"{part.count} wanted. " if part.count > 1 else ""
    what = f"{part.what}. " if part.what else ""
    bar = plan.bar.chosen.name if plan.bar.chosen is not None else f"round bar of at least {plan.bar.round_mm:.2f} mm"
    stock = "" if plan.bar.in_stock else ", not in stock"
    return f"{what}{count}{part.metal.key}, {part.metal.name}. From {bar}{stock}."


def _lengths(plan: TurnedPlan) -> dict[str, Any]:
    long = plan.lengths
    inches = f", {nearest_64th(long.finished.value)}" if long.finished.value >= _INCHES_FROM_MM else ""
    lines = [f"finished {_whole(long.finished)}{inches}"]
    lines += [
        f"of that {hidden.long_mm:.2f} mm is hidden in {hidden.into}; {long.shows.value:.2f} mm shows"
        for hidden in long.hidden
    ]
    lines.append(f"with {2.0 * long.facing_mm:.1f} mm for facing both ends and {long.parting_mm:.1f} mm for parting")
    sure = "" if long.saw.k2 is None else f"± {long.saw.k2:.2f} mm (k = 2)"
    return {"main": f"{long.saw.value:.1f} mm", "small": sure, "lines": lines}


def _whole(figure: Figure) -> str:
    return str(figure) if figure.k2 is None else f"{figure} (k = 2)"


def _facts(plan: TurnedPlan) -> list[list[str]]:
    facts = [["mass, finished", f"{plan.mass} each"]]
    if plan.wall is not None:
        where = "at its end face" if plan.wall.at_face else f"{plan.wall.at_mm:.2f} mm from the left face"
        facts.append(["least wall", f"{plan.wall.wall_mm:.2f} mm, {where}: {plan.wall.inner} to {plan.wall.outer}"])
    facts += [
        [cut.feature.name, f"full for {cut.full_mm:.2f} mm, pitch {_pitch(cut.feature.thread)}"]
        for cut in plan.threads
        if cut.feature.thread is not None
    ]
    return [*facts, *([section.hole.name, _across(section)] for section in plan.across)]


def _across(section: AcrossSection) -> str:
    return (
        f"drill {section.deep_mm:.2f} mm deep from the outside ({section.tip_mm:.2f} mm to the tip); "
        f"{100.0 * section.modulus_share:.0f} % of the section modulus is left"
    )


def _pitch(thread: Thread) -> str:
    return f"{thread.pitch_mm:.3f} mm, core {thread.core_mm:.2f} mm"


def _tool(hole: HoleCut) -> list[str]:
    bored = f"bore after drill {hole.pilot}" if hole.pilot else "bore"
    tool = f"drill {hole.drill}" if hole.drill else bored
    if hole.feature.reamed:
        tool += ", ream"
    deep = "through" if hole.feature.through else f"{hole.deep_mm:.2f} mm"
    tip = "–" if hole.feature.through or hole.tip_mm == hole.deep_mm else f"{hole.tip_mm:.2f} mm"
    share = ""
    if hole.percent is not None:
        percent = hole.percent
        share = f"{percent.of_form_pct:.0f} % form, {percent.of_us_pct:.0f} % US, {percent.of_iso_pct:.0f} % ISO basic"
    return [hole.feature.name, f"{hole.size_mm:.2f} mm", tool, deep, tip, share]


def _cone_line(plan: TurnedPlan) -> str:
    said = [
        f"{cut.feature.angle_deg:g} deg cone, mouth {cut.feature.size_mm:.2f} mm: {cut.deep_mm:.2f} mm deep from the "
        f"face; 0.1 mm deeper is {0.1 * cut.wider_per_deeper:.3f} mm wider."
        for cut in plan.cones
    ]
    return " ".join(said)


def _speed(found: Speed) -> list[str]:
    return [
        found.operation,
        f"{found.diameter_mm:.2f} mm",
        f"{found.surface_m_min:.0f} m/min",
        f"{found.wanted_rpm:.0f}",
        f"{found.set_rpm:.0f}",
    ]


def _rules(plan: TurnedPlan) -> list[dict[str, Any]]:
    tables = []
    for fit, limits in plan.rings:
        rows = [
            [limit.name, _limit(limit.low_pct, limit.high_pct), f"{limit.value_pct:.1f} %", limit.answer.value]
            for limit in limits
        ]
        tables.append({"name": f"O-ring of {fit.ring.section_mm:.2f} mm in the {fit.name}", "rows": rows})
    for seat in plan.seats:
        rows = [[rule.name, rule.says, rule.gives, rule.answer.value] for rule in seat.rules]
        rows.append(["sinks below the edge", "–", f"{seat.sinks_mm:.2f} mm", "–"])
        name = f"Ball of {seat.ball_mm:.2f} mm on a bore of {seat.bore_mm:.2f} mm: the rules differ"
        tables.append({"name": name, "rows": rows})
    return tables


def _limit(low: float | None, high: float | None) -> str:
    ends = [f"{low:g}" if low is not None else "", f"{high:g}" if high is not None else ""]
    return " to ".join(end for end in ends if end) + " %"
