"""The water circuit on paper: the owner's page, the bench sheet, and a drawing of each setting."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from trialfit.feed.findings import COLD, feed_findings, when_words
from trialfit.feed.harm import GRAVEST, Fails, HarmKind
from trialfit.feed.pump_findings import spread
from trialfit.feed.pump_report import PumpReport
from trialfit.feed.records import spoken
from trialfit.feed.report import FeedReport, InUse, Level
from trialfit.feed.settings import setting_words, usual
from trialfit.feed.sights import Looked
from trialfit.finding import Answer
from trialfit.job.records import Job
from trialfit.sheets.compile import pdf
from trialfit.sheets.feed_drawing import circuit_drawing
from trialfit.sheets.heading import PRESSURE, PROOF, ROOM_MM, Paper, finding_lines, gravest_first, head
from trialfit.sheets.layers import flat
from trialfit.sheets.svg import svg

# One letter a level, so that the table reads on grey paper.
LETTERS: Mapping[Level, str] = {"no limit": "!!", "boiler": "B", "may hold boiler": "H", "tank": "t", "open": "·"}

# What to do at once. Common practice, no source.
DO_FIRST: Mapping[HarmKind, str] = {
    "scald": "Keep away from it. Get the pressure down: drop the fire, open the blower or whistle, do not reach across "
    "the jet. Close any cock between it and the boiler that can be reached safely.",
    "lock": "Stop the engine at once; do not force it. Open the bypass before it is moved again.",
    "into the tank": "Shut bypass, drain and water cock. Watch the glass; if water leaves it, drop the fire. No hand "
    "in the tank.",
    "at a nut": "Undo nothing. Let the boiler go cold first.",
    "no feed": "Watch the glass and use the other feed. If no feed works, drop the fire while there is water in the "
    "glass.",
    "air": "Look for a loose suction joint and at the water in the tank. Use the other feed.",
}
_WATCH = "Write it down with how every handle stood, and send it to the workshop."


def feed_files(job: Job, report: FeedReport, paper: Paper) -> dict[str, bytes]:
    """Set both sheets and draw every setting in use.

    Parameters
    ----------
    job
        The job.
    report
        Its circuit, worked out.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Contents by file name.
    """
    card = job.job
    files = {
        "settings-owner.pdf": pdf(
            "feed-owner.typ", owner_sheet(job, report, paper), f"{card.name}: settings and what they do", card.date
        ),
        "settings-bench.pdf": pdf(
            "feed-bench.typ", bench_sheet(job, report, paper), f"{card.name}: water circuit, bench sheet", card.date
        ),
    }
    for use in report.in_use:
        safe = re.sub(r"[^\w-]+", "-", use.name).strip("-")[:60] or "setting"
        name, count = f"setting-{safe}.svg", 1
        while name.lower() in {other.lower() for other in files}:
            count += 1
            name = f"setting-{safe}-{count}.svg"
        drawn = circuit_drawing(report, use, ROOM_MM[paper][0])
        files[name] = svg(drawn, f"{card.name}: {use.name}: {use.words}").encode()
    return files


def owner_sheet(job: Job, report: FeedReport, paper: Paper) -> dict[str, Any]:
    """Write the owner's page as a record for its template.

    Parameters
    ----------
    job
        The job.
    report
        Its circuit, worked out.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values: each setting with its drawing, and what to do about what is seen.
    """
    return {
        "head": head(job, "for the owner", "Settings and what they do", paper),
        "cautions": [COLD, PRESSURE],
        "usual": setting_words(report.circuit, usual(report.circuit), whole=True),
        "settings": [_setting(report, use, paper) for use in report.in_use],
        "pumps": pump_lines(report),
        "if": what_to_do_if(report),
        "practice": f"{_WATCH} What to do first is common practice, no source, and the gravest of what it may be.",
    }


def bench_sheet(job: Job, report: FeedReport, paper: Paper) -> dict[str, Any]:
    """Write the bench sheet as a record for its template.

    Parameters
    ----------
    job
        The job.
    report
        Its circuit, worked out.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values: findings, what every place can hold in every setting, every single fault.
    """
    findings = [each for each in gravest_first(feed_findings(job, report)) if each.answer is not Answer.GO]
    places = [(n, node) for n, node in enumerate(report.circuit.nodes) if not node.inside]
    return {
        "head": head(job, "bench sheet", "Water circuit: pressures and faults", paper),
        "cautions": [COLD, PROOF, PRESSURE],
        "findings": [finding_lines(each) for each in findings],
        "columns": [f"{n}. {use.name}" for n, use in enumerate(report.in_use, 1)],
        "named": [f"{n}. {use.name}: {use.words}" for n, use in enumerate(report.in_use, 1)],
        "places": [
            {
                "number": str(n + 1),
                "name": node.name,
                "joints": ", ".join(node.nuts or node.ports),
                "levels": [LETTERS[use.levels[n]] + ("°" if use.no_relief[n] else "") for use in report.in_use],
            }
            for n, node in places
        ],
        "letters": [
            "B boiler pressure now", "H may hold boiler pressure after a pump has run",
            "!! may hold more: nothing relieves the pump", "t tank water only", "· open or empty",
            "° no way out at all: warming it can burst it",
        ],
        "faults": [_fault(report, each) for each in report.fails],
        "pumps": [{"name": spoken(each.asked.name), "figures": pump_figures(each)} for each in report.pumps],
    }  # fmt: skip


def pump_lines(report: FeedReport) -> list[str]:
    """Say to the owner what his pumps give and what his boiler uses.

    Parameters
    ----------
    report
        The circuit, worked out.

    Returns
    -------
    list of str
        Sentences, a few to each pump whose figures are known.
    """
    said = []
    for each in report.pumps:
        asked, need = each.asked, each.needed
        name, gives = spoken(asked.name), f"{spread(each.delivers)} mL of water a minute"
        said.append(
            f"At {spread(asked.pump.strokes)} strokes a minute the {name} gives {gives}: time a cupful at the return."
        )
        if need is not None:
            said.append(f"The boiler uses {spread(need)} mL a minute.")
        stops = each.pocket_stops.likely * asked.pump.swept_ml
        said.append(
            f"About {stops:.1f} mL of air in the {name} stops it feeding though it returns well: work it with the "
            "bypass open until no bubbles come."
        )
    return said


def pump_figures(report: PumpReport) -> list[list[str]]:
    """Give the figures of a pump as a bench reads them.

    Parameters
    ----------
    report
        The pump, worked out.

    Returns
    -------
    list of list of str
        What it is, and the figure with its unit.
    """
    asked, pump = report.asked, report.asked.pump
    found = [
        ["ram and stroke", f"{pump.ram_mm:.2f} mm x {pump.stroke_mm:.2f} mm, {pump.swept_ml:.2f} mL a stroke"],
        ["speed", f"{spread(pump.strokes)} strokes a minute"],
        ["delivers", str(report.delivers)],
    ]
    found += [
        [name, str(band)] for name, band in (("boiled away", report.boiled), ("drawn as steam", report.drawn)) if band
    ]
    found.append(["hole in the bypass that takes half", f"{report.leak.half_mm:.2f} mm"])
    if report.leak.hole_mm:
        found.append([f"left with a leak of {report.leak.hole_mm:.2f} mm", str(report.leak.left)])
    stops = report.pocket_stops
    found.append(["air that stops it", f"{spread(stops, 2, pump.swept_ml)} mL"])
    if report.with_air is not None and asked.pocket is not None:
        found.append([f"with {spread(asked.pocket, 2)} mL of air", str(report.with_air)])
    if report.suction is not None:
        found.append(["suction keeps up to", str(report.suction.limit_strokes_min)])
    return found


def what_to_do_if(report: FeedReport) -> list[dict[str, Any]]:
    """Say, of everything amiss that shows in a setting in use, what it may be and what to do first.

    Parameters
    ----------
    report
        The circuit worked out.

    Returns
    -------
    list of dict
        What to ``do``, the gravest first, and its ``rows``: what is ``seen`` and what it ``may_be``.
    """
    causes: dict[tuple[Looked, bool], list[Fails]] = {}
    for each in report.fails:
        for shown in each.shown if not each.hidden_in_use else ():
            # That something is cold or dry tells nobody anything; he would not look.
            if shown.is_so or shown.looked.seen not in ("hot", "wet"):
                causes.setdefault((shown.looked, shown.is_so), []).append(each)
    groups: dict[HarmKind, list[dict[str, str]]] = {kind: [] for kind in GRAVEST}
    for (looked, is_so), found in causes.items():
        kinds = {harm.kind for each in found for harm in each.harms}
        if kinds:
            words = "; ".join(each.fault.words for each in found[:6])
            more = f"; and {len(found) - 6} more" if len(found) > 6 else ""
            gravest = min(kinds, key=GRAVEST.index)
            groups[gravest].append({"seen": looked.words(is_so), "may_be": words + more})
    return [{"do": DO_FIRST[kind], "rows": rows} for kind, rows in groups.items() if rows]


def _setting(report: FeedReport, use: InUse, paper: Paper) -> dict[str, Any]:
    def named(level: Level) -> str:
        there = [(n, node) for n, node in enumerate(report.circuit.nodes) if use.levels[n] == level and not node.inside]
        return ", ".join(f"{node.name} ({n + 1})" for n, node in there)

    return {
        "name": use.what or use.name,
        "handles": use.words,
        "does": "; ".join(use.does) or "nothing is driven, nothing flows",
        "grave": use.grave,
        "now": named("boiler"),
        "holds": named("may hold boiler"),
        "more": named("no limit"),
        "drawing": flat(circuit_drawing(report, use, ROOM_MM[paper][0])).record(),
    }


def _fault(report: FeedReport, each: Fails) -> dict[str, Any]:
    circuit = report.circuit
    shown = [f"{one.looked.words(one.is_so)}: {when_words(circuit, one.when)}" for one in each.shown[:2]]
    if not shown:
        shown = ["never, in no setting"]
    elif each.hidden_in_use:
        shown.append("not in any setting in use")
    return {
        "fault": each.fault.words,
        "harms": [f"{harm.words}: {when_words(circuit, harm.when)}" for harm in each.harms] or ["nothing by itself"],
        "shown": shown,
        "hurt": list(dict.fromkeys(harm.who for harm in each.harms)),
    }
