"""Questions of the bench: a thread, a drill."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import click

from trialfit.cli.words import answer, as_json
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import (
    ClearanceDrill,
    Drill,
    Nearest,
    TappingDrill,
    clearance_drills,
    find_drill,
    nearest_drills,
    printed_tapping_drills,
    tapping_drills,
)
from trialfit.tables.hexagons import Hexagon, hexagons_of
from trialfit.tables.rows import source_lines
from trialfit.tables.threads import (
    Thread,
    gauge_lengths_mm,
    gauge_lengths_rest_on,
    same_threads,
    thread_forms,
    thread_series,
)
from trialfit.units import inches, nearest_64th

_LEAST_PCT, _MOST_PCT = 60.0, 85.0
_DEPTHS = {"W55": "Whitworth", "BA": "BA", "ISO60": "ISO basic"}


@dataclass(frozen=True)
class _ThreadAnswer:
    thread: Thread
    same_as: tuple[str, ...]
    tapping: tuple[TappingDrill, ...]
    tapping_in_print: tuple[TappingDrill, ...]
    clearance: tuple[ClearanceDrill, ...]
    hexagons: tuple[Hexagon, ...]


@dataclass(frozen=True)
class _DrillAnswer:
    drill: Drill
    nearest: tuple[Nearest, ...]


@click.command()
@click.argument("designation", nargs=-1, required=True)
@as_json
def thread(designation: tuple[str, ...], as_json: bool) -> None:
    """Form, diameters, tapping and clearance drills of a thread: 1/4x40, 2BA, M8x1, G1/8, 1/4 BSF, 10-32."""
    found = find_thread(" ".join(designation))
    record = _ThreadAnswer(
        found,
        tuple(other.designation for other in same_threads(found)),
        tapping_drills(found, _LEAST_PCT, _MOST_PCT),
        printed_tapping_drills(found),
        () if found.taper else clearance_drills(found),
        hexagons_of(found),
    )
    answer(as_json, _thread_text(record), record)


@click.command()
@click.argument("diameter", nargs=-1, required=True)
@as_json
def drill(diameter: tuple[str, ...], as_json: bool) -> None:
    """Nearest drills over and under in each series: 5.57mm, 7/32 in, "#43", F."""
    found = find_drill(" ".join(diameter))
    record = _DrillAnswer(found, nearest_drills(found.diameter_mm))
    answer(as_json, _drill_text(record), record)


def _thread_text(record: _ThreadAnswer) -> str:
    found = record.thread
    form, series = thread_forms()[found.form], thread_series()[found.series]
    lines = [f"{found.designation}   {series.name}; {form.name} form ({form.standard}), {form.angle_deg:g} deg"]
    if record.same_as:
        lines.append(f"The same thread as {', '.join(record.same_as)}.")
    if found.basis.must_be_shown:
        lines.append(f"The size rests on {found.basis}.")
    lines += [note[0].upper() + note[1:] + "." for note in (series.note, found.note) if note]
    lines += ["", *_diameters(found)]
    if record.tapping:
        depth = "US handbook" if found.form == "ISO60" else _DEPTHS[found.form]
        lines += ["", f"Tapping drills that leave {_LEAST_PCT:g} to {_MOST_PCT:g} % of the {depth} depth"]
        lines += _tapping(found, record.tapping)
    if record.tapping_in_print:
        lines += ["", "Tapping drills in print", *_tapping(found, record.tapping_in_print)]
    if record.clearance:
        lines += ["", "Clearance drills", *(_clearance(clearance) for clearance in record.clearance)]
    if record.hexagons:
        lines += ["", *(_hexagon(hexagon) for hexagon in record.hexagons)]
    keys = [*found.sources, *form.sources]
    keys += [key for tapping in record.tapping_in_print for key in tapping.sources]
    keys += [key for clearance in record.clearance for key in clearance.sources]
    keys += [key for hexagon in record.hexagons for key in hexagon.sources]
    shown = [tapping.drill for tapping in (*record.tapping, *record.tapping_in_print)]
    shown += [clearance.drill for clearance in record.clearance]
    return "\n".join([*lines, "", *_foot(keys, shown)])


def _diameters(found: Thread) -> list[str]:
    rows = [("major", found.major_mm), ("effective", found.effective_mm)]
    if found.core_internal_mm == found.core_mm:
        rows.append(("core", found.core_mm))
    else:
        rows += [("core, male", found.core_mm), ("core, female", found.core_internal_mm)]
    rows.append(("pitch", found.pitch_mm))
    pitch = f"{found.tpi:g} tpi" if abs(found.tpi - round(found.tpi)) < 1e-9 else f"{found.tpi:.2f} tpi"
    lines = [f"{'':14}{'mm':>9}{'in':>10}"]
    for name, value_mm in rows:
        tail = pitch if name == "pitch" else _fraction(value_mm) if name == "major" else ""
        lines.append(f"  {name:12}{value_mm:9.3f}{inches(value_mm):10.4f}   {tail}".rstrip())
    if found.taper:
        gauge_mm, basis = gauge_lengths_mm()[found.designation], gauge_lengths_rest_on()[found.designation]
        told = basis.value if basis.must_be_shown else ""
        lines.append(f"  {'gauge length':12}{gauge_mm:9.3f}{inches(gauge_mm):10.4f}   {told}".rstrip())
    return lines


def _fraction(value_mm: float) -> str:
    sixty_fourth = nearest_64th(value_mm)
    return sixty_fourth.text if abs(sixty_fourth.error_mm) < 1e-6 else ""


def _tapping(found: Thread, tappings: Iterable[TappingDrill]) -> list[str]:
    own = f"of {_DEPTHS[found.form]} depth"
    lines = [f"  {'':8}{'mm':>8}{'in':>9}{own:>22}{'of US handbook depth':>24}"]
    for tapping in tappings:
        percent = tapping.percent
        lines.append(
            f"  {tapping.drill.name:8}{tapping.drill.diameter_mm:8.3f}{inches(tapping.drill.diameter_mm):9.4f}"
            f"{percent.of_form_pct:20.0f} %{percent.of_us_pct:22.0f} %"
        )
        if tapping.sources != tapping.drill.sources:
            lines.append(f"      {_said(tapping)}")
    return lines


def _said(tapping: TappingDrill) -> str:
    words = [tapping.basis.value] if tapping.basis.must_be_shown else []
    words += [", ".join(tapping.sources)]
    if tapping.note:
        words.append(tapping.note)
    if tapping.printed_pct is not None and tapping.printed_of:
        words.append(f"prints {tapping.printed_pct:g} % of the US handbook depth")
    return "; ".join(words)


def _clearance(clearance: ClearanceDrill) -> str:
    label = "; ".join(
        word
        for word in (
            clearance.basis.value if clearance.basis.must_be_shown else "",
            ", ".join(clearance.sources) if clearance.sources != ("S-PRACTICE",) else "",
            clearance.note,
        )
        if word
    )
    over = f"+{clearance.over_mm:.2f} mm  +{inches(clearance.over_mm) * 1000:.0f} thou"
    return f"  {clearance.fit:8}{clearance.drill.name:10}{over:22}{label}"


def _hexagon(hexagon: Hexagon) -> str:
    size = f"{hexagon.across_flats_mm:.2f} mm  {inches(hexagon.across_flats_mm):.3f} in"
    least = f" (least {hexagon.least_mm:.2f} mm)" if hexagon.least_mm else ""
    label = f"  {hexagon.basis}" if hexagon.basis.must_be_shown else ""
    return f"Hexagon across flats  {size}{least}  {', '.join(hexagon.sources)}{label}"


def _drill_text(record: _DrillAnswer) -> str:
    wanted_mm = record.drill.diameter_mm
    sixty_fourth = nearest_64th(wanted_mm)
    name = f"{record.drill.name}   " if record.drill.series in ("number", "letter") else ""
    lines = [
        f"{name}{wanted_mm:.3f} mm   {inches(wanted_mm):.4f} in   "
        f"nearest 1/64: {sixty_fourth.text} ({sixty_fourth.error_mm:+.3f} mm)",
        "",
        f"  {'':10}{'under':32}over",
    ]
    for nearest in record.nearest:
        sides = [_side(side, wanted_mm) for side in (nearest.under, nearest.over)]
        lines.append(f"  {nearest.series:10}{sides[0]:32}{sides[1]}".rstrip())
    every = [side for nearest in record.nearest for side in (nearest.under, nearest.over) if side is not None]
    best = min(every, key=lambda side: abs(side.diameter_mm - wanted_mm))
    lines += ["", f"Nearest of all: {best.name} ({best.series}), {_side(best, wanted_mm)[10:].strip()}."]
    keys = [key for side in every for key in side.sources]
    return "\n".join([*lines, "", *_foot(keys, every)])


def _side(side: Drill | None, wanted_mm: float) -> str:
    if side is None:
        return "none"
    error_mm = side.diameter_mm - wanted_mm
    if abs(error_mm) < 1e-6:
        return f"{side.name:10}exact"
    return f"{side.name:10}{error_mm:+.3f} mm  {inches(error_mm) * 1000:+.1f} thou"


def _foot(keys: Iterable[str], shown: Iterable[Drill]) -> list[str]:
    lines = ["Sources", *source_lines(key for key in keys if key != "S-ISO235")]
    if any(drill.series == "metric" for drill in shown):
        lines.append("  Metric drill steps are from memory of ISO 235.")
    return lines
