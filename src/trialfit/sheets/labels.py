"""Where the words on a drawing go, so that they lie on nothing and on no other word."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import atan2, degrees, hypot

from trialfit.sheets.drawing import FINE, Item, Line, Point, Text, extent, unit

_LEADER_FROM_MM = 5.0
_APART_MM = 0.8


@dataclass(frozen=True)
class Label:
    """Words that belong to a point of a drawing.

    Parameters
    ----------
    at
        The point. [mm]
    towards
        Which way from it they would best lie; any length. [-]
    text
        The words; where they stand in it does not matter.
    """

    at: Point
    towards: Point
    text: Text


def placed(labels: Sequence[Label], line: Sequence[Point], clear_mm: float, rays: Sequence[Point] = ()) -> list[Item]:
    """Place labels beside a thick line, the first first.

    Parameters
    ----------
    labels
        The labels.
    line
        Middle of the line that must stay readable. [mm]
    clear_mm
        How far from it a label must stay. [mm]
    rays
        Points of thin lines, which a label need only not lie on. [mm]

    Returns
    -------
    list
        The texts, and a leader for each that had to go far.
    """
    filled = sampled(line)
    boxes: list[tuple[float, float, float, float]] = []
    items: list[Item] = []
    for label in labels:
        text, distance = _first_free(label, filled, rays, boxes, clear_mm)
        boxes.append(extent([text]))
        if distance > _LEADER_FROM_MM:
            items.append(_leader(label, text))
        items.append(text)
    return items


def sampled(points: Sequence[Point], step_mm: float = 1.0) -> list[Point]:
    """Fill a row of points in, so that no gap is wider than a step.

    Parameters
    ----------
    points
        The row. [mm]
    step_mm
        The widest gap. [mm]

    Returns
    -------
    list
        The row with points between. [mm]
    """
    filled = [points[0]]
    for a, b in pairwise(points):
        pieces = int(hypot(b[0] - a[0], b[1] - a[1]) / step_mm) + 1
        filled += [(a[0] + (b[0] - a[0]) * k / pieces, a[1] + (b[1] - a[1]) * k / pieces) for k in range(1, pieces + 1)]
    return filled


def spread(wanted_mm: Sequence[float], apart_mm: float) -> list[float]:
    """Push a rising row of places apart until none is too near the next, moving each as little as can be.

    Parameters
    ----------
    wanted_mm
        Where they would best be, rising. [mm]
    apart_mm
        Least distance from one to the next. [mm]

    Returns
    -------
    list
        Where they go, rising. [mm]
    """
    groups: list[tuple[float, int]] = []
    for place in wanted_mm:
        groups.append((place, 1))
        while len(groups) > 1:
            (m, n), (mm, nn) = groups[-2:]
            if mm - m >= apart_mm * (n + nn) / 2.0 - 1e-9:
                break
            groups[-2:] = [((m * n + mm * nn) / (n + nn), n + nn)]
    return [middle + apart_mm * (k - (count - 1) / 2.0) for middle, count in groups for k in range(count)]


def _first_free(
    label: Label,
    line: Sequence[Point],
    rays: Sequence[Point],
    boxes: Sequence[tuple[float, float, float, float]],
    clear_mm: float,
) -> tuple[Text, float]:
    best = degrees(atan2(label.towards[1], label.towards[0]))
    turns = sorted(range(0, 360, 15), key=lambda turn: min(turn, 360 - turn))
    for distance, turn in product((0.5, 2.5, 5.0, 8.0, 12.0, 16.0, 20.0, 25.0), turns):
        if turn > 60 and distance < 2.0:
            continue
        text = _beside(label, unit(best + turn), clear_mm + distance)
        box = extent([text])
        free = _clear_of_line(box, line, clear_mm) and _clear_of_line(box, rays, 0.6)
        if free and all(_apart(box, other) for other in boxes):
            return text, distance
    return _beside(label, label.towards, clear_mm + 25.0), 25.0


def _beside(label: Label, way: Point, distance_mm: float) -> Text:
    """The text so far from its point that its box, not its middle, is at the distance."""
    long = hypot(*way) or 1.0
    x, y = way[0] / long, way[1] / long
    half_wide, half_high = label.text.width_mm / 2.0, label.text.height_mm / 2.0
    reach = distance_mm + min(half_wide / max(abs(x), 1e-9), half_high / max(abs(y), 1e-9))
    return replace(label.text, at=(label.at[0] + reach * x, label.at[1] + reach * y), anchor="middle", turn_deg=0.0)


def _clear_of_line(box: tuple[float, float, float, float], line: Sequence[Point], by_mm: float) -> bool:
    left, low, right, high = box[0] - by_mm, box[1] - by_mm, box[2] + by_mm, box[3] + by_mm
    return not any(left < x < right and low < y < high for x, y in line)


def _apart(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return (
        one[2] + _APART_MM < other[0]
        or other[2] + _APART_MM < one[0]
        or one[3] + _APART_MM < other[1]
        or other[3] + _APART_MM < one[1]
    )


def _leader(label: Label, text: Text) -> Line:
    left, low, right, high = extent([text])
    nearest = (min(max(label.at[0], left), right), min(max(label.at[1], low), high))
    return Line(label.at, nearest, FINE)
