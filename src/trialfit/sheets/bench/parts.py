"""Pictures of parts: a hexagon, a hollow cone, a tube by its weight."""

from __future__ import annotations

from math import pi, radians, sin, tan

from trialfit.parts.measuring import Taken, across_corners_mm, cone_by_balls, cone_by_mouth
from trialfit.sheets.bench.pieces import WORDS_PT, circle, hatched, jaw, words
from trialfit.sheets.drafting import dimension
from trialfit.sheets.drawing import CENTRE, FINE, OUTLINE, THIN, Item, Line, Point, Polyline, Text, polar
from trialfit.sheets.layers import Layered, on
from trialfit.tables.gauges import swg_mm
from trialfit.tables.metals import find_metal

_FLATS_MM, _CONE_DEG, _MOUTH_MM, _BORE_MM = 8.0, 60.0, 8.0, 3.0
_LARGE_MM, _SMALL_MM = 6.0, 4.0
_TUBE_OD_MM = 4.7625


def hexagon() -> list[Layered]:
    """A hexagon between the jaws, and the distance over its corners.

    Returns
    -------
    list
        The picture.
    """
    scale = 5.0
    half = scale * _FLATS_MM / 2
    radius = scale * across_corners_mm(_FLATS_MM) / 2
    corners = tuple(polar((0.0, 0.0), radius, 60.0 * k) for k in range(6))
    picture = on("outline", [Polyline(corners, closed=True), circle((0.0, 0.0), scale * 2.4)])
    picture += [*jaw(-9.0, 9.0, half, 8.0), *jaw(-9.0, 9.0, -half, -8.0)]
    side = (-radius - 4.0, 0.0)
    picture += on("dimension", dimension((side[0], -half), (side[0], half), 6.0, f"{_FLATS_MM:.2f} mm", WORDS_PT))
    picture += on("dimension", dimension((-radius, -half), (radius, -half), -16.0, _corners(), WORDS_PT))
    said = "Across the flats is what the spanner fits.|Turn it between the jaws: the least|reading is the right one."
    return [*picture, *words((radius + 6, 6), said)]


def _corners() -> str:
    return f"{across_corners_mm(_FLATS_MM):.2f} mm over sharp corners"


def cone() -> list[Layered]:
    """A hollow cone with mouth and depth, and the same with two balls.

    Returns
    -------
    list
        The picture.
    """
    return [*_by_mouth(6.0), *_moved(_by_balls(6.0), 92.0)]


def _socket(scale: float) -> tuple[list[Layered], float]:
    """A coned hole in section, its face at height nought; gives the depth where the bore begins."""
    deep = (_MOUTH_MM - _BORE_MM) / 2 / tan(radians(_CONE_DEG / 2))
    mouth, bore, floor, wall = scale * _MOUTH_MM / 2, scale * _BORE_MM / 2, -scale * 7.0, scale * 6.0
    layered: list[Layered] = []
    for side in (-1, 1):
        ring = ((side * wall, 0.0), (side * mouth, 0.0), (side * bore, -scale * deep), (side * bore, floor),
                (side * wall, floor))  # fmt: skip
        layered += on("outline", [Polyline(ring, closed=True, pen=OUTLINE)])
        layered += on("hatch", hatched(ring, 3.0, side > 0))
    layered += on("centre", [Line((0.0, 6.0), (0.0, floor - 4), CENTRE)])
    return layered, deep


def _by_mouth(scale: float) -> list[Layered]:
    picture, deep_mm = _socket(scale)
    mouth, bore = scale * _MOUTH_MM / 2, scale * _BORE_MM / 2
    picture += on("dimension", dimension((-mouth, 0.0), (mouth, 0.0), 9.0, f"mouth {_MOUTH_MM:.2f} mm", WORDS_PT))
    low = -scale * 7.0
    picture += on("dimension", dimension((-bore, low), (bore, low), -8.0, f"bore {_BORE_MM:.2f} mm", WORDS_PT))
    picture += on("dimension", dimension((0.0, -scale * deep_mm), (0.0, 0.0), 0.0, f"{deep_mm:.2f}", WORDS_PT))
    found = cone_by_mouth(Taken(_MOUTH_MM, 0.1), Taken(_BORE_MM, 0.05), Taken(round(deep_mm, 2), 0.1))
    said = f"By mouth, bore and depth,|each to 0.1 mm: {found.value:.0f} ± {found.k2:.1f} deg"
    return [*picture, *words((0.0, low - 16), said, "middle")]


