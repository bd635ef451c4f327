"""Rules, limits and customs: a figure or a sentence each, with its source.

Source: the rows' own, by keys of ``figures/sources.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.tables.rows import Row, rows

FILES = (
    "limits.csv",
    "brazing.csv",
    "sealing.csv",
    "pickling.csv",
    "valves_and_rings.csv",
    "fit_up.csv",
    "spanners.csv",
    "cutting_and_tapping.csv",
    "codes.csv",
)


@dataclass(frozen=True)
class Rule:
    """One rule.

    Parameters
    ----------
    subject
        What it is about: ``joint``, ``PTFE tape``, ``UK under 3 bar litres`` ...
    name
        Which rule of that subject.
    low, high
        Lower and upper figure, in `unit`; alike where one figure is printed, None where that end is open or where the
        rule is a sentence. [unit]
    unit
        Unit as printed.
    text
        The rule in words, or what has to be said beside the figure.
    sources, basis, note
        Where it comes from.
    """

    subject: str
    name: str
    low: float | None
    high: float | None
    unit: str
    text: str
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def rules(subject: str = "") -> tuple[Rule, ...]:
    """Give the rules of one subject.

    Parameters
    ----------
    subject
        The subject; empty for every rule there is.

    Returns
    -------
    tuple of Rule
        In the order of the files.

    Raises
    ------
    Refusal
        No rule is about that.
    """
    every = tuple(_rule(row) for file in FILES for row in rows(file))
    found = tuple(rule for rule in every if subject in ("", rule.subject))
    if not found:
        known = ", ".join(dict.fromkeys(rule.subject for rule in every))
        raise Refusal("rules", subject, f"one of {known}", "Ask for a subject the tables have.")
    return found


def rule(subject: str, name: str) -> Rule:
    """Give one rule.

    Parameters
    ----------
    subject
        The subject.
    name
        Which rule of it.

    Returns
    -------
    Rule
        The rule.

    Raises
    ------
    Refusal
        The subject has no such rule.
    """
    found = next((rule for rule in rules(subject) if rule.name == name), None)
    if found is None:
        known = ", ".join(rule.name for rule in rules(subject))
        raise Refusal(f"rules of {subject}", name, f"one of {known}", "Ask for a rule the tables have.")
    return found


def _rule(row: Row) -> Rule:
    low, high = row.number_if_any("low"), row.number_if_any("high")
    return Rule(row["subject"], row["name"], low, high, row["unit"], row["text"], row.sources, row.basis, row.note)
