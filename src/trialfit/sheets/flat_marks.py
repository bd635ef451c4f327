"""What is drawn over a flat print: the rule round its edges, the band, what stands proud, and where pages meet.

Everything lies on a picture that may be dark or light: lines are black with white inside, letters stand on white.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, hypot

import numpy as np
from numpy.typing import NDArray

from trialfit.sheets.contours import contours
from trialfit.sheets.drawing import (
    FINE,
    OUTLINE,
    THIN,
    Drawing,
    Item,
    Line,
    Pen,
    Point,
    Polyline,
    Ribbon,
    Text,
    around,
    polar,
)
from trialfit.sheets.flat_pages import Join
from trialfit.survey.flat_band import SINGLE_MM
from trialfit.survey.flat_limits import LEAST_PX_PER_MM, Lattice, Window

Array = NDArray[np.float64]

LEVELS_MM = (0.5, 1.0, 2.0, 3.0)
ARROW_PITCH_MM = 40.0
LETTERS_PT = 10.0
# Room for the rule: with figures on the left and below, without on the right and above. [mm]
RULE_MM, EDGE_MM = 7.5, 3.0

_CASING = Pen(0.22)
_LINE_MM = 0.9
_JOIN_MM = 0.6
_DIAMOND_MM = 4.2
_SHORT_MM = 15.0
_ROUND_SLOPE = 0.05


@dataclass(frozen=True)
class OnPaper:
    """Where a place of the plane lies on a drawing.

    Parameters
    ----------
    window
        What of the plane is drawn.
    left_mm, low_mm
        Where its lower left corner lies on the drawing. [mm]
    scale
        Millimetres of paper a millimetre of the plane. [-]
    """

    window: Window
    left_mm: float = 0.0
    low_mm: float = 0.0
    scale: float = 1.0

    def __call__(self, place: Point) -> Point:
        """Move one place onto the drawing."""
        return (
            self.left_mm + (place[0] - self.window.left_mm) * self.scale,
            self.low_mm + (place[1] - self.window.low_mm) * self.scale,
        )


def rule(window: Window, on_paper: OnPaper) -> list[Item]:
    """Draw a frame with a tick each millimetre all round, and figures each 20 on the left and below.

    Parameters
    ----------
    window
        What of the plane it frames, its sides on whole millimetres.
    on_paper
        Where that lies.

    Returns
    -------
    list
        Frame, ticks, figures.
    """
    left, low = on_paper((window.left_mm, window.low_mm))
    right, high = on_paper((window.right_mm, window.high_mm))
    items: list[Item] = [Polyline(((left, low), (right, low), (right, high), (left, high)), closed=True, pen=FINE)]
    for mm in range(ceil(window.left_mm), floor(window.right_mm) + 1):
        x, _ = on_paper((mm, 0.0))
        long, pen = _tick(mm)
        items += [Line((x, low), (x, low - long), pen), Line((x, high), (x, high + long), pen)]
        if mm % 20 == 0:
            items.append(Text((x, low - 5.2), str(mm), LETTERS_PT))
    for mm in range(ceil(window.low_mm), floor(window.high_mm) + 1):
        _, y = on_paper((0.0, mm))
        long, pen = _tick(mm)
        items += [Line((left, y), (left - long, y), pen), Line((right, y), (right + long, y), pen)]
        if mm % 20 == 0:
            items.append(Text((left - 5.2, y), str(mm), LETTERS_PT, turn_deg=90.0))
    return items


def _tick(mm: int) -> tuple[float, Pen]:
    return (2.8, THIN) if mm % 10 == 0 else (1.9, FINE) if mm % 5 == 0 else (1.0, FINE)


def part_of(lattice: Lattice, window: Window) -> tuple[slice, slice]:
    """Rows and columns of a lattice that lie within a window.

    Parameters
    ----------
    lattice
        The lattice; its lines lie on the window's sides.
    window
        The window.

    Returns
    -------
    tuple
        Slices of its rows and of its columns.
    """
    rows = np.flatnonzero((lattice.y_mm > window.low_mm - 1e-6) & (lattice.y_mm < window.high_mm + 1e-6))
    columns = np.flatnonzero((lattice.x_mm > window.left_mm - 1e-6) & (lattice.x_mm < window.right_mm + 1e-6))
    return slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1)


def band_lines(lattice: Lattice, window: Window, on_paper: OnPaper) -> list[Item]:
    """Draw how wrong the print is: lines of equal band, each with its figure.

    Parameters
    ----------
    lattice
        What is known of the plane.
    window
        What of it is drawn.
    on_paper
        Where that lies.

    Returns
    -------
    list
        Lines, and figures on those long enough.
    """
    rows, columns = part_of(lattice, window)
    lines: list[Item] = []
    figures: list[Item] = []
    for number, level in enumerate(LEVELS_MM):
        field = _over(lattice, level)[rows, columns]
        for line in contours(field, lattice.x_mm[columns], lattice.y_mm[rows]):
            points = tuple(on_paper(point) for point in line)
            lines.append(Ribbon(points, _LINE_MM, _CASING))
            long = _length(points)
            if long > _SHORT_MM:
                # Lines may lie on one another; figures then do not.
                at = _along(points, long * (0.3 + 0.15 * number))
                figures.append(Text(at, f"{level:g} mm", LETTERS_PT, bold=True, clear=True))
    return [*lines, *figures]


def _over(lattice: Lattice, level_mm: float) -> Array:
    """(r, c) by how much the band is over a level, without the steps of a lone photograph's least band."""
    over = lattice.own_mm - level_mm
    if lattice.floor_mm.any():
        reach = max((up_to for up_to, band in SINGLE_MM if band <= level_mm), default=0.0)
        over = np.maximum(over, _ROUND_SLOPE * (lattice.away_mm - min(reach, 1e6)))
    with np.errstate(invalid="ignore"):
        return np.where(lattice.px_per_mm >= LEAST_PX_PER_MM, over, np.nan)


