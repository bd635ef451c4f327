"""The water circuit on paper: the owner's page, the bench sheet, and a drawing of each setting."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from trialfit.feed.findings import COLD, feed_findings, when_words
from trialfit.feed.harm import Fails
from trialfit.feed.pump_findings import spread
from trialfit.feed.pump_report import PumpReport
from trialfit.feed.records import spoken
from trialfit.feed.report import FeedReport, Level
from trialfit.finding import Answer
from trialfit.job.records import Job
from trialfit.sheets.compile import pdf
from trialfit.sheets.feed_drawing import circuit_drawing
from trialfit.sheets.feed_owner import owner_sheet
from trialfit.sheets.feed_words import setting_said
from trialfit.sheets.file_names import free_name
from trialfit.sheets.heading import PRESSURE, PROOF, ROOM_MM, Paper, finding_lines, gravest_first, head
from trialfit.sheets.owner_head import owner_title
from trialfit.sheets.svg import svg
from trialfit.sheets.words import words_for

# One letter a level, so that the table reads on grey paper.
LETTERS: Mapping[Level, str] = {"no limit": "!!", "boiler": "B", "may hold boiler": "H", "tank": "t", "open": "·"}


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
    card, words = job.job, words_for(job)
    files = {
        "settings-owner.pdf": pdf(
            "feed-owner.typ", owner_sheet(job, report, paper), owner_title(job, words.say("settings-title")), card.date
        ),
        "settings-bench.pdf": pdf(
            "feed-bench.typ", bench_sheet(job, report, paper), f"{card.name}: water circuit, bench sheet", card.date
        ),
    }
    for use in report.in_use:
        drawn = circuit_drawing(report, use, ROOM_MM[paper][0], words)
        title = owner_title(job, f"{use.name}: {setting_said(report.circuit, use.setting, words)}")
        files[f"{free_name('setting', use.name, files)}.svg"] = svg(drawn, title).encode()
    return files


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
        ["ram and stroke", f"{pump.ram_mm:.2f} mm × {pump.stroke_mm:.2f} mm, {pump.swept_ml:.2f} mL a stroke"],
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
