"""Quoted against actual: of every past job, what would have been foreseen from the others, and what it took.

Source: `trialfit.quote.learn`, each job left out in turn.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.job.shop import Shop
from trialfit.quote.foresee import draw, summed
from trialfit.quote.operations import reach_of
from trialfit.quote.quote import SEED, learnt_for
from trialfit.quote.records import WorkLine

# Enough for a page; older jobs still teach.
MOST_JOBS = 24
_DRAWS = 4000


@dataclass(frozen=True)
class Held:
    """One past job.

    Parameters
    ----------
    job
        Its name.
    likely_min, four_in_five_min
        What its timed operations would have been foreseen to take. [min]
    taken_min
        What they took. [min]
    """

    job: str
    likely_min: float
    four_in_five_min: float
    taken_min: float

    @property
    def holds(self) -> bool:
        """Whether it took no longer than would have been quoted."""
        return self.taken_min <= self.four_in_five_min


def held_of(shop: Shop, seed: int = SEED) -> tuple[Held, ...]:
    """Hold past jobs against what would have been quoted for them.

    Parameters
    ----------
    shop
        The workshop with its past times.
    seed
        Of the random numbers. [-]

    Returns
    -------
    tuple of Held
        The last two dozen jobs, oldest first.
    """
    jobs = list(dict.fromkeys(entry.job for entry in shop.times))[-MOST_JOBS:]
    return tuple(_held(shop, job, seed) for job in jobs)


def _held(shop: Shop, job: str, seed: int) -> Held:
    counts: dict[str, int] = {}
    taken_min = 0.0
    for entry in shop.times:
        if entry.job == job:
            counts[entry.operation] = counts.get(entry.operation, 0) + entry.count
            taken_min += float(entry.took.to("min"))
    lines = []
    for operation, count in counts.items():
        each, reach = reach_of(operation, shop)
        lines.append(WorkLine(operation, operation, operation, count, each, reach))
    learnt = learnt_for(shop, lines, leave_out=job)
    minutes = summed(draw(learnt, [(line.operation, line.count) for line in lines], seed, _DRAWS))
    return Held(job, minutes.likely_min, minutes.four_in_five_min, taken_min)
