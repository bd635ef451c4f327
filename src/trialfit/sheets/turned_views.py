"""A turned part in half section: outside above the axis, cut open below it.

Threads by the thin-line convention of ISO 6410-1: crests of a male thread and cores of a female one thick, the other
line thin, the end of full thread thick. Hatching of ISO 128-3 runs up to the thick line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil, sqrt

from trialfit.making.turned.features import Across, Inside, Outside
from trialfit.making.turned.profile import Piece
from trialfit.making.turned.records import TurnedPlan
from trialfit.sheets.drawing import CENTRE, FINE, HIDDEN, OUTLINE, THIN, Arc, Item, Line, Pen, Point, Polyline
from trialfit.sheets.layers import Layer, Layered, on

_SAME_MM = 1e-6
_BEYOND_MM = 4.0


def half_section(plan: TurnedPlan, scale: float, hatch_mm: float = 2.0) -> list[Layered]:
    """Draw a part without its dimensions.

    Parameters
    ----------
    plan
        The part, worked out.
    scale
        Paper over true size. [-]
    hatch_mm
        From one hatching line to the next, across them, on paper. [mm]

    Returns
    -------
    list
        Left face at x = 0, axis at y = 0. A part without any hole is drawn from outside above and below.
    """
    drawn = _Drawn(plan, scale)
    layered = [*drawn.outside_view(1.0)]
    if plan.part.inside or plan.part.across:
        layered += drawn.cut_half(hatch_mm)
    else:
        layered += drawn.outside_view(-1.0)
    beyond = plan.part.long_mm * scale + _BEYOND_MM
    return [*layered, *on("centre", [Line((-_BEYOND_MM, 0.0), (beyond, 0.0), CENTRE)])]


class _Drawn:
    """One part at one scale."""

    def __init__(self, plan: TurnedPlan, scale: float) -> None:
        self.plan, self.scale = plan, scale
        self.outer, self.inner = plan.outer, plan.inner
        self.long_mm = plan.part.long_mm

    def at(self, along_mm: float, radius_mm: float) -> Point:
        return along_mm * self.scale, radius_mm * self.scale

    def row(self, points: Sequence[Point], closed: bool = False) -> Polyline:
        return Polyline(tuple(self.at(*point) for point in points), closed=closed, pen=OUTLINE)

    def line(self, start: Point, end: Point) -> Line:
        return Line(self.at(*start), self.at(*end), OUTLINE)

    # ---- outside

    def outside_view(self, side: float) -> Iterator[Layered]:
        path = [(0.0, 0.0), *_path(self.outer), (self.long_mm, 0.0)]
        yield from on("outline", [self.row([(z, side * r) for z, r in path])])
        yield from on("outline", self._edges(side))
        for feature, start in zip(self.plan.part.outside, self.plan.part.starts_mm, strict=True):
            if feature.thread is not None:
                yield from on("thread", [self._root(feature, start, side)])
            if feature.kind == "hexagon":
                yield from on("outline", self._hexagon(feature, start, side))
        for hole in self.plan.part.across if side > 0 else ():
            yield from self._hole_above(hole)

    def _edges(self, side: float) -> Iterator[Item]:
        """The round edge at each change of diameter; the chamfer of a hexagon has curved edges of its own."""
        for before, after in pairwise(self.outer):
            if before.flats_mm and after.flats_mm:
                continue
            high = max(before.end_r_mm, after.start_r_mm)
            yield self.line((after.start_mm, 0.0), (after.start_mm, side * high))

    def _root(self, feature: Outside, start_mm: float, side: float) -> Line:
        assert feature.thread is not None
        core = side * feature.thread.core_mm / 2.0
        return Line(self.at(start_mm, core), self.at(start_mm + feature.long_mm, core), THIN)

    def _hexagon(self, feature: Outside, start_mm: float, side: float) -> Iterator[Item]:
        """Seen across the corners: one edge between two faces shows in each half, and the chamfers' curves."""
        flat, corner = feature.left_mm / 2.0, feature.left_mm / sqrt(3.0)
        left = start_mm + self._chamfered(feature.left_chamfer_mm, corner, corner)
        right = start_mm + feature.long_mm - self._chamfered(feature.right_chamfer_mm, corner, corner)
        yield self.line((left, side * corner / 2.0), (right, side * corner / 2.0))
        for chamfer, face, way in (
            (feature.left_chamfer_mm, start_mm, 1.0),
            (feature.right_chamfer_mm, start_mm + feature.long_mm, -1.0),
        ):
            if chamfer > 0.0:
                for turned in (False, True):
                    points = []
                    for step in range(13):
                        # Along a face from its middle outwards; the front face shows only half of itself.
                        across = corner / 2.0 * ((step / 6.0 - 1.0) if turned else step / 12.0)
                        deep = self._chamfered(chamfer, corner, sqrt(flat**2 + across**2))
                        high = flat * sqrt(3.0) / 2.0 + across / 2.0 if turned else across
                        points.append((face + way * deep, side * high))
                    yield self.row(points)

    @staticmethod
    def _chamfered(chamfer_mm: float, corner_mm: float, radius_mm: float) -> float:
        """How far from the face a 45 deg chamfer leaves a radius whole."""
        return max(radius_mm - (corner_mm - chamfer_mm), 0.0) if chamfer_mm > 0.0 else 0.0

    def _hole_above(self, hole: Across) -> Iterator[Layered]:
        """Seen from the left a hole points down at 0, to the front at 90, up at 180, to the back at 270."""
        outside, bore, half = *self._radii(hole.at_mm), hole.hole_mm / 2.0
        turn = round(hole.turn_deg) % 360
        if turn in (90, 270):
            seen: tuple[Layer, Pen] = ("outline", OUTLINE)
            layer, pen = seen if turn == 90 or hole.both else ("hidden", HIDDEN)
            yield from on(layer, [Arc(self.at(hole.at_mm, 0.0), half * self.scale, 0.0, 180.0, pen)])
            yield from on("centre", [self._hole_axis(hole, half, 1.0)])
        elif turn == 180 or (turn == 0 and hole.both):
            low = sqrt(max(bore**2 - half**2, 0.0))
            for place in (hole.at_mm - half, hole.at_mm + half):
                yield from on("hidden", [Line(self.at(place, low), self.at(place, outside), HIDDEN)])
            yield from on("centre", [self._hole_axis(hole, outside, 1.0)])

    def _hole_axis(self, hole: Across, to_mm: float, side: float) -> Line:
        x, y = self.at(hole.at_mm, side * to_mm)
        return Line((x, 0.0), (x, y + side * 2.0), CENTRE)

    # ---- cut open

    def cut_half(self, hatch_mm: float) -> Iterator[Layered]:
        gaps = [hole for hole in self.plan.part.across if self._shown_below(hole)]
        metal = [(z, -r) for z, r in (*_path(self.outer), *reversed(self._hollow()))]
        cut = [self.at(z, r) for z, r in metal]
        spans = [((h.at_mm - h.hole_mm / 2) * self.scale, (h.at_mm + h.hole_mm / 2) * self.scale) for h in gaps]
        yield from on("hatch", hatch_lines(cut, hatch_mm, spans))
        yield from on("outline", self._cut_outline(gaps))
        yield from on("outline", self._seen_inside())
        for feature, start in zip(self.plan.part.outside, self.plan.part.starts_mm, strict=True):
            if feature.thread is not None:
                yield from on("thread", [self._root(feature, start, -1.0)])
        for hole in self.plan.part.inside:
            if hole.thread is not None:
                yield from self._female(hole)
        for gap in gaps:
            yield from on("outline", self._gap(gap))
            yield from on("centre", [self._hole_axis(gap, self._radii(gap.at_mm)[0], -1.0)])

    @staticmethod
    def _shown_below(hole: Across) -> bool:
        return round(hole.turn_deg) % (180 if hole.both else 360) == 0

    def _hollow(self) -> list[Point]:
        """The inside's radius from face to face, nought where the part is solid."""
        points: list[Point] = []
        here = 0.0
        for piece in self.inner:
            if piece.start_mm > here + _SAME_MM:
                points += [(here, 0.0), (piece.start_mm, 0.0)]
            points += [(piece.start_mm, piece.start_r_mm), (piece.end_mm, piece.end_r_mm)]
            here = piece.end_mm
        if here < self.long_mm - _SAME_MM:
            points += [(here, 0.0), (self.long_mm, 0.0)]
        return points

    def _cut_outline(self, gaps: Sequence[Across]) -> Iterator[Item]:
        """Every edge of the metal but those on the axis, open where a cross hole comes through."""
        outer, hollow = _path(self.outer), self._hollow()
        edges = [*pairwise(outer), *pairwise(hollow), (outer[0], hollow[0]), (outer[-1], hollow[-1])]
        for (z0, r0), (z1, r1) in edges:
            if max(r0, r1) < _SAME_MM or (z0, r0) == (z1, r1):
                continue
            for a, b in _outside_of(z0, z1, [(g.at_mm - g.hole_mm / 2, g.at_mm + g.hole_mm / 2) for g in gaps]):
                share_a, share_b = ((a - z0) / (z1 - z0), (b - z0) / (z1 - z0)) if z1 != z0 else (0.0, 1.0)
                yield self.line((a, -(r0 + (r1 - r0) * share_a)), (b, -(r0 + (r1 - r0) * share_b)))

    def _seen_inside(self) -> Iterator[Item]:
        """Round edges seen behind the cut, from the axis out to the metal: steps, and mouths at the faces."""
        if self.inner and self.inner[0].start_mm < _SAME_MM:
            yield self.line((0.0, 0.0), (0.0, -self.inner[0].start_r_mm))
        if self.inner and self.inner[-1].end_mm > self.long_mm - _SAME_MM:
            yield self.line((self.long_mm, 0.0), (self.long_mm, -self.inner[-1].end_r_mm))
        for before, after in pairwise(self.inner):
            if after.start_mm - before.end_mm < _SAME_MM:
                yield self.line(
                    (after.start_mm, 0.0), (after.start_mm, -max(min(before.end_r_mm, after.start_r_mm), 0.0))
                )

    def _female(self, hole: Inside) -> Iterator[Layered]:
        major = hole.size_mm / 2.0
        deep = self.long_mm if hole.through else hole.deep_mm
        start, end = (0.0, deep) if hole.end == "left" else (self.long_mm - deep, self.long_mm)
        start, end = max(start, 0.0), min(end, self.long_mm)
        for a, b in _outside_of(start, end, [(p.start_mm, p.end_mm) for p in self.inner if _least(p) > major]):
            yield from on("thread", [Line(self.at(a, -major), self.at(b, -major), THIN)])
        inner_end = end if hole.end == "left" else start
        if not hole.through and _SAME_MM < inner_end < self.long_mm - _SAME_MM:
            low = max(self._radii(inner_end)[1], hole.hole_mm / 2.0)
            if low < major - _SAME_MM:
                yield from on("outline", [self.line((inner_end, -low), (inner_end, -major))])

    def _gap(self, hole: Across) -> Iterator[Item]:
        """A cross hole in the cut wall: its two sides, and its rims bowed as they lie on outside and bore."""
        half = hole.hole_mm / 2.0
        for place in (hole.at_mm - half, hole.at_mm + half):
            outside, bore = self._radii(place)
            yield self.line((place, -outside), (place, -max(bore, 0.0)))
        outside, bore = self._radii(hole.at_mm)
        for radius in (outside, bore):
            if radius > half:
                steps = [half * (k / 12.0 - 1.0) for k in range(25)]
                rim = [(hole.at_mm + s, -sqrt(radius**2 - (half**2 - s**2))) for s in steps]
                yield Polyline(tuple(self.at(*point) for point in rim), pen=THIN)

    def _radii(self, along_mm: float) -> tuple[float, float]:
        """Outside and bore at a place, as drawn."""
        outside = [p.radius_at(along_mm) for p in self.outer if p.start_mm <= along_mm <= p.end_mm]
        bore = [p.radius_at(along_mm) for p in self.inner if p.start_mm <= along_mm <= p.end_mm]
        return max(outside, default=0.0), max(bore, default=0.0)


