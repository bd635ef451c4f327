"""The bench sheet of one pipe: what to saw, where to bend, what to hold it against."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from trialfit.finding import Answer, Figure, Finding
from trialfit.fitup.records import Bend, PipePlan
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.making.process_records import OrderOfWork
from trialfit.sheets.gauges import BAR_MM, bend_gauge, check_bar, turn_disc
from trialfit.sheets.heading import CAUTIONS, K2_NOTE, ROOM_MM, Paper, finding_lines, gravest_first, head
from trialfit.sheets.pipe_words import (
    assumed,
    bench_steps,
    disc_steps,
    leaves,
    made_of,
    nut_steps,
    passing,
    plain,
    turn,
)
from trialfit.sheets.sockets import marked_strip, socket_end
from trialfit.sheets.views import Scaled, two_views
from trialfit.units import nearest_64th

COLUMNS = (
    "bend", "feed: straight before", "turn from the bend before", "bend to", "set bender to", "begins at", "ends at",
)  # fmt: skip
BAR_NOTE = (
    f"Each of these two bars is {BAR_MM:.1f} mm: measure both. If either is not, the print was scaled; "
    "do not use the gauges."
)

_DISC_MM = 48.0
_STUB_MM = 25.0
# Beside the upright check bar and under the heading of a true-size page.
_GAUGE_ROOM_MM = (165.0, 185.0)


def pipe_sheet(
    job: Job,
    pipe: PipePlan,
    shop: Shop,
    findings: Iterable[Finding] = (),
    paper: Paper = "a4",
    order: OrderOfWork | None = None,
) -> dict[str, Any]:
    """Write the bench sheet of one pipe as a record for its template.

    Parameters
    ----------
    job
        The job the pipe belongs to.
    pipe
        The pipe, worked out.
    shop
        The workshop that makes it.
    findings
        What was found about this pipe; anything but *go* stands at the top of the sheet.
    paper
        Size of the paper.
    order
        The order of work of its own assembly, which says when the nuts go on; None where there is none.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    wide, high = ROOM_MM[paper]
    views = two_views(pipe, wide, high - 95.0)
    strip = marked_strip(pipe, wide)
    return {
        "head": head(job, "pipe, bench sheet", pipe.name, paper),
        "made_of": made_of(job, pipe),
        "leaves": leaves(job, pipe),
        "findings": [finding_lines(each) for each in gravest_first(findings) if each.answer is not Answer.GO],
        "cut": _cut(pipe),
        "k2_note": K2_NOTE,
        "bend_columns": list(COLUMNS),
        "bends": [_bend_row(bend) for bend in pipe.bends],
        "after_bends": _after_bends(pipe),
        "strip": {"drawing": strip.drawing.record(), "note": _strip_note(strip)},
        "steps": bench_steps(pipe, views.full_size, nut_steps(job, order)),
        "views": {"drawing": views.drawing.record(), "note": _views_note(views)},
        **_ends(pipe, wide),
        "slips": [[each.slip, str(each.moves), str(each.turns)] for each in pipe.amplifications],
        "landing": _landing(pipe),
        "passing": passing(pipe),
        "assumed": assumed(job, pipe, shop),
        "cautions": list(CAUTIONS),
        "bars": {"upright": check_bar(True).record(), "level": check_bar(False).record(), "note": BAR_NOTE},
        **_gauges(pipe),
        "disc": _disc(pipe),
    }


def _cut(pipe: PipePlan) -> dict[str, str]:
    cut = pipe.cut_length
    k2 = "" if cut.k2 is None else " (k = 2)"
    return {"main": plain(cut), "small": _sure(cut) + k2, "inches": f"nearest 1/64: {nearest_64th(cut.value)}"}


def _bend_row(bend: Bend) -> dict[str, Any]:
    untried = {"main": "no test piece yet", "small": "measure, correct"}
    set_to = untried if bend.set_to is None else _cell(bend.set_to)
    return {
        "number": str(bend.number),
        "cells": [_cell(bend.feed), _turn_cell(bend), _cell(bend.angle), set_to, _cell(bend.starts), _cell(bend.ends)],
    }


def _cell(figure: Figure) -> dict[str, str]:
    return {"main": plain(figure), "small": _sure(figure)}


