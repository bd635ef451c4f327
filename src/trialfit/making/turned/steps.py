"""The order of operations for one turned part, as sentences for the bench.

The end with more to do is worked first, from the bar; then the part is parted off, reversed, faced to length, and the
other end is worked. Within a setting: face, centre, drill, bore, ream, countersink, tap, turn, groove, chamfer, thread.

Source: common practice of the lathe, no published one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan, degrees

from trialfit.making.turned.bench import TurningBench
from trialfit.making.turned.features import Across, Bar, End, Inside, Outside, TurnedPart
from trialfit.making.turned.records import ConeCut, HoleCut, Lengths, Step
from trialfit.making.turned.speeds import speed

# Room left between the chuck's jaws and the parting tool. (Common practice, no source.)
_JAWS_MM = 3.0
# Standing out further than this many diameters, bar wants a centre in the tailstock. (Common practice, no source.)
_LONG = 4.0
# Deeper than this many diameters, a drill is drawn back to clear its chips. (Common practice, no source.)
_CLEAR_CHIPS = 3.0
_SAME_MM = 0.005


@dataclass(frozen=True)
class _Work:
    """What the sentences are made from."""

    part: TurnedPart
    bench: TurningBench
    bar: Bar
    lengths: Lengths
    holes: tuple[HoleCut, ...]
    cones: tuple[ConeCut, ...]
    first: End

    @property
    def second(self) -> End:
        return "right" if self.first == "left" else "left"

    def from_face(self, place_mm: float, end: End) -> float:
        return place_mm if end == "left" else self.part.long_mm - place_mm

    def rpm(self, operation: str, diameter_mm: float) -> str:
        found = speed(operation, diameter_mm, self.part.metal, self.bench)
        return f"{found.set_rpm:.0f} turns a minute"


def bench_steps(
    part: TurnedPart,
    bench: TurningBench,
    bar: Bar,
    lengths: Lengths,
    holes: tuple[HoleCut, ...],
    cones: tuple[ConeCut, ...],
) -> tuple[Step, ...]:
    """Write what to do, in order.

    Parameters
    ----------
    part
        The part.
    bench
        The shop.
    bar
        Bar it is turned from.
    lengths, holes, cones
        As worked out for it.

    Returns
    -------
    tuple of Step
        Settings 1 and 2 in the chuck, then the bench.
    """
    work = _Work(part, bench, bar, lengths, holes, cones, _first_end(part))
    return (
        *(Step(1, text) for text in _first_setting(work)),
        *(Step(2, text) for text in _second_setting(work)),
        *(Step(0, text) for text in _off_the_lathe(work)),
    )


def _first_end(part: TurnedPart) -> End:
    """The end with more lines of outside and inside of its own."""
    peak = _peak(part)
    right = len(part.outside) - 1 - peak + sum(f.end == "right" and not f.through for f in part.inside)
    left = peak + sum(f.end == "left" and not f.through for f in part.inside)
    return "left" if left > right else "right"


def _peak(part: TurnedPart) -> int:
    sizes = [feature.swing_mm for feature in part.outside]
    return sizes.index(max(sizes))


def _first_setting(work: _Work) -> Iterator[str]:
    part, bench = work.part, work.bench
    out_mm = work.lengths.saw.value + _JAWS_MM
    turning = work.rpm("turning", work.bar.size_mm)
    yield f"Chuck the {work.bar.name} with {out_mm:.1f} mm standing out of the jaws; {turning}."
    if out_mm > _LONG * work.bar.size_mm:
        yield "It stands out more than four diameters: steady it with a centre once the end is centre-drilled."
    yield f"Face the {work.first} end true, taking off no more than {bench.facing_mm:.1f} mm."
    yield from _inside(work, work.first, through=True)
    yield from _outside(work, work.first, with_peak=True)
    parting = work.rpm("parting", work.bar.size_mm)
    left_mm = part.long_mm + bench.facing_mm
    yield f"Part off {left_mm:.2f} mm from the faced end, which leaves {bench.facing_mm:.1f} mm to face; {parting}."


def _second_setting(work: _Work) -> Iterator[str]:
    part = work.part
    yield f"Reverse it: {_hold(work)}."
    sure = work.lengths.finished.k2
    care = f"; what is hidden is only known within {sure:.2f} mm (k = 2), so rather leave it long" if sure else ""
    yield f"Face the {work.second} end to a finished length of {work.lengths.finished.value:.2f} mm{care}."
    yield from _inside(work, work.second, through=False)
    yield from _outside(work, work.second, with_peak=False)
    for feature in part.outside:
        if feature.kind == "hexagon" and work.bar.shape == "round":
            yield f"Mill or file the hexagon to {feature.left_mm:.2f} mm across flats, {feature.long_mm:.2f} mm long."


def _off_the_lathe(work: _Work) -> Iterator[str]:
    part = work.part
    for number, hole in enumerate(part.across, start=1):
        walls = "through both walls" if hole.both else "through one wall only: stop when it breaks into the bore"
        turned = f", {hole.turn_deg:.0f} deg round from the first" if number > 1 and hole.turn_deg else ""
        drilled = work.rpm("drilling", hole.hole_mm)
        yield (
            f"Cross-drill {hole.hole_mm:.2f} mm, {hole.at_mm:.2f} mm from the left face{turned}, {walls}; {drilled}. "
            f"{_laid(part, hole)} and start with a centre drill."
        )
    yield "Take off every burr inside and out, and wash it free of chips."
    yield f"Check: {'; '.join(_checks(work))}."


def _laid(part: TurnedPart, hole: Across) -> str:
    for feature, start_mm in zip(part.outside, part.starts_mm, strict=True):
        if feature.kind == "hexagon" and start_mm < hole.at_mm < start_mm + feature.long_mm:
            return "Lay it on a flat of the hexagon, drill in the middle of the flat above"
    return "Lay the part in a V-block"


def _checks(work: _Work) -> Iterator[str]:
    yield f"length {work.lengths.finished.value:.2f} mm"
    for feature in work.part.outside:
        if feature.thread is not None:
            yield f"{feature.thread.designation} takes a nut or its ring gauge to the end of its full thread"
        elif feature.kind in ("plain", "spigot"):
            yield f"{feature.kind} {feature.left_mm:.2f} mm"
    for hole in work.part.inside:
        if hole.thread is not None:
            yield f"{hole.thread.designation} takes its screw or plug gauge to {hole.deep_mm:.2f} mm"
        elif hole.kind == "cone":
            yield f"cone mouth {hole.size_mm:.2f} mm"


def _inside(work: _Work, end: End, through: bool) -> Iterator[str]:
    mine = [hole for hole in work.holes if (hole.feature.through and through) or _own(hole.feature, end)]
    cones = [cone for cone in work.cones if cone.feature.end == end]
    if mine or cones:
        yield "Centre-drill, no wider than the smallest hole."
    for hole in mine:
        yield _hole(work, hole)
    for feature in work.part.inside:
        if feature.kind == "groove" and feature.end == end:
            wide = feature.deep_mm - feature.starts_mm
            yield (
                f"Recess a groove to {feature.size_mm:.2f} mm diameter, {wide:.2f} mm wide, "
                f"from {feature.starts_mm:.2f} to {feature.deep_mm:.2f} mm from the face."
            )
    for cone in cones:
        yield _cone(cone)
    for hole in mine:
        if hole.feature.thread is not None:
            yield _tap(hole)


def _own(feature: Inside, end: End) -> bool:
    return feature.end == end and not feature.through


def _hole(work: _Work, hole: HoleCut) -> str:
    feature, size = hole.feature, hole.size_mm
    if feature.through:
        beyond = work.lengths.saw.value + 0.3004 * size
        depth = f"right through, at least {beyond:.1f} mm from the rough face so that the point clears the parting cut"
    elif hole.tip_mm > hole.deep_mm:
        depth = f"{hole.deep_mm:.2f} mm deep to its full diameter, {hole.tip_mm:.2f} mm to the drill's tip"
    else:
        depth = f"{hole.deep_mm:.2f} mm deep, flat at the bottom"
    why = "" if feature.thread is None else f" for tapping {feature.thread.designation}"
    if feature.reamed and hole.drill:
        return (
            f"Drill {hole.drill} and ream {size:.2f} mm {depth}; drill at {work.rpm('drilling', size)}, "
            f"ream at {work.rpm('reaming', size)}."
        )
    turns = work.rpm("drilling", size)
    if hole.diameters_deep > _CLEAR_CHIPS:
        turns += ", clearing the chips at every diameter of depth"
    if hole.drill and hole.tip_mm == hole.deep_mm and not feature.through:
        return f"Drill {hole.drill}{why}, then square the bottom with a flat drill: {depth}; {turns}."
    if hole.drill:
        return f"Drill {hole.drill}{_in_mm(hole.drill, size)}{why} {depth}; {turns}."
    before = f"Drill {hole.pilot} first, then bore" if hole.pilot else "Bore"
    return f"{before} {size:.2f} mm{why}, {depth}; {turns}."


def _in_mm(name: str, size_mm: float) -> str:
    return "" if name.endswith("mm") else f" ({size_mm:.2f} mm)"


def _cone(cone: ConeCut) -> str:
    feature = cone.feature
    tool = "centre drill" if abs(feature.angle_deg - 60.0) < 0.5 else f"{feature.angle_deg:g} deg countersink"
    start = "from where it first touches the edge of the bore" if cone.small_mm > 0.0 else "from the face"
    return (
        f"Open the mouth to {feature.size_mm:.2f} mm with a {tool} at least that thick: feed {cone.deep_mm:.2f} mm "
        f"{start}. 0.1 mm deeper makes it {0.1 * cone.wider_per_deeper:.3f} mm wider: creep up on it and measure."
    )


def _tap(hole: HoleCut) -> str:
    feature = hole.feature
    assert feature.thread is not None
    depth = "right through" if feature.through else f"to {feature.deep_mm:.2f} mm of full thread"
    plug = "" if feature.through else "; finish with the plug tap, counting turns"
    turns = "" if feature.through else f" ({feature.deep_mm / feature.thread.pitch_mm:.1f} turns)"
    return f"Tap {feature.thread.designation} {depth}{turns}, by hand, guided by the tailstock{plug}."


def _outside(work: _Work, end: End, with_peak: bool) -> Iterator[str]:
    turned = _of_setting(work, end, with_peak)
    for feature, reach_mm in sorted(turned, key=lambda each: -each[0].swing_mm):
        if feature.kind == "hexagon" and work.bar.shape == "round" and work.bar.size_mm > feature.swing_mm + _SAME_MM:
            yield (
                f"Turn {feature.swing_mm:.2f} mm, over the corners of the hexagon, to {reach_mm:.2f} mm from the face; "
                f"{work.rpm('turning', feature.swing_mm)}."
            )
        if feature.kind in ("plain", "spigot", "thread") and not _necked(work, feature, end):
            yield from _turn(work, feature, reach_mm)
    for feature, reach_mm in turned:
        if feature.kind in ("plain", "spigot", "thread") and _necked(work, feature, end):
            yield (
                f"Neck down to {feature.left_mm:.2f} mm for {feature.long_mm:.2f} mm, "
                f"ending {reach_mm:.2f} mm from the face."
            )
    for feature, reach_mm in turned:
        if feature.kind == "taper":
            half_deg = degrees(atan(abs(feature.left_mm - feature.right_mm) / 2.0 / feature.long_mm))
            yield (
                f"Set the top slide over {half_deg:.1f} deg from the axis and turn the taper from "
                f"{feature.left_mm:.2f} to {feature.right_mm:.2f} mm, {feature.long_mm:.2f} mm long, "
                f"its far end {reach_mm:.2f} mm from the face."
            )
    for feature, reach_mm in turned:
        if feature.kind == "groove":
            yield (
                f"Cut the groove to {feature.left_mm:.2f} mm diameter, {feature.long_mm:.2f} mm wide, "
                f"its far side {reach_mm:.2f} mm from the face."
            )
    yield from _chamfers(work, end, with_peak)
    for feature, _ in turned:
        if feature.thread is not None:
            yield (
                f"Cut {feature.thread.designation} with the die in the tailstock holder, turning the chuck by hand, "
                f"for {feature.long_mm:.2f} mm; try it in its mate before taking the part out."
            )


def _chamfers(work: _Work, end: End, with_peak: bool) -> Iterator[str]:
    """Each edge in the setting it can be reached in: the widest feature's far edge only after reversing."""
    peak = work.part.outside[_peak(work.part)]
    features = [feature for feature, _ in _of_setting(work, end, with_peak)]
    for feature in features if with_peak else [*features, peak]:
        for edge, size_mm in (("left", feature.left_chamfer_mm), ("right", feature.right_chamfer_mm)):
            if size_mm > 0.0 and (feature is not peak or edge == end):
                yield f"Chamfer the {edge} edge of the {feature.name} {size_mm:.2f} mm at 45 deg."


