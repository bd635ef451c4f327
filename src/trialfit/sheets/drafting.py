"""What draughtsmen draw again and again: dimensions, arrowheads, hatching."""

from __future__ import annotations

from math import atan2, degrees, hypot

from trialfit.sheets.drawing import FINE, OUTLINE, Item, Line, Pen, Point, Polyline, Text

# Scales of ISO 5455, the largest first.
_SCALES = ((10, 1), (5, 1), (2, 1), (1, 1), (1, 2), (1, 5), (1, 10), (1, 20), (1, 50), (1, 100))


def rectangle(left_mm: float, low_mm: float, right_mm: float, high_mm: float, pen: Pen = OUTLINE) -> Polyline:
    """Draw an upright rectangle.

    Parameters
    ----------
    left_mm, low_mm, right_mm, high_mm
        Where its sides lie. [mm]
    pen
        How it is drawn.

    Returns
    -------
    Polyline
        Its outline.
    """
    points = ((left_mm, low_mm), (right_mm, low_mm), (right_mm, high_mm), (left_mm, high_mm))
    return Polyline(points, closed=True, pen=pen)


def hatching(
    left_mm: float, low_mm: float, right_mm: float, high_mm: float, pitch_mm: float, rising: bool
) -> list[Line]:
    """Hatch an upright rectangle at 45 deg.

    Parameters
    ----------
    left_mm, low_mm, right_mm, high_mm
        Where its sides lie. [mm]
    pitch_mm
        From one line to the next, measured along a side. [mm]
    rising
        Whether the lines rise to the right, or fall.

    Returns
    -------
    list
        The lines, cut off at the sides.
    """
    width, height = right_mm - left_mm, high_mm - low_mm
    lines = []
    for count in range(1, int((width + height) / pitch_mm) + 1):
        along = count * pitch_mm
        start, end = max(0.0, along - height), min(width, along)
        if end - start < 1e-9:
            continue
        x0, x1 = (left_mm + start, left_mm + end) if not rising else (right_mm - start, right_mm - end)
        lines.append(Line((x0, low_mm + along - start), (x1, low_mm + along - end), FINE))
    return lines


def dimension(start: Point, end: Point, offset_mm: float, text: str, size_pt: float = 10.5) -> list[Item]:
    """Dimension the distance between two points.

    Parameters
    ----------
    start, end
        The two points. [mm]
    offset_mm
        How far to the left of the way from start to end the dimension line stands. [mm]
    text
        What is written on it; beside it where there is no room.
    size_pt
        Size of the letters. [pt]

    Returns
    -------
    list
        Extension lines, dimension line, arrowheads and text.
    """
    long = hypot(end[0] - start[0], end[1] - start[1])
    along = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
    sign = 1.0 if offset_mm >= 0 else -1.0
    aside = (-along[1] * sign, along[0] * sign)
    a, b = (_along(point, aside, abs(offset_mm)) for point in (start, end))
    tight = long < 7.0
    outward = _back(along) if tight else along
    reach = 4.5 if tight else 0.0
    items: list[Item] = [
        Line(_along(p, aside, 1.0), _along(p, aside, abs(offset_mm) + 1.0), FINE) for p in (start, end)
    ]
    items += [Line(_along(a, along, -reach), _along(b, along, reach), FINE)]
    items += [arrowhead(a, _back(outward)), arrowhead(b, outward)]
    return [*items, _dimension_text(a, b, aside, along, text, size_pt)]


def _dimension_text(a: Point, b: Point, aside: Point, along: Point, text: str, size_pt: float) -> Text:
    turn = degrees(atan2(along[1], along[0]))
    upright = turn - 180.0 if turn > 90.5 else turn + 180.0 if turn < -89.5 else turn
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    on_the_line = Text(middle, text, size_pt, turn_deg=upright, clear=True)
    if on_the_line.width_mm < hypot(b[0] - a[0], b[1] - a[1]) - 7.0:
        return on_the_line
    half_wide, half_high = on_the_line.width_mm / 2.0, on_the_line.height_mm / 2.0
    away = 1.2 + min(half_wide / max(abs(aside[0]), 1e-9), half_high / max(abs(aside[1]), 1e-9))
    return Text(_along(middle, aside, away), text, size_pt, clear=True)


def arrowhead(tip: Point, towards: Point, length_mm: float = 2.4) -> Polyline:
    """Draw a filled arrowhead.

    Parameters
    ----------
    tip
        Where it points to. [mm]
    towards
        Unit vector it points along. [-]
    length_mm
        Its length; a third as wide. [mm]

    Returns
    -------
    Polyline
        The filled triangle.
    """
    foot = (tip[0] - length_mm * towards[0], tip[1] - length_mm * towards[1])
    side = (-towards[1] * length_mm / 6.0, towards[0] * length_mm / 6.0)
    points = (tip, (foot[0] + side[0], foot[1] + side[1]), (foot[0] - side[0], foot[1] - side[1]))
    return Polyline(points, closed=True, fill="black", pen=None)


def largest_scale(room: float, at_most: float = 1.0) -> tuple[int, int]:
    """Choose a draughtsman's scale.

    Parameters
    ----------
    room
        Paper there is over true size. [-]
    at_most
        The largest scale wanted. [-]

    Returns
    -------
    tuple
        The scale's two figures, 1 and 2 for half size.
    """
    fitting = [pair for pair in _SCALES if pair[0] / pair[1] <= min(room, at_most) + 1e-9]
    return fitting[0] if fitting else _SCALES[-1]


def _along(point: Point, direction: Point, by_mm: float) -> Point:
    return point[0] + by_mm * direction[0], point[1] + by_mm * direction[1]


def _back(direction: Point) -> Point:
    return -direction[0], -direction[1]
