"""The point of a triangle pyramid nearest to the origin, many at once, when one corner has just been added.

Source: Gilbert, Johnson and Keerthi (1988): least squares over each corner, edge, face and the whole, keeping those
whose shares are all positive; the new corner is always among them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.parts.placement import Array

# The old corners that go with the new one: none, one, two, three.
_WITH = ((), (0,), (1,), (2,), (0, 1), (0, 2), (1, 2), (0, 1, 2))
_FLAT = 1e-13


@dataclass(frozen=True, eq=False)
class Step:
    """What is left of each pyramid.

    Parameters
    ----------
    way
        (n, 3) its point nearest to the origin. [mm]
    at
        (n, 3) the point of the first solid that belongs to it. [mm]
    corners, from_one
        (n, 3, 3) up to three corners that hold it, and the first solid's points they come from. [mm]
    used
        (n, 3) which of them count. [-]
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
        (n, 3) the new corner, and the first solid's point it comes from. [mm]
    corners, from_one
        (n, 3, 3) the corners there are, likewise. [mm]
    used
        (n, 3) which of them count. [-]

    Returns
    -------
    Step
        The point, and the corners that hold it; where it is the origin itself, any of them.
    """
    edges = corners - new[:, None, :]
    E = np.einsum("nij,nkj->nik", edges, edges)
    b = -np.einsum("nij,nj->ni", edges, new)
    shares = np.zeros((len(_WITH), len(new), 3))
    good = np.zeros((len(_WITH), len(new)), dtype=bool)
    for k, which in enumerate(_WITH):
        solved, sound = _solved(E, b, which)
        for place, column in enumerate(which):
            shares[k, :, column] = solved[place]
        good[k] = sound & used[:, list(which)].all(axis=1) if which else True
    good &= (shares >= 0).all(axis=2) & (shares.sum(axis=2) <= 1 + 1e-12)
    points = new[None] + np.einsum("kni,nij->knj", shares, edges)
    sizes = np.where(good, np.sum(points * points, axis=2), np.inf)
    best = np.argmin(sizes, axis=0)
    lanes = np.arange(len(new))
    share = shares[best, lanes]
    at = new_one + np.einsum("ni,nij->nj", share, from_one - new_one[:, None, :])
    held = share > 0
    # The new corner takes a place that is no longer held; where all are, the origin is inside and the search is over.
    free = np.argmin(held, axis=1)
    corners, from_one = corners.copy(), from_one.copy()
    corners[lanes, free], from_one[lanes, free] = new, new_one
    held[lanes, free] = True
    return Step(points[best, lanes], at, corners, from_one, held)


def _solved(E: Array, b: Array, which: tuple[int, ...]) -> tuple[list[Array], NDArray[np.bool_]]:
    """Least squares for the corners chosen, by Cramer's rule; and whether they span what they should."""
    if not which:
        return [], np.ones(len(b), dtype=bool)
    if len(which) == 1:
        (i,) = which
        size = E[:, i, i]
        sound = size > 0
        return [b[:, i] / np.where(sound, size, 1.0)], sound
    if len(which) == 2:
        i, j = which
        det = E[:, i, i] * E[:, j, j] - E[:, i, j] ** 2
        sound = det > _FLAT * E[:, i, i] * E[:, j, j]
        det = np.where(sound, det, 1.0)
        return [
            (b[:, i] * E[:, j, j] - b[:, j] * E[:, i, j]) / det,
            (b[:, j] * E[:, i, i] - b[:, i] * E[:, i, j]) / det,
        ], sound
    c00 = E[:, 1, 1] * E[:, 2, 2] - E[:, 1, 2] ** 2
    c01 = E[:, 0, 2] * E[:, 1, 2] - E[:, 0, 1] * E[:, 2, 2]
    c02 = E[:, 0, 1] * E[:, 1, 2] - E[:, 0, 2] * E[:, 1, 1]
    c11 = E[:, 0, 0] * E[:, 2, 2] - E[:, 0, 2] ** 2
    c12 = E[:, 0, 1] * E[:, 0, 2] - E[:, 0, 0] * E[:, 1, 2]
    c22 = E[:, 0, 0] * E[:, 1, 1] - E[:, 0, 1] ** 2
    det = E[:, 0, 0] * c00 + E[:, 0, 1] * c01 + E[:, 0, 2] * c02
    sound = det > _FLAT * E[:, 0, 0] * E[:, 1, 1] * E[:, 2, 2]
    det = np.where(sound, det, 1.0)
    rows = ((c00, c01, c02), (c01, c11, c12), (c02, c12, c22))
    return [(row[0] * b[:, 0] + row[1] * b[:, 1] + row[2] * b[:, 2]) / det for row in rows], sound
