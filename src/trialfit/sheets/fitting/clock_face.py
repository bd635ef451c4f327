"""A clock face with one hand: which way a fitting points, as its owner sees it."""

from __future__ import annotations

from trialfit.sheets.drafting import arrowhead
from trialfit.sheets.drawing import BOLD, THIN, Arc, Drawing, Item, Line, Text, around, polar, unit

_RADIUS_MM = 13.0
_NUMBERS_MM = 10.2
_HAND_MM = 8.4
_HEAD_MM = 3.6


def clock_face(angle_deg: float) -> Drawing:
    """Draw where a fitting points.

    Parameters
    ----------
    angle_deg
        Clockwise from twelve. [deg]

    Returns
    -------
    Drawing
        A clock face 26 mm across with one hand.
    """
    items: list[Item] = [Arc((0.0, 0.0), _RADIUS_MM)]
    for hour in range(1, 13):
        way = 90.0 - 30.0 * hour
        items.append(Line(polar((0.0, 0.0), _RADIUS_MM, way), polar((0.0, 0.0), _RADIUS_MM - 1.2, way), THIN))
        if hour % 3 == 0:
            items.append(Text(polar((0.0, 0.0), _NUMBERS_MM, way), str(hour), 9.0))
    way = 90.0 - angle_deg
    tip, neck = polar((0.0, 0.0), _HAND_MM, way), polar((0.0, 0.0), _HAND_MM - _HEAD_MM, way)
    items += [Line((0.0, 0.0), neck, BOLD), arrowhead(tip, unit(way), _HEAD_MM)]
    return around(items)
