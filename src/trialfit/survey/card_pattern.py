"""What is black on the scale card, for whoever draws it.

Source: OpenCV's published marker dictionaries, by way of its own drawing of each marker.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.card import CardBoard, marker_corners_mm

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Rectangle:
    """A black rectangle of the print.

    Parameters
    ----------
    x_mm, y_mm
        Its lower left corner in the job frame. [mm]
    width_mm, height_mm
        Its sides along x and y. [mm]
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


def black_rectangles(board: CardBoard) -> tuple[Rectangle, ...]:
    """Everything black on the board, as rectangles.

    Rectangles of one marker overlap: it is covered once by the longest runs along its rows and once by those along its
    columns, so that no renderer shows a white seam where two runs touch.

    Parameters
    ----------
    board
        The card.

    Returns
    -------
    tuple of Rectangle
        The plain squares first, then the markers.
    """
    across, down = board.squares
    side = board.square_mm
    first = 0 if board.top_left_is_black else 1
    plain = [
        Rectangle(column * side, (down - 1 - row) * side, side, side)
        for row in range(down)
        for column in range(across)
        if (row + column) % 2 == first
    ]
    return (*plain, *(part for marker in range(board.marker_count) for part in _marker(board, marker)))


def marker_cells(board: CardBoard, marker: int) -> Bools:
    """Pattern of one marker.

    Parameters
    ----------
    board
        The card.
    marker
        Its number.

    Returns
    -------
    ndarray
        (k, k) true where a cell is black, the first row at the top, the black border included. [-]
    """
    cells = int(board.aruco.getDictionary().markerSize) + 2
    drawn = board.aruco.getDictionary().generateImageMarker(marker, cells, borderBits=1)
    return np.asarray(drawn == 0, dtype=np.bool_)


def _marker(board: CardBoard, marker: int) -> Iterator[Rectangle]:
    black = marker_cells(board, marker)
    cell = board.marker_mm / len(black)
    left, top = marker_corners_mm(board)[marker, 0, :2]
    for row, start, length in _runs(black):
        yield Rectangle(left + start * cell, top - (row + 1) * cell, length * cell, cell)
    for column, start, length in _runs(black.T):
        yield Rectangle(left + column * cell, top - (start + length) * cell, cell, length * cell)


def _runs(black: Bools) -> Iterator[tuple[int, int, int]]:
    """Row, start and length of each run of black cells."""
    for row, cells in enumerate(black):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], cells.astype(np.int8), [0]))))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            yield row, int(start), int(end - start)
