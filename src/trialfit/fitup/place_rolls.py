"""What fixes which way round a part stands: clocking, and angles at a joint.

Source: rigid motion to first order; `docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, pi, radians

import numpy as np

from trialfit.fitup.place_slopes import Rows, port_at
from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross
from trialfit.parts.envelope import PortPlace
from trialfit.parts.placement import Placement

_ALONG_X = 0.8


@dataclass(frozen=True, eq=False)
class Clock:
    """A port points so many degrees round a joint's axis from a surveyed point, clockwise seen along it inwards.

    Parameters
    ----------
    axis
        The port of the fitting that is screwed in; its direction is the way the thread goes in.
    arm
        The port that points somewhere.
    twelve
        The surveyed point at twelve o'clock.
    angle_deg
        Where it points. [deg]
    k2_deg
        Two standard deviations of it. [deg]
    name
        Its entry under clocking.
    """

    axis: PortPlace
    arm: PortPlace
    twelve: str
    angle_deg: float
    k2_deg: float
    name: str

    @property
    def words(self) -> str:
        """What it is, for a finding."""
        return f"the clocking {self.name}"

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts it ties."""
        return (self.axis.port.part,)

    @property
    def rests_on(self) -> str:
        """The figures it rests on, as the job has them."""
        return f"wanted and stopped of the clocking {self.name}, {self.angle_deg:.0f} deg, and point {self.twelve}"

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:
        """Hold it against the places."""
        at, along = port_at(self.axis, places)
        arm_at, arm_way = port_at(self.arm, places)
        pointing = arm_way.value + 1e-3 * (arm_at.value - at.value)
        d = along.value
        twelve = figures[self.twelve] - at.value
        twelve, arm = twelve - d * (twelve @ d), pointing - d * (pointing @ d)
        seen = atan2(float(cross(d, twelve) @ arm), float(twelve @ arm))
        off = (radians(self.angle_deg) - seen + pi) % (2 * pi) - pi
        # A turn about the axis turns the arm by as much; what a tilt does is of second order where it is fixed besides.
        reach = float(np.linalg.norm(twelve))
        side = cross(d, twelve) / reach**2
        slopes = np.concatenate([-side, -d])[None]
        return Rows(
            np.array([off]), {self.axis.port.part: slopes}, {self.twelve: side[None]},
            np.array([radians(self.k2_deg) / 2]), ("rad",),
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class TurnedBy:
    """One part of a joint is turned so far about it from the other, right-handed about the way the first port points.

    Parameters
    ----------
    a, b
        The two ports in their parts.
    angle_deg
        From the first part's side to the second's. [deg]
    k2_deg
        Two standard deviations of it. [deg]
    """

    a: PortPlace
    b: PortPlace
    angle_deg: float
    k2_deg: float

    @property
    def words(self) -> str:
        """What it is, for a finding."""
        return f"the angle between {self.a.port.full_name} and {self.b.port.full_name}"

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts it ties."""
        return self.a.port.part, self.b.port.part

    @property
    def rests_on(self) -> str:
        """The figures it rests on, as the job has them."""
        return f"angle of the joint of {self.a.port.full_name} and {self.b.port.full_name}, {self.angle_deg:.0f} deg"

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:  # noqa: ARG002
        """Hold it against the places."""
        d = places[self.parts[0]].directions(self.a.direction)
        one, other = (places[end.port.part].directions(side_of(end)) for end in (self.a, self.b))
        one, other = one - d * (one @ d), other - d * (other @ d)
        seen = atan2(float(cross(d, one) @ other), float(one @ other))
        off = (radians(self.angle_deg) - seen + pi) % (2 * pi) - pi
        about = np.concatenate([np.zeros(3), d])[None]
        sigma = np.array([radians(self.k2_deg) / 2])
        return Rows(np.array([off]), {self.parts[0]: about, self.parts[1]: -about}, {}, sigma, ("rad",))


def side_of(place: PortPlace) -> Array:
    """The side of a part that an angle about one of its ports is counted from.

    Parameters
    ----------
    place
        The port in its part.

    Returns
    -------
    Array
        (3,) its x axis, or its z axis where the port lies along x. [-]
    """
    return np.array([0.0, 0.0, 1.0]) if abs(place.direction[0]) > _ALONG_X else np.array([1.0, 0.0, 0.0])
