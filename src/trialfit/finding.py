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


def places_for(value: float, figures: int = 2) -> int:
    """Decimals at which a number shows as many figures as it deserves.

    Parameters
    ----------
    value
        The number, in any unit. [-]
    figures
        How many of its figures count. [-]

    Returns
    -------
    int
        Less than nought where whole tens or hundreds are enough: -1 for 117 of two figures, which is 120. [-]
    """
    exponent = int(f"{abs(value):.{figures - 1}e}".partition("e")[2])
    return figures - 1 - (exponent if value else 0)


def _written(value: float, places: int) -> str:
    return f"{value:.{places}f}" if places >= 0 else f"{round(value, places):.0f}"


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
        Decimals worth printing; -1 prints whole tens. [-]
    """

    value: float
    unit: str
    k2: float | None = None
    places: int = 2

    def __str__(self) -> str:
        """Write the number as the bench reads it."""
        unit = "" if self.unit == "-" else f" {self.unit}"
        band = "" if self.k2 is None else f" ± {_written(self.k2, self.places)}"
        return f"{_written(self.value, self.places)}{band}{unit}"


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
        Decimals worth printing; -1 prints whole tens. [-]
    """

    low: float
    likely: float
    high: float
    unit: str
    places: int = 2

    def __str__(self) -> str:
        """Write the band as the bench reads it: one number where all three are written alike."""
        unit = "" if self.unit == "-" else f" {self.unit}"
        low, likely, high = (_written(each, self.places) for each in (self.low, self.likely, self.high))
        return f"{likely}{unit}" if low == likely == high else f"{likely} ({low} to {high}){unit}"


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
