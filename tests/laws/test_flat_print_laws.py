"""Laws: a flat print is where rays meet the plane, its pages cover what was asked, its lines follow the field."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from flat_scenes import carded, looking, printed_at
from trialfit.errors import Refusal
from trialfit.sheets.contours import contours
from trialfit.sheets.flat_pages import OVERLAP_MM, PAGE_MM, Pages, pages_over
from trialfit.sheets.heading import Paper
from trialfit.survey.flat_band import band_mm, proud_offset_mm, view_angle_deg
from trialfit.survey.flat_limits import Window, in_picture, lattice_of
from trialfit.survey.flat_plane import plane_for
from trialfit.survey.flat_view import view_of
from trialfit.survey.flat_window import square, useful_window
from trialfit.survey.flatten import pixels_of

Array = NDArray[np.float64]
EYE_MM = np.array([30.0, -160.0, 260.0])
MADE = carded(looking(EYE_MM, np.array([60.0, 40.0, 0.0])))
VIEW = view_of(MADE.job, MADE.sighted, "p0")
PLANE = plane_for(VIEW, (64.0, 40.0))
PAPERS = st.sampled_from(["a4", "us-letter"])
PLACES = st.tuples(st.floats(-40.0, 160.0), st.floats(-40.0, 140.0))


def _at(place: tuple[float, float]) -> Array:
    return np.array([place])


@given(PLACES)
def test_what_lies_in_the_plane_is_printed_where_it_lies(place: tuple[float, float]) -> None:
    px = pixels_of(VIEW, PLANE.at(_at(place)))
    assert printed_at(VIEW, PLANE, px) == pytest.approx(_at(place), abs=1e-6)


@given(PLACES, st.floats(0.5, 60.0))
def test_what_stands_proud_is_printed_where_its_ray_goes_on_to(place: tuple[float, float], height: float) -> None:
    offset = proud_offset_mm(VIEW, PLANE, _at(place), height)
    px = pixels_of(VIEW, PLANE.at(_at(place), height))
    assert printed_at(VIEW, PLANE, px) == pytest.approx(_at(place) + offset, abs=1e-6)
    # Height times the tangent of the view angle, the angle taken where the ray meets the plane.
    angle = np.radians(view_angle_deg(VIEW, PLANE, _at(place) + offset))
    assert np.linalg.norm(offset) == pytest.approx(height * float(np.tan(angle)[0]), rel=1e-9, abs=1e-9)


def test_nothing_is_printed_off_right_under_the_lens() -> None:
    foot = PLANE.places(VIEW.eye_mm[None])
    assert proud_offset_mm(VIEW, PLANE, foot, 5.0) == pytest.approx(np.zeros((1, 2)), abs=1e-9)
    assert view_angle_deg(VIEW, PLANE, foot) == pytest.approx(0.0, abs=1e-9)


@given(PLACES)
def test_a_lone_photograph_is_never_called_better_than_was_measured(place: tuple[float, float]) -> None:
    away = float(np.linalg.norm(np.array(place) - PLANE.middle_mm))
    least = 0.5 if away <= 50.0 else 0.8 if away <= 100.0 else 2.9
    assert band_mm(VIEW, PLANE, _at(place))[0] >= least


def test_what_lies_behind_the_lens_or_far_to_one_side_is_not_in_the_picture() -> None:
    places = np.array([[64.0, 40.0, 0.0], [-5000.0, 40.0, 0.0], [30.0, -800.0, 600.0], [30.0, -160.0, 300.0]])
    assert in_picture(VIEW, places).tolist() == [True, False, False, False]


def _even(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(int(low / 2), int(high / 2)).map(lambda half: 2.0 * half)


@given(_even(-300, 100), _even(-300, 100), _even(20, 900), _even(20, 700), PAPERS)
def test_pages_cover_what_was_asked_and_overlap_by_10_mm(
    left: float, low: float, wide: float, high: float, paper: Paper
) -> None:
    window = Window(left, low, left + wide, low + high)
    pages = pages_over(window, paper)
    span, most = pages.span, PAGE_MM[paper]
    assert span.left_mm <= left and span.low_mm <= low
    assert span.right_mm >= window.right_mm and span.high_mm >= window.high_mm
    # No more paper than two even millimetres a page over what was asked.
    columns, rows = (1 + max(getattr(page, name) for page in pages.pages) for name in ("column", "row"))
    assert span.width_mm <= wide + 2.0 * columns and span.height_mm <= high + 2.0 * rows
    assert columns == 1 or wide > (columns - 1) * (most[0] - OVERLAP_MM) + OVERLAP_MM
    assert rows == 1 or high > (rows - 1) * (most[1] - OVERLAP_MM) + OVERLAP_MM
    by_place = {(page.row, page.column): page.window for page in pages.pages}
    for (row, column), here in by_place.items():
        assert here.width_mm <= most[0] and here.height_mm <= most[1]
        beside, below = by_place.get((row, column + 1)), by_place.get((row + 1, column))
        if beside:
            assert here.right_mm - beside.left_mm == OVERLAP_MM
        if below:
            assert below.high_mm - here.low_mm == OVERLAP_MM
    assert len({join.letter for join in pages.joins}) == len(pages.joins)
    assert len(pages.joins) == (columns - 1) * rows + (rows - 1) * columns


@given(_even(320, 900), _even(430, 700), st.integers(0, 5), PAPERS)
def test_no_page_left_out_is_joined_to(wide: float, high: float, without: int, paper: Paper) -> None:
    pages = pages_over(Window(0.0, 0.0, wide, high), paper)
    gone = pages.pages[without % len(pages.pages)]
    left: Pages = pages.shown(lambda window: window is not gone.window)
    assert len(left.pages) == len(pages.pages) - 1
    assert all((gone.row, gone.column) not in join.between for join in left.joins)


@settings(max_examples=25)
@given(st.floats(5.0, 40.0), st.floats(-8.0, 8.0), st.floats(-8.0, 8.0))
def test_lines_run_round_a_circle_and_close(radius: float, x0: float, y0: float) -> None:
    x, y = np.arange(-50.0, 51.0, 2.0), np.arange(-52.0, 53.0, 2.0)
    field = np.hypot(x - x0, (y - y0)[:, None]) - radius
    (line,) = contours(field, x, y)
    assert line[0] == line[-1]
    away = np.hypot(*(np.array(line) - [x0, y0]).T)
    # Straight between crossings 2 mm apart: the field bends by 2^2 / 8 / radius at most on the way.
    assert np.abs(away - radius).max() < 0.5 / radius + 0.05


def test_lines_stop_where_nothing_is_known() -> None:
    x = y = np.arange(0.0, 21.0, 1.0)
    field = np.tile(x - 7.25, (21, 1))
    field[10, :] = np.nan
    lower, upper = sorted(contours(field, x, y), key=lambda line: min(y for _, y in line))
    assert np.array(lower)[:, 0] == pytest.approx(7.25)
    assert (min(y for _, y in lower), max(y for _, y in lower)) == (0.0, 9.0)
    assert (min(y for _, y in upper), max(y for _, y in upper)) == (11.0, 20.0)


# All of it shown; two sides cut by the round edge of what is surely enough placed.
@pytest.mark.parametrize(("x", "y", "size_mm"), [(60.0, 40.0, 60.0), (-90.0, 120.0, 200.0)])
def test_the_window_is_the_one_that_holds_every_crossing_worth_printing(x: float, y: float, size_mm: float) -> None:
    within = square(np.array([x, y]), size_mm)
    every = lattice_of(VIEW, PLANE, within, size_mm / 300.0)
    if not every.shown.any():
        with pytest.raises(Refusal):
            useful_window(VIEW, PLANE, within)
        return
    found = useful_window(VIEW, PLANE, within)
    across, up = every.x_mm[every.shown.any(axis=0)], every.y_mm[every.shown.any(axis=1)]
    pitch = every.x_mm[1] - every.x_mm[0]
    for side, last, searched, out in (
        (found.left_mm, across[0], within.left_mm, -1.0), (found.low_mm, up[0], within.low_mm, -1.0),
        (found.right_mm, across[-1], within.right_mm, 1.0), (found.high_mm, up[-1], within.high_mm, 1.0),
    ):  # fmt: skip
        # One more crossing out, no further than was searched, then out to the next even millimetre.
        least = min(out * searched, out * last + pitch)
        assert least - 1e-9 <= out * side < least + 2.0 + 1e-9
        assert side % 2.0 == 0.0


def test_what_lies_beyond_the_last_line_is_white() -> None:
    lattice = lattice_of(VIEW, PLANE, Window(-400.0, -400.0, 500.0, 500.0), 20.0)
    assert lattice.shown.any()
    assert (lattice.band_mm[lattice.shown] <= 3.0).all()
    assert (lattice.view_angle_deg[lattice.shown] <= 75.0).all()
    assert (lattice.px_per_mm[lattice.shown] >= 2.0).all()
    assert not (lattice.shown & ~lattice.seen).any()
