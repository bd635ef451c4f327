"""A turned part of the job document, in millimetres, with the drills chosen and the hidden lengths counted in.

Source: plain arithmetic; threads and drills from the tables.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import radians, tan

from trialfit.errors import Refusal
from trialfit.job.records import Joint
from trialfit.job.turned import InsideLine, OutsideLine, TurnedEntry, inside_kind, outside_kind
from trialfit.making.turned.bench import TurningBench
from trialfit.making.turned.features import (
    RUN_OUT_PITCHES,
    Across,
    Bar,
    End,
    HiddenLength,
    Inside,
    Outside,
    OutsideKind,
    Ring,
    TurnedPart,
)
from trialfit.making.turned.patterns import expanded
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import Drill, find_drill
from trialfit.tables.metals import find_metal
from trialfit.tables.threads import Thread
from trialfit.units import Quantity

# How far an undercut goes below the thread's core, on the diameter. (Common practice, no source.)
UNDERCUT_BELOW_MM = 0.1


def turned_part(name: str, entry: TurnedEntry, joints: Sequence[Joint], bench: TurningBench) -> TurnedPart:
    """Read one turned part of a job.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        As it stands there.
    joints
        The job's joints, which say what is hidden.
    bench
        What the shop turns with: tapping drills are chosen from it.

    Returns
    -------
    TurnedPart
        The part in millimetres.

    Raises
    ------
    Refusal
        A length that is not known, a chamfer or taper that cannot be, or a thread that cannot be turned like this.
    """
    whole = expanded(entry)
    outside = _outside(name, whole.outside, joints)
    long_mm = sum(feature.long_mm for feature in outside)
    inside = [
        _inside(name, line, end, number, long_mm, joints, bench)
        for end, lines in _by_end(whole)
        for number, line in enumerate(lines, start=1)
    ]
    across = [
        Across(_mm(hole.hole), _mm(hole.at), hole.walls == "both", _deg(hole.turn), f"cross hole {number}")
        for number, hole in enumerate(whole.cross_holes, start=1)
    ]
    return TurnedPart(
        name=name,
        what=whole.what,
        metal=find_metal(whole.metal),
        count=whole.count,
        outside=tuple(outside),
        inside=tuple(inside),
        across=tuple(across),
        least_wall_mm=None if whole.least_wall is None else _mm(whole.least_wall),
        bar=None if whole.bar is None else Bar(whole.bar.shape, _mm(whole.bar.size), whole.bar.size.written),
    )


def _by_end(entry: TurnedEntry) -> Iterator[tuple[End, tuple[InsideLine, ...]]]:
    yield "left", entry.from_left
    yield "right", entry.from_right


def hidden_by_joint(port: str | None, joints: Sequence[Joint]) -> HiddenLength | None:
    """Find what a joint hides of the part that makes one of its ports.

    Parameters
    ----------
    port
        The port, part.port; None for a feature that makes none.
    joints
        The job's joints.

    Returns
    -------
    HiddenLength or None
        None where no joint of that port says.
    """
    for joint in joints:
        if port is not None and port in (joint.a, joint.b) and joint.hidden is not None:
            into = joint.b if port == joint.a else joint.a
            k2 = None if joint.hidden.pm is None else _mm(joint.hidden.pm)
            return HiddenLength(_mm(joint.hidden.value), k2, port, into, joint.hidden.by)
    return None


def _outside(name: str, lines: Sequence[OutsideLine], joints: Sequence[Joint]) -> list[Outside]:
    made: list[Outside] = []
    edges: list[tuple[int, float, str]] = []
    for number, line in enumerate(lines, start=1):
        place = f"outside line {number}"
        if line.chamfer is not None:
            edges.append((len(made), _mm(line.chamfer), place))
        else:
            made.append(_feature(name, line, place, joints))
    for edge, size_mm, place in edges:
        _chamfer(name, made, edge, size_mm, place)
    return [piece for at, feature in enumerate(made) for piece in _with_undercut(name, made, at, feature, lines)]


def _feature(name: str, line: OutsideLine, place: str, joints: Sequence[Joint]) -> Outside:
    kind = outside_kind(line)
    if kind == "taper":
        return _taper(name, line, place)
    thread = None if line.thread is None else _parallel(name, line.thread, place)
    size = thread.major_mm if thread is not None else _mm(getattr(line, kind))
    hidden = hidden_by_joint(line.port, joints)
    plain: OutsideKind = kind  # type: ignore[assignment]  # the names are the same
    made = Outside(plain, 0.0, size, size, thread, hidden=hidden, ring=_ring(line), place=place)
    if line.long is not None:
        return replace(made, long_mm=_mm(line.long))
    if hidden is None or line.shows is None:
        raise Refusal(
            f"turned part {name}, {place}", f"no hidden length for {line.port}",
            "a joint of that port that says how much is hidden",
            f'Add hidden = "8 mm" to the joint of {line.port}, or write the whole length with long = ...',
        )  # fmt: skip
    long_mm = _mm(line.shows) + hidden.long_mm
    if long_mm <= 0.0:
        raise Refusal(
            f"turned part {name}, {place}", "nothing that shows and nothing hidden", "a length above zero",
            "Check shows here and hidden in the joint.",
        )  # fmt: skip
    return replace(made, long_mm=long_mm, counted_in=True)


def _taper(name: str, line: OutsideLine, place: str) -> Outside:
    assert line.taper is not None
    left = _mm(line.taper)
    slope = None if line.angle is None else tan(radians(float(line.angle.to("deg")) / 2.0))
    long = None if line.long is None else _mm(line.long)
    right = _mm(line.to) if line.to is not None else left - 2.0 * (long or 0.0) * (slope or 0.0)
    if slope is not None and line.long is None:
        long = abs(left - right) / 2.0 / slope if slope > 0.0 else 0.0
    if not long or right <= 0.0 or (slope is not None and slope <= 0.0):
        raise Refusal(
            f"turned part {name}, {place}", f"a taper from {left:.2f} to {right:.2f} mm, {long or 0.0:.2f} mm long",
            "diameters above zero and a length", "Check to, long and angle; the angle is the included one.",
        )  # fmt: skip
    return Outside("taper", long, left, right, place=place)


def _chamfer(name: str, made: list[Outside], edge: int, size_mm: float, place: str) -> None:
    """Put a chamfer on the larger of the two features it stands between."""
    before = made[edge - 1] if edge > 0 else None
    after = made[edge] if edge < len(made) else None
    on_before = after is None or (before is not None and _edge_mm(before, "right") > _edge_mm(after, "left"))
    feature = before if on_before else after
    assert feature is not None
    taken = feature.right_chamfer_mm if on_before else feature.left_chamfer_mm
    equal = before is not None and after is not None and _edge_mm(before, "right") == _edge_mm(after, "left")
    most = min(feature.long_mm, _edge_mm(feature, "right" if on_before else "left") / 2.0)
    if taken or equal or size_mm >= most:
        got = (
            "a second chamfer on one edge" if taken
            else "a chamfer between equal diameters" if equal
            else f"a chamfer of {size_mm:.2f} mm"
        )  # fmt: skip
        raise Refusal(
            f"turned part {name}, {place}", got, f"one chamfer of less than {most:.2f} mm on an edge of {feature.name}",
            "Make it smaller, or take it out.",
        )  # fmt: skip
    changed = {"right_chamfer_mm" if on_before else "left_chamfer_mm": size_mm}
    made[edge - 1 if on_before else edge] = replace(feature, **changed)  # type: ignore[arg-type]


def _edge_mm(feature: Outside, end: End) -> float:
    return feature.swing_mm if feature.kind == "hexagon" else getattr(feature, f"{end}_mm")


def _with_undercut(
    name: str, made: Sequence[Outside], at: int, feature: Outside, lines: Sequence[OutsideLine]
) -> list[Outside]:
    """Split an undercut off a thread, at the end where the larger neighbour stands."""
    line = lines[int(feature.place.rpartition(" ")[2]) - 1]
    if line.undercut is None or feature.thread is None:
        return [feature]
    wide = _mm(line.undercut)
    sizes = {end: made[place].swing_mm for end, place in (("left", at - 1), ("right", at + 1)) if _has(made, place)}
    end = max(sizes, key=lambda each: sizes[each], default="left")
    if wide >= feature.long_mm:
        raise Refusal(
            f"turned part {name}, {feature.place}", f"an undercut {wide:.2f} mm wide",
            f"less than the thread's {feature.long_mm:.2f} mm", "Make the undercut narrower or the thread longer.",
        )  # fmt: skip
    bottom = feature.thread.core_mm - UNDERCUT_BELOW_MM
    groove = Outside("groove", wide, bottom, bottom, place=feature.place)
    thread = replace(feature, long_mm=feature.long_mm - wide, undercut_mm=wide)
    return [groove, thread] if end == "left" else [thread, groove]


def _has(made: Sequence[Outside], place: int) -> bool:
    return 0 <= place < len(made)


def _inside(
    name: str, line: InsideLine, end: End, number: int, long_mm: float, joints: Sequence[Joint], bench: TurningBench
) -> Inside:
    kind, place = inside_kind(line), f"line {number} from the {end}"
    if kind == "cone":
        assert line.cone is not None and line.mouth is not None
        angle, mouth = float(line.cone.to("deg")), _mm(line.mouth)
        deep = mouth / 2.0 / tan(radians(angle / 2.0))
        return Inside("cone", end, mouth, deep, angle_deg=angle, place=place)
    if kind == "groove":
        assert line.groove is not None and line.at is not None and line.long is not None
        starts = _mm(line.at)
        deep = starts + _mm(line.long)
        return Inside("groove", end, _mm(line.groove), deep, starts_mm=starts, flat=True, ring=_ring(line), place=place)
    deep = long_mm if line.deep is None else _mm(line.deep)
    if kind == "counterbore":
        assert line.counterbore is not None
        return Inside("counterbore", end, _mm(line.counterbore), deep, flat=True, ring=_ring(line), place=place)
    if kind == "bore":
        assert line.bore is not None
        size = _mm(line.bore)
        return Inside(
            "bore", end, size, deep, through=line.through, flat=line.flat, reamed=line.reamed, hole_mm=size,
            drill=bench.reaming_drill(size) if line.reamed else bench.drill_of(size), hole_deep_mm=deep,
            ball_mm=None if line.ball is None else _mm(line.ball), place=place,
        )  # fmt: skip
    assert line.thread is not None
    return _tapped(name, line, end, place, deep, hidden_by_joint(line.port, joints), bench)


def _tapped(
    name: str, line: InsideLine, end: End, place: str, deep: float, hidden: HiddenLength | None, bench: TurningBench
) -> Inside:
    assert line.thread is not None
    thread = _parallel(name, line.thread, place)
    drill = find_drill(line.drill) if line.drill is not None else bench.tapping_drill(thread)
    hole = drill or _ideal_drill(thread)
    hole_deep = deep if line.through else deep + RUN_OUT_PITCHES * thread.pitch_mm
    if line.drilled is not None:
        hole_deep = _mm(line.drilled)
    return Inside(
        "thread", end, thread.major_mm, deep, through=line.through, flat=line.flat, thread=thread, drill=drill,
        hole_mm=hole.diameter_mm, hole_deep_mm=hole_deep, hidden=hidden, place=place,
    )  # fmt: skip


def _ideal_drill(thread: Thread) -> Drill:
    """Where the shop has no drill for a tap, the part is drawn with the hole that leaves three quarters of thread."""
    size = thread.major_mm - 0.75 * (thread.major_mm - thread.core_internal_mm)
    return find_drill(f"{size:.2f} mm")


def _parallel(name: str, written: str, place: str) -> Thread:
    thread = find_thread(written)
    if thread.taper:
        raise Refusal(
            f"turned part {name}, {place}", f"{thread.designation}, a taper thread", "a parallel thread",
            "Taper threads are not drawn here; write a taper of 1 in 16 and cut the thread by its own gauge.",
        )  # fmt: skip
    return thread


def _ring(line: OutsideLine | InsideLine) -> Ring | None:
    if line.o_ring is None or line.ring_bore is None:
        return None
    return Ring(_mm(line.o_ring), _mm(line.ring_bore), None if line.against is None else _mm(line.against))


def _mm(quantity: Quantity) -> float:
    return float(quantity.to("mm"))


def _deg(quantity: Quantity | None) -> float:
    return 0.0 if quantity is None else float(quantity.to("deg"))
