"""One rim in one photograph: the ellipse through its marks, and the two ways a circle could lean to look so.

Source: pose of a circle from its image, the cone through eye and ellipse cut by its two circular sections
(Forsyth et al. 1991, "Invariant descriptors for 3-D object recognition and pose"); ellipse by direct least squares
(Fitzgibbon, Pilu & Fisher 1999) as OpenCV carries it.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_SCALE = 1000.0  # OpenCV fits in single precision, in something like pixels


@dataclass(frozen=True)
class RimView:
    """An ellipse, and the circles it could be.

    Parameters
    ----------
    half_axes
        Longer and shorter half axis, in the ideal image. [-]
    middles
        (2, 3) towards the circle's middle in the camera's frame, for each way it could lean, as far as a circle of
        radius 1 would be. [-]
    normals
        (2, 3) unit normals of the circle's plane for each, towards the camera. [-]
    """

    half_axes: tuple[float, float]
    middles: Array
    normals: Array


def rim_view(flat: Array) -> RimView | None:
    """See a rim's marks as a circle.

    Parameters
    ----------
    flat
        (n, 2) five marks or more, as an ideal lens would show them. [-]

    Returns
    -------
    RimView or None
        None where no ellipse goes through them.
    """
    if len(flat) < 5:
        return None
    centre = flat.mean(axis=0)
    try:
        fitted = cv2.fitEllipseDirect(((flat - centre) * _SCALE).astype(np.float32))
    except cv2.error:
        return None
    (x, y), (wide, high), turn_deg = fitted
    if not np.isfinite([x, y, wide, high, turn_deg]).all() or min(wide, high) <= 0.0:
        return None
    middle = centre + np.array([x, y]) / _SCALE
    half = np.array([wide, high]) / 2.0 / _SCALE
    turn = np.radians(turn_deg)
    ways = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    middles, normals = _leanings(_cone(middle, half, ways), middle, half, ways)
    return RimView((float(half.max()), float(half.min())), middles, normals)


def _cone(middle: Array, half: Array, ways: Array) -> Array:
    """(3, 3) matrix Q with ray @ Q @ ray = 0 on the ellipse, positive outside it."""
    bent = ways.T @ np.diag(half**-2.0) @ ways
    out = np.empty((3, 3))
    out[:2, :2] = bent
    out[:2, 2] = out[2, :2] = -bent @ middle
    out[2, 2] = middle @ bent @ middle - 1.0
    return out


def _leanings(cone: Array, middle: Array, half: Array, ways: Array) -> tuple[Array, Array]:
    """The planes that cut the cone in circles; for each the middle of a circle of radius 1."""
    values, vectors = np.linalg.eigh(cone)  # one negative, then two positive, rising
    low, mid, high = values
    along, beside = np.sqrt((high - mid) / (high - low)), np.sqrt((mid - low) / (high - low))
    turns = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    rim = middle + np.stack([np.cos(turns) * half[0], np.sin(turns) * half[1]], axis=1) @ ways
    rays = np.column_stack([rim, np.ones(len(rim))])
    middles, normals = [], []
    for sign in (1.0, -1.0):
        normal = along * vectors[:, 2] + sign * beside * vectors[:, 0]
        towards = np.linalg.solve(cone, normal)
        normal = normal if normal @ towards * towards[2] < 0.0 else -normal
        # The plane at distance 1 from the eye, and the circle in it.
        there = rays / (rays @ normal)[:, None]
        centre = towards / (towards @ normal)
        radius = float(np.linalg.norm(there - centre, axis=1).mean())
        middles.append(centre / radius)
        normals.append(normal)
    out = np.array(middles)
    return out * np.sign(out[:, 2:]), np.array(normals)
