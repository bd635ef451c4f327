"""What further observations would take off an uncertainty, before anybody makes them, and without solving again.

An observation is known by what it would tell of the unknowns: its weight matrix over the columns it touches. Whatever
new unknowns it brings with it (where one more photograph was taken from) are left out of that matrix by elimination.

Source: recursive least squares (Plackett 1950) in its information form: with covariance S and added weight J the new
covariance is S - S (1 + J S)^-1 J S, the inverse of the two weights' sum.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import ThreadpoolController

from trialfit.survey.adjust import Adjusted

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Telling:
    """What each of p possible observations would tell.

    Parameters
    ----------
    columns
        (p, t) or (1, t) unknowns each touches, as columns of the padded covariance; the spare last column stands for
        anything that is held. [-]
    weight
        (p, t, t) what it tells of them. [1 over the unknowns' units squared]
    """

    columns: Indices
    weight: Array

    @property
    def count(self) -> int:
        """How many possible observations. [-]"""
        return len(self.weight)

    def some(self, places: Indices) -> Telling:
        """Keep some of them.

        Parameters
        ----------
        places
            (q,) which. [-]

        Returns
        -------
        Telling
            Those, in that order.
        """
        columns = self.columns if len(self.columns) == 1 else self.columns[places]
        return Telling(columns, self.weight[places])


def padded(adjusted: Adjusted) -> Array:
    """Joint covariance of all unknowns with a spare row and column of noughts for whatever is held.

    Parameters
    ----------
    adjusted
        An adjusted problem.

    Returns
    -------
    Array
        (u + 1, u + 1) covariance. [products of the unknowns' units]
    """
    covariance = adjusted.covariance
    out = np.zeros((len(covariance) + 1, len(covariance) + 1))
    out[:-1, :-1] = covariance
    return out


def taken_off(covariance: Array, slopes: Array, telling: Telling) -> Array:
    """What each observation would take off the covariance of some figures.

    Parameters
    ----------
    covariance
        (u + 1, u + 1) padded covariance of the unknowns. [products of their units]
    slopes
        (g, u + 1) derivative of the figures by the unknowns. [figure's unit over the unknown's]
    telling
        The p possible observations.

    Returns
    -------
    Array
        (p, g, g) now less afterwards. [products of the figures' units]
    """
    spread = slopes @ covariance
    if len(telling.columns) == 1:
        columns = telling.columns[0]
        reach, among = spread[None, :, columns], covariance[np.ix_(columns, columns)][None]
    else:
        reach = spread[:, telling.columns].transpose(1, 0, 2)
        among = covariance[telling.columns[:, :, None], telling.columns[:, None, :]]
    out: Array = reach @ _told(telling.weight, among, reach.transpose(0, 2, 1))
    return out


def afterwards(covariance: Array, telling: Telling, place: int) -> Array:
    """Covariance of all unknowns once an observation has been made.

    Parameters
    ----------
    covariance
        (u + 1, u + 1) padded covariance of the unknowns. [products of their units]
    telling
        Possible observations.
    place
        Which of them was made. [-]

    Returns
    -------
    Array
        (u + 1, u + 1) padded covariance afterwards. [products of the unknowns' units]
    """
    columns = telling.columns[place if len(telling.columns) > 1 else 0]
    reach = covariance[:, columns]
    off = reach @ _told(telling.weight[place], reach[columns], reach.T)
    return np.asarray(covariance - (off + off.T) / 2.0)


def _told(weight: Array, among: Array, reach: Array) -> Array:
    with _threads().limit(limits=1, user_api="blas"):
        return np.asarray(np.linalg.solve(np.eye(weight.shape[-1]) + weight @ among, weight @ reach))


@cache
def _threads() -> ThreadpoolController:
    """The matrices are many and small: several threads at each make them slower."""
    return ThreadpoolController()
