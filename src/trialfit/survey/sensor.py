"""Upright photographs and the sensor that took them.

A phone held sideways stores the same sensor turned by quarter turns. Lens and principal point belong to the sensor, so
the adjustment works in its pixels; everything shown to a person is upright.

Source: geometry of quarter turns; the tangential terms change places and sign as worked out in `lens_upright`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_TURNS = np.array(
    [
        [[1.0, 0.0], [0.0, 1.0]],
        [[0.0, -1.0], [1.0, 0.0]],
        [[-1.0, 0.0], [0.0, -1.0]],
        [[0.0, 1.0], [-1.0, 0.0]],
    ]
)


def sensor_size_px(width_px: float, height_px: float, quarter_turns: int) -> tuple[float, float]:
    """Size of the picture as the sensor stored it.

    Parameters
    ----------
    width_px, height_px
        Size of the upright picture. [px]
    quarter_turns
        Quarter turns clockwise from stored to upright. [-]

    Returns
    -------
    tuple
        Width and height as stored. [px]
    """
    return (height_px, width_px) if quarter_turns % 2 else (width_px, height_px)


def to_sensor(px: Array, width_px: float, height_px: float, quarter_turns: int) -> Array:
    """Pixels of the upright picture as pixels of the sensor.

    Parameters
    ----------
    px
        (n, 2) upright pixels, the centre of the top-left pixel at (0, 0). [px]
    width_px, height_px
        Size of the upright picture. [px]
    quarter_turns
        Quarter turns clockwise from stored to upright. [-]

    Returns
    -------
    Array
        (n, 2) sensor pixels. [px]
    """
    upright_middle = np.array([width_px - 1.0, height_px - 1.0]) / 2.0
    stored = sensor_size_px(width_px, height_px, quarter_turns)
    turned: Array = (px - upright_middle) @ _TURNS[quarter_turns % 4]
    return turned + (np.array(stored) - 1.0) / 2.0


def to_upright(px: Array, width_px: float, height_px: float, quarter_turns: int) -> Array:
    """Pixels of the sensor as pixels of the upright picture.

    Parameters
    ----------
    px
        (n, 2) sensor pixels. [px]
    width_px, height_px
        Size of the upright picture. [px]
    quarter_turns
        Quarter turns clockwise from stored to upright. [-]

    Returns
    -------
    Array
        (n, 2) upright pixels. [px]
    """
    stored = sensor_size_px(width_px, height_px, quarter_turns)
    middle = (np.array(stored) - 1.0) / 2.0
    turned: Array = (px - middle) @ _TURNS[quarter_turns % 4].T
    return turned + np.array([width_px - 1.0, height_px - 1.0]) / 2.0


def camera_upright(rotation: Array, translation_mm: Array, quarter_turns: int) -> tuple[Array, Array]:
    """Turn a sensor's camera frame into the upright picture's.

    Parameters
    ----------
    rotation
        (3, 3) job frame to sensor's camera frame. [-]
    translation_mm
        (3,) with it. [mm]
    quarter_turns
        Quarter turns clockwise from stored to upright. [-]

    Returns
    -------
    tuple
        (3, 3) rotation and (3,) translation of the upright camera. [-] [mm]
    """
    turned = np.eye(3)
    turned[:2, :2] = _TURNS[quarter_turns % 4]
    return turned @ rotation, turned @ translation_mm


def lens_upright(distortion: Array, quarter_turns: int) -> Array:
    """Lens coefficients as the upright picture sees them.

    Parameters
    ----------
    distortion
        (5,) k1, k2, p1, p2, k3 of the sensor. [-]
    quarter_turns
        Quarter turns clockwise from stored to upright. [-]

    Returns
    -------
    Array
        (5,) the same for the upright picture: the vector (p2, p1) turns as the picture does. [-]
    """
    out = distortion.copy()
    out[[3, 2]] = _TURNS[quarter_turns % 4] @ distortion[[3, 2]]
    return out
