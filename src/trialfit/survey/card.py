"""The scale card: where everything printed on it lies in the job frame.

Looking at the print with its long side level and the board upright (marker 0 at the top left), the job frame has its
origin at the lower left corner of the lower left square of the board, x to the right along the long side, y up along
the short side, z out of the print towards the eye: right-handed. OpenCV writes the same board with its origin at the
upper left, y down the page and z into it; x is shared, y is mirrored about the board's middle.

Corners are the inner corners of the chessboard, numbered as OpenCV numbers them: row by row from the top left.

Source: OpenCV's ChArUco board and its published marker dictionaries; the rest is geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import floor

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.job.records import Card

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

_TIDY_MM = 10.0  # a check line is a whole number of centimetres, for a plain rule


@dataclass(frozen=True)
class NominalCheckLine:
    """A printed line that is measured after printing.

    Parameters
    ----------
    along
        ``long`` or ``short``: the side of the card it lies along.
    start_mm, end_mm
        x, y of its ends in the job frame, where the ticks cross it. [mm]
    """

    along: str
    start_mm: tuple[float, float]
    end_mm: tuple[float, float]

    @property
    def length_mm(self) -> float:
        """Nominal length between the ticks. [mm]"""
        return float(np.hypot(self.end_mm[0] - self.start_mm[0], self.end_mm[1] - self.start_mm[1]))


@dataclass(frozen=True)
class CardBoard:
    """A scale card as designed; what the printer made of it is another matter.

    Parameters
    ----------
    page_mm
        Long and short side of the paper; the board is in its middle. [mm]
    squares
        Squares along the long and the short side. [-]
    square_mm
        Side of a square. [mm]
    marker_mm
        Side of a marker, its black border included. [mm]
    dictionary
        OpenCV's name of the marker set.

    Raises
    ------
    Refusal
        The figures do not make a board: it does not fit its paper, a marker fills its square, or the set has too
        few markers.
    """

    page_mm: tuple[float, float]
    squares: tuple[int, int]
    square_mm: float
    marker_mm: float
    dictionary: str

    def __post_init__(self) -> None:
        """Refuse figures that make no board."""
        if min(self.squares) < 3:
            self._refuse("squares", f"{self.squares[0]} x {self.squares[1]}", "at least 3 each way", "Count them.")
        if not 0 < self.marker_mm < self.square_mm:
            self._refuse(
                "marker",
                f"{self.marker_mm:g} mm in a square of {self.square_mm:g} mm",
                "a marker smaller than its square",
                "Measure the black square with the small pattern in it, and the plain black square.",
            )
        wide, high = self.board_mm
        if wide > self.page_mm[0] or high > self.page_mm[1]:
            self._refuse(
                "page",
                f"{self.page_mm[0]:g} x {self.page_mm[1]:g} mm for a board of {wide:g} x {high:g} mm",
                "paper that holds the board, its long side first",
                "Write the long side of the paper first, and count the squares along that side first.",
            )
        held = len(_dictionary(self.dictionary).bytesList)
        if self.marker_count > held:
            self._refuse(
                "dictionary",
                f"{self.dictionary}, which has {held} markers",
                f"one with the {self.marker_count} this board needs",
                "Count the squares again, or name the marker set that was printed.",
            )

    def _refuse(self, what: str, got: str, wanted: str, remedy: str) -> None:
        raise Refusal(f"card, {what}", got, wanted, remedy)

    @property
    def board_mm(self) -> tuple[float, float]:
        """Long and short side of the board of squares. [mm]"""
        return self.squares[0] * self.square_mm, self.squares[1] * self.square_mm

    @property
    def centre_mm(self) -> tuple[float, float]:
        """Middle of the board, and of the paper, in the job frame. [mm]"""
        return self.board_mm[0] / 2.0, self.board_mm[1] / 2.0

    @property
    def page_corner_mm(self) -> tuple[float, float]:
        """Lower left corner of the paper in the job frame. [mm]"""
        return self.centre_mm[0] - self.page_mm[0] / 2.0, self.centre_mm[1] - self.page_mm[1] / 2.0

    @property
    def inset_mm(self) -> float:
        """White left between a marker and the edge of its square. [mm]"""
        return (self.square_mm - self.marker_mm) / 2.0

    @property
    def cell_mm(self) -> float:
        """Side of one cell of a marker's pattern; its black border is one cell wide. [mm]"""
        return self.marker_mm / (int(self.aruco.getDictionary().markerSize) + 2)

    @property
    def corner_count(self) -> int:
        """How many inner corners the board has. [-]"""
        return (self.squares[0] - 1) * (self.squares[1] - 1)

    @property
    def marker_count(self) -> int:
        """How many markers the board has: one in each white square. [-]"""
        return self.squares[0] * self.squares[1] // 2

    @cached_property
    def aruco(self) -> cv2.aruco.CharucoBoard:
        """The same board as OpenCV holds it."""
        return cv2.aruco.CharucoBoard(self.squares, self.square_mm, self.marker_mm, _dictionary(self.dictionary))

    @cached_property
    def upper_left_black(self) -> Bools:
        """(n,) whether the square up and to the left of each inner corner is black. [-]"""
        rows, columns = np.divmod(np.arange(self.corner_count), self.squares[0] - 1)
        first = 0 if self.top_left_is_black else 1
        return np.asarray((rows + columns) % 2 == first)

    @property
    def top_left_is_black(self) -> bool:
        """Whether the square at the top left of the board is black."""
        marker_0 = np.asarray(self.aruco.getObjPoints()[0])
        return bool(marker_0[:, 0].min() > self.square_mm)  # marker 0 is in the first white square of the top row

    @property
    def check_lines(self) -> tuple[NominalCheckLine, NominalCheckLine]:
        """The printed check lines: under the board along its long side, to the right of it along its short side."""
        wide, high = self.board_mm
        right = min(5.0, 0.4 * (self.page_mm[0] - wide) / 2.0)
        below = min(5.0, 0.4 * (self.page_mm[1] - high) / 2.0)
        long, short = _tidy(wide), _tidy(high)
        return (
            NominalCheckLine("long", ((wide - long) / 2.0, -below), ((wide + long) / 2.0, -below)),
            NominalCheckLine("short", (wide + right, (high - short) / 2.0), (wide + right, (high + short) / 2.0)),
        )


