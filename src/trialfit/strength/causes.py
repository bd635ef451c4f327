"""Which cause the evidence speaks for: weights multiplied, and said without false precision.

Source: Bayes' rule with clues taken as independent between groups; the weights of ``figures/break_causes.toml`` are
assumed. A figure worked out from the section (what a hand on the spanner gives against what the tail stands) counts as
one clue more.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log

from trialfit.errors import Refusal
from trialfit.strength.clues import Cause, Clue, causes, clues

# A cause with less than this share is named and no more.
FAINT = 0.05


@dataclass(frozen=True)
class Speaks:
    """One thing that speaks for or against a cause.

    Parameters
    ----------
    clue
        What was seen, told or worked out.
    because
        Why it speaks.
    weight
        Over 1 for it, under 1 against it. [-]
    """

    clue: str
    because: str
    weight: float

    def __str__(self) -> str:
        """Write it with its weight as odds."""
        times = self.weight if self.weight >= 1 else 1 / self.weight
        return f"{self.clue}, {times:.0f} to 1 ({self.because})"


@dataclass(frozen=True)
class Suspect:
    """One cause with what was said of it.

    Parameters
    ----------
    cause
        The cause.
    share
        Its share of the likelihood, from 0 to 1. [-]
    speaks_for, speaks_against
        What speaks, the strongest first.
    """

    cause: Cause
    share: float
    speaks_for: tuple[Speaks, ...]
    speaks_against: tuple[Speaks, ...]

    @property
    def words(self) -> str:
        """How likely it is, as a person would say it."""
        if self.share < FAINT:
            return "less than 1 in 20"
        return "9 in 10 or better" if self.share >= 0.85 else f"about {self.tenths} in 10"

    @property
    def tenths(self) -> int:
        """Its share in whole tenths, from 1 to 9: assumed weights never make certain. [-]"""
        return min(max(round(10 * self.share), 1), 9)


@dataclass(frozen=True)
class Ranking:
    """The causes, the likeliest first.

    Parameters
    ----------
    suspects
        Every cause.
    look_next
        What to look at that would split the two that lead; empty where everything has been looked at.
    """

    suspects: tuple[Suspect, ...]
    look_next: str

    @property
    def leader(self) -> Suspect:
        """The likeliest."""
        return self.suspects[0]


def rank_causes(seen: Iterable[str], worked_out: Sequence[Clue] = ()) -> Ranking:
    """Rank the causes of a break.

    Parameters
    ----------
    seen
        Names of the clues entered.
    worked_out
        Clues that follow from figures rather than from looking.

    Returns
    -------
    Ranking
        Every cause with what speaks for and against it.

    Raises
    ------
    Refusal
        A clue that is not known.
    """
    found = [_known(name) for name in dict.fromkeys(seen)]
    every = [*found, *worked_out]
    counting = {cause: _strongest(every, cause) for cause in causes()}
    weights = {cause: causes()[cause].before * _product(counting[cause], cause) for cause in causes()}
    total = sum(weights.values())
    suspects = [_suspect(causes()[cause], weights[cause] / total, counting[cause]) for cause in causes()]
    suspects.sort(key=lambda suspect: -suspect.share)
    looked_at = {clue.group for clue in found}
    return Ranking(tuple(suspects), _look_next(suspects, looked_at))


def _known(name: str) -> Clue:
    if name not in clues():
        raise Refusal("evidence", f'"{name}"', ", ".join(clues()), "Write one of them, letter for letter.")
    return clues()[name]


def _strongest(every: Iterable[Clue], cause: str) -> list[Clue]:
    """Of each group the clue that says most of this cause."""
    best: dict[str, Clue] = {}
    for clue in every:
        held = best.get(clue.group)
        if held is None or abs(log(clue.weight(cause))) > abs(log(held.weight(cause))):
            best[clue.group] = clue
    return list(best.values())


def _product(counting: Iterable[Clue], cause: str) -> float:
    product = 1.0
    for clue in counting:
        product *= clue.weight(cause)
    return product


def _suspect(cause: Cause, share: float, counting: Iterable[Clue]) -> Suspect:
    said = [Speaks(clue.key, clue.because, clue.weight(cause.key)) for clue in counting]
    speaks_for = sorted((each for each in said if each.weight > 1), key=lambda each: -each.weight)
    speaks_against = sorted((each for each in said if each.weight < 1), key=lambda each: each.weight)
    return Suspect(cause, share, tuple(speaks_for), tuple(speaks_against))


def _look_next(suspects: Sequence[Suspect], looked_at: set[str]) -> str:
    first, second = suspects[0].cause.key, suspects[1].cause.key
    open_clues = [clue for clue in clues().values() if clue.group not in looked_at]
    if not open_clues:
        return ""
    best = max(open_clues, key=lambda clue: abs(log(clue.weight(first) / clue.weight(second))))
    return best.look if best.weight(first) != best.weight(second) else ""
