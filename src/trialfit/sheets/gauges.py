"""True-size aids to be printed, cut out and laid against the work: check bars, bend gauges, the turn disc."""

from __future__ import annotations

from collections.abc import Sequence

from trialfit.sheets.drafting import arrowhead
from trialfit.sheets.drawing import (
    BOLD,
    CENTRE,
    CUT,
    FINE,
    HIDDEN,
    OUTLINE,
    THIN,
    Arc,
    Drawing,
    Item,
    Line,
    Point,
    Text,
    around,
    polar,
    unit,
)

BAR_MM = 100.0


def check_bar(upright: bool, said: str = f"{BAR_MM:.1f} mm") -> Drawing:
    """Draw the bar a print is checked by: 100 mm, ticked each 10.

    Parameters
    ----------
    upright
        Whether it stands, or lies.
    said
        Its length as its reader writes it.

    Returns
    -------
    Drawing
        The bar with its ticks and its length.
    """

    def turn(along: float, aside: float) -> Point:
        return (-aside, along) if upright else (along, aside)

    items: list[Item] = [Line(turn(0.0, 0.0), turn(BAR_MM, 0.0), OUTLINE)]
    for ten in range(11):
        height = 3.5 if ten in (0, 10) else 2.2 if ten == 5 else 1.2
        items.append(Line(turn(10.0 * ten, -height), turn(10.0 * ten, height), CUT))
    label = Text(turn(25.0, 3.4), said, turn_deg=90.0 if upright else 0.0, bold=True)
    return around([*items, label])


def bend_gauge(angle_deg: float, radius_mm: float, od_mm: float, stubs_mm: tuple[float, float]) -> Drawing:
    """Draw one bend at its true shape: both edges of the tube round the bend and a little of the straight either side.

    Parameters
    ----------
    angle_deg
        Angle the bend turns through; the first stub lies level, coming from the left. [deg]
    radius_mm
        Centre-line radius. [mm]
    od_mm
        Outside diameter of the tube. [mm]
    stubs_mm
        How much straight is drawn before and after. [mm]

    Returns
    -------
    Drawing
        Edges, centre line, ends of the stubs, and where the bend begins and ends.
    """
    centre = (0.0, radius_mm)
    before, after = stubs_mm
    leaving = unit(angle_deg)
    items: list[Item] = []
    for radius, pen in ((radius_mm - od_mm / 2.0, OUTLINE), (radius_mm + od_mm / 2.0, OUTLINE), (radius_mm, CENTRE)):
        first, last = polar(centre, radius, -90.0), polar(centre, radius, angle_deg - 90.0)
        over = 3.0 if pen is CENTRE else 0.0
        items += [
            Line((first[0] - before - over, first[1]), first, pen),
            Arc(centre, radius, -90.0, angle_deg - 90.0, pen),
            Line(last, _along(last, leaving, after + over), pen),
        ]
    for at_deg, way in ((-90.0, 0.0), (angle_deg - 90.0, 0.0), (-90.0, -before), (angle_deg - 90.0, after)):
        along = unit(at_deg + 90.0)
        reach = od_mm / 2.0 + (2.5 if way == 0.0 else 0.0)
        pen = THIN if way == 0.0 else OUTLINE
        ends = [_along(polar(centre, radius_mm + side, at_deg), along, way) for side in (-reach, reach)]
        items.append(Line(ends[0], ends[1], pen))
    return around(items, margin_mm=1.0)


