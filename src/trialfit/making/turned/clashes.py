"""Findings about features that cannot stand together: one swallows another, a blind hole comes out, holes meet.

Source: geometry.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from trialfit.finding import Answer, Figure, Finding, Reason
from trialfit.making.turned.across import AcrossSection
from trialfit.making.turned.features import Inside, TurnedPart
from trialfit.making.turned.profile import Piece, ThreadAt, cavity, envelope
from trialfit.making.turned.records import TurnedPlan
from trialfit.making.turned.saying import finding

_SAME_MM = 1e-6


def clash_findings(plan: TurnedPlan) -> Iterator[Finding]:
    """Find the features that cannot stand together.

    Parameters
    ----------
    plan
        The part.

    Yields
    ------
    Finding
        Stop findings only; none where everything goes together.
    """
    yield from _grooves(plan)
    for hole in plan.part.inside:
        yield from _too_deep(plan, hole)
    for hole in plan.part.inside:
        yield from _swallowed(plan, hole)
    for section in plan.across:
        yield from _across(plan, section)


def full_thread_mm(hole: Inside, part: TurnedPart) -> float:
    """Length of a female thread that no wider hole takes away.

    Parameters
    ----------
    hole
        The thread.
    part
        The part.

    Returns
    -------
    float
        Full thread left. [mm]
    """
    others = envelope(_others(hole, part, "crest"), max)
    start, end = (0.0, hole.deep_mm) if hole.end == "left" else (part.long_mm - hole.deep_mm, part.long_mm)
    start, end = max(start, 0.0), min(end, part.long_mm)
    taken = 0.0
    for piece in others:
        a, b = max(piece.start_mm, start), min(piece.end_mm, end)
        if b > a + _SAME_MM:
            taken += _wider_than(piece.cut(a, b), hole.hole_mm / 2.0)
    return max(end - start - taken, 0.0)


def _wider_than(piece: Piece, radius_mm: float) -> float:
    """How much of a piece is wider than a radius."""
    long = piece.end_mm - piece.start_mm
    a, b = piece.start_r_mm - radius_mm, piece.end_r_mm - radius_mm
    if max(a, b) <= _SAME_MM:
        return 0.0
    return long if min(a, b) > _SAME_MM else long * max(a, b) / abs(a - b)


def _others(hole: Inside, part: TurnedPart, thread_at: ThreadAt) -> list[Piece]:
    return [piece for other in part.inside if other is not hole for piece in cavity(other, part.long_mm, thread_at)]


def _grooves(plan: TurnedPlan) -> Iterator[Finding]:
    outside = plan.part.outside
    for place, feature in enumerate(outside):
        beside = [outside[n].swing_mm for n in (place - 1, place + 1) if 0 <= n < len(outside)]
        if feature.kind == "groove" and beside and feature.left_mm >= max(beside) - _SAME_MM:
            yield finding(
                plan, f"Is the {feature.name} a groove?", Answer.STOP, Figure(feature.left_mm, "mm"),
                Figure(max(beside), "mm"),
                (Reason(f"It stands no deeper than what lies beside it ({feature.place})."),),
                f"Make groove less than {max(beside):.2f} mm, or call it plain.",
            )  # fmt: skip


def _too_deep(plan: TurnedPlan, hole: Inside) -> Iterator[Finding]:
    if hole.through or hole.kind == "cone":
        return
    long = plan.part.long_mm
    deepest = max(hole.deep_mm, hole.hole_deep_mm) if hole.kind == "thread" else hole.deep_mm
    tip = deepest + hole.point_mm
    # Where another hole already lies beyond, nothing comes out of the far face that was whole.
    beyond = any(_covers_far_face(other, hole, long) for other in plan.part.inside if other is not hole)
    if deepest > long + _SAME_MM or (tip > long + _SAME_MM and not beyond):
        most = long - hole.point_mm - (deepest - hole.deep_mm)
        yield finding(
            plan, f"Does the {hole.name} end inside the part?", Answer.STOP, Figure(tip, "mm"), Figure(long, "mm"),
            (Reason(f"Its {'point' if hole.point_mm else 'bottom'} reaches {tip:.2f} mm from the {hole.end} face."),),
            f"Make deep less than {most:.2f} mm in {hole.place}, or write through = true.",
        )  # fmt: skip


def _covers_far_face(other: Inside, hole: Inside, long_mm: float) -> bool:
    size = hole.hole_mm or hole.size_mm
    if other.through:
        return other.cut_mm >= size - _SAME_MM
    return other.end != hole.end and other.starts_mm == 0.0 and other.deep_mm + hole.deep_mm >= long_mm - _SAME_MM


def _swallowed(plan: TurnedPlan, hole: Inside) -> Iterator[Finding]:
    part = plan.part
    if hole.thread is not None:
        left = full_thread_mm(hole, part)
        if left <= _SAME_MM:
            wide = max((other for other in part.inside if other is not hole), key=lambda other: other.cut_mm)
            yield finding(
                plan, f"Is any of the {hole.name} left?", Answer.STOP, Figure(left, "mm"), Figure(hole.deep_mm, "mm"),
                (
                    Reason(
                        f"The {wide.name} ({wide.place}) is wider than the {hole.hole_mm:.2f} mm hole the thread is "
                        "cut in, along its whole length."
                    ),
                ),
                f"Make it at most {hole.hole_mm:.2f} mm, or the thread deeper than {wide.deep_mm:.2f} mm.",
            )  # fmt: skip
        return
    own, others = cavity(hole, part.long_mm, "core"), envelope(_others(hole, part, "core"), max)
    if own and not _stands_out(own, others):
        yield finding(
            plan, f"Does the {hole.name} cut anything?", Answer.STOP, None, None,
            (Reason(f"{hole.place} lies wholly inside wider features: the two overlap."),),
            f"Make it deeper or wider, or take {hole.place} out.",
        )  # fmt: skip


def _stands_out(own: Sequence[Piece], others: Sequence[Piece]) -> bool:
    for piece in own:
        cuts = {piece.start_mm, piece.end_mm}
        cuts |= {at for p in others for at in (p.start_mm, p.end_mm) if piece.start_mm < at < piece.end_mm}
        places = sorted(cuts)
        for a, b in pairwise(places):
            for at in (a + 0.001 * (b - a), (a + b) / 2.0, b - 0.001 * (b - a)):
                over = max((p.radius_at(at) for p in others if p.start_mm <= at <= p.end_mm), default=0.0)
                if piece.radius_at(at) > over + _SAME_MM:
                    return True
    return False


def _across(plan: TurnedPlan, section: AcrossSection) -> Iterator[Finding]:
    hole, limit = section.hole, plan.wall_limit
    half = hole.hole_mm / 2.0
    long = plan.part.long_mm
    if hole.at_mm - half < -_SAME_MM or hole.at_mm + half > long + _SAME_MM:
        yield finding(
            plan, f"Does the {hole.name} lie within the part?", Answer.STOP, Figure(hole.at_mm, "mm"),
            Figure(long, "mm"), (Reason(f"It runs out of an end face ({hole.place})."),),
            f"Set at between {half + limit.value:.2f} and {long - half - limit.value:.2f} mm.",
        )  # fmt: skip
        return
    for left, what, do in (
        (
            section.land_mm,
            f"between it and {section.land_to}",
            f"Move it {limit.value - section.land_mm:.2f} mm away, or drill it {_smaller(section, limit)}.",
        ),
        (
            section.side_mm,
            "on either side of it",
            f"Drill at most {max(section.outside_mm - 2.0 * limit.value, 0.0):.2f} mm, or make the part thicker there.",
        ),
    ):
        if left < limit.value - _SAME_MM:
            answer = Answer.STOP if left <= _SAME_MM or not plan.wall_limit_assumed else Answer.LOOK
            yield finding(
                plan, f"Is there metal enough left round the {hole.name}?", answer, Figure(left, "mm"), limit,
                (Reason(f"{left:.2f} mm is left {what}."),), do,
            )  # fmt: skip
    if section.clears_mm is not None and section.clears_mm <= 0.0:
        yield finding(
            plan, f"Does the drill for the {hole.name} stay off the far wall?", Answer.LOOK,
            Figure(section.clears_mm, "mm"), Figure(0.0, "mm"),
            (Reason(f"When it is through one wall, its tip is {-section.clears_mm:.2f} mm into the other."),),
            "Stop as soon as it breaks through, finish with a file or a flat-ended drill, or put a pin in the bore.",
        )  # fmt: skip


def _smaller(section: AcrossSection, limit: Figure) -> str:
    most = section.hole.hole_mm - 2.0 * (limit.value - section.land_mm)
    return f"at most {most:.2f} mm" if most > 0.0 else "elsewhere"
