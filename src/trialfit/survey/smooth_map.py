"""A smooth map from the flat card to a photograph, for judging corners by their neighbours.

A homography is what a pinhole makes of a flat card. Beside it stand two radial lens terms about the picture's middle
and a quadratic for a card that bows, each held near nought by a prior, so that a few corners do not bend it at will.

Source: linearised least squares; the widths of the priors are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

_LENS_SIGMA = 0.3  # of each radial term, for a ray one focal length off the axis; phones' main lenses stay under 0.15
_BOW_SIGMA = 0.02  # share of half the card's diagonal: 1.8 mm on A6, several times what paper does on a board
_STEPS = 4


@dataclass(frozen=True)
class SmoothMap:
    """Where a point of the card appears.

    Parameters
    ----------
    middle_mm
        Middle of the board in the job frame. [mm]
    reach_mm
        Half the board's diagonal. [mm]
    centre_px
        Middle of the picture. [px]
    focal_px
        A length near the focal length, for scale only. [px]
    homography
        (3, 3) from the card to the picture, both measured from their middles in the two lengths above. [-]
    lens
        Radial terms, of the square and the fourth power of the distance from the middle. [-]
    bow
        (2, 3) factors of u2, uv, v2 in x and in y. [-]
    """

    middle_mm: tuple[float, float]
    reach_mm: float
    centre_px: tuple[float, float]
    focal_px: float
    homography: Array
    lens: tuple[float, float]
    bow: Array

    def pixels(self, points_mm: Array) -> Array:
        """Where points of the card appear.

        Parameters
        ----------
        points_mm
            (n, 2) x, y in the job frame. [mm]

        Returns
        -------
        ndarray
            (n, 2) x, y in the picture. [px]
        """
        u, v = self.card_coordinates(points_mm).T
        pinhole = _pinhole(self.homography, u, v)
        radius = (pinhole**2).sum(axis=1, keepdims=True)
        bend = 1.0 + self.lens[0] * radius + self.lens[1] * radius**2
        seen = pinhole * bend + _quadratic(u, v) @ self.bow.T
        return np.asarray(seen * self.focal_px + np.array(self.centre_px))

    def slopes(self, points_mm: Array) -> Array:
        """How far the picture moves for a millimetre on the card.

        Parameters
        ----------
        points_mm
            (n, 2) x, y in the job frame. [mm]

        Returns
        -------
        ndarray
            (n, 2, 2) derivatives of picture x, y (rows) by card x, y (columns). [px/mm]
        """
        step_mm = 0.01
        columns = [
            (self.pixels(points_mm + step) - self.pixels(points_mm - step)) / (2.0 * step_mm)
            for step in (np.array([step_mm, 0.0]), np.array([0.0, step_mm]))
        ]
        return np.stack(columns, axis=-1)

    def card_coordinates(self, points_mm: Array) -> Array:
        """Points of the card measured from its middle in half diagonals.

        Parameters
        ----------
        points_mm
            (n, 2) x, y in the job frame. [mm]

        Returns
        -------
        ndarray
            (n, 2) u, v. [-]
        """
        return np.asarray((points_mm - np.array(self.middle_mm)) / self.reach_mm)


@dataclass(frozen=True)
class FittedMap:
    """A smooth map with what each point says against the others.

    Parameters
    ----------
    map
        The map through all the points.
    left_out_px
        (n, 2) how far each point lies from where all the others put it. [px]
    doubt
        (n,) how much wider that scatters than the point itself, because the others hold the map there less firmly
        than everywhere; 1 or more. [-]
    """

    map: SmoothMap
    left_out_px: Array
    doubt: Array


def rough_map(
    points_mm: Array, seen_px: Array, board_mm: tuple[float, float], size_px: tuple[int, int], gate_px: float
) -> tuple[SmoothMap, NDArray[np.bool_]] | None:
    """Find the pinhole map most of the points agree on.

    Parameters
    ----------
    points_mm
        (n, 2) points of the card in the job frame. [mm]
    seen_px
        (n, 2) where they appear, some of them wrongly. [px]
    board_mm
        Sides of the board. [mm]
    size_px
        Width and height of the picture. [px]
    gate_px
        How far a point may lie off and still agree. [px]

    Returns
    -------
    tuple or None
        The map without lens or bow, and (n,) which points agree; None where no map holds.
    """
    width, height = size_px
    blank = SmoothMap(
        middle_mm=(board_mm[0] / 2.0, board_mm[1] / 2.0),
        reach_mm=hypot(*board_mm) / 2.0,
        centre_px=((width - 1) / 2.0, (height - 1) / 2.0),
        focal_px=0.6 * hypot(width, height),
        homography=np.eye(3),
        lens=(0.0, 0.0),
        bow=np.zeros((2, 3)),
    )
    card = blank.card_coordinates(points_mm)
    seen = (seen_px - np.array(blank.centre_px)) / blank.focal_px
    cv2.setRNGSeed(1)  # the same photograph gives the same corners
    found, agree = cv2.findHomography(card, seen, cv2.RANSAC, gate_px / blank.focal_px, maxIters=500)
    if found is None or abs(np.linalg.det(found)) < 1e-12:
        return None
    return _with(blank, found / found[2, 2], (0.0, 0.0), np.zeros((2, 3))), agree.ravel().astype(bool)


def fit_map(start: SmoothMap, points_mm: Array, seen_px: Array, sigma_px: Array) -> FittedMap:
    """Fit the map to points by weighted least squares, and hold each point against the others.

    Parameters
    ----------
    start
        A map near enough to start from.
    points_mm
        (n, 2) points of the card in the job frame. [mm]
    seen_px
        (n, 2) where they appear. [px]
    sigma_px
        (n,) one standard deviation of each. [px]

    Returns
    -------
    FittedMap
        The map, and how far each point lies from where the others put it.
    """
    u, v = start.card_coordinates(points_mm).T
    seen = (seen_px - np.array(start.centre_px)) / start.focal_px
    weight = np.repeat(start.focal_px / sigma_px, 2)
    spread = float(np.sqrt(abs(np.linalg.det(start.homography[:2, :2]))))  # picture lengths per half diagonal
    priors = 1.0 / np.array([_LENS_SIGMA] * 2 + [_BOW_SIGMA * spread] * 6)
    held = np.concatenate([start.homography.ravel()[:8], start.lens, start.bow.ravel()])
    rows = np.zeros((len(weight) + 8, 16))
    rows[len(weight) :, 8:] = np.diag(priors)
    against = np.zeros(len(rows))
    for _ in range(_STEPS):
        modelled, slopes = _model(held, u, v)
        rows[: len(weight)] = slopes * weight[:, None]
        against[: len(weight)] = (seen - modelled).ravel() * weight
        against[len(weight) :] = -priors * held[8:]
        held = held + np.linalg.lstsq(rows, against, rcond=None)[0]
    modelled, slopes = _model(held, u, v)
    rows[: len(weight)] = slopes * weight[:, None]
    fitted = _with(
        start, np.append(held[:8], 1.0).reshape(3, 3), (float(held[8]), float(held[9])), held[10:].reshape(2, 3)
    )
    misses = (seen - modelled) * start.focal_px
    return FittedMap(fitted, *_left_out(rows, len(weight), misses))


def _left_out(rows: Array, count: int, misses: Array) -> tuple[Array, Array]:
    """Residual of each point against the fit of the others, from the fit of all, and how much wider it scatters.

    Rows of one point share their weight, so the weighted block serves the plain residual.
    """
    basis = np.linalg.qr(rows)[0][:count].reshape(-1, 2, rows.shape[1])
    own = np.eye(2) - basis @ basis.transpose(0, 2, 1)
    own += 1e-9 * np.eye(2)  # a point nothing else holds says nothing against itself
    widened = np.linalg.inv(own)
    return (widened @ misses[..., None])[..., 0], np.sqrt(np.trace(widened, axis1=1, axis2=2) / 2.0)


def _model(held: Array, u: Array, v: Array) -> tuple[Array, Array]:
    """Where the points appear, (n, 2), and the derivatives of x0, y0, x1, ... by the 16 unknowns, (2n, 16)."""
    homography = np.append(held[:8], 1.0).reshape(3, 3)
    first, second, bow = held[8], held[9], held[10:].reshape(2, 3)
    pinhole = _pinhole(homography, u, v)
    depth = homography[2, 0] * u + homography[2, 1] * v + 1.0
    radius = (pinhole**2).sum(axis=1)
    quadratic = _quadratic(u, v)
    bend = 1.0 + first * radius + second * radius**2
    modelled = pinhole * bend[:, None] + quadratic @ bow.T

    slopes = np.zeros((len(u), 2, 16))
    unit = np.column_stack((u, v, np.ones_like(u))) / depth[:, None]
    by_pinhole = np.zeros((len(u), 2, 8))
    by_pinhole[:, 0, 0:3] = unit
    by_pinhole[:, 1, 3:6] = unit
    by_pinhole[:, :, 6:8] = -pinhole[:, :, None] * unit[:, None, :2]
    steeper = 2.0 * (first + 2.0 * second * radius)
    outer = pinhole[:, :, None] * pinhole[:, None, :]
    by_lens = bend[:, None, None] * np.eye(2) + steeper[:, None, None] * outer
    slopes[:, :, :8] = by_lens @ by_pinhole
    slopes[:, :, 8] = pinhole * radius[:, None]
    slopes[:, :, 9] = pinhole * (radius**2)[:, None]
    slopes[:, 0, 10:13] = quadratic
    slopes[:, 1, 13:16] = quadratic
    return modelled, slopes.reshape(-1, 16)


def _pinhole(homography: Array, u: Array, v: Array) -> Array:
    x, y, depth = homography @ np.stack((u, v, np.ones_like(u)))
    return np.column_stack((x / depth, y / depth))


def _quadratic(u: Array, v: Array) -> Array:
    return np.column_stack((u * u, u * v, v * v))


def _with(blank: SmoothMap, homography: Array, lens: tuple[float, float], bow: Array) -> SmoothMap:
    return SmoothMap(
        blank.middle_mm, blank.reach_mm, blank.centre_px, blank.focal_px, homography, lens, bow
    )  # fmt: skip