def _sure(figure: Figure) -> str:
    """A figure without a plus-or-minus of its own was not found but chosen."""
    return "as chosen" if figure.k2 is None else f"± {figure.k2:.{figure.places}f} {figure.unit}"


def _turn_cell(bend: Bend) -> dict[str, str]:
    if bend.number == 1:
        return {"main": "–", "small": "any way up"}
    words, way = turn(bend.rotation)
    return {"main": words, "small": "\n".join(part for part in (way, _sure(bend.rotation)) if part)}


def _after_bends(pipe: PipePlan) -> str:
    return (
        f"After the last bend {pipe.last_straight} straight to the sawn end, {pipe.file_allowance_mm:.2f} mm of it "
        f"to file off. Centre line from face to face {pipe.centre_line}. The turn is seen along the tube from its "
        "start end: the leg before the bend just made lies on 0, the next leg goes off at the turn."
    )


def _strip_note(strip: Scaled) -> str:
    if strip.full_size:
        return "true size; distances from the start end in mm"
    return f"drawn {strip.scale}, not for marking off; distances from the start end in mm"


def _views_note(views: Scaled) -> str:
    size = "true size" if views.full_size else f"drawn {views.scale}"
    return f"{size}; below from the front, above it from above; legs from corner to corner"


def _ends(pipe: PipePlan, wide_mm: float) -> dict[str, Any]:
    drawn = []
    for end, which in ((pipe.start, "start"), (pipe.end, "far end")):
        section = socket_end(pipe.tube, end, wide_mm / 2.0 - 4.0)
        drawn.append(
            {
                "drawing": section.drawing.record(),
                "title": f"{which}: {end.name}",
                "note": f"drawn {section.scale}",
            }
        )
    return {"ends": drawn, "ends_note": "the block stands for the fitting, whose own shape is not drawn"}


def _landing(pipe: PipePlan) -> list[str]:
    landing = pipe.landing
    lines = [
        f"Off its face: up to {plain(landing.survey_off)} from the survey, {plain(landing.bench_off)} from the bench.",
        f"Out of line with its union: up to {plain(landing.survey_turned)} from the survey, "
        f"{plain(landing.bench_turned)} from the bench.",
    ]
    if any(round(miss.value, miss.places) for miss in landing.misses):
        at_start, at_end = landing.misses
        lines.append(
            f"A bend too small to make is left out, which leaves {plain(at_start)} at the start union and "
            f"{plain(at_end)} at the far one."
        )
    return lines


def _gauges(pipe: PipePlan) -> dict[str, Any]:
    straights = [*(bend.feed.value for bend in pipe.bends), pipe.last_straight.value]
    gauges = []
    for bend, before, after in zip(pipe.bends, straights, straights[1:], strict=False):
        stubs = (min(_STUB_MM, before), min(_STUB_MM, after))
        drawing = bend_gauge(bend.angle.value, pipe.radius_mm, pipe.tube.od_mm, stubs)
        fits = drawing.width_mm <= _GAUGE_ROOM_MM[0] and drawing.height_mm <= _GAUGE_ROOM_MM[1]
        gauges.append(
            {
                "title": f"bend {bend.number}: {plain(bend.angle)}",
                "drawing": drawing.record() if fits else None,
                "note": f"R {pipe.radius_mm:.2f} mm, tube {pipe.tube.od_mm:.2f} mm"
                if fits
                else "Larger than the paper: not drawn. Set it out on a board.",
            }
        )
    return {
        "gauges": gauges,
        "gauge_note": "lay the bent tube on: it must lie between the heavy lines",
    }


def _disc(pipe: PipePlan) -> dict[str, Any] | None:
    turns = []
    for bend in pipe.bends[1:]:
        words, _ = turn(bend.rotation)
        turns.append((f"bend {bend.number}: {words}", bend.rotation.value))
    if not turns:
        return None
    drawing = turn_disc(pipe.tube.od_mm, _DISC_MM + pipe.tube.od_mm / 2.0, turns)
    return {
        "drawing": drawing.record(),
        "note": f"hole {pipe.tube.od_mm:.2f} mm: cut out and slip over the tube",
        "steps": disc_steps(),
    }