def _length(points: tuple[Point, ...]) -> float:
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))


def _along(points: tuple[Point, ...], by_mm: float) -> Point:
    gone = 0.0
    for a, b in pairwise(points):
        gone += hypot(b[0] - a[0], b[1] - a[1])
        if gone >= by_mm:
            return b
    return points[-1]


def arrows(
    lattice: Lattice, window: Window, on_paper: OnPaper, offset: Callable[[Array], Array], pitch_mm: float
) -> list[Item]:
    """Draw where a thing that stands proud is printed, on a coarse grid.

    Parameters
    ----------
    lattice
        What is known of the plane.
    window
        What of it is drawn.
    on_paper
        Where that lies.
    offset
        Gives (n, 2) offsets of (n, 2) places. [mm]
    pitch_mm
        Distance of the arrows. [mm]

    Returns
    -------
    list
        Arrows from where the thing stands to where it is printed, each with its length in millimetres.
    """
    items: list[Item] = []
    for place in _grid(window, pitch_mm):
        row, column = _nearest(lattice, place)
        if not lattice.shown[row, column]:
            continue
        along, up = offset(np.array([place]))[0].tolist()
        long = hypot(along, up)
        way = (along / long, up / long) if long > 1e-9 else (0.0, 1.0)
        tail, tip = on_paper(place), on_paper((place[0] + along, place[1] + up))
        items.append(_ring(tail))
        if long * on_paper.scale > 1.0:
            items += _arrow(tail, tip, way)
        figure = Text(tail, f"{long:.1f}", LETTERS_PT, clear=True)
        back = 2.0 + abs(way[0]) * figure.width_mm / 2.0 + abs(way[1]) * figure.height_mm / 2.0
        items.append(figure.moved(-back * way[0], -back * way[1]))
    return items


