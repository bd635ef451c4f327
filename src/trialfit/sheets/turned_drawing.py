"""The dimensioned drawing of a turned part: half section, what each feature is, and distances from the faces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan, degrees

from trialfit.making.turned.features import Inside, Outside
from trialfit.making.turned.records import TurnedPlan
from trialfit.sheets.drafting import dimension, largest_scale
from trialfit.sheets.drawing import Drawing, extent
from trialfit.sheets.layers import Layered, flat, on
from trialfit.sheets.turned_labels import LETTERS_PT, Drop, written
from trialfit.sheets.turned_views import half_section

_BARE_HATCH_MM = 1.4
# Paper beside the part that words may take, for the first guess at a scale.
_BESIDE_MM = 30.0
_SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)


@dataclass(frozen=True)
class TurnedDrawing:
    """A part drawn twice.

    Parameters
    ----------
    layered
        The dimensioned half section in layers, at its scale on paper; axis at y = 0, left face at x = 0.
    scale
        Paper over true size. [-]
    scale_text
        Such as ``5:1``.
    drawing
        The same on its piece of paper.
    true_size
        The part at 1:1 with its finished length.
    """

    layered: tuple[Layered, ...]
    scale: float
    scale_text: str
    drawing: Drawing
    true_size: Drawing


def turned_drawing(plan: TurnedPlan, width_mm: float, height_mm: float) -> TurnedDrawing:
    """Draw a part at the largest scale that fits.

    Parameters
    ----------
    plan
        The part, worked out.
    width_mm, height_mm
        Paper there is for the dimensioned view. [mm]

    Returns
    -------
    TurnedDrawing
        Both views.
    """
    room = min((width_mm - _BESIDE_MM) / plan.part.long_mm, height_mm / plan.part.swing_mm)
    tried = [scale for scale in _SCALES if scale <= room] or [_SCALES[-1]]
    for scale in tried:
        layered = dimensioned(plan, scale)
        drawing = flat(layered)
        if drawing.width_mm <= width_mm and drawing.height_mm <= height_mm:
            break
    up, down = largest_scale(scale, at_most=scale)
    return TurnedDrawing(tuple(layered), scale, f"{up}:{down}", drawing, flat(_true_size(plan), 1.0))


def dimensioned(plan: TurnedPlan, scale: float) -> list[Layered]:
    """Draw the half section with everything written on.

    Parameters
    ----------
    plan
        The part, worked out.
    scale
        Paper over true size. [-]

    Returns
    -------
    list
        Left face at x = 0, axis at y = 0.
    """
    edge = plan.part.swing_mm / 2.0 * scale + 1.5
    above = [*_faces(plan, scale), *_outside_labels(plan, scale)]
    below, captions = _below(plan, scale)
    return [
        *half_section(plan, scale),
        *written(above, edge, 1.0, ("from left face",)),
        *written(below, edge, -1.0, captions),
    ]


def _true_size(plan: TurnedPlan) -> list[Layered]:
    layered = half_section(plan, 1.0, _BARE_HATCH_MM)
    low = extent(each.item for each in layered)[1]
    long = plan.part.long_mm
    return [*layered, *on("dimension", dimension((0.0, low), (long, low), -4.0, f"{long:.2f}", LETTERS_PT))]


# ---- above the axis: the outside


def _faces(plan: TurnedPlan, scale: float) -> Iterator[Drop]:
    part = plan.part
    ends = [0.0, *(start + each.long_mm for start, each in zip(part.starts_mm, part.outside, strict=True))]
    for place, along in enumerate(ends):
        beside = part.outside[max(place - 1, 0) : place + 1]
        high = max(feature.swing_mm for feature in beside) / 2.0
        text = "0" if place == 0 else f"{along:.2f}"
        yield Drop((along * scale, high * scale), text, 0)


def _outside_labels(plan: TurnedPlan, scale: float) -> Iterator[Drop]:
    full = {cut.feature.place: cut for cut in plan.threads}
    for start, feature in zip(plan.part.starts_mm, plan.part.outside, strict=True):
        middle = start + feature.long_mm / 2.0
        high = (feature.swing_mm if feature.kind != "taper" else (feature.left_mm + feature.right_mm) / 2.0) / 2.0
        words = _outside_words(feature)
        cut = full.get(feature.place) if feature.thread is not None else None
        if cut is not None and cut.run_out_mm > 0.0:
            words += f", full for {cut.full_mm:.2f}"
        yield Drop((middle * scale, high * scale), words + _chamfers(feature), None)


def _outside_words(feature: Outside) -> str:
    long = f"× {feature.long_mm:.2f}"
    if feature.thread is not None:
        return f"{feature.thread.designation} {long}, core Ø{feature.thread.core_mm:.2f}"
    if feature.kind == "hexagon":
        return f"hexagon {feature.left_mm:.2f} A/F {long}"
    if feature.kind == "taper":
        included = 2.0 * degrees(atan(abs(feature.left_mm - feature.right_mm) / 2.0 / feature.long_mm))
        return f"{included:.0f}° cone Ø{feature.left_mm:.2f} to Ø{feature.right_mm:.2f} {long}"
    if feature.kind == "groove":
        ring = f", O-ring {feature.ring.section_mm:.2f}" if feature.ring is not None else ""
        return f"groove Ø{feature.left_mm:.2f} {long}{ring}"
    return f"Ø{feature.left_mm:.2f} {long}"


def _chamfers(feature: Outside) -> str:
    left, right = feature.left_chamfer_mm, feature.right_chamfer_mm
    if left and right and abs(left - right) < 1e-6:
        return f", both edges {left:.1f} × 45°"
    said = [f", {edge} edge {size:.1f} × 45°" for edge, size in (("left", left), ("right", right)) if size]
    return "".join(said)


# ---- below it: the inside and what crosses it


def _below(plan: TurnedPlan, scale: float) -> tuple[list[Drop], list[str]]:
    part = plan.part
    rows: list[str] = []
    drops: list[Drop] = []
    for end in ("left", "right"):
        depths = dict(_depths(plan, end))
        if end == "left":
            depths.update({hole.at_mm: f"{hole.at_mm:.2f}" for hole in part.across})
        inside_part = {deep: text for deep, text in depths.items() if 1e-6 < deep < part.long_mm - 1e-6}
        if inside_part:
            for deep, text in inside_part.items():
                along = deep if end == "left" else part.long_mm - deep
                drops.append(Drop((along * scale, -_wall_foot(plan, along) * scale), text, len(rows)))
            face = 0.0 if end == "left" else part.long_mm
            drops.append(Drop((face * scale, -_wall_foot(plan, face) * scale), "0", len(rows)))
            rows.append(f"from {end} face")
    drops += [Drop(_touch(plan, hole, scale), _inside_words(hole), None) for hole in part.inside]
    for hole in part.across:
        walls = "both walls" if hole.both else "one wall"
        turned = f", turned {hole.turn_deg:.0f}°" if hole.turn_deg else ""
        foot = _wall_foot(plan, hole.at_mm)
        side = hole.at_mm + hole.hole_mm / 2.0
        drops.append(Drop((side * scale, -foot * scale), f"Ø{hole.hole_mm:.2f} across, {walls}{turned}", None))
    return drops, rows


def _depths(plan: TurnedPlan, end: str) -> Iterator[tuple[float, str]]:
    cones = {cut.feature.place: cut.deep_mm for cut in plan.cones}
    for hole in plan.part.inside:
        if hole.end != end:
            continue
        ends = [cones[hole.place]] if hole.kind == "cone" else []
        if hole.kind != "cone" and not hole.through:
            ends = [hole.starts_mm, hole.deep_mm, hole.hole_deep_mm]
        for deep in ends:
            yield round(deep, 2), f"{deep:.2f}"


def _wall_foot(plan: TurnedPlan, along_mm: float) -> float:
    return max((p.radius_at(along_mm) for p in plan.outer if p.start_mm <= along_mm <= p.end_mm), default=0.0)


def _touch(plan: TurnedPlan, hole: Inside, scale: float) -> tuple[float, float]:
    """The middle of what is seen of a feature in the cut half, on its surface."""
    long = plan.part.long_mm
    pieces = [p for p in plan.inner if p.name == hole.name]
    near = [p for p in pieces if (p.start_mm if hole.end == "left" else long - p.end_mm) <= hole.deep_mm + 1e-6]
    level = [p for p in near if abs(p.start_r_mm - p.end_r_mm) < 1e-9]
    chosen = near if hole.kind == "cone" else level or near
    seen = max(chosen or pieces, key=lambda p: p.end_mm - p.start_mm, default=None)
    if seen is None:
        middle = hole.deep_mm / 2.0 if hole.end == "left" else long - hole.deep_mm / 2.0
        return middle * scale, -hole.size_mm / 2.0 * scale
    middle = (seen.start_mm + seen.end_mm) / 2.0
    return middle * scale, -seen.radius_at(middle) * scale


def _inside_words(hole: Inside) -> str:
    if hole.kind == "cone":
        return f"{hole.angle_deg:g}° cone, mouth Ø{hole.size_mm:.2f}"
    deep = "through" if hole.through else f"× {hole.deep_mm:.2f} deep"
    if hole.thread is not None:
        drill = hole.drill.name if hole.drill is not None else f"bore {hole.hole_mm:.2f}"
        hole_deep = "" if hole.through else f" × {hole.hole_deep_mm:.2f}"
        return f"{hole.thread.designation} {deep}, drill {drill}{hole_deep}"
    if hole.kind == "groove":
        ring = f", O-ring {hole.ring.section_mm:.2f}" if hole.ring is not None else ""
        return f"recess Ø{hole.size_mm:.2f} × {hole.deep_mm - hole.starts_mm:.2f}{ring}"
    named = hole.drill is not None and not hole.drill.name.endswith("mm") and not hole.reamed
    words = f"Ø{hole.size_mm:.2f} {deep}" + (f", drill {hole.drill.name}" if named and hole.drill else "")
    if hole.kind == "counterbore" or (hole.flat and not hole.through):
        words += ", flat"
    elif hole.point_mm > 0.0:
        words += f", tip {hole.deep_mm + hole.point_mm:.2f}"
    words += ", reamed" if hole.reamed else ""
    if hole.ball_mm is not None:
        words += f", sharp edge for ball Ø{hole.ball_mm:.2f}"
    return words
