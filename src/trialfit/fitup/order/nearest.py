"""The point of a triangle pyramid nearest to the origin, many at once, when one corner has just been added.

Source: Gilbert, Johnson and Keerthi (1988): least squares over each corner, edge, face and the whole, keeping those
whose shares are all positive; the new corner is always among them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.parts.placement import Array

# The old corners one by one and two by two, and where the shares of each are written.
_EACH, _ONE, _OTHER = np.array([0, 1, 2]), np.array([0, 0, 1]), np.array([1, 2, 2])
_SINGLE, _PAIR = np.array([1, 2, 3]), np.array([4, 5, 6])
_FLAT = 1e-13


@dataclass(frozen=True, eq=False)
class Step:
    """What is left of each pyramid, a lane each.

    Parameters
    ----------
    way
        (3, n) its point nearest to the origin. [mm]
    at
        (3, n) the point of the first solid that belongs to it. [mm]
    corners, from_one
        (3, 3, n) up to three corners that hold it, and the first solid's points they come from. [mm]
    used
        (3, n) which of them count. [-]
    """

    way: Array
    at: Array
    corners: Array
    from_one: Array
    used: NDArray[np.bool_]


def nearest(new: Array, new_one: Array, corners: Array, from_one: Array, used: NDArray[np.bool_]) -> Step:
    """Add a corner to each pyramid and find its point nearest to the origin.

    Parameters
    ----------
    new, new_one
        (3, n) the new corner, and the first solid's point it comes from. [mm]
    corners, from_one
        (3, 3, n) the corners there are, likewise, a row of three figures a corner. [mm]
    used
        (3, n) which of them count. [-]

    Returns
    -------
    Step
        The point, and the corners that hold it; where it is the origin itself, any of them.
    """
    edges = corners - new
    shares, good = _shares(edges, new, used)
    points = new + np.einsum("kin,ijn->kjn", shares, edges)
    best = np.argmin(np.where(good, np.einsum("kjn,kjn->kn", points, points), np.inf), axis=0)
    lanes = np.arange(new.shape[1])
    share = shares[best, :, lanes].T
    at = new_one + np.einsum("in,ijn->jn", share, from_one - new_one)
    held = share > 0
    # The new corner takes a place that is no longer held; where all are, the origin is inside and the search is over.
    free = np.argmin(held, axis=0)
    corners, from_one = corners.copy(), from_one.copy()
    corners[free, :, lanes], from_one[free, :, lanes] = new.T, new_one.T
    held[free, lanes] = True
    return Step(points[best, :, lanes].T, at, corners, from_one, held)


def _shares(edges: Array, new: Array, used: NDArray[np.bool_]) -> tuple[Array, NDArray[np.bool_]]:
    """(8, 3, n) shares of the old corners by least squares, none of them, each, each two, all three; (8, n) if sound.

    By Cramer's rule, whose determinants also say whether the corners span what they should.
    """
    E, b = np.einsum("ijn,kjn->ikn", edges, edges), -np.einsum("ijn,jn->in", edges, new)
    shares, good = np.zeros((8, *b.shape)), np.ones((8, b.shape[1]), dtype=bool)
    size, between = np.einsum("iin->in", E), E[_ONE, _OTHER]
    shares[_SINGLE, _EACH] = b / np.where(size > 0, size, 1.0)
    good[_SINGLE] = used & (size > 0)
    a, c, first, second = size[_ONE], size[_OTHER], b[_ONE], b[_OTHER]
    square = a * c
    pair = square - between * between
    sound = pair > _FLAT * square
    scale = np.where(sound, pair, 1.0)
    shares[_PAIR, _ONE] = (first * c - second * between) / scale
    shares[_PAIR, _OTHER] = (second * a - first * between) / scale
    good[_PAIR] = used[_ONE] & used[_OTHER] & sound
    e01, e02, e12 = between
    c01, c02, c12 = e02 * e12 - e01 * size[2], e01 * e12 - e02 * size[1], e01 * e02 - size[0] * e12
    whole = size[0] * pair[2] + e01 * c01 + e02 * c02
    sound = whole > _FLAT * square[0] * size[2]
    shares[7, 0] = pair[2] * b[0] + c01 * b[1] + c02 * b[2]
    shares[7, 1] = c01 * b[0] + pair[1] * b[1] + c12 * b[2]
    shares[7, 2] = c02 * b[0] + c12 * b[1] + pair[0] * b[2]
    shares[7] /= np.where(sound, whole, 1.0)
    good[7] = used.all(axis=0) & sound
    good &= (shares >= 0).all(axis=1) & (shares.sum(axis=1) <= 1 + 1e-12)
    return shares, good
