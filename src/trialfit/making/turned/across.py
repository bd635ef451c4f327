"""What cross holes leave of a turned part: metal beside them, and the section through them.

Each hole takes from the section through its middle a strip as wide as itself, from the outside to the bore. Areas and
moments of such strips are exact; several holes in one plane add up.

Source: moments of a strip of a circle, by integration (checked in tests against a fine count of squares and against
the printed net modulus of a round bar with a cross hole, pi D3/32 - d D2/6).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, cos, pi, radians, sin, sqrt

import numpy as np

from trialfit.making.turned.features import Across, TurnedPart
from trialfit.making.turned.profile import Piece, inner_profile, outer_profile
from trialfit.making.turned.shapes import point_length_mm


@dataclass(frozen=True)
class AcrossSection:
    """One cross hole and the section through it.

    Parameters
    ----------
    hole
        The hole.
    outside_mm, bore_mm
        Diameter of solid metal and bore where it breaks in; the bore is 0 where there is none. [mm]
    side_mm
        Metal left on either side of the hole, in its own plane; 0 or less where it is as wide as the part. [mm]
    land_mm
        Metal left along the axis to the nearest end face, hole or end of a blind bore. [mm]
    land_to
        What that is.
    deep_mm
        How far to drill from the outside until the full diameter is through the wall. [mm]
    tip_mm
        The same to the drill's tip. [mm]
    clears_mm
        Room between the tip and the far wall of the bore; None through both walls or where there is no bore. [mm]
    area_share, modulus_share
        Net area and net section modulus (about the weakest axis) over those of the ring without holes. [-]
    together
        How many holes lie in this plane. [-]
    """

    hole: Across
    outside_mm: float
    bore_mm: float
    side_mm: float
    land_mm: float
    land_to: str
    deep_mm: float
    tip_mm: float
    clears_mm: float | None
    area_share: float
    modulus_share: float
    together: int


@dataclass(frozen=True)
class _Strip:
    """Area and moments of a hole's strip, the hole pointing along y."""

    area: float
    first: float
    along2: float
    across2: float


def across_sections(part: TurnedPart) -> tuple[AcrossSection, ...]:
    """Give the section through each cross hole.

    Parameters
    ----------
    part
        The part.

    Returns
    -------
    tuple of AcrossSection
        In the order of the job.
    """
    outer, inner = outer_profile(part, "core"), inner_profile(part, "core")
    return tuple(_section(part, hole, outer, inner) for hole in part.across)


