"""Pictures of looking: which way is clockwise, and where to mark a face."""

from __future__ import annotations

from math import cos, radians, sin

from trialfit.parts.measuring import across_corners_mm, middle_shift_mm
from trialfit.sheets.bench.pieces import WORDS_PT, circle, leader, words
from trialfit.sheets.drafting import arrowhead
from trialfit.sheets.drawing import BOLD, FINE, THIN, Arc, Line, Point, Polyline, Text, polar, unit
from trialfit.sheets.layers import Layered, on

_CLOCKING_DEG = 35.0
_TILT_DEG, _DISTANCE_MM, _FACE_MM, _FLATS_MM, _LONG_MM = 40.0, 250.0, 3.5, 8.0, 6.0


def clockwise() -> list[Layered]:
    """A face seen from outside, with the dial of a clock and the way clocking grows.

    Returns
    -------
    list
        The picture.
    """
    radius, middle = 30.0, (0.0, 0.0)
    hours = [Text(polar(middle, radius + 6, 90 - 30 * hour), str(hour), WORDS_PT) for hour in range(1, 13)]
    ticks = [Line(polar(middle, radius, 30 * k), polar(middle, radius - 2.5, 30 * k), THIN) for k in range(12)]
    arm = 90.0 + _CLOCKING_DEG
    picture = on("outline", [circle(middle, radius), circle(middle, 9.0), circle(middle, 4.0)])
    picture += [*on("thread", ticks), *on("dimension", hours)]
    side = polar(middle, 2.0, arm + 90)
    ends = [polar(middle, reach, arm) for reach in (9.0, 26.0)]
    sides = [(x + way * side[0], y + way * side[1]) for way in (1, -1) for x, y in (ends if way > 0 else ends[::-1])]
    picture += on("outline", [Polyline(tuple(sides), closed=True, fill="white")])
    lines = [Line(middle, polar(middle, radius, angle), FINE) for angle in (90.0, arm)]
    picture += on("dimension", lines)
    picture += _turn(middle, 20.0, 90.0, arm)
    picture += words((2.0, 18.0), f"{_CLOCKING_DEG:.0f} deg")
    picture += _turn(middle, 46.0, 60.0, 20.0)
    picture += words((46.0, 24.0), "clockwise: a right-hand nut goes on,|clock hands go this way")
    picture += _turn(middle, 46.0, 120.0, 160.0)
    picture += words((-46.0, 24.0), "anticlockwise:|clocking grows this way", "end")
    said = (
        "You look at the face from outside, along the thread, as you would look at a clock.|"
        "From behind, everything turns the other way."
    )
    return [*picture, *words((0.0, -46.0), said, "middle")]


def _turn(middle: Point, radius: float, from_deg: float, to_deg: float) -> list[Layered]:
    way = 90.0 if to_deg > from_deg else -90.0
    tip = polar(middle, radius, to_deg)
    return on("dimension", [Arc(middle, radius, from_deg, to_deg, THIN), arrowhead(tip, unit(to_deg + way))])


def marks() -> list[Layered]:
    """A union nut seen askew through a lens, with the one right place to mark its face, and some wrong ones.

    Returns
    -------
    list
        The picture.
    """
    scale = 7.0
    corner = across_corners_mm(_FLATS_MM) / 2
    face = [_seen(scale, corner, 60.0 * k + 15, 0.0) for k in range(6)]
    back = [_seen(scale, corner, 60.0 * k + 15, -_LONG_MM) for k in range(6)]
    outline = _hull([*face, *back])
    picture = on("outline", [Polyline(outline, closed=True, fill="white")])
    ring = tuple(_seen(scale, _FACE_MM, 5.0 * k, 0.0) for k in range(72))
    hole = tuple(_seen(scale, 1.7, 5.0 * k, 0.0) for k in range(72))
    picture += on("outline", [Polyline(tuple(face), closed=True), Polyline(ring, closed=True, pen=THIN)])
    picture += on("outline", [Polyline(hole, closed=True, pen=THIN)])
    picture += on("outline", [Line(a, b) for a, b in zip(face, back, strict=True) if b in outline])
    middle = ((max(x for x, _ in ring) + min(x for x, _ in ring)) / 2, 0.0)
    picture += _cross(middle)
    off_mm = middle_shift_mm(_FACE_MM, _DISTANCE_MM, _TILT_DEG)
    here = (
        "here: the middle of the ellipse, half way|between its edges both ways. At "
        f"{_DISTANCE_MM:.0f} mm it is|{off_mm:.2f} mm from the middle of the face."
    )
    picture += [*leader((36.0, 20.0), (middle[0] + 3.2, middle[1] + 1.6)), *words((37.0, 24.0), here)]
    nearest = max(face, key=lambda point: point[0])
    corner_words = "not a corner: another photograph|shows another as the nearest"
    picture += [*leader((38.0, -8.0), (nearest[0] + 1, nearest[1])), *words((39.0, -6.0), corner_words)]
    glint = _seen(scale, 3.0, 200.0, -1.0)
    picture += [*leader((-38.0, -26.0), glint), *words((-39.0, -26.0), "not a glint: it moves|with the phone", "end")]
    return picture


def _seen(scale: float, radius_mm: float, turn_deg: float, along_mm: float) -> Point:
    """A point of the nut, its face's middle at the origin, turned away from the lens and seen through it."""
    x, y = radius_mm * cos(radians(turn_deg)), radius_mm * sin(radians(turn_deg))
    tilt = radians(_TILT_DEG)
    across, near = x * cos(tilt) + along_mm * sin(tilt), -x * sin(tilt) + along_mm * cos(tilt)
    enlarged = scale * _DISTANCE_MM / (_DISTANCE_MM - near)
    return enlarged * across, enlarged * y


def _hull(points: list[Point]) -> tuple[Point, ...]:
    """Outline of what is seen: the convex hull, anticlockwise from the point furthest left."""
    rest = sorted(points)
    found: list[Point] = []
    for way in (rest, list(reversed(rest))):
        side: list[Point] = []
        for point in way:
            while len(side) > 1 and _left_of(side[-2], side[-1], point) <= 1e-9:
                side.pop()
            side.append(point)
        found += side[:-1]
    return tuple(found)


def _left_of(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cross(middle: Point) -> list[Layered]:
    x, y = middle
    return on("outline", [Line((x - 3, y), (x + 3, y), BOLD), Line((x, y - 3), (x, y + 3), BOLD)])
