"""How long the bench's operations take before the workshop has timed its own.

Source: common practice, by the rows of ``figures/work_times.csv``; no published source for work of this size.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from trialfit.finding import Basis
from trialfit.tables.rows import rows


@dataclass(frozen=True)
class WorkTime:
    """What one operation usually takes.

    Parameters
    ----------
    operation
        Its name.
    each
        What is counted: piece, joint, bend.
    likely_min
        Minutes it takes as often more as less. [min]
    high_min
        Minutes it takes longer than one time in ten. [min]
    basis
        What that rests on.
    """

    operation: str
    each: str
    likely_min: float
    high_min: float
    basis: Basis


@cache
def work_times() -> Mapping[str, WorkTime]:
    """Give the operations with their usual times.

    Returns
    -------
    Mapping
        By the operation's name, in the order of the work.
    """
    return {
        row["operation"]: WorkTime(
            row["operation"], row["each"], row.number("likely_min"), row.number("high_min"), row.basis
        )
        for row in rows("work_times.csv")
    }
