"""Corners of the chessboard to a fraction of a pixel, from the four edges that run into each.

Half an edge belongs to each of its two corners, so no pixel is used twice. On one side of it lies a black square, on
the other the white rim that a marker leaves, then the marker's black border: the width of the rim is known from the
card. Averaged along the edge, the grey values across it are one blurred white stripe, and the stripe's place is the
edge's. At each corner the white lies now on one side, now on the other, so ink that spread, light that bleeds and a
threshold that is off cancel.

Source: least squares on a blurred stripe (normal distribution as blur); the rest is the card's geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from trialfit.survey.card import CardBoard, corner_positions_mm
from trialfit.survey.photograph import Grey
from trialfit.survey.smooth_map import SmoothMap

Array = NDArray[np.float64]

_MOST_ACROSS, _MOST_ALONG = 41, 32
_LEAST_ROWS = 0.4  # share of an edge that must lie in the picture
_STEPS = 8
_BLUR_START_PX = 1.5


@dataclass(frozen=True)
class SettledCorners:
    """All the corners of the card, settled as well as the picture allows.

    Parameters
    ----------
    corners_px
        (n, 2) where each settled. [px]
    likeness
        (n,) correlation of its least likely edge with what the card has there, from -1 to 1; -1 where an edge is
        not in the picture, has its colours the wrong way round, or is not there. [-]
    """

    corners_px: Array
    likeness: Array


@dataclass(frozen=True)
class _Window:
    """Where grey values are taken beside an edge, on the card: t across it towards the white, a along it."""

    across_mm: Array
    along_mm: Array
    rim_mm: float


def settle(grey: Grey, card: SmoothMap, board: CardBoard) -> SettledCorners:
    """Settle every corner of the card.

    Parameters
    ----------
    grey
        (height, width) the picture at full size. [-]
    card
        Where the card is, to a few pixels.
    board
        The card as designed.

    Returns
    -------
    SettledCorners
        One for each corner, good or bad.
    """
    points = corner_positions_mm(board)[:, :2]
    slopes = card.slopes(points)
    px_per_mm = np.linalg.norm(slopes, axis=1)  # (n, 2) along card x and y
    window = _window(board, float(np.median(px_per_mm)))
    directions = _directions(board)
    profiles = _profiles(grey, card, points, directions, window)
    blur_mm = _BLUR_START_PX / np.maximum(px_per_mm, 1e-6)
    shift_mm, likeness = _stripes(profiles, directions.white, window, blur_mm)
    return SettledCorners(card.pixels(points + shift_mm), likeness.min(axis=(1, 2)))


def _window(board: CardBoard, px_per_mm: float) -> _Window:
    rim, cell = board.inset_mm, board.cell_mm
    beside = 0.75 * min(rim, cell)
    start, end = rim + 0.25 * cell, board.square_mm / 2.0
    across = int(np.clip(np.ceil((rim + 2.0 * beside) * px_per_mm), 15, _MOST_ACROSS))
    along = int(np.clip(np.ceil((end - start) * px_per_mm), 6, _MOST_ALONG))
    return _Window(np.linspace(-beside, rim + beside, across), np.linspace(start, end, along), rim)


@dataclass(frozen=True)
class _Directions:
    """Of the two edges along each axis of a corner; axis 0: the edges that fix x, axis 1: those that fix y."""

    away: Array  # (axis, arm, 2) unit vector from the corner along the edge
    white: Array  # (n, axis, arm) +1 where the white lies towards +x or +y


def _directions(board: CardBoard) -> _Directions:
    away = np.array([[[0.0, 1.0], [0.0, -1.0]], [[1.0, 0.0], [-1.0, 0.0]]])
    # With black up and left, the upper edge has its white to the right, the right-hand edge its white above.
    sign = np.where(board.upper_left_black, 1.0, -1.0)
    return _Directions(away, sign[:, None, None] * np.array([[1.0, -1.0], [1.0, -1.0]]))


def _profiles(grey: Grey, card: SmoothMap, points: Array, directions: _Directions, window: _Window) -> Array:
    """(n, axis, arm, across) grey values averaged along each edge; nan where too little of it is in the picture."""
    where = _places(card, points, directions, window)
    flat = where.reshape(2, -1, len(window.across_mm)).astype(np.float32)
    taken = cv2.remap(grey, flat[0], flat[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    height, width = grey.shape
    ends = where[..., [0, -1]]
    limits = np.array([width - 1, height - 1]).reshape(2, 1, 1, 1, 1, 1)
    rows = ((ends >= 0) & (ends <= limits)).all(axis=(0, -1)).astype(float)
    weights = rows / np.maximum(rows.sum(axis=-1, keepdims=True), 1.0)
    mean = (weights[..., None, :] @ np.asarray(taken, dtype=float).reshape(where.shape[1:]))[..., 0, :]
    return np.where((rows.mean(axis=-1) >= _LEAST_ROWS)[..., None], mean, np.nan)


def _places(card: SmoothMap, points: Array, directions: _Directions, window: _Window) -> Array:
    """(2, n, axis, arm, along, across) picture x, y of every sample.

    The map is asked for three places of each row; between them a parabola is true to a thousandth of a pixel.
    """
    t = window.across_mm
    knots = np.array([t[0], (t[0] + t[-1]) / 2.0, t[-1]])
    share = (t - t[0]) / (t[-1] - t[0])
    parabola = np.stack((2.0 * (share - 0.5) * (share - 1.0), 4.0 * share * (1.0 - share), 2.0 * share * (share - 0.5)))
    along = directions.away[:, :, None, :] * window.along_mm[:, None]  # (axis, arm, along, 2)
    fixes = np.eye(2)[None, :, None, None, None, :]  # the first axis fixes x, the second y
    across = directions.white[:, :, :, None, None, None] * knots[:, None] * fixes
    places = points[:, None, None, None, None, :] + along[None, :, :, :, None, :] + across
    seen = card.pixels(places.reshape(-1, 2)).T.reshape(2, *places.shape[:-1])
    return np.asarray(seen @ parabola)


def _stripes(profiles: Array, white: Array, window: _Window, blur_mm: Array) -> tuple[Array, Array]:
    """Fit a blurred white stripe to the profiles.

    Unknowns of a corner's axis: place, ln blur, then black and contrast of each of its two edges.
    """
    t = window.across_mm
    lost = np.asarray(np.isnan(profiles).any(axis=(2, 3)))
    seen = np.where(lost[:, :, None, None], 0.0, profiles)
    black = seen.min(axis=3)
    contrast = np.maximum(seen.max(axis=3) - black, 1.0)
    place = np.zeros(lost.shape)
    ln_blur = np.log(blur_mm)
    first = ln_blur.copy()
    n, axes, arms, across = seen.shape
    slopes = np.zeros((n, axes, arms, across, 6))
    for _ in range(_STEPS):
        blur = np.exp(ln_blur)[:, :, None, None]
        near = (t - white[..., None] * place[:, :, None, None]) / blur
        far = near - window.rim_mm / blur
        shape = ndtr(near) - ndtr(far)
        bell_near, bell_far = _bell(near), _bell(far)
        high = contrast[..., None]
        slopes[..., 0] = -white[..., None] * high * (bell_near - bell_far) / blur
        slopes[..., 1] = -high * (near * bell_near - far * bell_far)
        for arm in range(arms):
            slopes[:, :, arm, :, 2 + 2 * arm] = 1.0
            slopes[:, :, arm, :, 3 + 2 * arm] = shape[:, :, arm]
        misses = seen - black[..., None] - high * shape
        rows = slopes.reshape(n, axes, arms * across, 6)
        normal = rows.swapaxes(-1, -2) @ rows
        right = (rows.swapaxes(-1, -2) @ misses.reshape(n, axes, arms * across, 1))[..., 0]
        # The blur is held to its start by a tenth of the contrast, and everything is kept solvable.
        hold = (0.1 * contrast.mean(axis=2)) ** 2
        normal[..., 1, 1] += hold
        right[..., 1] -= hold * (ln_blur - first)
        normal += 1e-9 * np.trace(normal, axis1=-2, axis2=-1)[..., None, None] * np.eye(6)
        step = np.linalg.solve(normal, right[..., None])[..., 0]
        place = np.clip(place + step[..., 0].clip(-window.rim_mm / 2, window.rim_mm / 2), -window.rim_mm, window.rim_mm)
        ln_blur = ln_blur + step[..., 1].clip(-0.5, 0.5)
        black = black + step[..., 2::2]
        contrast = contrast + step[..., 3::2]
    likeness = _correlation(seen, shape)
    likeness = np.where((contrast > 0.2 * contrast.max(axis=(1, 2), keepdims=True)) & (contrast > 0), likeness, -1.0)
    return place, np.where(lost[:, :, None], -1.0, likeness)


def _correlation(seen: Array, shape: Array) -> Array:
    seen = seen - seen.mean(axis=-1, keepdims=True)
    shape = shape - shape.mean(axis=-1, keepdims=True)
    scale = np.linalg.norm(seen, axis=-1) * np.linalg.norm(shape, axis=-1)
    return np.asarray((seen * shape).sum(axis=-1) / np.maximum(scale, 1e-9))


def _bell(z: Array) -> Array:
    return np.asarray(np.exp(-0.5 * z * z) / sqrt(2.0 * pi))
