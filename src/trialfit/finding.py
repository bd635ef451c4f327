"""What every check of every stage says: one question, one answer, a figure, a reason, what to do."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class Answer(StrEnum):
    """How a finding ends: go on, look at it, or stop."""

    GO = "go"
    LOOK = "look"
    STOP = "stop"


class Basis(StrEnum):
    """What a figure rests on. The last three are shown wherever a person reads the result."""

    STANDARD = "standard"
    HANDBOOK = "handbook"
    LIBRARY = "library"
    MEASURED = "measured"
    COMPUTED = "computed"
    PRACTICE = "common practice"
    MEMORY = "memory"
    ASSUMED = "assumed"

    @property
    def must_be_shown(self) -> bool:
        """Whether a person reading the result has to be told."""
        return self in (Basis.PRACTICE, Basis.MEMORY, Basis.ASSUMED)


@dataclass(frozen=True)
class Figure:
    """A number with its unit and how sure it is.

    Parameters
    ----------
    value
        The number, in `unit`. [unit]
    unit
        Unit as printed: ``mm``, ``deg``, ``N·m``; ``-`` for none.
    k2
        Two standard deviations, in `unit`; None where the number has no uncertainty of its own. [unit]
    places
        Decimals worth printing. [-]
    """

    value: float
    unit: str
    k2: float | None = None
    places: int = 2

    def __str__(self) -> str:
        """Write the number as the bench reads it."""
        unit = "" if self.unit == "-" else f" {self.unit}"
        band = "" if self.k2 is None else f" ± {self.k2:.{self.places}f}"
        return f"{self.value:.{self.places}f}{band}{unit}"


@dataclass(frozen=True)
class Band:
    """An uncertain input or result as low, likely and high.

    Parameters
    ----------
    low, likely, high
        The three, rising, in `unit`. [unit]
    unit
        Unit as printed.
    places
        Decimals worth printing. [-]
    """

    low: float
    likely: float
    high: float
    unit: str
    places: int = 2

    def __str__(self) -> str:
        """Write the band as the bench reads it."""
        unit = "" if self.unit == "-" else f" {self.unit}"
        return f"{self.likely:.{self.places}f} ({self.low:.{self.places}f} to {self.high:.{self.places}f}){unit}"


@dataclass(frozen=True)
class Reason:
    """One link in the chain of reasons behind an answer.

    Parameters
    ----------
    text
        A full sentence.
    source
        Where it comes from: a standard, a book and page, the owner's reading; empty for plain arithmetic.
    basis
        What kind of truth that is.
    """

    text: str
    source: str = ""
    basis: Basis = Basis.COMPUTED

    def __str__(self) -> str:
        """Write the reason with its source, and say so where it is only assumed or remembered."""
        tags = [self.source] if self.source else []
        if self.basis.must_be_shown and self.basis.value not in self.source:
            tags.append(self.basis.value)
        return f"{self.text} [{'; '.join(tags)}]" if tags else self.text


@dataclass(frozen=True)
class Finding:
    """One question, one answer, for a person to act on.

    Parameters
    ----------
    stage
        Which stage asked: ``survey``, ``parts``, ``fitup`` ...
    about
        The thing it is about, by its name in the job.
    question
        What was asked, as a person would ask it.
    answer
        Go, look or stop.
    figure
        The deciding number, or None where it is not a matter of number.
    limit
        What the figure was held against, or None.
    because
        The chain of reasons, with sources.
    do
        What to do next; empty when there is nothing to do.
    """

    stage: str
    about: str
    question: str
    answer: Answer
    figure: Figure | Band | None = None
    limit: Figure | None = None
    because: tuple[Reason, ...] = field(default=())
    do: str = ""
