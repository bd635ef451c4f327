"""Possible observations weighed by what they would take off what a job needs. Source: `gain.py`."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted
from trialfit.survey.ask_words import why_words
from trialfit.survey.asks import Ask, Change, Kind, Stand
from trialfit.survey.gain import Telling, afterwards, padded, taken_off
from trialfit.survey.needed import Needed
from trialfit.survey.outline_report import joint_slopes

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Possible:
    """Something that might be asked for, before it is weighed.

    Parameters
    ----------
    kind, do, points, stand
        As in `asks.Ask`.
    k2
        Plus-or-minus it is weighed with, k = 2, in `unit`. [unit]
    unit
        ``mm`` or ``px``.
    """

    kind: Kind
    do: str
    points: tuple[str, ...]
    k2: float
    unit: str
    stand: Stand | None = None


@dataclass(frozen=True)
class Pool:
    """Possible observations of one sort with what each would tell.

    Parameters
    ----------
    possible
        What might be asked for.
    telling
        What each would tell, in the same order.
    """

    possible: tuple[Possible, ...]
    telling: Telling


@dataclass(frozen=True)
class Scales:
    """What a job needs, ready to weigh observations by.

    Parameters
    ----------
    needed
        The figures.
    slopes
        (g, u + 1) derivative of all their parts, one figure after the other, by all unknowns. [figure's unit over the
        unknown's]
    covariance
        (u + 1, u + 1) padded covariance of all unknowns as it now stands. [products of their units]
    """

    needed: tuple[Needed, ...]
    slopes: Array
    covariance: Array

    @cached_property
    def _parts(self) -> list[slice]:
        ends = np.cumsum([len(each.slopes) for each in self.needed]).tolist()
        return [slice(end - len(each.slopes), end) for each, end in zip(self.needed, ends, strict=True)]

    @cached_property
    def _weight(self) -> Array:
        parts = [
            np.full(len(each.slopes), each.counts / each.limit**2 / (len(each.slopes) if each.mean else 1))
            for each in self.needed
        ]
        return np.concatenate(parts)

    @cached_property
    def _now(self) -> Array:
        return np.asarray(self.slopes @ self.covariance @ self.slopes.T)

    @property
    def variance(self) -> float:
        """Variances of all figures that count, each over the square of what would do, added up. [-]"""
        return float(self._weight @ np.diag(self._now))

    def cut(self, telling: Telling) -> Array:
        """Share of the variance that each observation would take off.

        Parameters
        ----------
        telling
            The p observations.

        Returns
        -------
        Array
            (p,) none below nought. [-]
        """
        off = taken_off(self.covariance, self.slopes, telling)
        return np.asarray(np.maximum(np.einsum("pgg->pg", off) @ self._weight / self.variance, 0.0))

    def changes(self, then: Array) -> tuple[Change, ...]:
        """Give each figure now and afterwards.

        Parameters
        ----------
        then
            (g, g) covariance of all parts afterwards. [products of the figures' units]

        Returns
        -------
        tuple of Change
            One a figure.
        """
        return tuple(
            Change(
                each.about,
                each.what,
                each.unit,
                each.k2(self._now[rows, rows]),
                min(each.k2(then[rows, rows]), each.k2(self._now[rows, rows])),
                each.limit,
                each.counts,
            )
            for each, rows in zip(self.needed, self._parts, strict=True)
        )

    def weighed(self, pool: Pool, places: Indices, cut: Array) -> tuple[Ask, ...]:
        """Write some of a pool as asks.

        Parameters
        ----------
        pool
            The pool.
        places
            (q,) which of it. [-]
        cut
            (p,) what each of the pool would take off. [-]

        Returns
        -------
        tuple of Ask
            In the order of `places`.
        """
        off = taken_off(self.covariance, self.slopes, pool.telling.some(places))
        hangs = [each.hangs for each in self.needed]
        out = []
        for place, taken in zip(places.tolist(), off, strict=True):
            changes, each = self.changes(self._now - taken), pool.possible[place]
            why = why_words(changes, hangs)
            out.append(
                Ask(each.kind, each.do, why, float(cut[place]), changes, each.points, each.k2, each.unit, each.stand)
            )
        return tuple(out)

    def after(self, telling: Telling, place: int) -> Scales:
        """The same scales once an observation has been made.

        Parameters
        ----------
        telling
            Possible observations.
        place
            Which was made. [-]

        Returns
        -------
        Scales
            With less uncertainty.
        """
        return replace(self, covariance=afterwards(self.covariance, telling, place))

    def since(self, before: Scales) -> tuple[Change, ...]:
        """Give each figure as it was on other scales, and as it is on these.

        Parameters
        ----------
        before
            The other scales.

        Returns
        -------
        tuple of Change
            One a figure.
        """
        return before.changes(self._now)


def scales_of(
    adjusted: Adjusted, points: tuple[str, ...], needed: tuple[Needed, ...], axes: tuple[str, ...] = ()
) -> Scales:
    """Make scales from what a job needs.

    Parameters
    ----------
    adjusted
        The survey.
    points
        Names of its points, in the problem's order.
    needed
        What the job needs of them.
    axes
        Names of its axes, in the outlines' order.

    Returns
    -------
    Scales
        With the survey's own covariance.
    """
    covariance = padded(adjusted)
    number = {name: place for place, name in enumerate((*points, *axes))}
    slopes = joint_slopes(adjusted).reshape(-1, 3, len(covariance) - 1)
    rows = []
    for each in needed:
        row = np.zeros((len(each.slopes), len(covariance)))
        for place, name in enumerate(each.points):
            row[:, :-1] += each.slopes[:, 3 * place : 3 * place + 3] @ slopes[number[name]]
        rows.append(row)
    return Scales(needed, np.concatenate(rows), covariance)
