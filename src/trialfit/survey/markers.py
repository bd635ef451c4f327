"""The card's markers in a photograph, quickly and roughly: which, and about where.

They are looked for in a copy reduced by a whole number, where they are quick and safe to find. Each is also known as a
mirror shows it, for phones that flip their photographs.

Source: OpenCV's ArUco detector. How far to reduce and its settings are common practice, no source; what comes of them
is measured in the tests on photographs of known truth.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.survey.card import CardBoard
from trialfit.survey.photograph import Grey

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

_LONG_SIDES_PX = (1333, 2000)  # 12 megapixels at a third, and at half where the third shows too little
_ENOUGH = 4  # with fewer, look again in a larger copy: the card may be far away or cut off


@dataclass(frozen=True, eq=False)
class Markers:
    """Markers of one kind that were seen.

    Parameters
    ----------
    ids
        (m,) their numbers. [-]
    corners_px
        (m, 4, 2) their corners in the order of the card, in pixels of the original. [px]
    strange
        How many more are of the card's set of markers but not on the card. [-]
    """

    ids: Ints
    corners_px: Array
    strange: int


@dataclass(frozen=True, eq=False)
class Search:
    """What a search for markers gave.

    Parameters
    ----------
    printed
        Markers as printed.
    mirrored
        Markers as a mirror shows them; a few turn up by chance in any photograph of a card.
    factor
        By how much the copy they were found in was reduced. [-]
    """

    printed: Markers
    mirrored: Markers
    factor: int

    @property
    def most(self) -> int:
        """The larger of the two counts. [-]"""
        return max(len(self.printed.ids), len(self.mirrored.ids))


def search(grey: Grey, board: CardBoard) -> Search:
    """Look for the card's markers.

    Parameters
    ----------
    grey
        (height, width) the upright picture at full size. [-]
    board
        The card as designed.

    Returns
    -------
    Search
        What was found in the smallest copy that shows enough of the card.
    """
    factors = sorted({max(1, round(max(grey.shape) / side)) for side in _LONG_SIDES_PX}, reverse=True)
    best = _look(grey, board, factors[0])
    for factor in factors[1:]:
        if best.most < _ENOUGH:
            best = _better(best, _look(grey, board, factor))
    # Full size is slow, and only worth it where the card is known to be in view.
    if 0 < best.most < _ENOUGH and factors[-1] > 1:
        best = _better(best, _look(grey, board, 1))
    return best


def _better(first: Search, second: Search) -> Search:
    return second if second.most >= first.most else first


def reduced(grey: Grey, factor: int) -> Grey:
    """Average blocks of pixels.

    Rows and columns that fill no block are left off, so that the factor is exact: pixel i of the copy stands at
    ``factor * i + (factor - 1) / 2`` of the original.

    Parameters
    ----------
    grey
        (height, width) the picture. [-]
    factor
        Side of a block. [px]

    Returns
    -------
    ndarray
        (height // factor, width // factor) the copy. [-]
    """
    if factor == 1:
        return grey
    height, width = (side // factor for side in grey.shape)
    whole = grey[: height * factor, : width * factor]
    return np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _look(grey: Grey, board: CardBoard, factor: int) -> Search:
    corners, ids, _, sets = _detector(board).detectMarkersMultiDict(reduced(grey, factor))
    found = np.array([], dtype=int) if ids is None else np.asarray(ids, dtype=int).ravel()
    which = np.array([], dtype=int) if sets is None else np.asarray(sets, dtype=int).ravel()
    places = np.asarray(corners, dtype=float).reshape(-1, 4, 2) * factor + (factor - 1) / 2.0

    def of(mirrored: int, order: list[int]) -> Markers:
        here = which == mirrored
        ours = here & (found < board.marker_count)
        return Markers(found[ours], places[ours][:, order], int((here & ~ours).sum()))

    return Search(of(0, [0, 1, 2, 3]), of(1, [1, 0, 3, 2]), factor)


@lru_cache(maxsize=8)
def _detector(board: CardBoard) -> cv2.aruco.ArucoDetector:
    printed = board.aruco.getDictionary()
    flipped = [
        cv2.aruco.Dictionary.getByteListFromBits(
            np.ascontiguousarray(np.fliplr(printed.getBitsFromByteList(bits[None], printed.markerSize)))
        )
        for bits in printed.bytesList
    ]
    mirrored = cv2.aruco.Dictionary(np.concatenate(flipped), printed.markerSize, printed.maxCorrectionBits)
    settings = cv2.aruco.DetectorParameters()
    settings.adaptiveThreshWinSizeMin, settings.adaptiveThreshWinSizeMax = 7, 23
    settings.adaptiveThreshWinSizeStep = 16
    settings.minMarkerPerimeterRate = 0.02
    return cv2.aruco.ArucoDetector([printed, mirrored], settings)
