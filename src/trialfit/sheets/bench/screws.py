"""Pictures of screws: over the crests, the pitch by ten threads, the flanks, a taper thread."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import radians, tan

from trialfit.parts.thread_profile import thread_profile
from trialfit.parts.thread_readings import diameters
from trialfit.sheets.bench.pieces import WORDS_PT, jaw, leader, outline_of, screw, words
from trialfit.sheets.drafting import dimension
from trialfit.sheets.drawing import FINE, OUTLINE, THIN, Arc, Line, Polyline, Text
from trialfit.sheets.layers import Layered, on
from trialfit.tables.designations import find_thread
from trialfit.tables.threads import Thread

_EDGE_MM = 0.2


def over_the_crests() -> list[Layered]:
    """A quarter by forty between broad jaws, and between edges that fall into it.

    Returns
    -------
    list
        The picture.
    """
    thread, scale = find_thread("1/4x40"), 8.0
    high = scale * thread.major_mm / 2
    wide = scale * thread.pitch_mm
    right = [*screw(thread, 7, scale), *jaw(1.1 * wide, 5.4 * wide, high, 9), *jaw(1.1 * wide, 5.4 * wide, -high, -9)]
    right += on("dimension", dimension((0.0, -high), (0.0, high), 9.0, f"{thread.major_mm:.2f} mm", WORDS_PT))
    low_mm, high_mm = diameters(thread, "male").sound
    right += words((3.5 * wide, high + 16), "Right: broad jaws over several crests", "middle")
    right += words((3.5 * wide, -high - 15), f"1/4x40: a sound one measures|{low_mm:.2f} to {high_mm:.2f} mm", "middle")
    shift = 11.5 * wide
    sunk = _sunk_mm(thread)
    middle = 3 * wide
    edges = []
    for side in (1, -1):
        # The lower crests lie half a pitch further, so the gaps do too.
        at = middle if side > 0 else middle + wide / 2
        edge = side * (high - scale * sunk)
        half = scale * _EDGE_MM / 2
        block = ((at - half, edge), (at + half, edge), (at + 5, edge + side * 14), (at - 5, edge + side * 14))
        edges += on("outline", [Polyline(block, closed=True, fill="white", pen=OUTLINE)])
    wrong = [*screw(thread, 7, scale), *edges]
    short = 2 * sunk
    wrong += words((3.5 * wide, high + 16), "Wrong: knife edges", "middle")
    said = f"edges {_EDGE_MM:g} mm wide fall between|the crests: {short:.2f} mm too little"
    wrong += words((3.5 * wide, -high - 15), said, "middle")
    return [*right, *_moved(wrong, shift)]


def _sunk_mm(thread: Thread) -> float:
    """How deep an edge sinks below the crests on one side, until the gap is as narrow as it is."""
    points = [point for point in thread_profile(thread).points_mm if point[0] >= 0]
    gap = [(thread.pitch_mm - 2 * z, r) for z, r in points]
    for (wide, upper), (narrow, lower) in pairwise(gap):
        if wide >= _EDGE_MM >= narrow:
            share = (wide - _EDGE_MM) / (wide - narrow)
            return thread.major_mm / 2 - (upper + share * (lower - upper))
    return 0.0


def pitch() -> list[Layered]:
    """Ten pitches of a quarter by forty and of a fine six millimetre against a rule.

    Returns
    -------
    list
        The picture.
    """
    scale = 16.0
    picture: list[Layered] = []
    for row, name in enumerate(("1/4x40", "M6x0.75")):
        picture += _moved(_ten(find_thread(name), scale), 0.0, -34.0 * row)
    first, second = (10 * find_thread(name).pitch_mm for name in ("1/4x40", "M6x0.75"))
    said = f"Nought is the first crest, ten the eleventh. The two differ by {abs(first - second):.2f} mm."
    return [*picture, *words((0.0, -54.0), said)]


def _ten(thread: Thread, scale: float) -> list[Layered]:
    """A strip of thread with its crests numbered, on a rule whose nought lies under the first."""
    step = scale * thread.pitch_mm
    floor = scale * (thread.core_mm / 2 - 0.25)
    edge = [(x - step / 2, y - floor) for x, y in outline_of(thread, 11, scale)]
    body = Polyline(((edge[0][0], 0.0), *edge, (edge[-1][0], 0.0)), closed=True, pen=OUTLINE)
    top = scale * thread.major_mm / 2 - floor
    layered = on("outline", [body])
    layered += on("dimension", [Text((k * step, top + 3), str(k), WORDS_PT) for k in range(11)])
    rule_top = -1.5
    ticks = []
    for half in range(17):
        x, long = half * scale / 2, 4.0 if half % 2 == 0 else 2.2
        ticks.append(Line((x, rule_top), (x, rule_top - long), THIN))
    figures = [Text((k * scale, rule_top - 6.2), str(k), WORDS_PT) for k in range(9)]
    frame = Line((-step, rule_top), (8.3 * scale, rule_top), THIN)
    layered += [*on("thread", [frame, *ticks]), *on("dimension", figures)]
    ten = 10 * thread.pitch_mm
    layered += on("dimension", [Line((10 * step, top + 1), (10 * step, rule_top - 9), FINE)])
    return [*layered, *words((10.5 * step + 3, top + 3), f"{thread.designation}: ten are {ten:.2f} mm")]


def flanks() -> list[Layered]:
    """Whitworth, BA and ISO threads at one pitch, with their angles.

    Returns
    -------
    list
        The picture.
    """
    picture: list[Layered] = []
    for column, (name, called) in enumerate((("1/4x40", "Whitworth"), ("0BA", "BA"), ("M6", "ISO and unified"))):
        picture += _moved(_form(find_thread(name), called), 62.0 * column)
    return picture


def _form(thread: Thread, called: str) -> list[Layered]:
    """Two pitches, drawn twenty-two millimetres to the pitch, whatever the thread's own is."""
    scale = 22.0 / thread.pitch_mm
    base = scale * thread.core_mm / 2
    edge = [(x, y - base) for x, y in outline_of(thread, 2, scale)]
    body = Polyline(((edge[0][0], -9.0), *edge, (edge[-1][0], -9.0)), closed=True, pen=OUTLINE)
    half = radians(thread.angle_deg / 2)
    effective = scale * thread.effective_mm / 2 - base
    # The flanks of the gap between the two crests, drawn on to where they meet, and the angle between them.
    apex_x, apex_y = 22.0, effective - 22.0 / 4 / tan(half)
    reach = scale * thread.major_mm / 2 - base + 3 - apex_y
    lines = [Line((apex_x, apex_y), (apex_x + side * reach * tan(half), apex_y + reach), FINE) for side in (-1, 1)]
    arc = Arc((apex_x, apex_y), reach, 90 - thread.angle_deg / 2, 90 + thread.angle_deg / 2, FINE)
    said = f"{called}|{thread.angle_deg:g} deg"
    angle = Text((apex_x, apex_y + reach + 3.2), f"{thread.angle_deg:g} deg", WORDS_PT)
    return [
        *on("outline", [body]),
        *on("dimension", [*lines, arc, angle]),
        *words((22.0, -14.0), said.split("|")[0], "middle"),
        *words((22.0, -19.0), _rounding(thread), "middle"),
    ]


