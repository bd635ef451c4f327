"""Tools and depths for the features of a turned part: holes, cone mouths, threads, and the bar they come out of.

Source: plain geometry; a drill's point of 118 deg is 0.3004 diameters; a die runs out over two pitches and a tap wants
as much below its full thread (common practice, no source).
"""

from __future__ import annotations

from math import hypot, radians, tan

from trialfit.finding import Figure
from trialfit.making.turned.bench import TurningBench
from trialfit.making.turned.features import RUN_OUT_PITCHES, Bar, Inside, Outside, TurnedPart
from trialfit.making.turned.profile import inner_profile
from trialfit.making.turned.records import BarChoice, ConeCut, HoleCut, Lengths, ThreadCut
from trialfit.making.turned.shapes import cone_depth_mm
from trialfit.tables.drills import percent_of_thread

_SAME_MM = 1e-6
# A hole without a drill of its size is bored after a drill at least this much smaller. (Common practice, no source.)
_BORE_AFTER_MM = 0.3


def lengths(part: TurnedPart, bench: TurningBench) -> Lengths:
    """Give finished, showing and saw length.

    Parameters
    ----------
    part
        The part, with its hidden lengths counted in.
    bench
        The shop, for its allowances.

    Returns
    -------
    Lengths
        Each with k = 2 where a hidden length has one.
    """
    hidden = tuple(feature.hidden for feature in part.outside if feature.hidden is not None)
    counted = [f.hidden.k2_mm for f in part.outside if f.counted_in and f.hidden is not None and f.hidden.k2_mm]
    k2 = hypot(*counted) if counted else None
    shows = part.long_mm - sum(each.long_mm for each in hidden)
    saw = part.long_mm + 2.0 * bench.facing_mm + bench.parting_mm
    return Lengths(
        finished=Figure(part.long_mm, "mm", k2),
        shows=Figure(shows, "mm"),
        saw=Figure(saw, "mm", k2),
        facing_mm=bench.facing_mm,
        parting_mm=bench.parting_mm,
        hidden=hidden,
    )


def choose_bar(part: TurnedPart, bench: TurningBench) -> BarChoice:
    """Choose the bar.

    Parameters
    ----------
    part
        The part.
    bench
        The shop, with its stock.

    Returns
    -------
    BarChoice
        The bar the job asks for; else hexagon bar of the part's own hexagon; else the smallest round bar that will do.
    """
    hexagon = _hexagon_bar_mm(part)
    stock = bench.bars_of(part.metal.key)
    if part.bar is not None:
        has = any(bar.shape == part.bar.shape and abs(bar.size_mm - part.bar.size_mm) < 0.01 for bar in stock)
        return BarChoice(part.swing_mm, hexagon, part.bar, True, has)
    fitting = [bar for bar in stock if bar_serves(part, bar)]
    ranked = sorted(fitting, key=lambda bar: (bar.shape != "hexagon", bar.size_mm))
    chosen = ranked[0] if ranked else None
    return BarChoice(part.swing_mm, hexagon, chosen, False, chosen is not None)


def bar_serves(part: TurnedPart, bar: Bar) -> bool:
    """Whether a part can be turned from a bar without a flat or a corner missing.

    Parameters
    ----------
    part
        The part.
    bar
        The bar.

    Returns
    -------
    bool
        A hexagon bar serves only a part with that hexagon.
    """
    if bar.shape == "round":
        return bar.size_mm >= part.swing_mm - 0.005
    hexagon = _hexagon_bar_mm(part)
    return hexagon is not None and abs(bar.size_mm - hexagon) < 0.01


def hole_cuts(part: TurnedPart, bench: TurningBench) -> tuple[HoleCut, ...]:
    """Give the holes to be drilled or bored along the axis.

    Parameters
    ----------
    part
        The part.
    bench
        The shop, with its drills.

    Returns
    -------
    tuple of HoleCut
        Bores, counterbores and tapping holes, the smallest first.
    """
    holes = [feature for feature in part.inside if feature.kind in ("bore", "counterbore", "thread")]
    return tuple(_hole(feature, part, bench) for feature in sorted(holes, key=lambda f: f.hole_mm or f.size_mm))


