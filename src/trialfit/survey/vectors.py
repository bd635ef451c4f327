"""Products of many short vectors at a time. Source: vector algebra; numpy's own cross product is slower on so few."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def dot(a: Array, b: Array) -> Array:
    """Inner products.

    Parameters
    ----------
    a, b
        (n, d) vectors. [-]

    Returns
    -------
    Array
        (n,) one a pair. [-]
    """
    return np.asarray(np.einsum("ni,ni->n", a, b))


def cross(a: Array, b: Array) -> Array:
    """Vector products.

    Parameters
    ----------
    a, b
        (n, 3) vectors. [-]

    Returns
    -------
    Array
        (n, 3) one a pair. [-]
    """
    out = np.empty_like(a)
    x, y, z = a.T
    u, v, w = b.T
    out[:, 0], out[:, 1], out[:, 2] = y * w - z * v, z * u - x * w, x * v - y * u
    return out


def length(a: Array) -> Array:
    """Lengths.

    Parameters
    ----------
    a
        (n, d) vectors. [-]

    Returns
    -------
    Array
        (n,) one a vector. [-]
    """
    return np.asarray(np.sqrt(np.einsum("ni,ni->n", a, a)))


def applied(matrices: Array, a: Array) -> Array:
    """Matrices on vectors.

    Parameters
    ----------
    matrices
        (n, m, d) one a vector. [-]
    a
        (n, d) vectors. [-]

    Returns
    -------
    Array
        (n, m) their images. [-]
    """
    return np.asarray((matrices @ a[:, :, None])[:, :, 0])
