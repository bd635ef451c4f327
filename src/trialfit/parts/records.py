"""Parts, their ports, and what the stage says of each joint. Source: the job document; threads from the tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from trialfit.finding import Answer, Figure, Reason
from trialfit.job.port_faults import no_such_port
from trialfit.job.ports import Bore, Feature
from trialfit.job.records import Gender, Kind
from trialfit.tables.threads import Thread

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Seat:
    """A seat that closes on its fellow.

    Parameters
    ----------
    kind
        Cone, flat or ball.
    gender
        Male stands proud, female is hollow.
    angle_deg
        Included angle of a cone; None where it is not known. [deg]
    across_mm
        Diameter of a female seat at its mouth, of a male cone at its nose, of a ball right across; None where it is not
        known. [mm]
    """

    kind: Literal["cone", "flat", "ball"]
    gender: Gender
    angle_deg: float | None
    across_mm: float | None = None


@dataclass(frozen=True)
class Port:
    """A place where a part meets another.

    Parameters
    ----------
    part, name
        The part's name in the job and the port's name for that kind of part.
    may_have
        Features a port of this kind can have.
    thread
        Its thread, or None.
    gender
        Gender of the thread; None where there is none or it is not known.
    seat
        Its seat, or None.
    tube_mm
        Outside diameter of its tube or spigot, or None. [mm]
    bore_mm
        Bore for a tube, or None. [mm]
    bore_is
        Whether a tube is soldered into that bore or passes through it.
    direction
        Which way it points, out of the part, in the part's own frame. [-]
    face, axis_from
        The surveyed point in the middle of its face, and one behind it on its axis; None where not given.
    axis_of, axis_against
        Instead of a point behind: the surveyed axis it has, of a rim or a straight length of tube; and whether it
        points against that.
    at_mm, at_k2_mm
        (3,) middle of its face in the part's own frame, and two standard deviations of each of the three; None where
        the job does not say. [mm]
    """

    part: str
    name: str
    may_have: frozenset[Feature]
    thread: Thread | None
    gender: Gender | None
    seat: Seat | None
    tube_mm: float | None
    bore_mm: float | None
    bore_is: Bore
    direction: tuple[float, float, float]
    face: str | None
    axis_from: str | None
    axis_of: str | None = None
    axis_against: bool = False
    at_mm: tuple[float, float, float] | None = None
    at_k2_mm: float | None = None

    @property
    def is_dry(self) -> bool:
        """Whether nothing ever flows through it: a handle on its spindle."""
        return not self.may_have

    @property
    def full_name(self) -> str:
        """The port as joints name it: part.port."""
        return f"{self.part}.{self.name}"

    @property
    def has(self) -> frozenset[Feature]:
        """The features that are given."""
        given: dict[Feature, object] = {
            "thread": self.thread,
            "seat": self.seat,
            "tube": self.tube_mm,
            "bore": self.bore_mm,
        }
        return frozenset(feature for feature, value in given.items() if value is not None)


@dataclass(frozen=True)
class Part:
    """A part with all the ports its kind has.

    Parameters
    ----------
    name
        Its name in the job.
    kind
        What it is.
    what
        Which one, in words.
    metal
        Its metal by its name in the tables, or None.
    ports
        Its ports, whether anything is known of them or not.
    """

    name: str
    kind: Kind
    what: str
    metal: str | None
    ports: tuple[Port, ...]

    def port(self, name: str) -> Port:
        """Give a port by its name.

        Parameters
        ----------
        name
            The port's name for this kind of part.

        Returns
        -------
        Port
            The port.

        Raises
        ------
        Refusal
            This kind of part has no such port; the nearest is named.
        """
        found = next((port for port in self.ports if port.name == name), None)
        if found is None:
            raise no_such_port(self.name, self.kind, name, [port.name for port in self.ports])
        return found


@dataclass(frozen=True)
class Check:
    """One thing two ports were held against each other for.

    Parameters
    ----------
    of
        Thread, gender, seat, size or the joint as a whole.
    answer
        Go, look or stop.
    reason
        Why, as a sentence with its source.
    do
        What to do; empty where there is nothing to do.
    figure, limit
        The deciding number and what it was held against, or None.
    """

    of: str
    answer: Answer
    reason: Reason
    do: str = ""
    figure: Figure | None = None
    limit: Figure | None = None


@dataclass(frozen=True)
class Mating:
    """Whether two ports go together.

    Parameters
    ----------
    a, b
        The two ports, as part.port.
    checks
        Everything they were held against each other for, each with its reason.
    """

    a: str
    b: str
    checks: tuple[Check, ...]

    @property
    def answer(self) -> Answer:
        """The gravest answer of all checks."""
        return max((check.answer for check in self.checks), key=list(Answer).index)

    @property
    def mates(self) -> bool:
        """Whether nothing forbids it."""
        return self.answer is not Answer.STOP


@dataclass(frozen=True)
class FaceAt:
    """Where a port's face is.

    Parameters
    ----------
    name
        The port, as part.port.
    position_mm
        (3,) middle of the face in the job frame. [mm]
    direction
        (3,) unit vector out of the part. [-]
    base_mm
        Distance between the two points the direction was taken from; 0 where the direction itself was surveyed. [mm]
    """

    name: str
    position_mm: Array
    direction: Array
    base_mm: float