def net_shares(outside_mm: float, bore_mm: float, holes: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Give what holes from outside to bore leave of a ring's area and section modulus.

    Parameters
    ----------
    outside_mm, bore_mm
        Diameters of the ring. [mm]
    holes
        Diameter of each hole, through one wall, and the direction it lies in. [mm, deg]

    Returns
    -------
    tuple of float
        Area and section modulus about the weakest axis, over those of the whole ring; the modulus goes by the full
        outside radius, as handbooks do. [-]
    """
    out, bore = outside_mm / 2.0, bore_mm / 2.0
    if bore >= out:
        return 0.0, 0.0
    whole_area = pi * (out**2 - bore**2)
    whole_second = pi / 4.0 * (out**4 - bore**4)
    area, first = whole_area, np.zeros(2)
    second = np.eye(2) * whole_second
    for wide_mm, turn_deg in holes:
        strip = _strip(wide_mm / 2.0, out, bore)
        along = np.array([-sin(radians(turn_deg)), cos(radians(turn_deg))])
        across = np.array([along[1], -along[0]])
        area -= strip.area
        first -= strip.first * along
        second -= strip.along2 * np.outer(along, along) + strip.across2 * np.outer(across, across)
    if area <= 1e-9 * whole_area:
        return 0.0, 0.0
    middle = first / area
    moments, axes = np.linalg.eigh(second - area * np.outer(middle, middle))
    reach = out + abs(float(axes[:, 0] @ middle))
    return area / whole_area, max(float(moments[0]), 0.0) / reach / (whole_second / out)


def _section(part: TurnedPart, hole: Across, outer: Sequence[Piece], inner: Sequence[Piece]) -> AcrossSection:
    radius = hole.hole_mm / 2.0
    out = _least_outside(outer, hole)
    bore = max((p.radius_at(hole.at_mm) for p in inner if p.start_mm <= hole.at_mm <= p.end_mm), default=0.0)
    plane = [each for each in part.across if abs(each.at_mm - hole.at_mm) < (each.hole_mm + hole.hole_mm) / 2.0]
    strips = [
        (each.hole_mm, each.turn_deg + half) for each in plane for half in ((0.0, 180.0) if each.both else (0.0,))
    ]
    area, modulus = net_shares(2.0 * out, 2.0 * bore, strips)
    land, land_to = _land(part, hole, inner)
    opens = sqrt(max(bore**2 - radius**2, 0.0))
    deep = 2.0 * out if hole.both else out - opens
    tip = deep + point_length_mm(hole.hole_mm)
    clears = None if hole.both or bore == 0.0 else out + bore - tip
    return AcrossSection(
        hole,
        2.0 * out,
        2.0 * bore,
        out - max(bore, radius),
        land,
        land_to,
        deep,
        tip,
        clears,
        area,
        modulus,
        len(plane),
    )


def _least_outside(outer: Sequence[Piece], hole: Across) -> float:
    """Least radius of solid metal across the width of the hole."""
    radius = hole.hole_mm / 2.0
    left, right = hole.at_mm - radius, hole.at_mm + radius
    found = []
    for piece in outer:
        start, end = max(left, piece.start_mm), min(right, piece.end_mm)
        if end > start + 1e-9:
            least = min(piece.radius_at(start), piece.radius_at(end))
            found.append(min(least, piece.flats_mm / 2.0) if piece.flats_mm else least)
    return min(found, default=0.0)


def _land(part: TurnedPart, hole: Across, inner: Sequence[Piece]) -> tuple[float, str]:
    left, right = hole.at_mm - hole.hole_mm / 2.0, hole.at_mm + hole.hole_mm / 2.0
    lands = [(left, "the left face"), (part.long_mm - right, "the right face")]
    for other in part.across:
        if other is not hole and _meet_round(hole, other):
            apart = abs(other.at_mm - hole.at_mm) - (other.hole_mm + hole.hole_mm) / 2.0
            lands.append((apart, f"the {other.name}"))
    in_metal = not any(p.start_mm < hole.at_mm < p.end_mm for p in inner)
    if in_metal:
        lands += [(max(piece.start_mm - right, left - piece.end_mm), f"the {piece.name}") for piece in inner]
    return min(lands)


def _meet_round(one: Across, other: Across) -> bool:
    """Whether two holes lie so nearly one behind the other that the metal between them matters."""
    turns = [each.turn_deg + half for each in (one, other) for half in ((0.0, 180.0) if each.both else (0.0,))]
    count = 2 if one.both else 1
    return any(abs((a - b + 180.0) % 360.0 - 180.0) < 45.0 for a in turns[:count] for b in turns[count:])


def _strip(half_wide: float, out: float, bore: float) -> _Strip:
    outer, inner = _of_circle(half_wide, out), _of_circle(half_wide, bore)
    return _Strip(*(a - b for a, b in zip(outer, inner, strict=True)))


def _of_circle(half_wide: float, radius: float) -> tuple[float, float, float, float]:
    """Area, first and second moments of the strip of a half circle, from its middle outwards."""
    h = min(half_wide, radius)
    if radius == 0.0:
        return 0.0, 0.0, 0.0, 0.0
    rest, turn = sqrt(max(radius**2 - h**2, 0.0)), asin(h / radius)
    area = h * rest + radius**2 * turn
    first = radius**2 * h - h**3 / 3.0
    along2 = (h * rest**3 / 2.0 + 0.75 * radius**2 * area) / 3.0
    across2 = h * (2.0 * h**2 - radius**2) * rest / 4.0 + radius**4 * turn / 4.0
    return area, first, along2, across2
