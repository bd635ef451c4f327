"""Why tails break, and what each clue says of each cause.

Source: ``figures/break_causes.toml``; its weights are assumed, and nothing in print was found to put in their place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from trialfit.finding import Basis
from trialfit.tables.rows import Row, records

_FILE = "break_causes.toml"


@dataclass(frozen=True)
class Cause:
    """A cause of breaking.

    Parameters
    ----------
    key
        Short name.
    words
        What happened, in words.
    before
        How common it is against the others before anything has been looked at. [-]
    basis
        What kind of truth that is.
    """

    key: str
    words: str
    before: float
    basis: Basis


@dataclass(frozen=True)
class Clue:
    """Something seen or told.

    Parameters
    ----------
    key
        Its name in a job.
    group
        What it tells of; of a group only the strongest clue counts.
    look
        What to look for, for one who has not yet looked.
    because
        Why it speaks.
    weights
        How much commoner it is with each cause than at large, by cause; causes not named have 1. [-]
    basis
        What kind of truth the weights are.
    """

    key: str
    group: str
    look: str
    because: str
    weights: Mapping[str, float]
    basis: Basis

    def weight(self, cause: str) -> float:
        """Give how much this clue speaks for a cause.

        Parameters
        ----------
        cause
            Short name of the cause.

        Returns
        -------
        float
            Over 1 for it, under 1 against it. [-]
        """
        return self.weights.get(cause, 1.0)


@cache
def causes() -> Mapping[str, Cause]:
    """Give the causes.

    Returns
    -------
    Mapping
        By short name, in the order of the file.
    """
    found = records(_FILE, "cause")
    return {key: Cause(key, row["words"], row.number("before"), row.basis) for key, row in found.items()}


@cache
def clues() -> Mapping[str, Clue]:
    """Give the clues.

    Returns
    -------
    Mapping
        By name, in the order of the file.
    """
    return {key: _clue(key, row) for key, row in records(_FILE, "clue").items()}


def _clue(key: str, row: Row) -> Clue:
    weights = {cause: float(weight) for cause, weight in row.cells["for"].items()}
    return Clue(key, row["group"], row["look"], row["because"], weights, row.basis)
