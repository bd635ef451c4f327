"""Every observation held against its own covariance.

Source: Baarda (1968); a residual's covariance is the observation's less what the answer explains of it, and for an
observation left out of the answer the two add.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted
from trialfit.survey.layout import Layout
from trialfit.survey.normal import whitened_rows

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_FIXED = 1e-6
_SEEN = 1e-4


@dataclass(frozen=True)
class MarkTest:
    """One mark against everything else.

    Parameters
    ----------
    off_px
        (2,) marked less expected from the adjusted answer. [px]
    square
        The whitened residual against its own covariance; chi-squared with `ways` degrees. [-]
    ways
        In how many directions the other observations can check it: 0, 1 or 2. [-]
    slip_px
        (2,) the slip that would explain it best, along the directions that can be checked. [px]
    """

    off_px: Array
    square: float
    ways: int
    slip_px: Array


def mark_tests(adjusted: Adjusted, kept: Flags | None = None) -> tuple[MarkTest, ...]:
    """Hold every mark against its own covariance.

    Parameters
    ----------
    adjusted
        An adjusted problem.
    kept
        (j,) which marks the answer rests on; None for all.

    Returns
    -------
    tuple of MarkTest
        One a mark, in the problem's order.
    """
    layout, problem = adjusted.layout, adjusted.layout.problem
    rows = whitened_rows(problem, adjusted.state)
    k = len(problem.card_px)
    by = np.concatenate([rows.by_camera[k:], rows.by_point[k:]], axis=2)
    explained = by @ mark_covariance(layout, adjusted.covariance) @ by.transpose(0, 2, 1)
    off = -rows.off[k:]
    inside = np.ones(len(off), dtype=bool) if kept is None else kept
    strength, ways = np.linalg.eigh(np.eye(2) - np.where(inside, 1.0, -1.0)[:, None, None] * explained)
    seen = strength > _SEEN
    along = np.einsum("jab,ja->jb", ways, off)
    per = np.where(seen, 1.0 / np.where(seen, strength, 1.0), 0.0)
    square = (along**2 * per).sum(axis=1)
    slip = np.einsum("jab,jb->ja", ways, along * np.where(inside[:, None], per, 1.0)) * problem.mark_sigma_px[:, None]
    off_px = off * problem.mark_sigma_px[:, None]
    return tuple(
        MarkTest(off_px[j], float(square[j]), int(seen[j].sum()), slip[j]) for j in range(len(problem.mark_px))
    )


def mark_covariance(layout: Layout, covariance: Array) -> Array:
    """For each mark, the covariance of all unknowns it depends on.

    Parameters
    ----------
    layout
        Columns of the unknowns.
    covariance
        (u, u) joint covariance of all unknowns. [-]

    Returns
    -------
    Array
        (j, 25, 25) pose, breathing, lens and card of its photograph, then its point; nought for what is held. [-]
    """
    problem = layout.problem
    padded = np.zeros((len(covariance) + 1, len(covariance) + 1))
    padded[:-1, :-1] = covariance
    camera = layout.camera_columns[problem.mark_photograph]
    camera = np.where(camera == layout.active_count, len(covariance), camera)
    columns = np.concatenate([camera, layout.point_columns[problem.mark_point]], axis=1)
    block: Array = padded[columns[:, :, None], columns[:, None, :]]
    return block


def reading_tests(adjusted: Adjusted) -> tuple[float, ...]:
    """Hold every reading against its own covariance.

    Parameters
    ----------
    adjusted
        An adjusted problem.

    Returns
    -------
    tuple of float
        Disagreement in standard deviations of the residual; nought where nothing checks the reading. [-]
    """
    problem, points, covariance = adjusted.layout.problem, adjusted.state.points_mm, adjusted.point_covariance_mm2
    out = []
    for pair, reading, sigma in zip(problem.reading_points, problem.reading_mm, problem.reading_sigma_mm, strict=True):
        apart = points[pair[1]] - points[pair[0]]
        length = float(np.linalg.norm(apart))
        by = np.concatenate([-apart, apart]) / length
        columns = (3 * pair[:, None] + np.arange(3)).ravel()
        variance = sigma**2 - float(by @ covariance[np.ix_(columns, columns)] @ by)
        out.append(sigmas_of(reading - length, variance, sigma))
    return tuple(out)


def card_tests(adjusted: Adjusted) -> tuple[tuple[float, float], ...]:
    """Hold every check line of the card against its own covariance.

    Parameters
    ----------
    adjusted
        An adjusted problem.

    Returns
    -------
    tuple
        For each check line, reading over nominal less the adjusted stretch [-], and its size in standard deviations
        of the residual [-].
    """
    problem, layout, card = adjusted.layout.problem, adjusted.layout, adjusted.state.card
    columns = layout.column[-5:-3]
    out = []
    for axis, ratio, sigma in zip(problem.line_axis, problem.line_ratio, problem.line_sigma, strict=True):
        by = np.array([1.0, 0.5 if axis == 0 else -0.5])
        off = float(ratio - 1.0 - by @ card[:2])
        explained = float(by @ adjusted.covariance[np.ix_(columns, columns)] @ by)
        out.append((off, sigmas_of(off, sigma**2 - explained, sigma)))
    return tuple(out)


def sigmas_of(off_mm: float, variance_mm2: float, sigma_mm: float) -> float:
    """Size of a residual in its own standard deviations.

    Parameters
    ----------
    off_mm
        The residual. [mm]
    variance_mm2
        Its variance. [mm2]
    sigma_mm
        Standard deviation of the observation. [mm]

    Returns
    -------
    float
        The size; nought where nothing else checks the observation. [-]
    """
    return abs(off_mm) / float(np.sqrt(variance_mm2)) if variance_mm2 > _FIXED * sigma_mm**2 else 0.0
