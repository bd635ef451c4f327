"""Find the scale card in a photograph.

The markers say which card lies about where; the corners between them are then settled in the picture at full size, and
each is kept only if it agrees with a smooth map of the card through all the others. In full-size pictures the marker
library's own refinement of corners now and then errs by twenty pixels.

Source: `markers`, `edges` and `smooth_map`, which name theirs. Gates and limits are common
practice, no source; what they reach is measured in the tests on photographs of known truth.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Fault, Refusal, Refusals
from trialfit.survey.card import CardBoard, corner_positions_mm, marker_corners_mm
from trialfit.survey.edges import settle
from trialfit.survey.markers import Markers, Search, search
from trialfit.survey.photograph import Photograph
from trialfit.survey.smooth_map import SmoothMap, fit_map, rough_map

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

_MIRRORED_MARKERS = 3  # a mirrored marker may be taken for another by chance; three that fit one map are not
_ROUGH_GATE_SHARE = 0.01  # of the picture's long side; leaves room for the lens
_MARKER_SIGMA_PX = 1.0  # of the copy that was searched
_CORNER_SIGMA_PX = 0.25
_LEAST_LIKENESS = 0.8
_REJECT_SIGMAS = 5.0
_SURELY_RIGHT_PX, _MOST_WRONG_PX = 0.75, 1.9
_MISFITS_LEAST, _MISFITS_SHARE = 3, 0.4  # so many markers out of place are no accident
_NO_CORNERS = np.zeros(0, dtype=np.int64)


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
    found = search(photograph.grey, board)
    size = photograph.width_px, photograph.height_px
    if len(found.mirrored.ids) > len(found.printed.ids) and _fitting(found.mirrored, board, size) >= _MIRRORED_MARKERS:
        raise Refusal(
            f"photograph {photograph.name}",
            "a mirror image of the card",
            "a photograph as the eye sees it",
            "The phone flipped it, as it does with its front camera: flip it back and set its marks anew, or ask for "
            "one taken with the main camera.",
            photograph.file,
        )
    ids, corners, misfits = _NO_CORNERS, np.zeros((0, 2)), 0
    start = _start(found, board, size)
    if start is not None:
        misfits = _misfits(start.map, board, found.printed)
        if misfits < _MISFITS_LEAST or misfits < _MISFITS_SHARE * len(set(found.printed.ids.tolist())):
            ids, corners = _corners(photograph, board, start)
            misfits = 0
    return CardSighting(photograph.name, ids, corners, _note(board, found.printed, len(ids), misfits))


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


@dataclass(frozen=True, eq=False)
class _Start:
    map: SmoothMap
    points_mm: Array  # marker corners that agree with it, (m, 2)
    seen_px: Array
    sigma_px: float


def _start(found: Search, board: CardBoard, size_px: tuple[int, int]) -> _Start | None:
    """Map through the markers alone."""
    points, px = _marker_points(found.printed, board)
    rough = _rough(points, px, board, size_px)
    if rough is None:
        return None
    card, agree = rough
    sigma = _MARKER_SIGMA_PX * found.factor
    for _ in range(3):
        card = fit_map(card, points[agree], px[agree], np.full(int(agree.sum()), sigma)).map
        closer = np.linalg.norm(card.pixels(points) - px, axis=1) < 4.0 * sigma
        if closer.sum() < 4 or np.array_equal(closer, agree):
            break
        agree = closer
    return _Start(card, points[agree], px[agree], sigma)


def _corners(photograph: Photograph, board: CardBoard, start: _Start) -> tuple[Ints, Array]:
    """Corners that agree with one smooth map of the card."""
    card = start.map
    kept, px = _NO_CORNERS, np.zeros((0, 2))
    for _ in range(2):  # the second time from where the corners themselves put the card
        settled = settle(photograph.grey, card, board)
        likely = np.flatnonzero(settled.likeness > _LEAST_LIKENESS)
        kept, card = _agreeing(likely, settled.corners_px, board, replace(start, map=card), photograph)
        px = settled.corners_px[kept]
    return kept, px


def _agreeing(
    kept: Ints, corners_px: Array, board: CardBoard, start: _Start, photograph: Photograph
) -> tuple[Ints, SmoothMap]:
    """Leave out the worst corner, one at a time, until each of those left lies where the others put it."""
    points = corner_positions_mm(board)[:, :2]
    # Outlines of markers err together, so beside settled corners they count for less than their scatter says.
    marker_sigma = np.full(len(start.seen_px), 4.0 * start.sigma_px)
    while len(kept):
        fitted = fit_map(
            start.map,
            np.concatenate([points[kept], start.points_mm]),
            np.concatenate([corners_px[kept], start.seen_px]),
            np.concatenate([np.full(len(kept), _CORNER_SIGMA_PX), marker_sigma]),
        )
        off = np.linalg.norm(fitted.left_out_px[: len(kept)], axis=1)
        over = off - _limit_px(off, fitted.doubt[: len(kept)], max(photograph.grey.shape))
        worst = int(np.argmax(over))
        if over[worst] <= 0.0:
            return kept, fitted.map
        kept = np.delete(kept, worst)
    return kept, start.map


def _limit_px(off_px: Array, doubt: Array, long_side_px: int) -> Array:
    """How far each corner may lie from where the others put it: by their scatter, within reason."""
    scale = max(1.0, long_side_px / 4000.0)  # the reasons are of a 12-megapixel picture
    scatter = float(np.median(off_px / doubt)) / 1.18  # the median length of a plane normal error over its sigma
    return np.asarray(np.clip(_REJECT_SIGMAS * scatter * doubt, _SURELY_RIGHT_PX * scale, _MOST_WRONG_PX * scale))


def _marker_points(seen: Markers, board: CardBoard) -> tuple[Array, Array]:
    """(m, 2) corners of the markers on the card and in the picture."""
    return marker_corners_mm(board)[seen.ids, :, :2].reshape(-1, 2), seen.corners_px.reshape(-1, 2)


def _rough(
    points: Array, px: Array, board: CardBoard, size_px: tuple[int, int]
) -> tuple[SmoothMap, NDArray[np.bool_]] | None:
    if len(px) < 4:
        return None
    found = rough_map(points, px, board.board_mm, size_px, _ROUGH_GATE_SHARE * max(size_px))
    return None if found is None or found[1].sum() < 4 else found


def _fitting(seen: Markers, board: CardBoard, size_px: tuple[int, int]) -> int:
    """How many whole markers agree on one map."""
    found = _rough(*_marker_points(seen, board), board, size_px)
    return 0 if found is None else int(found[1].reshape(-1, 4).all(axis=1).sum())


def _misfits(card: SmoothMap, board: CardBoard, seen: Markers) -> int:
    """How many of the numbers seen are nowhere near where this card has them."""
    points, px = _marker_points(seen, board)
    off = np.linalg.norm(card.pixels(points) - px, axis=1).reshape(-1, 4).mean(axis=1)
    sides = np.linalg.norm(seen.corners_px - np.roll(seen.corners_px, 1, axis=1), axis=2).mean(axis=1)
    near = off < 0.5 * sides
    return len(set(seen.ids[~near].tolist()) - set(seen.ids[near].tolist()))


def _note(board: CardBoard, seen: Markers, corners: int, misfits: int) -> str:
    if misfits:
        return (
            f"{misfits} of {len(set(seen.ids.tolist()))} markers are not where this card has them: it is another card "
            "than the job says, or badly bent."
        )
    note = f"{corners} of {board.corner_count} corners of the card found."
    if not corners:
        note = "The card is not in view."
        if len(seen.ids) > 1:
            note = (
                f"{len(seen.ids)} markers are in view but no corner between them could be settled: the card is too "
                "small in the picture, cut off or blurred."
            )
    if seen.strange > 1:
        note += f" {seen.strange} more markers are of its set but not on it: is it another card than the job says?"
    return note
