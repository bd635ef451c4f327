"""Points to pixels, with every derivative written out.

Source: the polynomial lens model of Brown (1966) in the form and order OpenCV documents it (k1, k2, p1, p2, k3);
derivatives by hand, held against numeric differences and against OpenCV's own in `tests/outside/`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LENS_SIZE = 8  # log focal over its start, centre x, centre y, k1, k2, p1, p2, k3


@dataclass(frozen=True)
class Rays:
    """Projection of n points with its derivatives.

    Parameters
    ----------
    px
        (n, 2) pixels. [px]
    depth_mm
        (n,) distance along the camera's axis; not positive means behind the camera. [mm]
    by_camera
        (n, 2, 3) derivative by the point in the camera's frame. [px/mm]
    by_lens
        (n, 2, 8) derivative by log focal, centre x y, k1, k2, p1, p2, k3. [px]
    turned
        (n, 3) rotation @ point, for the derivative by a small turn of the camera. [mm]
    """

    px: Array
    depth_mm: Array
    by_camera: Array
    by_lens: Array
    turned: Array


def bend(flat: Array, lens: Array) -> Array:
    """Bend ideal image coordinates as the lens does, where nobody asks for derivatives.

    Parameters
    ----------
    flat
        (n, 2) ideal coordinates x/z, y/z. [-]
    lens
        (n, 5) or (5,) k1, k2, p1, p2, k3. [-]

    Returns
    -------
    Array
        (n, 2) bent coordinates. [-]
    """
    return _bent(flat, lens)[0]


def distort(flat: Array, lens: Array) -> tuple[Array, Array, Array]:
    """Bend ideal image coordinates as the lens does.

    Parameters
    ----------
    flat
        (n, 2) ideal coordinates x/z, y/z. [-]
    lens
        (n, 5) k1, k2, p1, p2, k3. [-]

    Returns
    -------
    tuple
        (n, 2) bent coordinates; (n, 2, 2) derivative by the ideal ones; (n, 2, 5) derivative by the lens.
    """
    x, y = flat[:, 0], flat[:, 1]
    k1, k2, p1, p2, k3 = lens.T
    bent, r2, radial, xy, xx, yy = _bent(flat, lens)
    slope = k1 + r2 * (2.0 * k2 + 3.0 * r2 * k3)
    by_flat = np.empty((len(flat), 2, 2))
    by_flat[:, 0, 0] = radial + 2.0 * x * x * slope + 2.0 * p1 * y + 6.0 * p2 * x
    by_flat[:, 0, 1] = by_flat[:, 1, 0] = 2.0 * xy * slope + 2.0 * p1 * x + 2.0 * p2 * y
    by_flat[:, 1, 1] = radial + 2.0 * y * y * slope + 6.0 * p1 * y + 2.0 * p2 * x
    by_lens = np.empty((len(flat), 2, 5))
    by_lens[:, :, 0] = flat * r2[:, None]
    by_lens[:, :, 1] = by_lens[:, :, 0] * r2[:, None]
    by_lens[:, :, 4] = by_lens[:, :, 1] * r2[:, None]
    by_lens[:, 0, 2], by_lens[:, 1, 2] = 2.0 * xy, yy
    by_lens[:, 0, 3], by_lens[:, 1, 3] = xx, 2.0 * xy
    return bent, by_flat, by_lens


def _bent(flat: Array, lens: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
    """(n, 2) bent coordinates; (n,) distance squared, radial share, and the terms of the tangential part."""
    x, y = flat[:, 0], flat[:, 1]
    k1, k2, p1, p2, k3 = lens.T
    r2 = x * x + y * y
    radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3))
    xy = x * y
    xx, yy = r2 + 2.0 * x * x, r2 + 2.0 * y * y
    bent = np.empty_like(flat)
    bent[:, 0] = x * radial + 2.0 * p1 * xy + p2 * xx
    bent[:, 1] = y * radial + p1 * yy + 2.0 * p2 * xy
    return bent, r2, radial, xy, xx, yy


def project(
    points_mm: Array, rotation: Array, translation_mm: Array, focal_px: Array, centre_px: Array, lens: Array
) -> Rays:
    """Project points, each through its own camera.

    Parameters
    ----------
    points_mm
        (n, 3) points in the job frame. [mm]
    rotation
        (n, 3, 3) job frame to camera frame. [-]
    translation_mm
        (n, 3) with it. [mm]
    focal_px
        (n,) focal length. [px]
    centre_px
        (n, 2) principal point. [px]
    lens
        (n, 5) k1, k2, p1, p2, k3. [-]

    Returns
    -------
    Rays
        Pixels and derivatives.
    """
    turned = (rotation @ points_mm[:, :, None])[:, :, 0]
    camera = turned + translation_mm
    depth = camera[:, 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        per_depth = 1.0 / depth
        flat = camera[:, :2] * per_depth[:, None]
        bent, by_flat, by_coefficients = distort(flat, lens)
        focal = focal_px[:, None, None]
        scaled = by_flat * (focal * per_depth[:, None, None])
        by_camera = np.empty((len(points_mm), 2, 3))
        by_camera[:, :, :2] = scaled
        by_camera[:, :, 2] = -(scaled @ flat[:, :, None])[:, :, 0]
        by_lens = np.zeros((len(points_mm), 2, LENS_SIZE))
        by_lens[:, :, 0] = bent * focal_px[:, None]
        by_lens[:, 0, 1] = by_lens[:, 1, 2] = 1.0
        by_lens[:, :, 3:] = by_coefficients * focal
    return Rays(bent * focal_px[:, None] + centre_px, depth, by_camera, by_lens, turned)


def straighten(px: Array, focal_px: Array, centre_px: Array, lens: Array) -> Array:
    """Undo the lens: pixels to ideal coordinates.

    Parameters
    ----------
    px
        (n, 2) pixels. [px]
    focal_px
        (n,) focal length. [px]
    centre_px
        (n, 2) principal point. [px]
    lens
        (n, 5) k1, k2, p1, p2, k3. [-]

    Returns
    -------
    Array
        (n, 2) ideal coordinates x/z, y/z. [-]
    """
    wanted = (px - centre_px) / focal_px[:, None]
    flat = wanted.copy()
    for _ in range(20):
        bent, by_flat, _ = distort(flat, lens)
        step = np.linalg.solve(by_flat, (wanted - bent)[:, :, None])[:, :, 0]
        flat = flat + step
        if not np.isfinite(flat).all() or np.abs(step).max(initial=0.0) < 1e-12:
            break
    return flat


def turn(vector: Array) -> Array:
    """Rotation matrix of a rotation vector (Rodrigues).

    Parameters
    ----------
    vector
        (n, 3) axis times angle. [rad]

    Returns
    -------
    Array
        (n, 3, 3) rotation matrices. [-]
    """
    angle = np.linalg.norm(vector, axis=1)
    small = angle < 1e-8
    safe = np.where(small, 1.0, angle)
    first = np.where(small, 1.0, np.sin(safe) / safe)
    second = np.where(small, 0.5, (1.0 - np.cos(safe)) / safe**2)
    cross = skew(vector)
    return np.eye(3) + first[:, None, None] * cross + second[:, None, None] * (cross @ cross)


def skew(vector: Array) -> Array:
    """Cross-product matrices.

    Parameters
    ----------
    vector
        (n, 3) vectors. [-]

    Returns
    -------
    Array
        (n, 3, 3) matrices M with M @ w = vector x w. [-]
    """
    out = np.zeros((len(vector), 3, 3))
    x, y, z = vector.T
    out[:, 0, 1], out[:, 0, 2], out[:, 1, 2] = -z, y, -x
    out[:, 1, 0], out[:, 2, 0], out[:, 2, 1] = z, -y, x
    return out
