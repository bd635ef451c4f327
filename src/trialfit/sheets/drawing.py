"""Drawings as plain primitives in millimetres: x right, y up, at the size they are to have on paper.

A drawing knows nothing of paper or file format; whoever draws it (the sheets' template, later DXF or SVG) keeps the
millimetres as they are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import cos, radians, sin
from typing import Any, Literal

Point = tuple[float, float]
Anchor = Literal["middle", "start", "end"]

_POINT_MM = 25.4 / 72.0
# Widest usual advance of the text face's figures and small letters, in ems; errs to the wide side.
_ADVANCE_EM = 0.53


@dataclass(frozen=True)
class Pen:
    """How a line is drawn.

    Parameters
    ----------
    width_mm
        Its thickness. [mm]
    dash_mm
        Lengths of dash, gap, dash ... in turn; empty for a full line. [mm]
    """

    width_mm: float
    dash_mm: tuple[float, ...] = ()


OUTLINE = Pen(0.5)
CUT = Pen(0.25)
THIN = Pen(0.18)
FINE = Pen(0.1)
CENTRE = Pen(0.18, (6.0, 1.2, 1.2, 1.2))
HIDDEN = Pen(0.18, (2.0, 1.0))
BOLD = Pen(0.9)


@dataclass(frozen=True)
class Line:
    """A straight line.

    Parameters
    ----------
    start, end
        Its two ends. [mm]
    pen
        How it is drawn.
    """

    start: Point
    end: Point
    pen: Pen = OUTLINE

    def moved(self, x_mm: float, y_mm: float) -> Line:
        """Give the same line elsewhere."""
        return replace(self, start=_moved(self.start, x_mm, y_mm), end=_moved(self.end, x_mm, y_mm))

    def corners(self) -> list[Point]:
        """Points that the line's extent can be read from. [mm]"""
        return [self.start, self.end]

    def record(self) -> dict[str, Any]:
        """Write it as plain JSON values."""
        return {"kind": "line", "from": list(self.start), "to": list(self.end), "pen": _pen(self.pen)}


