"""A pipe from the front, where it lies flattest, and from above."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import hypot

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.records import PipePlan
from trialfit.sheets.drafting import dimension
from trialfit.sheets.drawing import CENTRE, FINE, THIN, Drawing, Item, Line, Polyline, Ribbon, Text, around, extent
from trialfit.sheets.labels import Label, placed
from trialfit.sheets.pipe_words import plain
from trialfit.sheets.pose import Posed, posed

Array = NDArray[np.float64]

_LETTERS_PT = 10.5
# Scales of ISO 5455 worth drawing a pipe to, the largest first.
_SCALES = ((2, 1), (1, 1), (1, 2), (1, 5), (1, 10), (1, 20), (1, 50))
# How far from a face its extension lines may run.
_RAY_MM = 250


@dataclass(frozen=True)
class Scaled:
    """A drawing with the scale it is drawn to.

    Parameters
    ----------
    drawing
        The drawing.
    scale
        Such as ``1:2``.
    """

    drawing: Drawing
    scale: str

    @property
    def full_size(self) -> bool:
        """Whether it is drawn full size."""
        return self.scale == "1:1"


def two_views(pipe: PipePlan, width_mm: float, height_mm: float) -> Scaled:
    """Draw a pipe from the front and, above that, from above (third angle).

    Parameters
    ----------
    pipe
        The pipe.
    width_mm, height_mm
        Paper there is for both. [mm]

    Returns
    -------
    Scaled
        The views with legs, bends and the distances between the faces written on.
    """
    pose = posed(pipe.vertices_mm, pipe.radius_mm)
    for up, down in _SCALES:
        drawing = _both(pipe, pose, up / down)
        # Paper is not spent on enlarging.
        high = height_mm * (0.6 if up > down else 1.0)
        if drawing.width_mm <= width_mm and drawing.height_mm <= high:
            break
    return Scaled(drawing, f"{up}:{down}")


def _both(pipe: PipePlan, pose: Posed, scale: float) -> Drawing:
    drawn, od_mm = pose.scaled(scale), pipe.tube.od_mm * scale
    turned = drawn.from_above()
    front = _view(drawn, od_mm, _full_labels(pipe, drawn), pose.vertices_mm, level=True)
    above = _view(turned, od_mm, _short_labels(pipe, turned), pose.from_above().vertices_mm, level=False)
    rise = extent(front)[3] - extent(above)[1] + 5.0
    return around([*front, *(item.moved(0.0, rise) for item in above)])


def _view(drawn: Posed, od_mm: float, labels: list[Label], true_mm: Array, level: bool) -> list[Item]:
    path = _flat(drawn.line_mm)
    kept = [path[0], *(b for a, b in pairwise(path) if hypot(b[0] - a[0], b[1] - a[1]) > 1e-6)]
    body: list[Item] = []
    if len(kept) > 1:
        body = [Ribbon(tuple(kept), od_mm), Polyline(tuple(kept), pen=CENTRE)]
    body += [_ring(drawn.line_mm[0], drawn.line_mm[1], od_mm), _ring(drawn.line_mm[-1], drawn.line_mm[-2], od_mm)]
    (x0, y0), (x1, y1) = path[0], path[-1]
    rays = [(x, y - down) for x, y in ((x0, y0), (x1, y1)) for down in range(_RAY_MM) if level]
    rays += [(x + right, y) for x, y in ((x0, y0), (x1, y1)) for right in range(_RAY_MM)]
    words = placed(labels, path, od_mm / 2.0 + 1.0, rays)
    reach = extent([*body, *words])
    return [*_between_faces(drawn.vertices_mm, true_mm, reach, level), *body, *words]


def _flat(points: Array) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y, _ in points]


def _ring(at: Array, beside: Array, od_mm: float) -> Polyline:
    """The round end of the tube as it is seen: between a circle and a line."""
    along = (at - beside) / np.linalg.norm(at - beside)
    across = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    across /= np.linalg.norm(across)
    turns = np.radians(np.arange(0.0, 360.0, 5.0))
    ring = at + od_mm / 2.0 * (np.outer(np.cos(turns), across) + np.outer(np.sin(turns), np.cross(along, across)))
    return Polyline(tuple(_flat(ring)), closed=True, fill="white", pen=THIN)


def _full_labels(pipe: PipePlan, drawn: Posed) -> list[Label]:
    middle = drawn.line_mm.mean(axis=0)
    labels = _end_labels(drawn)
    for bend, at, corner in zip(pipe.bends, drawn.bends_mm, drawn.vertices_mm[1:], strict=False):
        labels.append(_label((at,), corner - at, f"bend {bend.number}: {plain(bend.angle)}"))
    ends = zip(pipe.legs, drawn.vertices_mm, drawn.vertices_mm[1:], strict=False)
    for number, (leg, a, b) in enumerate(ends, start=1):
        along = b - a
        outward = np.array([-along[1], along[0], 0.0])
        if outward @ ((a + b) / 2.0 - middle) < 0.0:
            outward = -outward
        beside = tuple(a + share * along for share in (0.5, 0.4, 0.6, 0.3, 0.7))
        labels.append(_label(beside, outward, f"leg {number}: {plain(leg)}"))
    return labels


def _short_labels(pipe: PipePlan, drawn: Posed) -> list[Label]:
    labels = _end_labels(drawn)
    for bend, at, corner in zip(pipe.bends, drawn.bends_mm, drawn.vertices_mm[1:], strict=False):
        labels.append(_label((at,), corner - at, f"bend {bend.number}"))
    return labels


def _end_labels(drawn: Posed) -> list[Label]:
    return [
        _label((drawn.line_mm[0],), drawn.line_mm[0] - drawn.line_mm[1], "start", bold=True),
        _label((drawn.line_mm[-1],), drawn.line_mm[-1] - drawn.line_mm[-2], "far end", bold=True),
    ]


def _label(places: tuple[Array, ...], towards: Array, words: str, bold: bool = False) -> Label:
    way = (float(towards[0]), float(towards[1]))
    if hypot(*way) < 1e-6:
        way = (0.0, 1.0)
    return Label(tuple(_flat(np.array(places))), way, Text((0.0, 0.0), words, _LETTERS_PT, bold=bold))


def _between_faces(
    drawn_mm: Array, true_mm: Array, reach: tuple[float, float, float, float], level: bool
) -> list[Item]:
    """Dimension how far the far face's middle is from the start face's, along and across the page."""
    (x0, y0), (x1, y1) = _flat(drawn_mm)[0], _flat(drawn_mm)[-1]
    true_x, true_y = (float(value) for value in (true_mm[-1] - true_mm[0])[:2])
    _, low, right, _ = reach
    items: list[Item] = []
    if level and abs(x1 - x0) > 1.0:
        items += [Line((x0, y0), (x0, low - 1.0), FINE), Line((x1, y1), (x1, low - 1.0), FINE)]
        items += dimension((x0, low), (x1, low), -5.0 if x1 > x0 else 5.0, f"{abs(true_x):.1f} mm", _LETTERS_PT)
    if abs(y1 - y0) > 1.0:
        bottom, top = sorted((y0, y1))
        items += [Line((x0, y0), (right + 1.0, y0), FINE), Line((x1, y1), (right + 1.0, y1), FINE)]
        items += dimension((right, bottom), (right, top), -5.0, f"{abs(true_y):.1f} mm", _LETTERS_PT)
    return items
