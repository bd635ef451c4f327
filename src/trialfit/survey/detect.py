"""Find the scale card in a photograph.

Markers are looked for in a copy reduced by a whole number, where they are quick and safe to find; the corners between
them are then settled in the picture at full size, and each is kept only if it agrees with a smooth map of the card
through all the others. In full-size pictures the marker library's own refinement now and then errs by twenty pixels.

Source: OpenCV's ArUco detector for the markers; `edges` and `smooth_map` for the rest. Gates and limits are common
practice, no source; what they reach is measured in the tests on photographs of known truth.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Fault, Refusal, Refusals
from trialfit.survey.card import CardBoard, corner_positions_mm, marker_corners_mm
from trialfit.survey.edges import settle
from trialfit.survey.photograph import Grey, Photograph
from trialfit.survey.smooth_map import SmoothMap, fit_map, rough_map

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

_SEARCH_LONG_SIDES_PX = (1333, 2000)  # 12 megapixels at a third, and at half where the third shows too little
_ENOUGH_MARKERS = 4  # with fewer, look again in a larger copy: the card may be far away or cut off
_MIRRORED_MARKERS = 3  # a mirrored marker may be taken for another by chance; three that fit one map are not
_ROUGH_GATE_SHARE = 0.01  # of the picture's long side; leaves room for the lens
_MARKER_SIGMA_PX = 1.0  # of the copy that was searched
_CORNER_SIGMA_PX = 0.25
_LEAST_LIKENESS = 0.8
_REJECT_SIGMAS = 5.0
_SURELY_RIGHT_PX, _MOST_WRONG_PX = 0.75, 1.9


@dataclass(frozen=True, eq=False)
class CardSighting:
    """What one photograph shows of the card.

    Parameters
    ----------
    photograph
        Its name in the job.
    corner_ids
        (n,) numbers of the corners found, rising, as OpenCV numbers them; none where the card is not in view. [-]
    corners_px
        (n, 2) where they are in the upright full-size picture; the centre of its top left pixel is (0, 0). [px]
    note
        What was found, as a sentence.
    """

    photograph: str
    corner_ids: Ints
    corners_px: Array
    note: str


@dataclass(frozen=True)
class _Markers:
    ids: Ints
    corners_px: Array  # (m, 4, 2)
    strange: int  # markers of the same set that this card does not have


def find_card(photograph: Photograph, board: CardBoard) -> CardSighting:
    """Find the scale card in one photograph, however it lies.

    Parameters
    ----------
    photograph
        The photograph.
    board
        The card as designed.

    Returns
    -------
    CardSighting
        The corners found; none is an answer, not a refusal.

    Raises
    ------
    Refusal
        The photograph is a mirror image.
    """
    seen, mirrored, factor = _search(photograph.grey, board)
    if len(mirrored.ids) > len(seen.ids) and _fitting(mirrored, board, photograph) >= _MIRRORED_MARKERS:
        raise Refusal(
            f"photograph {photograph.name}",
            "a mirror image of the card",
            "a photograph as the eye sees it",
            "The phone flipped it, as it does with its front camera: flip it back and set its marks anew, or ask for "
            "one taken with the main camera.",
            photograph.file,
        )
    ids, corners = _corners(photograph, board, seen, factor)
    return CardSighting(photograph.name, ids, corners, _note(board, seen, len(ids)))


def find_cards(
    photographs: Sequence[Photograph],
    board: CardBoard,
    threads: int | None = None,
    on_each: Callable[[str], None] | None = None,
) -> tuple[CardSighting, ...]:
    """Find the scale card in several photographs at once.

    Parameters
    ----------
    photographs
        The photographs.
    board
        The card as designed.
    threads
        How many to search at a time; None takes one a processor. [-]
    on_each
        Told the name of each photograph when it has been searched, for a progress bar.

    Returns
    -------
    tuple of CardSighting
        In the order of `photographs`.

    Raises
    ------
    Refusals
        All the photographs that are mirror images, at once.
    """
    faults: list[Fault] = []

    def one(photograph: Photograph) -> CardSighting | tuple[Fault, ...]:
        try:
            return find_card(photograph, board)
        except Refusal as refusal:
            return tuple(refusal.faults)
        finally:
            if on_each is not None:
                on_each(photograph.name)

    sightings: list[CardSighting] = []
    with ThreadPoolExecutor(max_workers=threads or os.cpu_count()) as pool:
        for outcome in pool.map(one, photographs):
            if isinstance(outcome, CardSighting):
                sightings.append(outcome)
            else:
                faults.extend(outcome)
    if faults:
        raise Refusals(faults)
    return tuple(sightings)


def _search(grey: Grey, board: CardBoard) -> tuple[_Markers, _Markers, int]:
    """Markers as printed and as mirrored, and by how much the copy they were found in was reduced."""
    factors = sorted({max(1, round(max(grey.shape) / side)) for side in _SEARCH_LONG_SIDES_PX}, reverse=True)
    seen, mirrored, factor = *_markers(_reduced(grey, factors[0]), board, factors[0]), factors[0]
    for larger in (*factors[1:], 1):
        most = max(len(seen.ids), len(mirrored.ids))
        if most >= _ENOUGH_MARKERS or larger == factor or (larger == 1 and most == 0 and factors[-1] > 1):
            continue  # a full-size search is slow, and only worth it where the card is known to be in view
        again, mirrored_again = _markers(_reduced(grey, larger), board, larger)
        if max(len(again.ids), len(mirrored_again.ids)) >= most:
            seen, mirrored, factor = again, mirrored_again, larger
    return seen, mirrored, factor


def _reduced(grey: Grey, factor: int) -> Grey:
    """Average blocks of pixels; rows and columns that fill no block are left off, so that the factor is exact."""
    if factor == 1:
        return grey
    height, width = (side // factor for side in grey.shape)
    whole = grey[: height * factor, : width * factor]
    return np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _markers(copy: Grey, board: CardBoard, factor: int) -> tuple[_Markers, _Markers]:
    """Markers in a copy, as printed and mirrored, in pixels of the original."""
    corners, ids, _, sets = _detector(board).detectMarkersMultiDict(copy)
    found = np.array([], dtype=int) if ids is None else np.asarray(ids, dtype=int).ravel()
    which = np.array([], dtype=int) if sets is None else np.asarray(sets, dtype=int).ravel()
    places = np.asarray(corners, dtype=float).reshape(-1, 4, 2)
    # The middle of a block of pixels lies half a block less half a pixel into it.
    places = places * factor + (factor - 1) / 2.0
    both = []
    for mirrored in (0, 1):
        here = which == mirrored
        ours = here & (found < board.marker_count)
        order = [1, 0, 3, 2] if mirrored else [0, 1, 2, 3]
        both.append(_Markers(found[ours], places[ours][:, order], int((here & ~ours).sum())))
    return both[0], both[1]


@lru_cache(maxsize=8)
def _detector(board: CardBoard) -> cv2.aruco.ArucoDetector:
    """A detector that knows each marker also as a mirror shows it."""
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


def _corners(photograph: Photograph, board: CardBoard, seen: _Markers, factor: int) -> tuple[Ints, Array]:
    """Corners that agree with one smooth map of the card."""
    nothing = np.zeros(0, dtype=np.int64), np.zeros((0, 2))
    started = _start(photograph, board, seen, factor)
    if started is None:
        return nothing
    card, marker_points, marker_px = started
    points = corner_positions_mm(board)[:, :2]
    # Outlines of markers err together, so beside settled corners they count for less than their scatter says.
    marker_sigma = np.full(len(marker_px), 4.0 * _MARKER_SIGMA_PX * factor)
    kept, px = np.zeros(0, dtype=np.int64), np.zeros((0, 2))
    for _ in range(2):  # the second time from where the corners themselves put the card
        settled = settle(photograph.grey, card, board)
        kept = np.flatnonzero(settled.likeness > _LEAST_LIKENESS)
        px = settled.corners_px[kept]
        while len(kept):
            sigma = np.concatenate([np.full(len(kept), _CORNER_SIGMA_PX), marker_sigma])
            fitted = fit_map(
                card, np.concatenate([points[kept], marker_points]), np.concatenate([px, marker_px]), sigma
            )
            off = np.linalg.norm(fitted.left_out_px[: len(kept)], axis=1)
            over = off - _limit_px(off, fitted.doubt[: len(kept)], max(photograph.grey.shape))
            worst = int(np.argmax(over))
            if over[worst] <= 0.0:
                card = fitted.map
                break
            kept, px = np.delete(kept, worst), np.delete(px, worst, axis=0)
    return (kept, px) if len(kept) else nothing


def _limit_px(off_px: Array, doubt: Array, long_side_px: int) -> Array:
    """How far each corner may lie from where the others put it: by their scatter, within reason."""
    scale = max(1.0, long_side_px / 4000.0)  # the reasons are of a 12-megapixel picture
    scatter = float(np.median(off_px / doubt)) / 1.18  # the median length of a plane normal error over its sigma
    return np.asarray(np.clip(_REJECT_SIGMAS * scatter * doubt, _SURELY_RIGHT_PX * scale, _MOST_WRONG_PX * scale))


def _start(
    photograph: Photograph, board: CardBoard, seen: _Markers, factor: int
) -> tuple[SmoothMap, Array, Array] | None:
    """Map through the markers alone, with the marker corners that agree with it."""
    points, px, agree, card = _agreeing(photograph, board, seen)
    if card is None or agree.sum() < 4:
        return None
    sigma = _MARKER_SIGMA_PX * factor
    for _ in range(3):
        fitted = fit_map(card, points[agree], px[agree], np.full(int(agree.sum()), sigma))
        off = np.linalg.norm(fitted.map.pixels(points) - px, axis=1)
        card, closer = fitted.map, off < 4.0 * sigma
        if closer.sum() < 4 or np.array_equal(closer, agree):
            break
        agree = closer
    return card, points[agree], px[agree]


def _agreeing(
    photograph: Photograph, board: CardBoard, seen: _Markers
) -> tuple[Array, Array, NDArray[np.bool_], SmoothMap | None]:
    points = marker_corners_mm(board)[seen.ids, :, :2].reshape(-1, 2)
    px = seen.corners_px.reshape(-1, 2)
    nobody = np.zeros(len(px), dtype=bool)
    if len(px) < 4:
        return points, px, nobody, None
    size = photograph.width_px, photograph.height_px
    rough = rough_map(points, px, board.board_mm, size, _ROUGH_GATE_SHARE * max(size))
    return (points, px, nobody, None) if rough is None else (points, px, rough[1], rough[0])


def _fitting(seen: _Markers, board: CardBoard, photograph: Photograph) -> int:
    """How many whole markers agree on one map."""
    agree = _agreeing(photograph, board, seen)[2]
    return int(agree.reshape(-1, 4).all(axis=1).sum())


def _note(board: CardBoard, seen: _Markers, corners: int) -> str:
    strange = (
        f" {seen.strange} markers are of the same set but not on this card: is it another card than the job says?"
        if seen.strange > 1
        else ""
    )
    if corners:
        return f"{corners} of {board.corner_count} corners of the card found.{strange}"
    if len(seen.ids) > 1:
        return (
            f"{len(seen.ids)} markers are in view but no corner between them could be settled: the card is too small, "
            f"blurred or bent, or it is another card than the job says.{strange}"
        )
    return f"The card is not in view.{strange}"
