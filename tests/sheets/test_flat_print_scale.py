"""Sheets: the flat print measured in the finished PDF at 600 dots an inch.

What is expected is the example's own card: squares of 16.000 mm (its truth: printed at scale 1.000, and its long edge
measured as 148.01 mm of 148), its corners numbered and placed by OpenCV, found on the page by OpenCV's own detector.
The photographs have 4 to 10 px a millimetre there, so a corner is found to 0.02 to 0.05 mm; the survey's own band near
the card is 0.1 to 0.2 mm. So 0.1 mm rms is what a true print must keep.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache
from typing import Any

import cv2
import numpy as np
import pdfplumber
import pypdfium2
import pytest
from numpy.typing import NDArray
from pypdf import PdfReader

from backhead import folder
from flat_prints import board, flat, printed
from trialfit.sheets.flat_pages import Join
from trialfit.sheets.flat_print import flat_print_pdf
from trialfit.sheets.heading import Paper
from trialfit.survey.flat_limits import Window

Array = NDArray[np.float64]
Dots = NDArray[np.uint8]
POINTS_A_MM = 72.0 / 25.4
DOTS_A_MM = 600.0 / 25.4
PHOTOGRAPHS = ("above_left", "right")
ONE_PAGE_MM, LARGE_MM, LARGE = 156.0, 300.0, "above_left"


@dataclass(frozen=True)
class Sheet:
    """One page: its dots from the upper left, and where its frame's lower left corner lies, from the lower left."""

    dots: Dots
    high_mm: float
    frame_mm: tuple[float, float]
    lines: list[tuple[float, float, float, float, float]]

    def in_plane(self, dots: Array, window: Window) -> Array:
        """(n, 2) dots as places on the page's rule; the middle of dot 0 is half a dot from the paper's edge."""
        mm = (dots + 0.5) / DOTS_A_MM
        x = mm[:, 0] - self.frame_mm[0] + window.left_mm
        return np.stack([x, self.high_mm - mm[:, 1] - self.frame_mm[1] + window.low_mm], axis=1)

    def on_paper(self, places_mm: Array, window: Window) -> Array:
        """(n, 2) places on the page's rule as dots."""
        x = places_mm[:, 0] - window.left_mm + self.frame_mm[0]
        y = self.high_mm - (places_mm[:, 1] - window.low_mm + self.frame_mm[1])
        return np.stack([x, y], axis=1) * DOTS_A_MM - 0.5


@cache
def sheets(name: str, size_mm: float) -> tuple[Sheet, ...]:
    """The pages at true scale, without the first."""
    content = printed(name, size_mm)
    drawn = pypdfium2.PdfDocument(content)
    out = []
    with pdfplumber.open(io.BytesIO(content)) as document:
        for number in range(1, len(document.pages)):
            page = document.pages[number]
            high = float(page.height)
            # The rule's frame is the widest upright rectangle.
            frame = max((box for box in [*page.rects, *page.curves] if len(box["pts"]) in (4, 5)), key=_wide)
            corner = (float(frame["x0"]) / POINTS_A_MM, (high - float(frame["bottom"])) / POINTS_A_MM)
            lines = [_line(line, high) for line in page.lines]
            dots = np.squeeze(drawn[number].render(scale=600.0 / 72.0, grayscale=True).to_numpy())
            out.append(Sheet(dots, high / POINTS_A_MM, corner, lines))
    return tuple(out)


def _wide(box: dict[str, Any]) -> float:
    return float(box["width"])


def _line(line: dict[str, Any], high: float) -> tuple[float, float, float, float, float]:
    (x0, y0), (x1, y1) = line["pts"][0], line["pts"][-1]
    mm = [float(v) / POINTS_A_MM for v in (x0, high - y0, x1, high - y1)]
    return mm[0], mm[1], mm[2], mm[3], float(line["linewidth"]) / POINTS_A_MM


def nominal() -> Array:
    """(28, 2) corners of the card in the job frame, by OpenCV's board; its y runs down from the top of the board."""
    across = np.asarray(board().aruco.getChessboardCorners(), dtype=float)
    return np.stack([across[:, 0], 80.0 - across[:, 1]], axis=1)


def settled(sheet: Sheet, dots: Array) -> Array:
    """(n, 2) corners near given dots, to a part of a dot, by OpenCV; the grain is smoothed over 0.2 mm first."""
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 60, 1e-3)
    # As much of the page as they and what is looked at round them take.
    low = np.maximum(dots.min(axis=0) - 80.0, 0.0).astype(int)
    high = (dots.max(axis=0) + 80.0).astype(int)
    smooth = cv2.GaussianBlur(sheet.dots[low[1] : high[1], low[0] : high[0]], (0, 0), 4.0)
    rough = (dots - low).reshape(-1, 1, 2).astype(np.float32)
    found = np.asarray(cv2.cornerSubPix(smooth, rough, (30, 30), (-1, -1), stop), dtype=float)
    return np.asarray(found.reshape(-1, 2) + low)


