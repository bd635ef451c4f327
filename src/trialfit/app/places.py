"""The places along the bench, in the order of the work: what each asks, and what of the document lies there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from trialfit.finding import Answer, Finding


@dataclass(frozen=True)
class Place:
    """One place on the bench.

    Parameters
    ----------
    key
        Its name in addresses.
    name
        What stands over it.
    asks
        What it answers, as a person would ask.
    stages
        The stages whose findings lie here.
    sections
        The parts of the job document that are written here.
    begins
        What to do where nothing lies here yet.
    """

    key: str
    name: str
    asks: str
    stages: tuple[str, ...]
    sections: tuple[str, ...]
    begins: str


PLACES: tuple[Place, ...] = (
    Place(
        "parcel-in", "Parcel in", "What came, and what happened?", ("parcel", "parcel in", "goods in", "receiving"),
        ("job", "engine", "parcel"), "Write down what came in the parcel.",
    ),
    Place(
        "photographs", "Photographs", "Where is everything, and how surely?", ("survey",),
        ("survey", "phones", "card", "photographs", "points", "readings", "tubes", "rims"),
        "Take in the owner's photographs with the scale card in view.",
    ),
    Place(
        "broken", "What broke", "Why did it break, and what will stand?", ("strength",), ("breaks",),
        "Say what broke and how the broken faces look.",
    ),
    Place(
        "water", "Water", "Where does it go, and what if something sticks?", ("feed",), ("circuit",),
        "Say which ports meet boiler and tank, and which sources pump.",
    ),
    Place(
        "parts", "Parts and joints", "What mates with what?", ("parts",), ("parts", "joints"),
        "Name the parts that meet the pipes, and what joins what.",
    ),
    Place(
        "fit", "Will it go on?", "Does it drop on, pointing the right way?", ("fitup",),
        ("pipes", "clocking", "bodies", "comes_off", "order", "fitting"),
        "Say between which ports a pipe is wanted.",
    ),
    Place(
        "turned", "Turned parts", "Can it be turned from what lies in the rack?", ("turned",), ("turned",),
        "Write down the sizes of what is to be turned.",
    ),
    Place(
        "order", "Order of work", "In which order can it be made?", ("making",), ("assemblies",),
        "Say what is to be done to which piece.",
    ),
    Place(
        "torch", "Torch", "Will it come up to heat, and what else lets go?", ("heat",), ("heating",),
        "Say what is heated, where the flame goes and what is near.",
    ),
    Place(
        "test", "Test", "Will it hold, and how is that proved?", ("pressure", "test", "pressure test"),
        ("pressure_tests",), "Say which piece is to be tested, and its walls.",
    ),
    Place("sheets", "Sheets", "What goes on paper?", (), (), ""),
    Place(
        "parcel-out", "Parcel out", "Is everything accounted for, and what does it cost?",
        ("quote", "parcel out", "goods out", "packing", "price"),
        (), "Say what goes back, what is replaced, and what was done.",
    ),
)  # fmt: skip

# Written on the photographs, or by the program itself.
NO_FIELDS = frozenset({"format", "marks", "edges", "rim_marks"})

# What the parcel is asked when it comes; all else is asked when it goes.
_OF_ARRIVAL = ("Did all of it arrive", "Can the unlike pair", "Is everything written")
_GRAVITY = {Answer.STOP: 0, Answer.LOOK: 1, Answer.GO: 2}


@dataclass(frozen=True)
class Laid:
    """What lies at a place.

    Parameters
    ----------
    place
        The place.
    findings
        What was found there, the gravest first.
    """

    place: Place
    findings: tuple[Finding, ...]

    @property
    def gravest(self) -> Finding | None:
        """The gravest finding, or None where there is none."""
        return self.findings[0] if self.findings else None

    @property
    def answer(self) -> str:
        """``stop``, ``look``, ``go``, or empty."""
        return str(self.findings[0].answer) if self.findings else ""

    def counted(self, answer: str) -> int:
        """How many findings end so.

        Parameters
        ----------
        answer
            ``stop``, ``look`` or ``go``.

        Returns
        -------
        int
            Their number. [-]
        """
        return sum(finding.answer == answer for finding in self.findings)


def sections_at(place: Place, known: Iterable[str]) -> tuple[str, ...]:
    """Say which parts of the document are written at a place.

    Parameters
    ----------
    place
        The place.
    known
        All parts a document may have, in order.

    Returns
    -------
    tuple of str
        Those of the place; at the last one, whatever no other place has.
    """
    there = tuple(section for section in known if section in place.sections)
    if place is not PLACES[-1]:
        return there
    elsewhere = {section for each in PLACES for section in each.sections} | NO_FIELDS
    return (*there, *(section for section in known if section not in elsewhere))


def place_of(finding: Finding, tests: frozenset[str] = frozenset()) -> str:
    """Find where on the bench a finding lies.

    Parameters
    ----------
    finding
        Any finding.
    tests
        Names of the job's pressure tests, whose findings are of the strength stage too.

    Returns
    -------
    str
        The key of its place; what no place knows lies at the parcel out.
    """
    stage = finding.stage
    if stage == "making" and finding.about.startswith("turned "):
        stage = "turned"
    if stage == "strength" and finding.about.partition(":")[0] in tests:
        stage = "pressure"
    if stage == "parcel" and not finding.question.startswith(_OF_ARRIVAL):
        stage = "parcel out"
    return next((place.key for place in PLACES if stage in place.stages), PLACES[-1].key)


def laid_out(findings: Iterable[Finding], tests: frozenset[str] = frozenset()) -> tuple[Laid, ...]:
    """Lay findings along the bench.

    Parameters
    ----------
    findings
        All of a job, those nearest to "will it go on?" first.
    tests
        Names of its pressure tests.

    Returns
    -------
    tuple of Laid
        One a place, in the order of the work.
    """
    lying: dict[str, list[Finding]] = {place.key: [] for place in PLACES}
    for finding in findings:
        lying[place_of(finding, tests)].append(finding)
    return tuple(
        Laid(place, tuple(sorted(lying[place.key], key=lambda finding: _GRAVITY[finding.answer]))) for place in PLACES
    )
