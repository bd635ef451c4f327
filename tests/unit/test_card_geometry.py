"""Arithmetic by hand: where things lie on a scale card, and what is refused."""

from __future__ import annotations

import tomllib
from typing import Any

import numpy as np
import pytest

from trialfit.errors import Refusal
from trialfit.job.records import Card
from trialfit.sheets.card import job_words
from trialfit.survey.card import STANDARD_CARDS, CardBoard, board_of, corner_positions_mm, marker_corners_mm
from trialfit.survey.card_pattern import black_rectangles

A6 = STANDARD_CARDS["A6"]


def test_corners_are_numbered_along_the_rows_from_the_top_and_measured_from_the_lower_left() -> None:
    corners = corner_positions_mm(A6)
    assert corners.shape == (28, 3)  # 7 x 4 inner corners
    # The board is 8 x 16 = 128 by 5 x 16 = 80 mm; the top row of inner corners is one square below the top: 80 - 16.
    assert corners[0].tolist() == [16.0, 64.0, 0.0]
    assert corners[6].tolist() == [112.0, 64.0, 0.0]
    assert corners[7].tolist() == [16.0, 48.0, 0.0]
    assert corners[27].tolist() == [112.0, 16.0, 0.0]


def test_the_board_lies_in_the_middle_of_its_paper() -> None:
    assert A6.centre_mm == (64.0, 40.0)
    assert A6.page_corner_mm == (-10.0, -12.5)  # (148 - 128) / 2 and (105 - 80) / 2


def test_a_marker_stands_in_the_middle_of_its_square() -> None:
    # Marker 0 is in the second square of the top row, 16 to 32 mm; 2 mm are left all round a marker of 12 mm.
    top_left, _, bottom_right, _ = marker_corners_mm(A6)[0]
    assert top_left.tolist() == [18.0, 78.0, 0.0]
    assert bottom_right.tolist() == [30.0, 66.0, 0.0]
    assert A6.inset_mm == 2.0
    assert A6.cell_mm == 2.0  # four cells and a border of one on either side


@pytest.mark.parametrize(("size", "long_mm", "short_mm"), [("A6", 120, 80), ("A5", 170, 110), ("A4", 260, 160)])
def test_check_lines_are_whole_centimetres_and_lie_beside_the_board_on_the_paper(
    size: str, long_mm: float, short_mm: float
) -> None:
    board = STANDARD_CARDS[size]
    long, short = board.check_lines
    assert (long.length_mm, short.length_mm) == pytest.approx((long_mm, short_mm))
    assert board.page_corner_mm[1] + 2.0 < long.start_mm[1] == long.end_mm[1] < -2.0
    assert board.board_mm[0] + 2.0 < short.start_mm[0] == short.end_mm[0] < board.page_mm[0] + board.page_corner_mm[0]


def test_black_squares_are_twenty_and_the_one_at_the_origin_is_among_them() -> None:
    plain = [(each.x_mm, each.y_mm) for each in black_rectangles(A6) if each.width_mm == each.height_mm == 16.0]
    assert len(plain) == 20  # half of 8 x 5
    assert (0.0, 0.0) in plain
    assert A6.upper_left_black[:8].tolist() == [True, False, True, False, True, False, True, False]


def _card(**changed: Any) -> Card:
    told = tomllib.loads(job_words(A6))["card"] | changed
    return Card.model_validate(told)


def test_what_the_command_prints_for_the_job_is_the_card_it_printed() -> None:
    assert board_of(_card()) == A6
    measured = job_words(A6).replace("# [[", "[[").replace("# al", "al").replace("# no", "no").replace("# re", "re")
    card = Card.model_validate(tomllib.loads(measured.replace("___", "119.8"))["card"])
    assert [(line.along, float(line.nominal.to("mm"))) for line in card.check_lines] == [("long", 120), ("short", 80)]
    assert card.check_lines[0].reading.value_mm == 119.8


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        (
            {"page": ["105 mm", "148 mm"]},
            "card, page: got 105 x 148 mm for a board of 128 x 80 mm, wanted paper that holds the board, its long side "
            "first. Write the long side of the paper first, and count the squares along that side first.",
        ),
        (
            {"marker": "16 mm"},
            "card, marker: got 16 mm in a square of 16 mm, wanted a marker smaller than its square. Measure the black "
            "square with the small pattern in it, and the plain black square.",
        ),
        (
            {"squares": [12, 9], "square": "8 mm", "marker": "6 mm"},
            "card, dictionary: got DICT_4X4_50, which has 50 markers, wanted one with the 54 this board needs. Count "
            "the squares again, or name the marker set that was printed.",
        ),
    ],
)
def test_figures_that_make_no_card_are_refused(changed: dict[str, Any], text: str) -> None:
    with pytest.raises(Refusal) as refused:
        board_of(_card(**changed))
    assert str(refused.value) == text


def test_a_card_of_too_few_squares_is_refused() -> None:
    with pytest.raises(Refusal, match="card, squares: got 8 x 2, wanted at least 3 each way"):
        CardBoard((148.0, 105.0), (8, 2), 16.0, 12.0, "DICT_4X4_50")


def test_positions_cannot_be_shifted_by_a_caller() -> None:
    corner_positions_mm(A6)[:] = 0.0
    assert np.ptp(corner_positions_mm(A6)[:, 0]) == 96.0