@cache
def detected(name: str) -> dict[int, Array]:
    """The card's corners on the one page it is printed on, by their numbers, in millimetres of the page's rule."""
    (sheet,), (page,) = sheets(name, ONE_PAGE_MM), flat(name, ONE_PAGE_MM).pages.pages
    half = cv2.resize(sheet.dots, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    px, ids, _, _ = cv2.aruco.CharucoDetector(board().aruco).detectBoard(half)
    dots = settled(sheet, (np.asarray(px, dtype=float).reshape(-1, 2) + 0.5) * 2.0 - 0.5)
    return dict(zip([int(number) for number in np.ravel(ids)], sheet.in_plane(dots, page.window), strict=True))


def sides(found: dict[int, Array]) -> Array:
    """Sides of squares between corners that were found, beside their true 16 mm. [mm]"""
    pairs = [
        (a, b) for a in found for b in found if a < b and abs(np.linalg.norm(nominal()[a] - nominal()[b]) - 16) < 1
    ]
    return np.array([np.linalg.norm(found[a] - found[b]) for a, b in pairs])


@pytest.mark.parametrize("name", PHOTOGRAPHS)
def test_squares_of_the_card_are_16_mm(name: str) -> None:
    found = detected(name)
    assert len(found) >= 15
    off = sides(found) - 16.0
    print(f"{name}: {len(off)} sides of squares, rms {np.sqrt((off**2).mean()):.3f} mm, mean {off.mean():+.3f} mm")
    assert np.sqrt((off**2).mean()) < 0.1
    assert abs(off.mean()) < 0.02  # a scale out by 0.12 %


@pytest.mark.parametrize("name", PHOTOGRAPHS)
def test_the_card_lies_true_on_the_rule(name: str) -> None:
    off = np.array([np.linalg.norm(at - nominal()[number]) for number, at in detected(name).items()])
    print(f"{name}: {len(off)} corners on the rule, rms {np.sqrt((off**2).mean()):.3f} mm, worst {off.max():.3f} mm")
    assert np.sqrt((off**2).mean()) < 0.1
    assert off.max() < 0.2


def test_on_each_of_several_pages_the_card_lies_true_on_the_rule() -> None:
    made, count = flat(LARGE, LARGE_MM), 0
    for sheet, page in zip(sheets(LARGE, LARGE_MM), made.pages.pages, strict=True):
        here = np.array([place for place in nominal() if _bare(place, page.window, made.pages.joins)])
        if not len(here):
            continue
        # Looked for from half a millimetre off.
        at = sheet.in_plane(settled(sheet, sheet.on_paper(here + np.array([0.3, -0.4]), page.window)), page.window)
        off = np.linalg.norm(at - here, axis=1)
        print(f"page {page.row}, {page.column}: {len(here)} corners, rms {np.sqrt((off**2).mean()):.3f} mm")
        assert np.sqrt((off**2).mean()) < 0.1
        count += len(here)
    assert count >= 12


def _bare(place: Array, window: Window, joins: tuple[Join, ...]) -> bool:
    """Whether a place is well within a page and nothing is drawn over it: no join, no arrow of the 40 mm grid."""
    x, y = place
    inside = window.left_mm + 3 < x < window.right_mm - 3 and window.low_mm + 3 < y < window.high_mm - 3
    on_join = any(abs((x if join.upright else y) - join.at_mm) < 6.0 for join in joins)
    by_arrow = np.linalg.norm(place - 40.0 * np.rint(place / 40.0)) < 9.0
    # The photograph cuts the card off along a line from (-36, 50) to (64, -28).
    cut_off = (x + 36.0) * 78.0 + (y - 50.0) * 100.0 < 600.0
    return inside and not on_join and not by_arrow and not cut_off


def test_the_picture_runs_on_across_each_join() -> None:
    made, worst = flat(LARGE, LARGE_MM), 0.0
    assert len(made.pages.joins) >= 3
    for join in made.pages.joins:
        pairs = [
            _patches(sheet, page.window, join)
            for sheet, page in zip(sheets(LARGE, LARGE_MM), made.pages.pages, strict=True)
            if (page.row, page.column) in join.between
        ]
        compared = 0
        for one, other in zip(*pairs, strict=True):
            if one.std() > 4.0:  # something is to be seen there
                (across, down), _ = cv2.phaseCorrelate(one, other)
                worst = max(worst, float(np.hypot(across, down)) / DOTS_A_MM)
                compared += 1
        assert compared >= 2, join.letter
    print(f"{LARGE}: pages laid by their rules, the picture is at most {worst:.3f} mm apart across a join")
    # Either page is rounded to whole dots: 0.04 mm.
    assert worst < 0.1


def _patches(sheet: Sheet, window: Window, join: Join) -> list[NDArray[np.float32]]:
    """Of the overlap, squares of 3 mm to both sides of its line, between the diamonds."""
    out = []
    for share in (0.35, 0.42, 0.58, 0.65):
        for aside in (-2.8, 2.8):
            along = join.from_mm + share * (join.to_mm - join.from_mm)
            place = np.array([[join.at_mm + aside, along] if join.upright else [along, join.at_mm + aside]])
            column, row = np.rint(sheet.on_paper(place, window))[0].astype(int)
            out.append(sheet.dots[row - 36 : row + 36, column - 36 : column + 36].astype(np.float32))
    return out


@pytest.mark.parametrize(("name", "size_mm"), [(LARGE, LARGE_MM), ("right", ONE_PAGE_MM)])
def test_both_check_bars_of_every_page_are_100_mm(name: str, size_mm: float) -> None:
    for sheet in sheets(name, size_mm):
        bars = [line for line in sheet.lines if line[4] > 0.4 and abs(_long(line) - 100.0) < 2.0]
        assert [round(_long(bar), 3) for bar in bars] == [100.0, 100.0]
        (level,) = [bar for bar in bars if abs(bar[1] - bar[3]) < 0.01]
        (upright,) = [bar for bar in bars if abs(bar[0] - bar[2]) < 0.01]
        # In the dots: 2.8 mm beside each bar only its two end ticks stand.
        row = round((sheet.high_mm - level[1] + 2.8) * DOTS_A_MM)
        left, right = (round((v + d) * DOTS_A_MM) for v, d in ((level[0], -1.0), (level[2], 1.0)))
        assert _apart(sheet.dots[row, left:right]) == pytest.approx(100.0, abs=0.1)
        column = round((upright[0] + 2.8) * DOTS_A_MM)
        low, high = sorted((upright[1], upright[3]))
        top, bottom = (round((sheet.high_mm - v) * DOTS_A_MM) for v in (high + 1.0, low - 1.0))
        assert _apart(sheet.dots[top:bottom, column]) == pytest.approx(100.0, abs=0.1)


def _long(line: tuple[float, ...]) -> float:
    return float(np.hypot(line[2] - line[0], line[3] - line[1]))


def _apart(dots: Dots) -> float:
    """Distance of the two dark places along a row of dots. [mm]"""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (dots < 128).astype(int), [0]])))
    middles = [(a + b - 1) / 2.0 for a, b in zip(edges[::2], edges[1::2], strict=True)]
    assert len(middles) == 2
    return float(middles[1] - middles[0]) / DOTS_A_MM


