"""The account of a parcel.

Source: each field by the module that fills it.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Figure, Finding
from trialfit.job.parcel import ArrivedEntry, EnclosedEntry, GoesEntry, TransitEntry

# Stands among the pieces whose mass nobody knows.
UNWEIGHED_BOX = "box and wrapping"


@dataclass(frozen=True)
class Fate:
    """What becomes of some pieces of one line.

    Parameters
    ----------
    goes
        Returned, replaced, scrapped or kept.
    count
        How many. [-]
    entry
        As the job says it; None where it goes with what it lies inside of.
    within
        The line it goes with, or empty.
    """

    goes: str
    count: int
    entry: GoesEntry | None
    within: str = ""

    @property
    def comes_back(self) -> bool:
        """Whether the piece that came is in the parcel going out."""
        return self.goes == "returned" or (self.entry is not None and self.entry.old == "returned")

    @property
    def needs_leave(self) -> bool:
        """Whether the owner has to have agreed, and nothing says that he did."""
        if self.entry is None or self.entry.leave:
            return False
        return self.goes in ("scrapped", "kept") or self.entry.old in ("scrapped", "kept")


@dataclass(frozen=True)
class PieceLine:
    """One line of what arrived, with what becomes of it.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        As the job says it.
    fates
        What becomes of it.
    """

    name: str
    entry: ArrivedEntry
    fates: tuple[Fate, ...]

    @property
    def over(self) -> int:
        """How many more go than came; negative while some are not accounted for. [-]"""
        return sum(fate.count for fate in self.fates) - self.entry.count


@dataclass(frozen=True)
class NewPiece:
    """Something new that goes out.

    Parameters
    ----------
    name
        As the job calls it: ``turned.cones``, ``pipes.feed``.
    what
        In words.
    count
        How many. [-]
    mass_g
        Mass of all of them together. [g]
    longest_mm
        Longest measure of one. [mm]
    joined
        What it travels on, in words; empty where it lies by itself.
    """

    name: str
    what: str
    count: int
    mass_g: float
    longest_mm: float
    joined: str


@dataclass(frozen=True)
class Lacking:
    """A piece that a part of its kind has and that is not written down.

    Parameters
    ----------
    part
        The part, by its name in the job.
    kind
        Its kind.
    pieces
        What is not there.
    """

    part: str
    kind: str
    pieces: tuple[str, ...]


@dataclass(frozen=True)
class ParcelAccount:
    """The parcel, in and out.

    Parameters
    ----------
    lines
        What came, with what becomes of it.
    lacking
        What is expected of the parts that came and is not written down.
    new
        What is new in the parcel going out.
    transit
        Pieces for the journey, to be taken off before fitting, by name.
    enclosed
        What else goes in, by name.
    closes
        Whether every piece that came is accounted for, once.
    mass
        Of the parcel going out, as far as it is known, box included; k = 2. [g]
    mass_lacks
        Pieces whose mass nobody knows.
    bags
        The bags, in their order, each with the names of its lines.
    findings
        What is said of it.
    """

    lines: tuple[PieceLine, ...]
    lacking: tuple[Lacking, ...]
    new: tuple[NewPiece, ...]
    transit: tuple[tuple[str, TransitEntry], ...]
    enclosed: tuple[tuple[str, EnclosedEntry], ...]
    closes: bool
    mass: Figure
    mass_lacks: tuple[str, ...]
    bags: tuple[tuple[str, tuple[str, ...]], ...]
    findings: tuple[Finding, ...]
