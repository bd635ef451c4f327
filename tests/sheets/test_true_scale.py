"""Sheets: true scale, measured in the finished PDF, once in its paths and once in its dots.

What is expected is the nominal size itself: 100 mm of bar, the radius and tube of the pipe, 2 deg from tick to tick.
A millimetre is 72 / 25.4 points of a PDF (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from functools import lru_cache
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Any

import numpy as np
import pdfplumber
import pypdfium2
import pytest
from numpy.typing import NDArray

from trialfit.finding import Figure
from trialfit.fitup.records import PipePlan
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper
from trialfit.sheets.pipe import pipe_sheet

POINTS_A_MM = 72.0 / 25.4
DOTS_A_MM = 600.0 / 25.4
OD_MM = 4.7625  # 3/16 x 25.4
Point = tuple[float, float]


@dataclass(frozen=True)
class Sheet:
    """A finished sheet, taken apart: paths in mm from the lower left, dots from the upper left, dark is True."""

    width_mm: float
    height_mm: float
    lines: list[dict[str, Any]]
    curves: list[dict[str, Any]]
    dots: NDArray[np.bool_]

    def dark(self, x_mm: float, y_mm: float) -> bool:
        row, column = round((self.height_mm - y_mm) * DOTS_A_MM - 0.5), round(x_mm * DOTS_A_MM - 0.5)
        return bool(self.dots[row, column])

    def dark_runs(self, start: Point, end: Point, step_mm: float = 0.01) -> list[float]:
        """Distances from `start` of the middle of each dark place on the way to `end`. [mm]"""
        long = hypot(end[0] - start[0], end[1] - start[1])
        along = np.arange(0.0, long, step_mm)
        ux, uy = (end[0] - start[0]) / long, (end[1] - start[1]) / long
        seen = np.array([self.dark(start[0] + s * ux, start[1] + s * uy) for s in along])
        return _middles(seen, along)


def _middles(seen: NDArray[np.bool_], at: NDArray[np.float64]) -> list[float]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], seen.astype(int), [0]])))
    return [float(at[a] + at[b - 1]) / 2.0 for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _mm(page: Any, shape: dict[str, Any]) -> dict[str, Any]:
    low = float(page.height)
    path = [[(x / POINTS_A_MM, (low - y) / POINTS_A_MM) for x, y in points] for _, *points in shape["path"]]
    pen = float(shape["linewidth"]) / POINTS_A_MM
    return {"path": path, "pen_mm": pen, "dashed": bool(shape["dash"] and shape["dash"][0]), "filled": shape["fill"]}


@lru_cache(maxsize=8)
def _taken_apart(made: bytes, page_from_end: int) -> Sheet:
    with pdfplumber.open(io.BytesIO(made)) as document:
        page = document.pages[-1 - page_from_end]
        lines, curves = [_mm(page, line) for line in page.lines], [_mm(page, curve) for curve in page.curves]
        wide, high = float(page.width) / POINTS_A_MM, float(page.height) / POINTS_A_MM
    drawn = pypdfium2.PdfDocument(made)
    picture = drawn[len(drawn) - 1 - page_from_end].render(scale=600.0 / 72.0, grayscale=True).to_numpy()
    return Sheet(wide, high, lines, curves, np.squeeze(picture) < 128)


def _sheet(job: Job, shop: Shop, pipe: PipePlan, paper: Paper = "a4", page_from_end: int = 0) -> Sheet:
    record = pipe_sheet(job, pipe, shop, paper=paper)
    return _taken_apart(pdf("pipe.typ", record, "pipe", job.job.date), page_from_end)


def _ends(line: dict[str, Any]) -> tuple[Point, Point]:
    return line["path"][0][0], line["path"][-1][-1]


def _long(line: dict[str, Any]) -> float:
    (x0, y0), (x1, y1) = _ends(line)
    return hypot(x1 - x0, y1 - y0)


def _circle(curve: dict[str, Any]) -> tuple[float, float, float]:
    """Centre and radius of the circle through a curve's joints, by least squares."""
    joints = np.array([points[-1] for points in curve["path"] if points])
    A = np.column_stack([2.0 * joints, np.ones(len(joints))])
    x, y, c = np.linalg.lstsq(A, (joints**2).sum(axis=1), rcond=None)[0]
    return float(x), float(y), float(np.sqrt(c + x * x + y * y))


