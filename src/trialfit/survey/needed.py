"""What a job needs of its survey: figures that move with some of the points. Source: JCGM 100:2008 section 5.2."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Needed:
    """One figure the job hangs on, as it moves with surveyed points.

    Parameters
    ----------
    about
        What it belongs to: ``pipe feed``.
    what
        Its name: ``cut length``.
    hangs
        What hangs on it, for the owner: ``the length of the new pipe hangs on it``.
    unit
        ``mm`` or ``deg``.
    points
        Names of the m points it moves with; the same name may stand more than once.
    slopes
        (g, 3m) derivative of its g parts by x, y, z of each point. [unit/mm]
    limit
        The plus-or-minus, k = 2, that would do. [unit]
    counts
        Whether it weighs in the ranking; the others are only shown.
    mean
        Whether its parts are averaged; else the worst direction among them is meant.
    """

    about: str
    what: str
    hangs: str
    unit: str
    points: tuple[str, ...]
    slopes: Array
    limit: float
    counts: bool = True
    mean: bool = False

    @property
    def places(self) -> int:
        """Decimals worth printing. [-]"""
        return 1 if self.unit == "deg" else 2

    def k2(self, covariance: Array) -> float:
        """Two standard deviations of the figure.

        Parameters
        ----------
        covariance
            (g, g) of its parts. [unit2]

        Returns
        -------
        float
            Of the worst direction among its parts, or of their mean. [unit]
        """
        if self.mean:
            return 2.0 * sqrt(max(float(np.trace(covariance)) / len(covariance), 0.0))
        return 2.0 * sqrt(max(float(np.linalg.eigvalsh(covariance)[-1]), 0.0))


def all_points(names: tuple[str, ...], limit_mm: float) -> Needed:
    """What a job needs that says nothing more: every point as well as may be.

    Parameters
    ----------
    names
        All its surveyed points.
    limit_mm
        The plus-or-minus that would do. [mm]

    Returns
    -------
    Needed
        The mean of all coordinates.
    """
    hangs = "every point we have to make parts for hangs on it"
    return Needed("all points", "places, on average", hangs, "mm", names, np.eye(3 * len(names)), limit_mm, mean=True)
