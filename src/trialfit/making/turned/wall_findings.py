"""Findings about walls: what is left between inside and outside, and which figure to change.

Source: geometry; the assumed limit in `trialfit.making.turned.plan`.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.making.turned.bench import TurningBench
from trialfit.making.turned.features import Inside
from trialfit.making.turned.profile import outer_profile
from trialfit.making.turned.records import TurnedPlan
from trialfit.making.turned.saying import finding
from trialfit.making.turned.wall import Wall, walls

# Of an assumed limit, the share below which a wall is not for anyone to think over.
_HOPELESS = 0.5


def wall_findings(plan: TurnedPlan, bench: TurningBench) -> Iterator[Finding]:
    """Hold the walls against the limit.

    Parameters
    ----------
    plan
        The part.
    bench
        The shop: a smaller drill is named from what it owns.

    Yields
    ------
    Finding
        One for each feature of the inside that leaves too little, or one *go* with the least wall.
    """
    found = walls(plan.part)
    limit = plan.wall_limit.value
    thin: dict[str, Wall] = {}
    for wall in found:
        if wall.wall_mm < limit - 1e-6:
            thin.setdefault(wall.inner, wall)
    if found and not thin:
        yield _finding(plan, found[0], Answer.GO, "")
    for wall in thin.values():
        yield _finding(plan, wall, _answer(plan, wall), _remedy(plan, wall, bench))


def _answer(plan: TurnedPlan, wall: Wall) -> Answer:
    if wall.wall_mm <= 1e-6 or not plan.wall_limit_assumed:
        return Answer.STOP
    return Answer.STOP if wall.wall_mm < _HOPELESS * plan.wall_limit.value else Answer.LOOK


def _finding(plan: TurnedPlan, wall: Wall, answer: Answer, do: str) -> Finding:
    threaded = any(thread.feature.name == wall.outer for thread in plan.threads)
    outer = f"core of the {wall.outer}" if threaded else wall.outer
    where = "at its end face" if wall.at_face else f"{wall.at_mm:.2f} mm from the left face"
    if wall.wall_mm <= 1e-6:
        question = f"Does the {wall.inner} stay inside the {outer}?"
        said = f"The {wall.inner} breaks into the {outer} {where}, by {-wall.wall_mm:.2f} mm."
    else:
        question = f"Is there wall enough between the {wall.inner} and the {outer}?"
        said = f"The least wall there is {wall.wall_mm:.2f} mm, {where}."
    basis = Basis.ASSUMED if plan.wall_limit_assumed else Basis.MEASURED
    why = (
        f"That {plan.wall_limit} of wall is enough is assumed."
        if plan.wall_limit_assumed
        else "The job asks for that wall."
    )
    reasons = (Reason(said), Reason(why, "" if plan.wall_limit_assumed else "job file", basis))
    return finding(plan, question, answer, Figure(wall.wall_mm, "mm"), plan.wall_limit, reasons, do)


def _remedy(plan: TurnedPlan, wall: Wall, bench: TurningBench) -> str:
    alike = [feature for feature in plan.part.inside if feature.name == wall.inner]
    inner = min(alike, key=lambda feature: _from_its_face(plan, feature, wall), default=None)
    limit = plan.wall_limit.value
    if inner is None:
        return "Make one of the two smaller."
    if "face" in wall.outer or any(feature.name == wall.outer for feature in plan.part.inside):
        less = limit - wall.wall_mm
        return f"Make the {inner.name} at most {_down(inner.deep_mm - less)} mm deep ({inner.place})."
    around = _solid_mm(plan, wall)
    if inner.thread is not None:
        wide = inner.thread.major_mm + 2.0 * limit
        return f"Make the {wall.outer} at least {_up(wide)} mm there, or take a smaller thread in {inner.place}."
    return _narrower(inner, around - 2.0 * limit, bench)


def _from_its_face(plan: TurnedPlan, feature: Inside, wall: Wall) -> float:
    return wall.at_mm if feature.end == "left" else plan.part.long_mm - wall.at_mm


def _narrower(inner: Inside, most_mm: float, bench: TurningBench) -> str:
    if most_mm <= 0.0:
        return f"Leave the {inner.name} out, or make the outside thicker there ({inner.place})."
    key = "mouth" if inner.kind == "cone" else inner.kind
    drill = bench.largest_drill_to(most_mm) if inner.kind == "bore" else None
    owned = f"; the largest drill owned under that is {drill.name}" if drill is not None else ""
    return f"Change {key} from {inner.size_mm:.2f} mm to at most {_down(most_mm)} mm in {inner.place}{owned}."


def _solid_mm(plan: TurnedPlan, wall: Wall) -> float:
    """Diameter of solid metal round the place, threads at their core."""
    here = [
        piece
        for piece in outer_profile(plan.part, "core")
        if piece.start_mm - 1e-9 <= wall.at_mm <= piece.end_mm + 1e-9
    ]
    named = [piece for piece in here if piece.name == wall.outer] or here
    radii = [
        min(piece.radius_at(wall.at_mm), piece.flats_mm / 2.0) if piece.flats_mm else piece.radius_at(wall.at_mm)
        for piece in named
    ]
    return 2.0 * min(radii)


def _down(size_mm: float) -> str:
    """Rounded so that what is printed still leaves the wall."""
    return f"{floor(size_mm * 100.0 + 1e-6) / 100.0:.2f}"


def _up(size_mm: float) -> str:
    return f"{-floor(-size_mm * 100.0 + 1e-6) / 100.0:.2f}"