@dataclass(frozen=True)
class Arc:
    """Part of a circle, or the whole.

    Parameters
    ----------
    centre
        Its centre. [mm]
    radius_mm
        Its radius. [mm]
    from_deg, to_deg
        Where it begins and ends, anticlockwise from x; 0 to 360 for a circle. [deg]
    pen
        How it is drawn.
    """

    centre: Point
    radius_mm: float
    from_deg: float = 0.0
    to_deg: float = 360.0
    pen: Pen = OUTLINE

    def moved(self, x_mm: float, y_mm: float) -> Arc:
        """Give the same arc elsewhere."""
        return replace(self, centre=_moved(self.centre, x_mm, y_mm))

    def corners(self) -> list[Point]:
        """Points that the arc's extent can be read from. [mm]"""
        first, last = sorted((self.from_deg, self.to_deg))
        quarters = range(int(first // 90) + 1, int(last // 90) + 1)
        return [polar(self.centre, self.radius_mm, a) for a in (first, *(90.0 * q for q in quarters), last)]

    def record(self) -> dict[str, Any]:
        """Write it as plain JSON values."""
        return {
            "kind": "arc",
            "centre": list(self.centre),
            "radius_mm": self.radius_mm,
            "from_deg": self.from_deg,
            "to_deg": self.to_deg,
            "pen": _pen(self.pen),
        }


@dataclass(frozen=True)
class Polyline:
    """Straight lines from point to point.

    Parameters
    ----------
    points
        Its corners. [mm]
    closed
        Whether the last goes back to the first.
    fill
        What it is filled with.
    pen
        How its edge is drawn, or None for no edge.
    """

    points: tuple[Point, ...]
    closed: bool = False
    fill: Literal["none", "black", "white"] = "none"
    pen: Pen | None = OUTLINE

    def moved(self, x_mm: float, y_mm: float) -> Polyline:
        """Give the same polyline elsewhere."""
        return replace(self, points=tuple(_moved(point, x_mm, y_mm) for point in self.points))

    def corners(self) -> list[Point]:
        """Points that its extent can be read from. [mm]"""
        return list(self.points)

    def record(self) -> dict[str, Any]:
        """Write it as plain JSON values."""
        return {
            "kind": "polyline",
            "points": [list(point) for point in self.points],
            "closed": self.closed,
            "fill": self.fill,
            "pen": None if self.pen is None else _pen(self.pen),
        }


@dataclass(frozen=True)
class Ribbon:
    """A tube seen from the side: two edges along a middle line, white between, so that it hides what is drawn under it.

    Parameters
    ----------
    points
        Its middle line. [mm]
    width_mm
        From outer edge to outer edge. [mm]
    pen
        How the edges are drawn.
    """

    points: tuple[Point, ...]
    width_mm: float
    pen: Pen = OUTLINE

    def moved(self, x_mm: float, y_mm: float) -> Ribbon:
        """Give the same ribbon elsewhere."""
        return replace(self, points=tuple(_moved(point, x_mm, y_mm) for point in self.points))

    def corners(self) -> list[Point]:
        """Points that its extent can be read from. [mm]"""
        half = self.width_mm / 2.0
        return [(x + u, y + v) for x, y in self.points for u in (-half, half) for v in (-half, half)]

    def record(self) -> dict[str, Any]:
        """Write it as plain JSON values."""
        return {
            "kind": "ribbon",
            "points": [list(point) for point in self.points],
            "width_mm": self.width_mm,
            "pen": _pen(self.pen),
        }


@dataclass(frozen=True)
class Text:
    """A few words or figures.

    Parameters
    ----------
    at
        Where its anchor is: half way up its capitals. [mm]
    text
        What it says.
    size_pt
        Size of the letters. [pt]
    anchor
        Whether the anchor is its start, its middle or its end.
    turn_deg
        How far it is turned, anticlockwise about the anchor. [deg]
    bold
        Whether it is heavy.
    clear
        Whether what lies below it is whited out.
    """

    at: Point
    text: str
    size_pt: float = 10.5
    anchor: Anchor = "middle"
    turn_deg: float = 0.0
    bold: bool = False
    clear: bool = False

    @property
    def width_mm(self) -> float:
        """About how wide it will be, erring to the wide side. [mm]"""
        return len(self.text) * _ADVANCE_EM * self.size_pt * _POINT_MM

    @property
    def height_mm(self) -> float:
        """About how high its capitals and tails are. [mm]"""
        return self.size_pt * _POINT_MM

    def moved(self, x_mm: float, y_mm: float) -> Text:
        """Give the same text elsewhere."""
        return replace(self, at=_moved(self.at, x_mm, y_mm))

    def corners(self) -> list[Point]:
        """Corners of the box it is about to fill. [mm]"""
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * self.width_mm
        along, across = unit(self.turn_deg), unit(self.turn_deg + 90.0)
        return [
            (self.at[0] + u * along[0] + v * across[0], self.at[1] + u * along[1] + v * across[1])
            for u in (-before, self.width_mm - before)
            for v in (-0.5 * self.height_mm, 0.5 * self.height_mm)
        ]

    def record(self) -> dict[str, Any]:
        """Write it as plain JSON values."""
        return {
            "kind": "text",
            "at": list(self.at),
            "text": self.text,
            "size_pt": self.size_pt,
            "anchor": self.anchor,
            "turn_deg": self.turn_deg,
            "bold": self.bold,
            "clear": self.clear,
        }


Item = Line | Arc | Polyline | Ribbon | Text


@dataclass(frozen=True)
class Drawing:
    """Primitives on a piece of paper with its origin at the lower left.

    Parameters
    ----------
    width_mm, height_mm
        Size of the piece. [mm]
    items
        What is drawn on it, the undermost first.
    """

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]

    def record(self) -> dict[str, Any]:
        """Write it as plain JSON values."""
        return {
            "width_mm": self.width_mm,
            "height_mm": self.height_mm,
            "items": [item.record() for item in self.items],
        }


def around(items: Iterable[Item], margin_mm: float = 0.5) -> Drawing:
    """Put primitives on the smallest piece of paper that holds them.

    Parameters
    ----------
    items
        The primitives, wherever they lie.
    margin_mm
        Paper left all round. [mm]

    Returns
    -------
    Drawing
        The same primitives, moved together so that the paper's lower left corner is the origin.
    """
    kept = tuple(items)
    left, low, right, high = extent(kept)
    moved = tuple(item.moved(margin_mm - left, margin_mm - low) for item in kept)
    return Drawing(right - left + 2.0 * margin_mm, high - low + 2.0 * margin_mm, moved)


def extent(items: Iterable[Item]) -> tuple[float, float, float, float]:
    """Give how far primitives reach.

    Parameters
    ----------
    items
        At least one primitive.

    Returns
    -------
    tuple
        Least x, least y, greatest x, greatest y. [mm]
    """
    corners = [corner for item in items for corner in item.corners()]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def unit(angle_deg: float) -> Point:
    """Give the unit vector at an angle.

    Parameters
    ----------
    angle_deg
        Anticlockwise from x. [deg]

    Returns
    -------
    tuple
        x and y of it. [-]
    """
    return cos(radians(angle_deg)), sin(radians(angle_deg))


def polar(centre: Point, radius_mm: float, angle_deg: float) -> Point:
    """Give the point at a distance and an angle from another.

    Parameters
    ----------
    centre
        The other point. [mm]
    radius_mm
        The distance. [mm]
    angle_deg
        Anticlockwise from x. [deg]

    Returns
    -------
    tuple
        x and y. [mm]
    """
    x, y = unit(angle_deg)
    return centre[0] + radius_mm * x, centre[1] + radius_mm * y


def _pen(pen: Pen) -> dict[str, Any]:
    return {"width_mm": pen.width_mm, "dash_mm": list(pen.dash_mm)}


def _moved(point: Point, x_mm: float, y_mm: float) -> Point:
    return point[0] + x_mm, point[1] + y_mm
