"""Sheets: how a pipe is laid on the drawing board, by arithmetic done by hand and by what no turning may change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from trialfit.fitup.records import PipePlan
from trialfit.sheets.drafting import dimension, hatching, largest_scale
from trialfit.sheets.drawing import Arc, Line, Polyline, Text, around, extent
from trialfit.sheets.labels import Label, placed, spread
from trialfit.sheets.pose import posed, rounded
from trialfit.sheets.views import two_views


def test_a_rounded_path_is_as_long_as_its_straights_and_arcs(pipe: PipePlan) -> None:
    line, middles = rounded(pipe.vertices_mm, 12.7, step_deg=0.5)
    # 108.1839 is worked out in conftest; chords of 0.5 deg fall short of their arcs by 3 parts in a million.
    assert np.linalg.norm(np.diff(line, axis=0), axis=1).sum() == pytest.approx(108.1839, abs=0.001)
    # The middle of a bend is R (1 / cos(angle / 2) - 1) from its corner: 12.7 x 0.154701 and 12.7 x 0.414214.
    away = np.linalg.norm(middles - pipe.vertices_mm[1:3], axis=1)
    assert away == pytest.approx([1.9647, 5.2605], abs=1e-3)


def test_laying_a_pipe_flat_keeps_its_lengths_and_its_hand(pipe: PipePlan) -> None:
    laid = posed(pipe.vertices_mm, pipe.radius_mm)
    for drawn, scale in ((laid, 1.0), (laid.from_above(), 1.0), (laid.scaled(0.5), 0.5)):
        legs, true = np.diff(drawn.vertices_mm, axis=0), np.diff(pipe.vertices_mm, axis=0)
        assert legs @ legs.T == pytest.approx(true @ true.T * scale**2, abs=1e-9)
        # A mirrored pipe has all its lengths and angles right and fits nothing.
        assert np.linalg.det(legs) == pytest.approx(np.linalg.det(true) * scale**3, abs=1e-6)


def test_what_lies_nearer_the_eye_stands_lower_from_above(pipe: PipePlan) -> None:
    laid = posed(pipe.vertices_mm, pipe.radius_mm)
    above = laid.from_above()
    assert above.line_mm[:, 0] == pytest.approx(laid.line_mm[:, 0])
    assert above.line_mm[:, 1] == pytest.approx(-laid.line_mm[:, 2])
    assert laid.vertices_mm[0, 0] < laid.vertices_mm[-1, 0]


def test_the_distances_written_on_the_views_are_those_between_the_faces(pipe: PipePlan) -> None:
    drawn = two_views(pipe, 186.0, 140.0).drawing
    written = [
        item.text for item in drawn.items if isinstance(item, Text) and ":" not in item.text and "mm" in item.text
    ]
    along, across, deep = (float(text.removesuffix(" mm")) for text in written)
    # The far face from the start, by conftest: 40 + 22.5 - 22.5, 45 sin 60 + 30 x 0.4330, 30 x 0.5.
    far = (40.0**2 + 51.9615**2 + 15.0**2) ** 0.5
    assert (along**2 + across**2 + deep**2) ** 0.5 == pytest.approx(far, abs=0.1)


@pytest.mark.parametrize("seed", range(30))
def test_no_words_on_the_views_lie_on_others(pipe: PipePlan, seed: int) -> None:
    # Two-bend pipes of every shape: legs of 35 to 90 mm in directions 20 to 130 deg apart.
    random = np.random.default_rng(seed)
    corners, along = [np.zeros(3)], np.array([1.0, 0.0, 0.0])
    for _ in range(3):
        corners.append(corners[-1] + random.uniform(35.0, 90.0) * along)
        aside = np.cross(along, random.normal(size=3))
        angle = np.radians(random.uniform(20.0, 130.0))
        along = np.cos(angle) * along + np.sin(angle) * aside / np.linalg.norm(aside)
    drawn = two_views(replace(pipe, vertices_mm=np.array(corners)), 186.0, 140.0).drawing
    assert drawn.width_mm <= 186.0
    assert drawn.height_mm <= 140.0
    _assert_apart([extent([item]) for item in drawn.items if isinstance(item, Text)])


def _assert_apart(boxes: Sequence[tuple[float, float, float, float]]) -> None:
    for one, other in combinations(boxes, 2):
        assert one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]


@pytest.mark.parametrize(
    ("room", "at_most", "scale"),
    [(1.7, 1.0, (1, 1)), (0.99, 1.0, (1, 2)), (0.21, 1.0, (1, 5)), (7.0, 10.0, (5, 1)), (0.001, 1.0, (1, 100))],
)
def test_a_scale_is_the_largest_of_the_draughtsmans_that_fits(
    room: float, at_most: float, scale: tuple[int, int]
) -> None:
    assert largest_scale(room, at_most) == scale


def test_places_too_near_are_pushed_apart_about_their_middle() -> None:
    # 10 and 11 want 5 between them: their middle 10.5 stays, 8 and 13; 30 is free; 0 is free of 8.
    assert spread([0.0, 10.0, 11.0, 30.0], 5.0) == pytest.approx([0.0, 8.0, 13.0, 30.0])
    # Three that touch: 10, 11, 12 about 11.
    assert spread([10.0, 11.0, 12.0], 5.0) == pytest.approx([6.0, 11.0, 16.0])


def test_hatching_stays_inside_at_45_deg() -> None:
    for rising in (True, False):
        lines = hatching(1.0, 2.0, 9.0, 5.0, 1.5, rising)
        assert len(lines) == 7  # (8 + 3) / 1.5 = 7.3
        for line in lines:
            (x0, y0), (x1, y1) = line.start, line.end
            assert 1.0 <= min(x0, x1) <= max(x0, x1) <= 9.0
            assert 2.0 <= min(y0, y1) <= max(y0, y1) <= 5.0
            assert (y1 - y0) / (x1 - x0) == pytest.approx(1.0 if rising else -1.0)


def test_a_dimension_points_at_what_it_measures() -> None:
    items = dimension((0.0, 0.0), (40.0, 0.0), 5.0, "40.00 mm")
    tips = [item.points[0] for item in items if isinstance(item, Polyline)]
    assert tips == [(0.0, 5.0), (40.0, 5.0)]
    # Too short for the words: the arrows come from outside, and the words stand beyond the line.
    items = dimension((0.0, 0.0), (3.0, 0.0), -5.0, "3.00 mm")
    heads = [item for item in items if isinstance(item, Polyline)]
    assert [head.points[0] for head in heads] == [(0.0, -5.0), (3.0, -5.0)]
    assert heads[0].points[1][0] < 0.0 < 3.0 < heads[1].points[1][0]
    (words,) = [item for item in items if isinstance(item, Text)]
    assert extent([words])[3] < -5.0


def test_the_paper_goes_round_all_of_an_arc() -> None:
    # A quarter from 45 to 135 deg on R 10 reaches 10 at its top and 7.0711 to either side and below.
    drawing = around([Arc((0.0, 0.0), 10.0, 45.0, 135.0)], margin_mm=0.0)
    assert (drawing.width_mm, drawing.height_mm) == pytest.approx((14.1421, 10.0 - 7.0711), abs=1e-3)
    whole = around([Arc((3.0, 4.0), 10.0)], margin_mm=1.0)
    assert (whole.width_mm, whole.height_mm) == pytest.approx((22.0, 22.0))


def test_a_label_that_finds_no_room_near_gets_a_leader() -> None:
    line = [(0.0, 0.0), (100.0, 0.0)]
    crowd = [Label(((50.0, 0.0),), (0.0, 1.0), Text((0.0, 0.0), f"label number {k}")) for k in range(6)]
    items = placed(crowd, line, 2.0)
    words = [item for item in items if isinstance(item, Text)]
    leaders = [item for item in items if isinstance(item, Line)]
    assert len(words) == 6
    assert leaders
    assert all(leader.start == (50.0, 0.0) for leader in leaders)
    _assert_apart([extent([each]) for each in words])
