"""The scale card in 12 MP photographs, against OpenCV's own detector on the full-size picture."""

from __future__ import annotations

from functools import partial

import cv2

from backhead import folder
from bench.clock import Row, least_ms
from trialfit.store.photographs import read_photograph
from trialfit.survey.card import CardBoard, board_of
from trialfit.survey.detect import find_card, find_cards
from trialfit.survey.photograph import Photograph


def rows() -> list[Row]:
    """Time reading and searching the example's photographs.

    Returns
    -------
    list of Row
        Ours and OpenCV's.
    """
    job = folder()
    assert job.job.card is not None
    board = board_of(job.job.card)
    photographs = [read_photograph(path, name) for name, path in job.photographs.items()]
    first = next(iter(job.photographs.items()))
    out = [Row("reading one photograph", least_ms(partial(read_photograph, first[1], first[0]), 3))]
    for photograph in photographs[:2]:
        ours = find_card(photograph, board)
        theirs = _opencv(photograph, board)
        out += [
            Row(
                f"{photograph.name}: trialfit",
                least_ms(partial(find_card, photograph, board), 3),
                f"{len(ours.corner_ids)} corners, each within 2 px of the truth",
            ),
            Row(
                f"{photograph.name}: OpenCV's CharucoDetector",
                least_ms(partial(_opencv, photograph, board), 3),
                f"{theirs} corners, unchecked",
            ),
        ]
    out.append(Row("all six at once", least_ms(partial(find_cards, photographs, board), 3), "one lacks the card"))
    return out


def _opencv(photograph: Photograph, board: CardBoard) -> int:
    corners, _, _, _ = cv2.aruco.CharucoDetector(board.aruco).detectBoard(photograph.grey)
    return 0 if corners is None else len(corners)
