"""Vectors in space, one at a time. Source: vector algebra; rotation about an axis by Rodrigues' formula."""

from __future__ import annotations

from math import atan2, cos, degrees, sin

import numpy as np

from trialfit.fitup.records import Array


def cross(one: Array, other: Array) -> Array:
    """Cross product of two vectors; numpy's own is slow on single ones.

    Parameters
    ----------
    one, other
        (3,) vectors. [any]

    Returns
    -------
    Array
        (3,) square to both. [product of the two units]
    """
    (a, b, c), (x, y, z) = one.tolist(), other.tolist()
    return np.array([b * z - c * y, c * x - a * z, a * y - b * x])


def crosses(ones: Array, others: Array) -> Array:
    """Cross products of many vectors; numpy's own moves axes about for longer than it multiplies.

    Parameters
    ----------
    ones, others
        (..., 3) vectors, broadcast against each other. [any]

    Returns
    -------
    Array
        (..., 3) square to both. [product of the two units]
    """
    a, b, c = ones[..., 0], ones[..., 1], ones[..., 2]
    x, y, z = others[..., 0], others[..., 1], others[..., 2]
    return np.stack([b * z - c * y, c * x - a * z, a * y - b * x], axis=-1)


def cross_matrix(vector: Array) -> Array:
    """Matrix that crosses a vector with what it is applied to; rows it is applied to from the right, with the vector.

    Parameters
    ----------
    vector
        (3,) the vector. [any]

    Returns
    -------
    Array
        (3, 3) the matrix. [as given]
    """
    x, y, z = vector.tolist()
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def angle_between_deg(one: Array, other: Array) -> float:
    """Angle between two vectors.

    Parameters
    ----------
    one, other
        (3,) vectors of any length but nought. [any]

    Returns
    -------
    float
        0 to 180, exact near both ends. [deg]
    """
    return degrees(atan2(float(np.linalg.norm(cross(one, other))), float(one @ other)))


def turned(vector: Array, axis: Array, angle_rad: float) -> Array:
    """Turn a vector about a unit axis, right-handed.

    Parameters
    ----------
    vector
        (3,) what is turned. [any]
    axis
        (3,) unit vector. [-]
    angle_rad
        How far. [rad]

    Returns
    -------
    Array
        (3,) the vector, turned. [as given]
    """
    crossed = cross(axis, vector)
    return np.asarray(vector + sin(angle_rad) * crossed + (1 - cos(angle_rad)) * cross(axis, crossed))


def square_to(direction: Array) -> Array:
    """A unit vector square to a direction; which one is of no account.

    Parameters
    ----------
    direction
        (3,) unit vector. [-]

    Returns
    -------
    Array
        (3,) unit vector. [-]
    """
    least = np.eye(3)[int(np.argmin(np.abs(direction)))]
    square = cross(direction, least)
    return np.asarray(square / np.linalg.norm(square))