def turn_disc(bore_mm: float, radius_mm: float, turns: Sequence[tuple[str, float]]) -> Drawing:
    """Draw the disc that is slipped over the tube to set the turn between two bends.

    Parameters
    ----------
    bore_mm
        Its hole: the tube's outside diameter. [mm]
    radius_mm
        Its own radius. [mm]
    turns
        What is marked on it: words, and the turn clockwise from 0 at the top. [deg]

    Returns
    -------
    Drawing
        Rim, hole, a tick each 2 deg, figures each 10 deg both ways from 0, and the marks.

    Notes
    -----
    Figures run both ways from 0 because a turn is told as so many degrees clockwise or anticlockwise.
    """
    items: list[Item] = [Arc((0.0, 0.0), radius_mm, pen=CUT), Arc((0.0, 0.0), bore_mm / 2.0, pen=CUT)]
    items += _ticks(radius_mm)
    items += _figures(radius_mm)
    items.append(_slit(bore_mm, radius_mm, turns))
    marks = [("leg before", 0.0), *turns]
    for words, turn in marks:
        clockwise = _roomier_clockwise(turn, [other for _, other in marks])
        items += _mark(words, turn, bore_mm, radius_mm, clockwise)
    items.append(Text((-0.5 * radius_mm, radius_mm), "anticlockwise", anchor="end"))
    items.append(Text((0.5 * radius_mm, radius_mm), "clockwise", anchor="start"))
    return around(items)


def _ticks(radius_mm: float) -> list[Item]:
    lengths = ((30, 7.0, OUTLINE), (10, 5.5, THIN), (2, 3.0, FINE))
    ticks: list[Item] = []
    for turn in range(0, 360, 2):
        length, pen = next((length, pen) for every, length, pen in lengths if turn % every == 0)
        ticks.append(Line(_at(radius_mm - length, turn), _at(radius_mm, turn), pen))
    return ticks


def _figures(radius_mm: float) -> list[Item]:
    return [
        Text(
            _at(radius_mm - 9.5, turn), str(min(turn, 360 - turn)), 10.0 if turn % 30 else 11.5, turn_deg=-turn,
            bold=turn % 30 == 0,
        )
        for turn in range(0, 360, 10)
    ]  # fmt: skip


def _slit(bore_mm: float, radius_mm: float, turns: Sequence[tuple[str, float]]) -> Line:
    """Where the disc may be cut open to pass a nut: as far as can be from every mark, between two figures."""
    taken = [0.0, *(turn % 360.0 for _, turn in turns)]

    def room(at: float) -> float:
        return min(min(abs(at - other), 360.0 - abs(at - other)) for other in taken)

    at = max(range(5, 360, 10), key=lambda place: (round(room(place)), -abs(place - 185)))
    return Line(_at(bore_mm / 2.0, at), _at(radius_mm, at), HIDDEN)


def _roomier_clockwise(turn_deg: float, all_deg: Sequence[float]) -> bool:
    """Whether the nearest other mark lies further off clockwise than anticlockwise."""
    ahead = [(other - turn_deg) % 360.0 for other in all_deg if (other - turn_deg) % 360.0 > 1e-9]
    return not ahead or min(ahead) >= 360.0 - max(ahead)


def _mark(words: str, turn_deg: float, bore_mm: float, radius_mm: float, clockwise: bool) -> list[Item]:
    """A heavy line to the rim with a pointer on it, and its words along it on one side."""
    inner, outer = bore_mm / 2.0, radius_mm - 13.0
    tip = _at(radius_mm, turn_deg)
    outward = 0.0 < turn_deg % 360.0 < 180.0
    along_deg = 90.0 - turn_deg if outward else 270.0 - turn_deg
    foot = polar(_at(outer, turn_deg), 3.5, -turn_deg if clockwise else 180.0 - turn_deg)
    return [
        Line(_at(inner, turn_deg), _at(outer, turn_deg), BOLD),
        Line(_at(radius_mm - 7.0, turn_deg), tip, BOLD),
        arrowhead(tip, unit(90.0 - turn_deg), 4.0),
        Text(foot, words, 11.0, "end" if outward else "start", along_deg, bold=True),
    ]


def _at(radius_mm: float, turn_deg: float) -> Point:
    """A point on the disc; turns count clockwise from the top."""
    return polar((0.0, 0.0), radius_mm, 90.0 - turn_deg)


def _along(point: Point, direction: Point, by_mm: float) -> Point:
    return point[0] + by_mm * direction[0], point[1] + by_mm * direction[1]
