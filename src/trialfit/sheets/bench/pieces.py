"""Pieces the pictures of the bench share: a screw seen from the side, caliper jaws, words with a leader."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from trialfit.parts.thread_profile import thread_profile
from trialfit.sheets.drafting import arrowhead
from trialfit.sheets.drawing import CENTRE, FINE, OUTLINE, THIN, Arc, Item, Line, Point, Polyline, Text, polar
from trialfit.sheets.layers import Layered, on
from trialfit.tables.threads import Thread

WORDS_PT = 10.0


def outline_of(thread: Thread, pitches: int, scale: float, taper: float = 0.0) -> tuple[Point, ...]:
    """Upper edge of a screw, from root to root, its axis along x through the origin.

    Parameters
    ----------
    thread
        The thread.
    pitches
        How many.
    scale
        Size on paper over true size. [-]
    taper
        How much the radius grows along the axis. [mm/mm]

    Returns
    -------
    tuple of Point
        Points on paper. [mm]
    """
    profile = thread_profile(thread).points_mm
    points: list[Point] = []
    for count in range(pitches):
        middle_mm = (count + 0.5) * thread.pitch_mm
        points += [(scale * (middle_mm + z), scale * (r + taper * (middle_mm + z))) for z, r in profile]
    return tuple(points)


def screw(thread: Thread, pitches: int, scale: float, taper: float = 0.0) -> list[Layered]:
    """A screw seen from the side: both edges, ends, axis, and the crests as they cross.

    Parameters
    ----------
    thread
        The thread.
    pitches
        How many.
    scale
        Size on paper over true size. [-]
    taper
        How much the radius grows along the axis. [mm/mm]

    Returns
    -------
    list
        Primitives; the axis along x through the origin. [mm]
    """
    upper = outline_of(thread, pitches, scale, taper)
    # Half a turn on, the crest lies half a pitch further: the lower edge has its roots where the upper has crests.
    half = scale * thread.pitch_mm / 2
    lower = [(x + half, -y - taper * half) for x, y in upper]
    low = [point for point in lower if point[0] <= upper[-1][0]]
    begin = [(x - 2 * half, y + 2 * taper * half) for x, y in lower if x - 2 * half >= 0 and x - 2 * half < low[0][0]]
    under = (*begin, *low)
    edge = Polyline((*upper, *reversed(under)), closed=True, fill="white", pen=OUTLINE)
    crests = [
        Line((x, y), (x + half, -y - taper * half), THIN)
        for x, y in ((scale * thread.pitch_mm * (k + 0.5), 0.0) for k in range(pitches - 1))
        for y in (scale * (thread.major_mm / 2 + taper * x / scale),)
    ]
    axis = Line((-6.0, 0.0), (upper[-1][0] + 6.0, 0.0), CENTRE)
    return [*on("outline", [edge]), *on("thread", crests), *on("centre", [axis])]


def words(at: Point, text: str, anchor: str = "start") -> list[Layered]:
    """Lines of words, the first at a point and the others below it.

    Parameters
    ----------
    at
        Where the first line is. [mm]
    text
        The words; a stroke begins a new line.
    anchor
        Whether the point is their start, middle or end.

    Returns
    -------
    list
        The words.
    """
    step = 1.35 * WORDS_PT * 25.4 / 72
    return on(
        "dimension",
        [
            Text((at[0], at[1] - k * step), line, WORDS_PT, anchor=anchor)  # type: ignore[arg-type]
            for k, line in enumerate(text.split("|"))
        ],
    )


def leader(from_point: Point, to_point: Point) -> list[Layered]:
    """A thin line with an arrowhead, from words to what they are about.

    Parameters
    ----------
    from_point, to_point
        Its two ends, the arrow at the second. [mm]

    Returns
    -------
    list
        The line and its arrowhead.
    """
    long = hypot(to_point[0] - from_point[0], to_point[1] - from_point[1])
    along = ((to_point[0] - from_point[0]) / long, (to_point[1] - from_point[1]) / long)
    return on("dimension", [Line(from_point, to_point, FINE), arrowhead(to_point, along)])


def jaw(left_mm: float, right_mm: float, edge_mm: float, away_mm: float) -> list[Layered]:
    """One jaw of a caliper: a block with its measuring edge at a height, going away from it.

    Parameters
    ----------
    left_mm, right_mm
        Its sides. [mm]
    edge_mm
        Height of the measuring edge. [mm]
    away_mm
        How far it goes on beyond the edge; negative downwards. [mm]

    Returns
    -------
    list
        Its outline, hatched as a section is.
    """
    far = edge_mm + away_mm
    block = Polyline(
        ((left_mm, edge_mm), (right_mm, edge_mm), (right_mm, far), (left_mm, far)), closed=True, fill="white"
    )
    corners = ((left_mm, edge_mm), (right_mm, edge_mm), (right_mm, far), (left_mm, far))
    return [*on("outline", [block]), *on("hatch", hatched(corners, 1.6))]


def hatched(corners: Sequence[Point], step_mm: float, rising: bool = True) -> list[Item]:
    """Hatch any polygon at 45 deg.

    Parameters
    ----------
    corners
        Its corners, in order. [mm]
    step_mm
        From line to line, along a side. [mm]
    rising
        Whether the lines rise to the right.

    Returns
    -------
    list
        The lines, cut off at the polygon's edges.
    """
    sign = -1.0 if rising else 1.0
    # Each line is where y + sign x is a constant.
    heights = [y + sign * x for x, y in corners]
    lines: list[Item] = []
    for k in range(int((max(heights) - min(heights)) / step_mm)):
        height = min(heights) + (k + 0.5) * step_mm
        met = []
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
            first, second = a[1] + sign * a[0] - height, b[1] + sign * b[0] - height
            if (first < 0) != (second < 0):
                share = first / (first - second)
                met.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
        met.sort()
        lines += [Line(met[n], met[n + 1], FINE) for n in range(0, len(met) - 1, 2)]
    return lines


def circle(centre: Point, radius_mm: float, filled: bool = False) -> Item:
    """A circle, or a dot.

    Parameters
    ----------
    centre
        Its middle. [mm]
    radius_mm
        Its radius. [mm]
    filled
        Whether it is a black dot.

    Returns
    -------
    Item
        The circle.
    """
    if not filled:
        return Arc(centre, radius_mm)
    points = tuple(polar(centre, radius_mm, 15.0 * k) for k in range(24))
    return Polyline(points, closed=True, fill="black", pen=None)
