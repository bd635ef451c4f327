"""What readings, check lines, places and marks would tell. Source: their rows in the adjustment (`normal.py`)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted
from trialfit.survey.gain import Telling
from trialfit.survey.layout import Layout
from trialfit.survey.rays import sighted, slopes_of

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


def of_lengths(adjusted: Adjusted, pairs: Indices, sigma_mm: Array) -> Telling:
    """Distances between two points each.

    Parameters
    ----------
    adjusted
        An adjusted problem.
    pairs
        (p, 2) points, by their place in the problem. [-]
    sigma_mm
        (p,) one standard deviation of each. [mm]

    Returns
    -------
    Telling
        One a pair.
    """
    points = adjusted.state.points_mm
    apart = points[pairs[:, 1]] - points[pairs[:, 0]]
    along = apart / np.linalg.norm(apart, axis=1)[:, None]
    by = np.concatenate([-along, along], axis=1) / sigma_mm[:, None]
    columns = adjusted.layout.point_columns[pairs].reshape(-1, 6)
    return Telling(columns, by[:, :, None] * by[:, None, :])


def of_places(adjusted: Adjusted, points: Indices, sigma_mm: Array) -> Telling:
    """Points measured from the card's corner: x, y and z of each.

    Parameters
    ----------
    adjusted
        An adjusted problem.
    points
        (p,) points, by their place in the problem. [-]
    sigma_mm
        (p,) one standard deviation of each coordinate. [mm]

    Returns
    -------
    Telling
        One a point.
    """
    return Telling(adjusted.layout.point_columns[points], np.eye(3) / sigma_mm[:, None, None] ** 2)


def of_check_lines(adjusted: Adjusted, axes: tuple[int, ...], sigma: Array) -> Telling:
    """Check lines of the card, measured together.

    Parameters
    ----------
    adjusted
        An adjusted problem.
    axes
        0 for the line along the long side, 1 along the short.
    sigma
        (c,) one standard deviation of reading over nominal. [-]

    Returns
    -------
    Telling
        One observation of all of them.
    """
    by = np.array([[1.0, 0.5 if axis == 0 else -0.5] for axis in axes]) / sigma[:, None]
    return Telling(_held_last(adjusted.layout, adjusted.layout.column[-5:-3])[None], (by.T @ by)[None])


def of_marks(adjusted: Adjusted, photograph: Indices, point: Indices, sigma_px: float) -> Telling:
    """Points marked in photographs that are there already.

    Parameters
    ----------
    adjusted
        An adjusted problem.
    photograph, point
        (p,) which point in which photograph, by their places in the problem. [-]
    sigma_px
        One standard deviation of a mark. [px]

    Returns
    -------
    Telling
        One a mark.
    """
    layout, state = adjusted.layout, adjusted.state
    rays = sighted(layout.problem, state, photograph, state.points_mm[point])
    by_camera, by_point = slopes_of(rays, state, photograph)
    by = np.concatenate([by_camera, by_point], axis=2) / sigma_px
    camera = _held_last(layout, layout.camera_columns[photograph])
    columns = np.concatenate([camera, layout.point_columns[point]], axis=1)
    return Telling(columns, by.transpose(0, 2, 1) @ by)


def _held_last(layout: Layout, columns: Indices) -> Indices:
    """Columns of the padded covariance: what is held goes to its spare last one."""
    return np.where(columns == layout.active_count, layout.unknown_count, columns)