def _grid(window: Window, pitch_mm: float) -> Iterator[Point]:
    """Grid points well within a window: an arrow at its very edge could not be read."""
    margin = 6.0
    for y in range(ceil((window.low_mm + margin) / pitch_mm), floor((window.high_mm - margin) / pitch_mm) + 1):
        for x in range(ceil((window.left_mm + margin) / pitch_mm), floor((window.right_mm - margin) / pitch_mm) + 1):
            yield x * pitch_mm, y * pitch_mm


def _nearest(lattice: Lattice, place: Point) -> tuple[int, int]:
    return int(np.abs(lattice.y_mm - place[1]).argmin()), int(np.abs(lattice.x_mm - place[0]).argmin())


def _ring(at: Point) -> Polyline:
    return Polyline(tuple(polar(at, 0.8, turn) for turn in range(0, 360, 30)), True, "white", THIN)


def _arrow(tail: Point, tip: Point, way: Point) -> list[Item]:
    head = min(2.4, 0.6 * hypot(tip[0] - tail[0], tip[1] - tail[1]))
    foot = (tip[0] - head * way[0], tip[1] - head * way[1])
    side = (-way[1] * head / 3.0, way[0] * head / 3.0)
    sides = ((foot[0] + side[0], foot[1] + side[1]), (foot[0] - side[0], foot[1] - side[1]))
    return [Ribbon((tail, foot), 0.6, Pen(0.18)), Polyline((tip, *sides), True, "white", THIN)]


def join_marks(joins: Iterable[Join], on_paper: OnPaper) -> list[Item]:
    """Draw where a page meets others: the line both are laid together on, and lettered diamonds on it.

    Parameters
    ----------
    joins
        The page's joins.
    on_paper
        Where that lies.

    Returns
    -------
    list
        Lines and diamonds; each diamond stands at the same place of the plane on both pages.
    """
    items: list[Item] = []
    for join in joins:

        def at(along: float, join: Join = join) -> Point:
            return on_paper((join.at_mm, along) if join.upright else (along, join.at_mm))

        items.append(Ribbon((at(join.from_mm), at(join.to_mm)), _JOIN_MM, Pen(0.12)))
        for share in (0.2, 0.5, 0.8):
            middle = at(join.from_mm + share * (join.to_mm - join.from_mm))
            items += _diamond(middle, join.letter)
    return items


def _diamond(middle: Point, letter: str) -> list[Item]:
    x, y = middle
    corners = ((x + _DIAMOND_MM, y), (x, y + _DIAMOND_MM), (x - _DIAMOND_MM, y), (x, y - _DIAMOND_MM))
    return [Polyline(corners, True, "white", OUTLINE), Text(middle, letter, LETTERS_PT, bold=True)]


def legend() -> Drawing:
    """Draw one line of the band and one arrow, to be explained beside it.

    Returns
    -------
    Drawing
        The line with its figure above the arrow with its.
    """
    tail, tip = (12.0, 0.0), (24.0, 0.0)
    return around(
        [
            Ribbon(((0.0, 9.0), (24.0, 9.0)), _LINE_MM, _CASING),
            Text((12.0, 9.0), "0.5 mm", LETTERS_PT, bold=True, clear=True),
            _ring(tail),
            *_arrow(tail, tip, (1.0, 0.0)),
            Text((tail[0] - 6.0, 0.0), "12.0", LETTERS_PT, clear=True),
        ],
        2.0,
    )


def cross(at: Point, name: str) -> list[Item]:
    """Mark a named place.

    Parameters
    ----------
    at
        The place, on the drawing. [mm]
    name
        What to write beside it.

    Returns
    -------
    list
        A cross and the name.
    """
    x, y = at
    return [
        Ribbon(((x - 4.0, y), (x + 4.0, y)), 0.6, Pen(0.18)),
        Ribbon(((x, y - 4.0), (x, y + 4.0)), 0.6, Pen(0.18)),
        Text((x + 5.0, y + 3.5), name, LETTERS_PT, "start", clear=True),
    ]