def cone_cuts(part: TurnedPart) -> tuple[ConeCut, ...]:
    """Give the cone mouths with the depth to feed.

    Parameters
    ----------
    part
        The part.

    Returns
    -------
    tuple of ConeCut
        In the order of the job.
    """
    return tuple(_cone(feature, part) for feature in part.inside if feature.kind == "cone")


def thread_cuts(part: TurnedPart, bench: TurningBench) -> tuple[ThreadCut, ...]:
    """Give the male threads with their full length.

    Parameters
    ----------
    part
        The part.
    bench
        The shop, with its dies.

    Returns
    -------
    tuple of ThreadCut
        From left to right.
    """
    found = []
    for place, feature in enumerate(part.outside):
        if feature.thread is None:
            continue
        ends = [other for other in (place - 1, place + 1) if 0 <= other < len(part.outside)]
        shoulders = sum(_stops_a_die(part.outside[other], feature, other < place) for other in ends)
        run_out = shoulders * RUN_OUT_PITCHES * feature.thread.pitch_mm
        full = max(feature.long_mm - run_out, 0.0)
        found.append(ThreadCut(feature, full, run_out, bench.has_die(feature.thread)))
    return tuple(found)


def _stops_a_die(other: Outside, thread: Outside, on_the_left: bool) -> bool:
    assert thread.thread is not None
    return (other.right_mm if on_the_left else other.left_mm) > thread.thread.core_mm + _SAME_MM


def _hexagon_bar_mm(part: TurnedPart) -> float | None:
    """Across flats of the hexagon bar a part may come from: its round parts must lie within the flats."""
    flats = [feature.left_mm for feature in part.outside if feature.kind == "hexagon"]
    rounds = [feature.swing_mm for feature in part.outside if feature.kind != "hexagon"]
    if not flats or max(rounds, default=0.0) > max(flats) + _SAME_MM:
        return None
    return max(flats)


def _hole(feature: Inside, part: TurnedPart, bench: TurningBench) -> HoleCut:
    size = feature.hole_mm or feature.size_mm
    deep = feature.hole_deep_mm if feature.kind == "thread" and not feature.through else feature.deep_mm
    drill = "" if feature.kind == "counterbore" or feature.drill is None else feature.drill.name
    pilot = ""
    if not drill:
        before = bench.largest_drill_to(size - _BORE_AFTER_MM)
        pilot = before.name if before is not None else ""
    percent = None if feature.thread is None else percent_of_thread(feature.thread, size)
    drilled = max(deep - _opened_mm(feature, part), 0.0)
    return HoleCut(feature, size, drill, pilot, deep, deep + feature.point_mm, drilled / size, percent)


def _opened_mm(feature: Inside, part: TurnedPart) -> float:
    """How far in from the same face a wider hole already reaches, so that the drill is not buried there."""
    size = feature.hole_mm or feature.size_mm
    wider = [f.deep_mm for f in part.inside if f.end == feature.end and f.starts_mm == 0.0 and f.kind != "cone"
             and not f.through and (f.hole_mm or f.size_mm) > size + _SAME_MM]  # fmt: skip
    return max(wider, default=0.0)


def _cone(feature: Inside, part: TurnedPart) -> ConeCut:
    face = 0.0 if feature.end == "left" else part.long_mm
    pieces = [
        piece
        for piece in inner_profile(part, "crest")
        if piece.name == feature.name
        and abs((piece.start_mm if feature.end == "left" else piece.end_mm) - face) < _SAME_MM
    ]
    wider = 2.0 * tan(radians(feature.angle_deg / 2.0))
    if not pieces:
        return ConeCut(feature, feature.size_mm, 0.0, wider)
    small = min(min(piece.start_r_mm, piece.end_r_mm) for piece in pieces)
    return ConeCut(feature, 2.0 * small, cone_depth_mm(feature.size_mm, 2.0 * small, feature.angle_deg), wider)
