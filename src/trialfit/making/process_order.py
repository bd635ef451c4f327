"""An order that keeps every rule, or the fewest rules that cannot be kept together.

Every rule is of one form: this comes before at least one of those. With one of those it is plain precedence; with
several it is a captive nut, which has to be on before the last of two ends is closed. Read from the last piece of work
backwards, such a rule only ever waits for something to be placed, and what may be placed once may be placed for good:
so taking, from the end, whatever may stand last finds an order whenever there is one, and no trying of alternatives is
needed.

Source: AND/OR precedence constraints (Möhring, Skutella and Stork, SIAM Journal on Computing 33, 2004, pp. 393-415),
with time turned round.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

from trialfit.finding import Basis, Reason

_MOST_TRIED = 20_000


@dataclass(frozen=True)
class Rule:
    """One thing comes before at least one of others.

    Parameters
    ----------
    first
        What comes first.
    one_of
        Before at least one of these; empty where it cannot be done at all.
    why
        A full sentence.
    frees
        What would make the rule fall away, as a full sentence.
    together
        What is said in its place on a bench sheet, where several rules tell of one thing; empty for `why` itself.
    source, basis
        Where it comes from.
    """

    first: str
    one_of: tuple[str, ...]
    why: str
    frees: str = ""
    together: str = ""
    source: str = ""
    basis: Basis = Basis.COMPUTED

    @property
    def reason(self) -> Reason:
        """The rule as a reason, with its source."""
        return Reason(self.why, self.source, self.basis)

    def is_kept_by(self, order: Sequence[str]) -> bool:
        """Whether an order keeps the rule.

        Parameters
        ----------
        order
            Every piece of work once.

        Returns
        -------
        bool
            True where it does.
        """
        return any(order.index(self.first) < order.index(later) for later in self.one_of)


def find_order(names: Sequence[str], rules: Iterable[Rule]) -> tuple[str, ...] | None:
    """Find an order that keeps every rule.

    Parameters
    ----------
    names
        Every piece of work, in the order one would think of; it is kept where nothing speaks against it.
    rules
        The rules; what they name is among the names.

    Returns
    -------
    tuple of str or None
        The order; None where there is none.
    """
    waiting = {name: [set(rule.one_of) for rule in rules if rule.first == name] for name in names}
    backwards: list[str] = []
    placed: set[str] = set()
    left = list(names)
    while left:
        last = next((name for name in reversed(left) if all(later & placed for later in waiting[name])), None)
        if last is None:
            return None
        backwards.append(last)
        placed.add(last)
        left.remove(last)
    return tuple(reversed(backwards))


def reasons_there_is_none(names: Sequence[str], rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Find the fewest rules that cannot be kept together.

    Parameters
    ----------
    names
        Every piece of work.
    rules
        The rules.

    Returns
    -------
    tuple of Rule
        Leave out any one of them and the others can be kept; empty where all can be. No smaller set does it, as long as
        the sets to be tried are not more than some tens of thousands.
    """
    if find_order(names, rules) is not None:
        return ()
    stuck = _stuck(names, rules)
    best = _none_to_spare(names, stuck)
    for size in range(1, len(best)):
        if comb(len(stuck), size) > _MOST_TRIED:
            break
        smaller = next((few for few in combinations(stuck, size) if find_order(names, few) is None), None)
        if smaller is not None:
            return smaller
    return best


def _stuck(names: Sequence[str], rules: Sequence[Rule]) -> list[Rule]:
    """The rules that keep the work that cannot be placed from being placed: no other can be at fault."""
    placed: set[str] = set()
    while free := {name for name in names if name not in placed and _may_stand_last(name, placed, rules)}:
        placed |= free
    return [rule for rule in rules if rule.first not in placed and not set(rule.one_of) & placed]


def _may_stand_last(name: str, placed: set[str], rules: Sequence[Rule]) -> bool:
    return all(set(rule.one_of) & placed for rule in rules if rule.first == name)


def _none_to_spare(names: Sequence[str], rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Leave out one rule after the other, as long as what is left cannot be kept."""
    needed = list(rules)
    for rule in rules:
        without = [each for each in needed if each is not rule]
        if find_order(names, without) is None:
            needed = without
    return tuple(needed)


def conflicts(names: Sequence[str], rules: Sequence[Rule]) -> tuple[tuple[Rule, ...], ...]:
    """Find every separate reason why there is no order.

    Parameters
    ----------
    names
        Every piece of work.
    rules
        The rules.

    Returns
    -------
    tuple
        Sets of rules as of `reasons_there_is_none`, no rule in two of them; the rest of the rules can be kept.
    """
    found = []
    left = list(rules)
    while reasons := reasons_there_is_none(names, left):
        found.append(reasons)
        left = [rule for rule in left if not any(rule is each for each in reasons)]
    return tuple(found)


def single_changes(names: Sequence[str], rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Find the rules each of which, if it fell away alone, would leave an order.

    Parameters
    ----------
    names
        Every piece of work.
    rules
        The rules.

    Returns
    -------
    tuple of Rule
        Empty where there is an order already, or where no single change is enough.
    """
    reasons = reasons_there_is_none(names, rules)
    return tuple(
        rule for rule in reasons if find_order(names, [each for each in rules if each is not rule]) is not None
    )