def _of_setting(work: _Work, end: End, with_peak: bool) -> list[tuple[Outside, float]]:
    """Features turned from one end, each with how far its far side is from that end's face."""
    part = work.part
    peak = _peak(part)
    found = []
    for place, (feature, start_mm) in enumerate(zip(part.outside, part.starts_mm, strict=True)):
        mine = place > peak if end == "right" else place < peak
        if mine or (with_peak and place == peak):
            far_mm = start_mm if end == "right" else start_mm + feature.long_mm
            found.append((feature, work.from_face(far_mm, end)))
    return found


def _turn(work: _Work, feature: Outside, reach_mm: float) -> Iterator[str]:
    size = feature.left_mm
    if work.bar.shape == "round" and abs(work.bar.size_mm - size) < _SAME_MM:
        yield f"Leave the bar's own {size:.2f} mm for {reach_mm:.2f} mm from the face."
        return
    why = f" for {feature.thread.designation}" if feature.thread is not None else ""
    shoulder_mm = reach_mm + (feature.undercut_mm if _undercut_behind(work, feature, reach_mm) else 0.0)
    yield f"Turn {size:.2f} mm{why} to {shoulder_mm:.2f} mm from the face; {work.rpm('turning', size)}."


def _undercut_behind(work: _Work, feature: Outside, reach_mm: float) -> bool:
    """Whether a thread's undercut lies further from the face than the thread: then both are turned in one."""
    part = work.part
    place = part.outside.index(feature)
    near_right = abs(work.from_face(part.starts_mm[place], "right") - reach_mm) < _SAME_MM
    behind = place - 1 if near_right else place + 1
    return 0 <= behind < len(part.outside) and part.outside[behind].kind == "groove" and feature.undercut_mm > 0.0


