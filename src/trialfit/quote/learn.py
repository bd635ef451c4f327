"""What past times teach: log minutes = operation mean + job effect + scatter, with everything shrunk to the shop's.

Each time is first written as how far it lies beyond the likely time of its operation, in units of that operation's
one-in-ten reach: z = ln(minutes / likely) / reach. Then z = shop + operation + job + scatter, all normal, with
variances that are multiples of one unknown variance which is inverse gamma. For given multiples the posterior is
normal-inverse-gamma in closed form; the multiples are a grid weighed by how well each explains the times. The job
effects are integrated out beforehand, so that what is left to solve has one row an operation.

Source: conjugate linear regression, Gelman and others, Bayesian Data Analysis, 3rd ed., chapter 14 (from memory); the
grid and its bounds are this program's own, tried on simulated shops in ``tests/recover/test_quote_coverage.py``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import log

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

Array = NDArray[np.float64]

# Shape of the inverse gamma: six degrees of freedom. (This program's own choice.)
SHAPE = 3.0
# Variances as multiples of the scatter's: of the shop's pace, of an operation's, of a job's.
_MULTIPLES = tuple(product((0.1, 0.6), (0.1, 0.4, 1.5), (0.05, 0.25, 1.0)))
# How far the spread of an operation follows its own reach: not at all, half, wholly.
_FOLLOWS = (0.0, 0.5, 1.0)
# A cell of the grid with less weight than this is never drawn from.
_LEAST_WEIGHT = 1e-4


@dataclass(frozen=True)
class Reach:
    """What one of an operation is guessed to take.

    Parameters
    ----------
    likely_min
        As often more as less. [min]
    high_min
        Longer than one time in ten. [min]
    """

    likely_min: float
    high_min: float

    @property
    def log_likely(self) -> float:
        """Logarithm of the likely time. [-]"""
        return log(self.likely_min)

    @property
    def log_reach(self) -> float:
        """Logarithm of the one-in-ten time over the likely one. [-]"""
        return log(self.high_min / self.likely_min)


@dataclass(frozen=True)
class Taken:
    """One past time.

    Parameters
    ----------
    job
        The job it was taken on; its times share that job's effect.
    operation
        The operation.
    minutes_each
        Minutes for one of them. [min]
    """

    job: str
    operation: str
    minutes_each: float


@dataclass(frozen=True, eq=False)
class Cell:
    """The posterior under one choice of multiples.

    Parameters
    ----------
    weight
        How well it explains the times, of one in all. [-]
    shape, scale
        Of the inverse gamma of the scatter's variance. [-]
    mean
        (1 + operations,) middle of the shop's pace and of each operation's. [-]
    root
        (1 + operations, 1 + operations) lower root of their covariance over the scatter's variance. [-]
    job_multiple
        Variance of a job's effect over the scatter's. [-]
    reach
        (operations,) what one of z is worth in log minutes, by operation. [-]
    """

    weight: float
    shape: float
    scale: float
    mean: Array
    root: Array
    job_multiple: float
    reach: Array


@dataclass(frozen=True, eq=False)
class Learnt:
    """What is known of every operation after the past times.

    Parameters
    ----------
    operations
        Their names, in the order of the arrays.
    log_likely
        (operations,) logarithm of the likely minutes guessed of each. [-]
    cells
        The posterior, by choice of multiples.
    times
        How many past times each rests on, by operation. [-]
    jobs
        How many past jobs there are. [-]
    """

    operations: tuple[str, ...]
    log_likely: Array
    cells: tuple[Cell, ...]
    times: tuple[int, ...]
    jobs: int


def learn(reaches: dict[str, Reach], past: Sequence[Taken]) -> Learnt:
    """Learn from past times.

    Parameters
    ----------
    reaches
        The guess at each operation, by its name; a past time of any other is passed over.
    past
        Past times, in any order.

    Returns
    -------
    Learnt
        With no past time, each operation is taken exactly at its guess.
    """
    names = tuple(reaches)
    known = [each for each in past if each.operation in reaches]
    likely = np.array([reach.log_likely for reach in reaches.values()])
    reach = np.array([each.log_reach for each in reaches.values()])
    of = np.array([names.index(each.operation) for each in known], dtype=np.intp)
    jobs = sorted({each.job for each in known})
    on = np.array([jobs.index(each.job) for each in known], dtype=np.intp)
    beyond = np.log([each.minutes_each for each in known]) - likely[of] if known else np.zeros(0)
    middle = float(np.exp(np.log(reach).mean())) if names else 1.0
    cells: list[tuple[float, Cell]] = []
    for follows in _FOLLOWS if known else (1.0,):
        own = middle * (reach / middle) ** follows
        sums = _Sums(beyond / own[of], of, on, len(names), len(jobs))
        jacobian = -float(np.log(own[of]).sum())
        cells += [(score + jacobian, cell) for score, cell in _cells(sums, own)]
    scores = np.array([score for score, _ in cells])
    weights = np.exp(scores - scores.max())
    weights = np.where(weights < _LEAST_WEIGHT * weights.max(), 0.0, weights)
    weights /= weights.sum()
    kept = tuple(
        Cell(float(weight), cell.shape, cell.scale, cell.mean, cell.root, cell.job_multiple, cell.reach)
        for weight, (_, cell) in zip(weights, cells, strict=True)
        if weight > 0.0
    )
    counts = np.bincount(of, minlength=len(names)) if known else np.zeros(len(names), dtype=np.intp)
    return Learnt(names, likely, kept, tuple(int(count) for count in counts), len(jobs))


class _Sums:
    """What of the times the posterior needs: sums within each job, and over all."""

    def __init__(self, z: Array, of: NDArray[np.intp], on: NDArray[np.intp], operations: int, jobs: int) -> None:
        design = np.zeros((len(z), 1 + operations))
        design[:, 0] = 1.0
        design[np.arange(len(z)), 1 + of] = 1.0
        self.count = len(z)
        self.in_job = np.bincount(on, minlength=jobs).astype(float)
        self.gram, self.moment, self.square = design.T @ design, design.T @ z, float(z @ z)
        self.job_rows = np.zeros((jobs, 1 + operations))
        np.add.at(self.job_rows, on, design)
        self.job_z = np.bincount(on, weights=z, minlength=jobs)

    def within(self, multiple: float) -> tuple[Array, Array, float, float]:
        """Gram matrix, moments, square and half log determinant once the job effects are integrated out."""
        weight = multiple / (1.0 + multiple * self.in_job)
        gram = self.gram - self.job_rows.T @ (weight[:, None] * self.job_rows)
        moment = self.moment - self.job_rows.T @ (weight * self.job_z)
        square = self.square - float(weight @ self.job_z**2)
        return gram, moment, square, 0.5 * float(np.log1p(multiple * self.in_job).sum())


def _cells(sums: _Sums, reach: Array) -> list[tuple[float, Cell]]:
    found = []
    tenth = float(stdtrit(2.0 * SHAPE, 0.9))
    for of_shop, of_operation, of_job in _MULTIPLES:
        gram, moment, square, half_log_jobs = sums.within(of_job)
        variance = np.full(len(moment), of_operation)
        variance[0] = of_shop
        precision = gram + np.diag(1.0 / variance)
        covariance = np.linalg.inv(precision)
        mean = covariance @ moment
        # So that one time in ten a new operation on a new job goes beyond its own reach, before anything is learnt.
        before = SHAPE / (tenth**2 * (1.0 + of_shop + of_operation + of_job))
        shape = SHAPE + sums.count / 2.0
        scale = before + 0.5 * max(square - float(mean @ moment), 0.0)
        half_log_precision = float(np.log(np.diag(np.linalg.cholesky(precision))).sum())
        score = -half_log_jobs - half_log_precision - 0.5 * float(np.log(variance).sum())
        score += SHAPE * log(before) - shape * log(scale)
        root = np.linalg.cholesky(covariance)
        found.append((score, Cell(0.0, shape, scale, mean, root, of_job, reach)))
    return found