def _arcs(sheet: Sheet) -> list[dict[str, Any]]:
    return [curve for curve in sheet.curves if not curve["filled"] and len(curve["path"]) > 2]


@pytest.mark.parametrize(("paper", "wide", "high"), [("a4", 210.0, 297.0), ("us-letter", 215.9, 279.4)])
def test_both_check_bars_are_100_mm_on_paper(
    job: Job, shop: Shop, pipe: PipePlan, paper: Paper, wide: float, high: float
) -> None:
    # Paper sizes: ISO 216 A4; 8 1/2 x 11 in.
    sheet = _sheet(job, shop, pipe, paper)
    assert (sheet.width_mm, sheet.height_mm) == pytest.approx((wide, high), abs=0.05)
    bars = [line for line in sheet.lines if abs(_long(line) - 100.0) < 2.0 and line["pen_mm"] > 0.4]
    assert [round(_long(bar), 3) for bar in bars] == [100.0, 100.0]
    (level,) = [_ends(bar) for bar in bars if abs(_ends(bar)[0][1] - _ends(bar)[1][1]) < 0.01]
    (upright,) = [_ends(bar) for bar in bars if abs(_ends(bar)[0][0] - _ends(bar)[1][0]) < 0.01]
    # In the dots: beside each bar, 2.8 mm off, only the two end ticks stand (the others are 2.2 and 1.2 mm).
    left, right = sorted(level)
    ticks = sheet.dark_runs((left[0] - 1.0, left[1] - 2.8), (right[0] + 1.0, right[1] - 2.8))
    assert ticks[-1] - ticks[0] == pytest.approx(100.0, abs=0.1)
    assert len(ticks) == 2
    low, top = sorted(upright, key=lambda point: point[1])
    ticks = sheet.dark_runs((low[0] + 2.8, low[1] - 1.0), (top[0] + 2.8, top[1] + 1.0))
    assert ticks[-1] - ticks[0] == pytest.approx(100.0, abs=0.1)
    assert len(ticks) == 2


def test_a_tick_stands_each_10_mm_of_a_bar(job: Job, shop: Shop, pipe: PipePlan) -> None:
    sheet = _sheet(job, shop, pipe)
    bars = [sorted(_ends(line)) for line in sheet.lines if abs(_long(line) - 100.0) < 2.0]
    left, right = next(bar for bar in bars if abs(bar[0][1] - bar[1][1]) < 0.01)
    ticks = sheet.dark_runs((left[0] - 1.0, left[1] - 0.8), (right[0] + 1.0, right[1] - 0.8))
    assert np.diff(ticks) == pytest.approx(np.full(10, 10.0), abs=0.1)


def test_gauges_have_the_bends_radius_angle_and_tube(job: Job, shop: Shop, pipe: PipePlan) -> None:
    sheet = _sheet(job, shop, pipe)
    heavy = [arc for arc in _arcs(sheet) if arc["pen_mm"] > 0.4 and not arc["dashed"]]
    dashed = [arc for arc in _arcs(sheet) if arc["dashed"]]
    for place, angle in enumerate((60.0, 90.0)):
        inner, outer = heavy[2 * place], heavy[2 * place + 1]
        x, y, radius = _circle(inner)
        assert radius == pytest.approx(12.7 - OD_MM / 2.0, abs=0.01)
        assert _circle(outer) == pytest.approx((x, y, 12.7 + OD_MM / 2.0), abs=0.01)
        assert _circle(dashed[place]) == pytest.approx((x, y, 12.7), abs=0.01)
        (x0, y0), (x1, y1) = inner["path"][0][0], inner["path"][-1][-1]
        swept = degrees(atan2(y1 - y, x1 - x) - atan2(y0 - y, x0 - x))
        assert swept % 360.0 == pytest.approx(angle, abs=0.01)


