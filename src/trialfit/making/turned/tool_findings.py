"""Findings about what the shop has: bar, dies, taps, drills, reamers, speeds.

Source: the shop's tooling; the meanings of a percentage of thread in ``figures/thread_forms.toml``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.making.turned.bench import TurningBench
from trialfit.making.turned.cuts import bar_serves
from trialfit.making.turned.features import RUN_OUT_PITCHES, Inside
from trialfit.making.turned.records import HoleCut, TurnedPlan
from trialfit.making.turned.saying import finding
from trialfit.making.wanted_thread import read_wanted
from trialfit.tables.drills import usual_percent
from trialfit.tables.threads import Thread

# Depth over diameter beyond which a drill of usual length no longer reaches or clears its chips. (Practice, no source.)
_DEEP = 8.0
# Thinner than this, a washer cannot be held in a chuck to be faced. (Practice, no source.)
_THIN_MM = 1.0
_FEW_PCT, _MANY_PCT = 50.0, 100.0


def tool_findings(plan: TurnedPlan, bench: TurningBench) -> Iterator[Finding]:
    """Hold a part against what the shop has.

    Parameters
    ----------
    plan
        The part.
    bench
        What the shop turns with.

    Yields
    ------
    Finding
        Bar, dies, taps, drills, speeds.
    """
    yield _bar(plan, bench)
    for cut in plan.threads:
        thread = cut.feature.thread
        if thread is not None and not cut.has_die:
            yield _no_tool(plan, thread, "die", cut.feature.place, bench.dies, bench)
    for hole in plan.holes:
        thread = hole.feature.thread
        if thread is not None and not bench.has_tap(thread):
            yield _no_tool(plan, thread, "tap", hole.feature.place, bench.taps, bench)
        yield from _tapped(plan, hole, bench) if thread is not None else _drilled(plan, hole, bench)
        if hole.diameters_deep > _DEEP:
            yield _too_long(plan, hole)
    yield from _speeds(plan)
    if plan.part.long_mm < _THIN_MM:
        yield _too_thin(plan)


def _bar(plan: TurnedPlan, bench: TurningBench) -> Finding:
    choice, metal = plan.bar, plan.part.metal.key
    question = "Is there bar for it?"
    need = f"It needs round bar of at least {choice.round_mm:.2f} mm"
    if choice.hexagon_mm is not None:
        need += f", which is {choice.hexagon_mm:.2f} mm across flats over cos 30 deg, or hexagon bar of that size"
    needed, limit = Reason(f"{need}."), Figure(choice.round_mm, "mm")
    stocked = Reason(f"In stock in {metal}: {_stock(plan, bench)}.", "", _basis("bars", bench))
    bar = choice.chosen
    if bar is None:
        do = f"Buy {metal} bar, round {choice.round_mm:.2f} mm or over, or add what there is to the shop file."
        return finding(plan, question, Answer.LOOK, None, limit, (needed, stocked), do)
    figure = Figure(bar.size_mm, "mm")
    if not bar_serves(plan.part, bar):
        flat = "" if bar.shape == "round" else ", or hexagon bar of the part's own hexagon"
        do = f"Take round bar of at least {choice.round_mm:.2f} mm{flat}, or make the part thinner."
        return finding(
            plan, question, Answer.STOP, figure, limit, (needed, Reason(f"The job asks for {bar.name}.")), do
        )
    if not choice.in_stock:
        return finding(plan, question, Answer.LOOK, figure, limit, (needed, stocked), f"Buy {bar.name} in {metal}.")
    stocked = Reason(f"In stock: {bar.name}.", "", _basis("bars", bench))
    return finding(plan, question, Answer.GO, figure, None, (needed, stocked))


def _stock(plan: TurnedPlan, bench: TurningBench) -> str:
    bars = bench.bars_of(plan.part.metal.key)
    return ", ".join(bar.name for bar in bars) if bars else "nothing"


def _no_tool(
    plan: TurnedPlan, thread: Thread, tool: str, place: str, owned: Sequence[Thread], bench: TurningBench
) -> Finding:
    near = sorted(
        owned, key=lambda other: (abs(other.major_mm - thread.major_mm), abs(other.pitch_mm - thread.pitch_mm))
    )
    names = " or ".join(other.designation for other in near[:2])
    change = f"change the thread in {place} to one it cuts, such as {names}" if names else "change the thread"
    said = Reason(f"The shop owns no {tool} for {thread.designation}.", "", _basis(f"{tool}s", bench))
    return finding(
        plan, f"Can the shop cut {thread.designation}?", Answer.STOP, None, None, (said,),
        f"Buy or borrow the {tool}, or {change}; its mate must have the same.",
    )  # fmt: skip


def _tapped(plan: TurnedPlan, hole: HoleCut, bench: TurningBench) -> Iterator[Finding]:
    feature, percent = hole.feature, hole.percent
    thread = feature.thread
    assert thread is not None and percent is not None
    usual = usual_percent(thread, percent)
    aim_pct = read_wanted("usual", thread).aim_pct
    depth = "the US handbook depth" if thread.form == "ISO60" else "its own form's depth"
    said = Reason(
        f"{_named(hole)} leaves {percent.of_form_pct:.0f} % of its own form's depth, "
        f"{percent.of_us_pct:.0f} % of the US handbook depth, {percent.of_iso_pct:.0f} % of the ISO basic depth.",
    )  # fmt: skip
    answer, do = Answer.GO, ""
    if hole.size_mm >= thread.major_mm:
        answer, do = Answer.STOP, f"Drill less than {thread.major_mm:.2f} mm in {feature.place}: no thread is left."
    elif not hole.drill:
        answer, do = Answer.LOOK, f"Buy a drill near {hole.size_mm:.2f} mm, or bore the hole to that size."
    elif not _FEW_PCT <= usual <= _MANY_PCT:
        better = bench.tapping_drill(thread)
        answer = Answer.LOOK
        do = f"Drill {better.name} instead in {feature.place}." if better else "Choose another drill."
    yield finding(
        plan, f"Which drill before tapping {thread.designation}?", answer, Figure(usual, f"% of {depth}", places=0),
        None, (said, Reason(f"{aim_pct:.0f} % is aimed at.", "", Basis.PRACTICE)), do,
    )  # fmt: skip
    yield from _room_for_the_tap(plan, feature, thread)


def _named(hole: HoleCut) -> str:
    if not hole.drill:
        return f"A hole of {hole.size_mm:.2f} mm"
    return hole.drill if hole.drill.endswith("mm") else f"{hole.drill} ({hole.size_mm:.2f} mm)"


def _room_for_the_tap(plan: TurnedPlan, feature: Inside, thread: Thread) -> Iterator[Finding]:
    room = feature.hole_deep_mm - feature.deep_mm
    wanted = RUN_OUT_PITCHES * thread.pitch_mm
    if feature.through or room >= wanted - 1e-6 or _relieved(plan, feature):
        return
    yield finding(
        plan, f"Is there room below the {feature.name} for the tap?", Answer.LOOK, Figure(room, "mm"),
        Figure(wanted, "mm"), (Reason("A plug tap wants about two pitches below full thread.", "", Basis.PRACTICE),),
        f"Make drilled at least {feature.deep_mm + wanted:.2f} mm in {feature.place}, or deep less.",
    )  # fmt: skip


def _relieved(plan: TurnedPlan, feature: Inside) -> bool:
    """Whether a wider groove or hole begins where the full thread ends."""
    others = [other for other in plan.part.inside if other is not feature and other.cut_mm >= feature.size_mm]
    return any(
        other.end == feature.end and other.starts_mm <= feature.deep_mm + 1e-6 < other.deep_mm for other in others
    )


def _drilled(plan: TurnedPlan, hole: HoleCut, bench: TurningBench) -> Iterator[Finding]:
    feature = hole.feature
    if feature.kind == "counterbore":
        return
    if feature.reamed and not bench.has_reamer(hole.size_mm):
        yield finding(
            plan, f"Is there a reamer for the {feature.name}?", Answer.LOOK, Figure(hole.size_mm, "mm"), None,
            (Reason("The shop owns none of that size.", "", _basis("reamers", bench)),),
            f"Bore it, or change it in {feature.place} to a reamer that is owned.",
        )  # fmt: skip
    elif not hole.drill:
        sizes = sorted(bench.drills, key=lambda drill: abs(drill.diameter_mm - hole.size_mm))[:2]
        names = " or ".join(drill.name for drill in sorted(sizes, key=lambda drill: drill.diameter_mm))
        what = "before the reamer " if feature.reamed else ""
        yield finding(
            plan, f"Is there a drill {what}for the {feature.name}?", Answer.LOOK, Figure(hole.size_mm, "mm"), None,
            (Reason(f"The shop owns none of that size; nearest are {names or 'none'}.", "", _basis("drills", bench)),),
            f"Bore it to size, or change it in {feature.place} to {names or 'a drill that is owned'}.",
        )  # fmt: skip


def _too_long(plan: TurnedPlan, hole: HoleCut) -> Finding:
    return finding(
        plan, f"Will a drill of {hole.size_mm:.2f} mm go that deep?", Answer.LOOK,
        Figure(hole.diameters_deep, "diameters", places=1), Figure(_DEEP, "diameters", places=0),
        (Reason("A drill of usual length wanders and binds in its chips beyond that.", "", Basis.PRACTICE),),
        "Drill from both ends, or take a long drill and clear it every diameter, or open the far part out first.",
    )  # fmt: skip


def _too_thin(plan: TurnedPlan) -> Finding:
    return finding(
        plan, "Can it be held to be faced?", Answer.LOOK, Figure(plan.part.long_mm, "mm"), Figure(_THIN_MM, "mm"),
        (Reason("So thin a washer springs in the jaws and cannot be reversed.", "", Basis.PRACTICE),),
        "Cut it from shim of that thickness, a stack clamped between two discs, and only bore and turn the stack.",
    )  # fmt: skip


def _speeds(plan: TurnedPlan) -> Iterator[Finding]:
    for found in plan.speeds:
        if found.too_fast:
            yield finding(
                plan, f"Is the lathe slow enough for {found.operation} {found.diameter_mm:.2f} mm?", Answer.LOOK,
                Figure(found.set_rpm, "turns a minute", places=0), Figure(found.wanted_rpm, "turns a minute", places=0),
                (Reason("Even its slowest speed is faster than the low end of what is printed."),),
                "Take a lighter cut, keep the tool wet, or turn by hand.",
            )  # fmt: skip


def _basis(key: str, bench: TurningBench) -> Basis:
    return Basis.ASSUMED if key in bench.assumed else Basis.MEASURED
