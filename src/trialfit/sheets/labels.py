"""Where the words on a drawing go, so that they lie on nothing and on no other word."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import atan2, degrees, hypot

import numpy as np
from numpy.typing import NDArray

from trialfit.sheets.drawing import FINE, Item, Line, Point, Text, extent, unit

_LEADER_FROM_MM = 5.0
_APART_MM = 0.8
_DISTANCES_MM = (0.5, 2.5, 5.0, 8.0, 12.0, 16.0, 20.0, 25.0, 30.0)


Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Label:
    """Words that belong to a place of a drawing.

    Parameters
    ----------
    places
        Points they may be written beside, the best first. [mm]
    towards
        Which way from there they would best lie; any length. [-]
    text
        The words; where they stand in it does not matter.
    """

    places: tuple[Point, ...]
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
    filled, thin = sampled(line), list(rays)
    boxes: list[Box] = []
    items: list[Item] = []
    for label in labels:
        text, leader = _first_free(label, filled, thin, boxes, clear_mm)
        boxes.append(extent([text]))
        if leader is not None:
            items.append(leader)
            thin += sampled([leader.start, leader.end])
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
    label: Label, line: Sequence[Point], thin: Sequence[Point], boxes: Sequence[Box], clear_mm: float
) -> tuple[Text, Line | None]:
    best = degrees(atan2(label.towards[1], label.towards[0]))
    turns = sorted(range(0, 360, 15), key=lambda turn: min(turn, 360 - turn))
    thick, fine = np.array(line).reshape(-1, 2), np.array(thin).reshape(-1, 2)
    # A leader under other words is bad, words on words are worse: the second round allows the first only.
    for strict, distance, turn, at in product((True, False), _DISTANCES_MM, turns, label.places):
        if 60 < turn < 300 and distance < 2.0:
            continue
        text = _beside(label.text, at, unit(best + turn), clear_mm + distance)
        box = extent([text])
        leader = _leader(at, box) if distance > _LEADER_FROM_MM else None
        free = all(_apart(box, other) for other in boxes) and _clear_of(box, thick, clear_mm)
        if free and (not strict or (_clear_of(box, fine, 0.6) and (leader is None or _passes(leader, boxes)))):
            return text, leader
    text = _beside(label.text, label.places[0], label.towards, clear_mm + _DISTANCES_MM[-1])
    return text, _leader(label.places[0], extent([text]))


def _beside(text: Text, at: Point, way: Point, distance_mm: float) -> Text:
    """The text so far from its point that its box, not its middle, is at the distance."""
    long = hypot(*way) or 1.0
    x, y = way[0] / long, way[1] / long
    reach = distance_mm + min(text.width_mm / 2.0 / max(abs(x), 1e-9), text.height_mm / 2.0 / max(abs(y), 1e-9))
    return replace(text, at=(at[0] + reach * x, at[1] + reach * y), anchor="middle", turn_deg=0.0)


def _clear_of(box: Box, points: NDArray[np.float64], by_mm: float) -> bool:
    x, y = points[:, 0], points[:, 1]
    inside = (box[0] - by_mm < x) & (x < box[2] + by_mm) & (box[1] - by_mm < y) & (y < box[3] + by_mm)
    return not inside.any()


def _apart(one: Box, other: Box) -> bool:
    return (
        one[2] + _APART_MM < other[0]
        or other[2] + _APART_MM < one[0]
        or one[3] + _APART_MM < other[1]
        or other[3] + _APART_MM < one[1]
    )


def _passes(leader: Line, boxes: Sequence[Box]) -> bool:
    points = np.array(sampled([leader.start, leader.end]))
    return all(_clear_of(box, points, 0.3) for box in boxes)


def _leader(at: Point, box: Box) -> Line:
    nearest = (min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3]))
    return Line(at, nearest, FINE)