def _necked(work: _Work, feature: Outside, end: End) -> bool:
    """Whether something wider stands between a feature and the end it is worked from."""
    part = work.part
    place = part.outside.index(feature)
    before = part.outside[place + 1 :] if end == "right" else part.outside[:place]
    return any(other.swing_mm > feature.swing_mm + _SAME_MM for other in before)


def _hold(work: _Work) -> str:
    """What to hold it by: the longest whole round or hexagon of the end worked first."""
    done = [f for f, _ in _of_setting(work, work.first, with_peak=True) if f.kind in ("plain", "spigot", "hexagon")]
    if done:
        best = max(done, key=lambda feature: (feature.long_mm >= 3.0, feature.kind == "hexagon", feature.long_mm))
        if best.kind == "hexagon":
            made = work.bar.shape == "hexagon"
            by = f"the hexagon of {best.left_mm:.2f} mm" if made else f"the turned {best.swing_mm:.2f} mm"
            return f"hold it by {by} in the three-jaw chuck, soft packing under the jaws"
        return f"hold it by the {best.kind} of {best.left_mm:.2f} mm in a collet, or with soft packing under the jaws"
    thread = next((f.thread for f, _ in _of_setting(work, work.first, True) if f.thread is not None), None)
    if thread is not None:
        return f"screw it into a stub tapped {thread.designation} held in the chuck"
    return "hold it in a collet, or with soft packing under the jaws"