def _rounding(thread: Thread) -> str:
    profile = thread_profile(thread)
    root = f"root rounded, {profile.root_radius_mm / thread.pitch_mm:.3f} pitch"
    return f"crest flat, {root}" if profile.crest_radius_mm == 0 else f"crest and {root}"


def taper() -> list[Layered]:
    """A taper pipe thread, measured over the crests near both ends.

    Returns
    -------
    list
        The picture.
    """
    thread, scale, slope, threads = find_thread("R1/8"), 7.0, 1 / 32, 6
    first_mm, apart_mm = thread.pitch_mm / 2, threads * thread.pitch_mm
    small = replace(thread, major_mm=thread.major_mm - 0.25, effective_mm=thread.effective_mm - 0.25,
                    core_mm=thread.core_mm - 0.25)  # fmt: skip
    picture = screw(small, 9, scale, slope)
    for along_mm in (first_mm, first_mm + apart_mm):
        across = small.major_mm + 2 * slope * along_mm
        x, y = scale * along_mm, scale * across / 2
        picture += on("dimension", dimension((x, -y), (x, y), 0.0, f"{across:.2f}", WORDS_PT))
    x0, x1 = scale * first_mm, scale * (first_mm + apart_mm)
    low = -scale * thread.major_mm / 2
    picture += on("dimension", dimension((x0, low), (x1, low), -9.0, f"{threads} threads, {apart_mm:.2f} mm", WORDS_PT))
    grown = apart_mm / 16
    said = f"R1/8: over {apart_mm:.2f} mm a taper thread|grows by {grown:.2f} mm, a parallel one not at all."
    picture += words((scale * 9 * thread.pitch_mm + 8, 8.0), said)
    return [*picture, *leader((scale * 9 * thread.pitch_mm + 7, 6.0), (x1 + 2, 4.0))]


def _moved(layered: list[Layered], x_mm: float, y_mm: float = 0.0) -> list[Layered]:
    return [Layered(each.layer, each.item.moved(x_mm, y_mm)) for each in layered]
