"""Outside: the card's frame against the surveyed truth of the backhead photographs, and against OpenCV's own board.

`photographs/backhead/truth.json` was made with the rendered scene, not by this program.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from trialfit.survey.card import STANDARD_CARDS, corner_positions_mm
from trialfit.survey.card_pattern import black_rectangles, marker_cells

TRUTH = json.loads((Path(__file__).parents[1] / "photographs" / "backhead" / "truth.json").read_text())
A6 = STANDARD_CARDS["A6"]


def test_the_backhead_card_is_the_a6_card() -> None:
    card = TRUTH["card"]
    assert (card["squares"], card["square_mm"], card["marker_mm"]) == ([8, 5], A6.square_mm, A6.marker_mm)
    assert (card["page_mm"], card["dictionary"]) == (list(A6.page_mm), A6.dictionary)


def test_corners_fall_on_the_truth_by_a_proper_rotation_with_z_towards_the_cameras() -> None:
    ours = corner_positions_mm(A6)
    theirs = np.array(TRUTH["card"]["corners"])
    ours_middle, theirs_middle = ours.mean(axis=0), theirs.mean(axis=0)
    left, _, right = np.linalg.svd((ours - ours_middle).T @ (theirs - theirs_middle))
    # Points of one plane fit as well turned over, so the proper one of the two is taken; the cameras then judge it.
    turn = right.T @ np.diag([1.0, 1.0, np.linalg.det(right.T @ left.T)]) @ left.T
    assert np.linalg.det(turn) == pytest.approx(1.0, abs=1e-12)
    residual_mm = np.abs((ours - ours_middle) @ turn.T + theirs_middle - theirs).max()
    print(f"corners against the truth: {residual_mm:.1e} mm at most")
    assert residual_mm < 1e-9

    shift = theirs_middle - turn @ ours_middle
    page = (np.array(TRUTH["card"]["page_corners"]) - shift) @ turn
    assert page[:, :2].min(axis=0) == pytest.approx(A6.page_corner_mm, abs=1e-9)
    for view in TRUTH["views"]:
        camera = -np.array(view["R"]).T @ np.array(view["t"])
        assert ((camera - shift) @ turn)[2] > 0.0  # every photograph was taken from above the print


@pytest.mark.parametrize("size", STANDARD_CARDS)
def test_markers_and_squares_are_opencvs_own(size: str) -> None:
    board = STANDARD_CARDS[size]
    across, down = board.squares
    cell = 12  # pixels for each twelfth of a square
    drawn = board.aruco.generateImage((across * cell * 12, down * cell * 12)) == 0
    white = [(row, column) for row in range(down) for column in range(across) if (row + column) % 2]
    for marker, (row, column) in enumerate(white):
        left, top = 12 * column * cell, 12 * row * cell
        black = marker_cells(board, marker)
        side = board.marker_mm / board.square_mm * 12 * cell
        start = (12 * cell - side) / 2
        at = (start + (np.arange(len(black)) + 0.5) * side / len(black)).astype(int)
        assert np.array_equal(drawn[top : top + 12 * cell, left : left + 12 * cell][np.ix_(at, at)], black)
    squares = drawn[
        cell // 2 :: 12 * cell, cell // 2 :: 12 * cell
    ]  # just within each square's upper left, off its marker
    ours = np.zeros((down, across), dtype=bool)
    for each in black_rectangles(board):
        if each.width_mm == each.height_mm == board.square_mm:
            ours[down - 1 - round(each.y_mm / board.square_mm), round(each.x_mm / board.square_mm)] = True
    assert np.array_equal(ours, squares)
    flipped = np.asarray(board.aruco.getChessboardCorners()) * [1, -1, -1] + [0, board.board_mm[1], 0]
    assert np.abs(corner_positions_mm(board) - flipped).max() < 1e-4  # OpenCV holds them as 32-bit numbers