def test_gauge_stubs_leave_at_the_bends_angle_a_tube_apart(job: Job, shop: Shop, pipe: PipePlan) -> None:
    sheet = _sheet(job, shop, pipe)
    x, y, _ = _circle(next(arc for arc in _arcs(sheet) if arc["dashed"]))
    # Level stub: 5 mm before the bend; leaving stub: 5 mm after it, square across the way it leaves.
    for angle, back in ((0.0, -5.0), (60.0, 5.0)):
        foot_x = x + 12.7 * sin(radians(angle)) + back * cos(radians(angle))
        foot_y = y - 12.7 * cos(radians(angle)) + back * sin(radians(angle))
        nx, ny = -sin(radians(angle)), cos(radians(angle))
        across = sheet.dark_runs((foot_x - 6.0 * nx, foot_y - 6.0 * ny), (foot_x + 6.0 * nx, foot_y + 6.0 * ny))
        assert across[-1] - across[0] == pytest.approx(OD_MM, abs=0.1)
        assert (across[-1] + across[0]) / 2.0 == pytest.approx(6.0, abs=0.1)


def test_gauge_edges_run_where_the_tube_lies_in_the_dots(job: Job, shop: Shop, pipe: PipePlan) -> None:
    sheet = _sheet(job, shop, pipe)
    x, y, _ = _circle([arc for arc in _arcs(sheet) if arc["dashed"]][1])
    for turn in range(-85, 0, 17):
        ux, uy = cos(radians(turn)), sin(radians(turn))
        edges = sheet.dark_runs((x + 8.0 * ux, y + 8.0 * uy), (x + 17.0 * ux, y + 17.0 * uy))
        assert edges[0] + 8.0 == pytest.approx(10.31875, abs=0.1)  # 12.7 - 4.7625 / 2
        assert edges[-1] + 8.0 == pytest.approx(15.08125, abs=0.1)  # 12.7 + 4.7625 / 2


def _disc(sheet: Sheet) -> tuple[float, float, float, float]:
    """Centre, rim radius and bore radius."""
    rounds = [_circle(arc) for arc in _arcs(sheet) if len(arc["path"]) > 12]
    rim, bore = sorted(rounds, key=lambda each: -each[2])
    assert (rim[0], rim[1]) == pytest.approx((bore[0], bore[1]), abs=0.005)
    return rim[0], rim[1], rim[2], bore[2]


def _around(sheet: Sheet, centre: Point, radius: float) -> list[float]:
    """Turns, clockwise from the top, of what is dark on a circle. [deg]"""
    turns = np.arange(-1.0, 359.0, 0.01)
    points = [(centre[0] + radius * sin(radians(t)), centre[1] + radius * cos(radians(t))) for t in turns]
    return _middles(np.array([sheet.dark(*point) for point in points]), turns)


def test_the_discs_hole_is_the_tube(job: Job, shop: Shop, pipe: PipePlan) -> None:
    sheet = _sheet(job, shop, pipe)
    x, y, _, bore = _disc(sheet)
    assert 2.0 * bore == pytest.approx(OD_MM, abs=0.005)
    # In the dots, along a way that meets no mark: from the centre to the rim of the hole.
    assert sheet.dark_runs((x, y), (x + 5.0, y))[0] == pytest.approx(OD_MM / 2.0, abs=0.1)


def test_the_disc_has_a_tick_each_2_deg(job: Job, shop: Shop, pipe: PipePlan) -> None:
    sheet = _sheet(job, shop, pipe)
    x, y, rim, _ = _disc(sheet)
    turns = _around(sheet, (x, y), rim - 2.0)
    # The slit is drawn beside a tick, not on it: an odd number of degrees.
    ticks = [turn for turn in turns if round(turn) % 2 == 0]
    assert ticks == pytest.approx([2.0 * k for k in range(180)], abs=0.15)