def test_a_tick_stands_each_millimetre_of_the_rule_with_its_figure() -> None:
    sheet, page = sheets(LARGE, LARGE_MM)[0], flat(LARGE, LARGE_MM).pages.pages[0]
    left, low = sheet.frame_mm
    below = sorted(
        line[0]
        for line in sheet.lines
        if abs(line[0] - line[2]) < 0.001 and _long(line) < 3.0 and abs(max(line[1], line[3]) - low) < 0.01
    )
    assert len(below) == round(page.window.width_mm) + 1
    assert np.array(below) - left == pytest.approx(np.arange(len(below)), abs=0.01)
    with pdfplumber.open(io.BytesIO(printed(LARGE, LARGE_MM))) as document:
        words = document.pages[1].extract_words()
    figures = {
        int(word["text"]): (word["x0"] + word["x1"]) / 2.0 / POINTS_A_MM
        for word in words
        if word["text"].lstrip("-").isdigit() and 3.0 < sheet.high_mm - word["top"] / POINTS_A_MM - low + 8.0 < 8.0
    }
    assert len(figures) >= 6
    for figure, x in figures.items():
        assert x - left + page.window.left_mm == pytest.approx(figure, abs=0.1)


def test_the_file_is_one_to_send_and_prints_unscaled() -> None:
    content = printed(LARGE, LARGE_MM)
    assert len(content) < 10_000_000
    reader = PdfReader(io.BytesIO(content))
    root: Any = reader.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for page in reader.pages:
        resources: Any = page["/Resources"]
        found = [each.get_object() for each in resources["/XObject"].values()]
        assert ["/DCTDecode" in str(each.get("/Filter")) for each in found if each["/Subtype"] == "/Image"] == [True]


@pytest.mark.parametrize(("paper", "high_mm"), [("a4", 210.0), ("us-letter", 190.0)])
def test_pages_filled_to_their_full_height_stand_on_one_sheet_each(paper: Paper, high_mm: float) -> None:
    window = Window(-90.0, 60.0, 220.0, 60.0 + high_mm)
    made, card = flat(LARGE, 0.0, paper, window), folder().job.job
    # The longest name there may be makes the masthead higher, and must not push the picture over the page.
    job = folder().job.model_copy(update={"job": card.model_copy(update={"name": "w" * 300})})
    picture = np.zeros((3000, 4000, 3), dtype=np.uint8)
    document = pypdfium2.PdfDocument(flat_print_pdf(job, made, picture, paper))
    assert [page.window.height_mm for page in made.pages.pages] == [high_mm, high_mm]
    assert len(document) == 3
    for number in (1, 2):
        said = document[number].get_textpage().get_text_range()
        assert f"page {number + 1} of 3" in said
        assert "True size." in said
        assert said.count("100.0 mm") == 3  # both bars and what is said of them
