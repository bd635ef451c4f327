"""Test pressures: what the codes of the tables say, and the low limit of an air test.

Source: the rules of ``figures/codes.csv``. What a code says is not what this program advises.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.tables.rules import Rule, rule, rules

_OF_WORKING = "x working pressure"


@dataclass(frozen=True)
class CodeSays:
    """One test of one code.

    Parameters
    ----------
    rule
        The rule, with its source.
    low_mpa, high_mpa
        The pressure it comes to above the atmosphere; None where that end is open. [MPa]
    """

    rule: Rule
    low_mpa: float | None
    high_mpa: float | None


def codes_say(working_mpa: float) -> tuple[CodeSays, ...]:
    """Give every test pressure of the codes in the tables.

    Parameters
    ----------
    working_mpa
        Working pressure above the atmosphere. [MPa]

    Returns
    -------
    tuple of CodeSays
        In the order of the tables, code by code. The inspector and the local law say which holds.
    """
    return tuple(
        CodeSays(
            each,
            None if each.low is None else each.low * working_mpa,
            None if each.high is None else each.high * working_mpa,
        )
        for each in rules()
        if each.unit == _OF_WORKING
    )


def air_limit() -> Rule:
    """Give the low limit of an air test.

    Returns
    -------
    Rule
        In bar, with what it rests on.
    """
    return rule("pressure testing", "air for finding leaks")


def air_test_mpa(asked_mpa: float | None = None) -> float:
    """Pressure of an air test for finding leaks, under water.

    Parameters
    ----------
    asked_mpa
        Pressure above the atmosphere that was asked for; None takes the upper limit. [MPa]

    Returns
    -------
    float
        The pressure. [MPa]

    Raises
    ------
    Refusal
        More was asked for than the low limit, or nothing.
    """
    found = air_limit()
    most_bar = found.high or 0.0
    if asked_mpa is None:
        return most_bar / 10.0
    if not 0 < asked_mpa <= most_bar / 10.0 + 1e-12:
        raise Refusal(
            "air test", f"{asked_mpa * 10:.2g} bar", f"at most {most_bar:g} bar, under water",
            "Air only finds leaks, at low pressure, under water, after a passed water test. Prove by water.",
        )  # fmt: skip
    return asked_mpa