def board_of(card: Card) -> CardBoard:
    """Take the card's figures from a job.

    Parameters
    ----------
    card
        The card as the job writes it.

    Returns
    -------
    CardBoard
        The board those figures make.

    Raises
    ------
    Refusal
        They make none.
    """
    return CardBoard(
        page_mm=(float(card.page[0].to("mm")), float(card.page[1].to("mm"))),
        squares=card.squares,
        square_mm=float(card.square.to("mm")),
        marker_mm=float(card.marker.to("mm")),
        dictionary=card.dictionary,
    )


def corner_positions_mm(board: CardBoard) -> Array:
    """Inner corners of the chessboard in the job frame.

    Parameters
    ----------
    board
        The card.

    Returns
    -------
    ndarray
        (n, 3) x, y, z of corner 0, 1, ... in OpenCV's numbering; z is nought. [mm]
    """
    return _from_opencv(board, np.asarray(board.aruco.getChessboardCorners(), dtype=float))


def marker_corners_mm(board: CardBoard) -> Array:
    """Corners of the markers in the job frame.

    Parameters
    ----------
    board
        The card.

    Returns
    -------
    ndarray
        (m, 4, 3) x, y, z of the four corners of marker 0, 1, ...: top left, top right, bottom right, bottom left
        of the marker as printed. [mm]
    """
    points = np.asarray(board.aruco.getObjPoints(), dtype=float)
    return _from_opencv(board, points.reshape(-1, 3)).reshape(-1, 4, 3)


def _from_opencv(board: CardBoard, points: Array) -> Array:
    return np.column_stack((points[:, 0], board.board_mm[1] - points[:, 1], np.zeros(len(points))))


def _tidy(length_mm: float) -> float:
    return floor(length_mm / _TIDY_MM + 1e-9) * _TIDY_MM


def _dictionary(name: str) -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, name))


STANDARD_CARDS = {
    "A6": CardBoard((148.0, 105.0), (8, 5), 16.0, 12.0, "DICT_4X4_50"),
    "A5": CardBoard((210.0, 148.0), (10, 7), 17.0, 13.0, "DICT_4X4_50"),
    "A4": CardBoard((297.0, 210.0), (11, 7), 24.0, 18.0, "DICT_4X4_50"),
}
"""The cards the program prints, by paper size (ISO 216).

Each has its own number of squares, so that a job naming the wrong one is found out by its markers, and an odd number of
rows, so that every version of OpenCV draws it alike and the square at the origin is black. A5 and A4 keep 5 mm free
along the edges of the paper, where a printer cannot print.
"""