def hatch_lines(cut: Sequence[Point], apart_mm: float, gaps: Sequence[tuple[float, float]] = ()) -> list[Line]:
    """Hatch an area at 45 deg.

    Parameters
    ----------
    cut
        Corners of the area. [mm]
    apart_mm
        From one line to the next, across them. [mm]
    gaps
        Stretches of x that stay white. [mm]

    Returns
    -------
    list
        Lines rising to the right.
    """
    step = apart_mm * sqrt(2.0)
    sums = [x - y for x, y in cut]
    lines: list[Line] = []
    edges = list(zip(cut, [*cut[1:], cut[0]], strict=True))
    for count in range(ceil(min(sums) / step), int(max(sums) // step) + 1):
        level = count * step + 1e-7
        xs = sorted(x for edge in edges for x in _crossing(edge, level))
        for start, end in zip(xs[::2], xs[1::2], strict=False):
            for a, b in _outside_of(start, end, gaps):
                if b - a > 0.05:
                    lines.append(Line((a, a - level), (b, b - level), FINE))
    return lines


def _crossing(edge: tuple[Point, Point], level: float) -> list[float]:
    (x0, y0), (x1, y1) = edge
    a, b = x0 - y0 - level, x1 - y1 - level
    return [x0 + (x1 - x0) * a / (a - b)] if (a > 0.0) != (b > 0.0) else []


def _outside_of(start: float, end: float, gaps: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """What is left of a stretch, in the direction it runs, when gaps are taken out."""
    low, high = min(start, end), max(start, end)
    if high - low < 1e-12:
        return [] if any(a < low < b for a, b in gaps) else [(start, end)]
    left = [(low, high)]
    for a, b in gaps:
        left = [piece for x, y in left for piece in ((x, min(y, a)), (max(x, b), y)) if piece[1] - piece[0] > 1e-9]
    return left if end >= start else [(b, a) for a, b in reversed(left)]


def _path(pieces: Sequence[Piece]) -> list[Point]:
    return [point for p in pieces for point in ((p.start_mm, p.start_r_mm), (p.end_mm, p.end_r_mm))]


def _least(piece: Piece) -> float:
    return min(piece.start_r_mm, piece.end_r_mm)