@pytest.mark.parametrize(("turn_deg", "clockwise_from_top"), [(30.0, 30.0), (-77.3, 282.7), (180.0, 180.0)])
def test_the_disc_marks_the_pipes_own_turn(
    job: Job, shop: Shop, pipe: PipePlan, turn_deg: float, clockwise_from_top: float
) -> None:
    bends = (pipe.bends[0], replace(pipe.bends[1], rotation=Figure(turn_deg, "deg", 1.4, 1)))
    sheet = _sheet(job, shop, replace(pipe, bends=bends))
    x, y, rim, bore = _disc(sheet)
    heavy = [line for line in sheet.lines if line["pen_mm"] > 0.8 and abs(hypot(*_off(line, x, y)) - bore) < 0.1]
    turns = sorted(degrees(atan2(end[0] - x, end[1] - y)) % 360.0 for end in (_outer(line, x, y) for line in heavy))
    assert turns == pytest.approx([0.0, clockwise_from_top], abs=0.01)
    tips = [turn for turn in _around(sheet, (x, y), rim - 6.5) if abs(turn - clockwise_from_top) < 0.9]
    assert tips == pytest.approx([clockwise_from_top], abs=0.2)


def _off(line: dict[str, Any], x: float, y: float) -> Point:
    ends = sorted(((px - x, py - y) for px, py in _ends(line)), key=lambda point: hypot(*point))
    return ends[0]


def _outer(line: dict[str, Any], x: float, y: float) -> Point:
    return max(_ends(line), key=lambda point: hypot(point[0] - x, point[1] - y))


def test_a_clockwise_turn_is_clockwise_along_the_tube_from_its_start(pipe: PipePlan) -> None:
    # The disc lies on 0 with the leg before; the next leg must go off at the mark. Taken from the corners alone:
    # looking along leg 2, `right` is clockwise from `up` where right = along x up.
    corners = pipe.vertices_mm
    first, second, third = corners[1] - corners[0], corners[2] - corners[1], corners[3] - corners[2]
    along = second / np.linalg.norm(second)
    up = -(first - first @ along * along)
    up /= np.linalg.norm(up)
    clockwise = degrees(atan2(float(third @ np.cross(along, up)), float(third @ up)))
    assert clockwise == pytest.approx(30.0, abs=1e-4)
    assert pipe.bends[1].rotation.value == 30.0


def test_the_marked_tube_is_full_size_with_its_marks_where_they_belong(job: Job, shop: Shop, pipe: PipePlan) -> None:
    sheet = _sheet(job, shop, pipe, page_from_end=2)
    heavy = sorted(_ends(line)[0][0] for line in sheet.lines if line["pen_mm"] > 0.8)
    (x0, y), (x1, _) = max(
        (_ends(line) for line in sheet.lines if line["dashed"]), key=lambda ends: ends[1][0] - ends[0][0]
    )
    start = x0 + 3.0  # the centre line overshoots by 3 mm either way
    assert x1 - x0 == pytest.approx(116.1839 + 6.0, abs=0.01)
    assert [mark - start for mark in heavy] == pytest.approx([36.1677, 49.4671, 74.4348, 94.3839], abs=0.01)
    # In the dots, just above the tube: the same four, and the thin ends.
    seen = [at - 3.0 for at in sheet.dark_runs((x0, y + OD_MM / 2.0 + 1.0), (x1, y + OD_MM / 2.0 + 1.0))]
    assert seen == pytest.approx([0.0, 36.1677, 49.4671, 74.4348, 94.3839, 116.1839], abs=0.1)


def test_a_tube_longer_than_the_paper_says_that_it_is_not_for_marking_off(job: Job, shop: Shop, pipe: PipePlan) -> None:
    longer = replace(pipe, cut_length=Figure(300.0, "mm", 0.5))
    assert pipe_sheet(job, pipe, shop)["strip"]["note"] == "true size; distances from the start end in mm"
    assert pipe_sheet(job, longer, shop)["strip"]["note"] == (
        "drawn 1:2, not for marking off; distances from the start end in mm"
    )


def test_a_gauge_larger_than_the_paper_is_not_drawn_small(job: Job, shop: Shop, pipe: PipePlan) -> None:
    record = pipe_sheet(job, replace(pipe, radius_mm=400.0), shop)
    assert [gauge["drawing"] for gauge in record["gauges"]] == [None, None]
    assert record["gauges"][0]["note"] == "Larger than the paper: not drawn. Set it out on a board."
