"""What may be asked for, and what it would gain, as records. Source: `docs/methods/asking.md`."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trialfit.survey.standing import Bearing


class Kind(StrEnum):
    """What sort of thing is asked for."""

    READING = "reading"
    CHECK_LINES = "check lines"
    PLACE = "place"
    MARK = "mark"
    PHOTOGRAPH = "photograph"


@dataclass(frozen=True)
class Change:
    """A figure the job needs, now and afterwards.

    Parameters
    ----------
    about
        What it belongs to: ``pipe feed``.
    what
        Its name: ``cut length``.
    unit
        ``mm`` or ``deg``.
    now_k2, then_k2
        Two standard deviations of it. [unit]
    limit
        The plus-or-minus that would do. [unit]
    counts
        Whether it weighed in the ranking.
    """

    about: str
    what: str
    unit: str
    now_k2: float
    then_k2: float
    limit: float
    counts: bool

    def __str__(self) -> str:
        """Write it as the bench reads it."""
        places = 1 if self.unit == "deg" else 2
        return f"{self.what} ± {self.now_k2:.{places}f} -> ± {self.then_k2:.{places}f} {self.unit}"


@dataclass(frozen=True)
class Stand:
    """Where one more photograph is to be taken from.

    Parameters
    ----------
    bearing
        Seen from the engine.
    eye_mm
        The same place in the job frame. [mm]
    with_card
        Whether the card should be in view.
    cut_otherwise
        Share of the variance it takes off with the card out of view, or in view, the other way about; None where the
        other way shows too little. [-]
    shows
        Points that should be seen in it, by what earlier photographs show.
    lamp_on
        Points never marked so far that should be seen if they are lit.
    """

    bearing: Bearing
    eye_mm: tuple[float, float, float]
    with_card: bool
    cut_otherwise: float | None
    shows: tuple[str, ...]
    lamp_on: tuple[str, ...]


@dataclass(frozen=True)
class Ask:
    """One thing worth asking for.

    Parameters
    ----------
    kind
        What sort of thing.
    do
        What to do, as a sentence: for the owner, or for the repairer where it is a mark.
    why
        What it is good for, in half a sentence.
    cut
        Share of the variance of what the job needs that it takes off by itself; None where it would fix a point that
        is not fixed at all. [-]
    changes
        What the job needs, now and afterwards.
    points
        The points it is about.
    k2
        Plus-or-minus it was weighed with, k = 2, in `unit`. [unit]
    unit
        ``mm`` or ``px``.
    stand
        Where to stand, for a photograph.
    """

    kind: Kind
    do: str
    why: str
    cut: float | None
    changes: tuple[Change, ...]
    points: tuple[str, ...]
    k2: float
    unit: str
    stand: Stand | None = None


@dataclass(frozen=True)
class Stood:
    """Where a photograph that is there was taken from.

    Parameters
    ----------
    photograph
        Its name in the job.
    bearing
        Seen from the engine.
    """

    photograph: str
    bearing: Bearing


@dataclass(frozen=True)
class Scenery:
    """What lies where, for a sketch of where to stand: to the right, to the front and up, from amid the points.

    Parameters
    ----------
    points_mm
        The engine's points. [mm]
    card_mm
        Four corners of the card's paper; none where there is no card. [mm]
    stood
        Where the photographs so far were taken from.
    """

    points_mm: tuple[tuple[float, float, float], ...]
    card_mm: tuple[tuple[float, float, float], ...]
    stood: tuple[Stood, ...]


@dataclass(frozen=True)
class Asked:
    """What would make a survey surer.

    Parameters
    ----------
    marks
        What the repairer can do himself at no cost, the best first.
    readings
        Readings, check lines and places worth asking the owner for, the best first.
    photographs
        Photographs worth asking for, the best first; places next to a better one are left out.
    letter
        What to ask for together, each weighed with those before it done: at most three readings and two photographs.
    together
        What the job needs, now and once everything in the letter is done.
    away
        Points taken to be in the parcel, so that nothing can be asked about them.
    scenery
        What lies where; None where the survey could not be solved.
    """

    marks: tuple[Ask, ...]
    readings: tuple[Ask, ...]
    photographs: tuple[Ask, ...]
    letter: tuple[Ask, ...]
    together: tuple[Change, ...]
    away: tuple[str, ...]
    scenery: Scenery | None
