"""Minutes foreseen for a new job: draws from what was learnt, summed over its operations.

Source: Monte Carlo sum over the posterior of `trialfit.quote.learn`. The middle of all draws is reckoned with the
slowest one in a hundred cut back to the hundredth: the exponential of a Student's t has no mean at all, and a bench
that has gone that far beyond stops and asks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.quote.learn import Cell, Learnt

Array = NDArray[np.float64]

HOLDS = 0.8
_CUT_BACK = 0.99
DRAWS = 12_000


@dataclass(frozen=True)
class Minutes:
    """What work is foreseen to take.

    Parameters
    ----------
    likely_min
        As often more as less. [min]
    mean_min
        Mean, the slowest one in a hundred cut back. [min]
    four_in_five_min
        Not more than this four times in five. [min]
    """

    likely_min: float
    mean_min: float
    four_in_five_min: float


def draw(learnt: Learnt, wanted: Sequence[tuple[str, int]], seed: int, draws: int = DRAWS) -> Array:
    """Draw how long a new job's operations take.

    Parameters
    ----------
    learnt
        What past times taught.
    wanted
        Operation and how many, in the order of the work; those of one line share its scatter.
    seed
        Of the random numbers. [-]
    draws
        How many. [-]

    Returns
    -------
    Array
        (draws, len(wanted)) minutes. [min]
    """
    random = np.random.default_rng(seed)
    if not wanted:
        return np.zeros((draws, 0))
    of = np.array([learnt.operations.index(name) for name, _ in wanted], dtype=np.intp)
    count = np.array([float(number) for _, number in wanted])
    shares = random.multinomial(draws, [cell.weight for cell in learnt.cells])
    parts = [_of_cell(cell, of, int(share), random) for cell, share in zip(learnt.cells, shares, strict=True) if share]
    drawn: Array = count * np.exp(learnt.log_likely[of] + np.concatenate(parts))
    return drawn


def _of_cell(cell: Cell, of: NDArray[np.intp], draws: int, random: np.random.Generator) -> Array:
    spread = np.sqrt(cell.scale / random.gamma(cell.shape, size=draws))[:, None]
    paces = cell.mean + spread * (random.standard_normal((draws, len(cell.mean))) @ cell.root.T)
    job = np.sqrt(cell.job_multiple) * random.standard_normal((draws, 1))
    scatter = random.standard_normal((draws, len(of)))
    z = paces[:, :1] + paces[:, 1 + of] + spread * (job + scatter)
    drawn: Array = z * cell.reach[of]
    return drawn


def summed(drawn: Array) -> Minutes:
    """Say what the sum of operations takes.

    Parameters
    ----------
    drawn
        (draws, operations) or (draws,) minutes. [min]

    Returns
    -------
    Minutes
        Nought of everything where there is no operation.
    """
    total = drawn if drawn.ndim == 1 else drawn.sum(axis=1)
    likely, four_in_five, most = (float(each) for each in np.quantile(total, (0.5, HOLDS, _CUT_BACK)))
    return Minutes(likely, float(np.minimum(total, most).mean()), four_in_five)


def repair_and_perhaps_remake(repair: Array, remake: Array, fails: float, seed: int) -> Array:
    """Minutes of repairing, and of making anew as often as the repair fails.

    Parameters
    ----------
    repair, remake
        (draws,) minutes of each, drawn together. [min]
    fails
        Odds that the repair fails. [-]
    seed
        Of the random numbers. [-]

    Returns
    -------
    Array
        (draws,) minutes. [min]
    """
    failed = np.random.default_rng([seed, 1]).random(len(repair)) < fails
    drawn: Array = repair + failed * remake
    return drawn