def _by_balls(scale: float) -> list[Layered]:
    picture, _ = _socket(scale)
    point_mm = _MOUTH_MM / 2 / tan(radians(_CONE_DEG / 2))
    sine = sin(radians(_CONE_DEG / 2))
    tops = []
    for diameter in (_LARGE_MM, _SMALL_MM):
        centre_mm = -point_mm + diameter / 2 / sine
        picture += on("outline", [circle((0.0, scale * centre_mm), scale * diameter / 2)])
        tops.append(-(centre_mm + diameter / 2))
    low = -scale * 7.0
    for k, top_mm in enumerate(tops):
        x = scale * (7.2 + 2.6 * k)
        size = f"{abs(top_mm):.2f} {'deep' if top_mm > 0 else 'proud'}"
        ends = ((x, -scale * top_mm), (x, 0.0)) if top_mm > 0 else ((x, 0.0), (x, -scale * top_mm))
        picture += on("dimension", [Line((0.0, -scale * top_mm), (x, -scale * top_mm), FINE)])
        picture += on("dimension", dimension(*ends, -0.01, "", WORDS_PT)[2:5])
        picture += words((x + 2, -scale * top_mm / 2), size)
    readings = [Taken(round(top, 2), 0.03) for top in tops]
    found = cone_by_balls(Taken(_LARGE_MM), Taken(_SMALL_MM), *readings)
    said = (
        f"By balls of {_LARGE_MM:g} and {_SMALL_MM:g} mm,|their tops to 0.03 mm: {found.value:.0f} ± {found.k2:.1f} deg"
    )
    return [*picture, *words((0.0, low - 16), said, "middle")]


def tube() -> list[Layered]:
    """Weight of a length of tube against its wall, with the wire gauges on the curve.

    Returns
    -------
    list
        The picture.
    """
    density = find_metal("CW024A").density_kg_m3
    across, up = 10.0, 42.0

    def grams(wall_mm: float) -> float:
        return density * 1e-6 * pi * (_TUBE_OD_MM - wall_mm) * wall_mm * 100

    walls = [0.3 + 0.02 * k for k in range(51)]
    curve: list[Point] = [(across * grams(wall), up * wall) for wall in walls]
    items: list[Item] = [Polyline(tuple(curve), pen=OUTLINE)]
    left, floor = across * 3.0, up * 0.25
    axes = [Line((left, floor), (across * 12.5, floor), THIN), Line((left, floor), (left, up * 1.35), THIN)]
    ticks: list[Item] = []
    for weight in range(3, 13):
        ticks += [Line((across * weight, floor), (across * weight, floor - 1.5), THIN)]
        ticks += [Text((across * weight, floor - 4.5), str(weight), WORDS_PT)]
    for tenth in range(4, 14, 2):
        ticks += [Line((left, up * tenth / 10), (left - 1.5, up * tenth / 10), THIN)]
        ticks += [Text((left - 3, up * tenth / 10), f"{tenth / 10:.1f}", WORDS_PT, anchor="end")]
    picture = [*on("outline", items), *on("thread", axes), *on("dimension", ticks)]
    for gauge in (18, 20, 22, 24, 26):
        wall = swg_mm(gauge)
        at = (across * grams(wall), up * wall)
        picture += on("outline", [circle(at, 0.9, filled=True)])
        picture += words((at[0] - 2, at[1] + 2.5), f"{gauge} swg", "end")
    picture += words((across * 7.75, floor - 10), "weight of 100 mm of 3/16 in copper tube, grams", "middle")
    return [*picture, *words((left - 8, up * 1.42), "wall, mm")]


def _moved(layered: list[Layered], x_mm: float) -> list[Layered]:
    return [Layered(each.layer, each.item.moved(x_mm, 0.0)) for each in layered]
