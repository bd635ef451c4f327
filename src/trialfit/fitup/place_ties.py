"""What ties parts to surveyed points and to one another: rows of an adjustment, each with its slopes.

A part's place is six small steps: a shift and a turn about the job's axes, at its own origin. Each tie gives how far
the places disagree with it, how that changes with the steps of the parts it ties and with the surveyed figures it
rests on, and how far it may be out by itself. Directions across an axis follow its tilt and never its own roll, so
that a roll which nothing fixes stays quite free.

Source: rigid motion to first order; `docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, pi, radians

import numpy as np

from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross, square_to
from trialfit.parts.envelope import PortPlace
from trialfit.parts.made_up import MadeUp
from trialfit.parts.placement import Placement

# How far a point that is said to lie on an axis may lie beside it; how far a port may lean in its part. Assumed, k = 2.
_BESIDE_K2_MM = 0.2
_LEAN_K2_DEG = 0.5
_ALONG_X = 0.8
# Nothing is truer than this, so that two parts may rest on one point. One standard deviation. [mm]
_TRUEST_MM = 1e-3


@dataclass(frozen=True, eq=False)
class Rows:
    """What one tie says of the places as they are now.

    Parameters
    ----------
    off
        (n,) how far they disagree with it. [mm or rad]
    by_part
        (n, 6) slopes by the steps of each part it ties. [-, mm, 1/mm]
    by_point
        (n, 3) slopes by each surveyed figure it rests on. [-]
    own_sigma
        (n,) how far it may be out by itself, one standard deviation. [mm or rad]
    units
        Unit of each: mm or rad.
    """

    off: Array
    by_part: Mapping[str, Array]
    by_point: Mapping[str, Array]
    own_sigma: Array
    units: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class PointOnFace:
    """A surveyed point is the middle of a port's face.

    Parameters
    ----------
    place
        The port in its part.
    point
        The point's name.
    """

    place: PortPlace
    point: str

    @property
    def words(self) -> str:
        """What it is, for a finding."""
        return f"point {self.point} on {self.place.port.full_name}"

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts it ties."""
        return (self.place.port.part,)

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:
        """Hold it against the places."""
        at, _ = _port(self.place, places)
        sigma = np.full(3, max(self.place.k2_mm / 2, _TRUEST_MM))
        slopes = {self.place.port.part: -at.slopes}
        return Rows(figures[self.point] - at.value, slopes, {self.point: np.eye(3)}, sigma, ("mm",) * 3)


@dataclass(frozen=True, eq=False)
class PointOnAxis:
    """A surveyed point lies on a port's axis, behind its face.

    Parameters
    ----------
    place
        The port in its part.
    point
        The point's name.
    """

    place: PortPlace
    point: str

    @property
    def words(self) -> str:
        """What it is, for a finding."""
        return f"point {self.point} on the axis of {self.place.port.full_name}"

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts it ties."""
        return (self.place.port.part,)

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:
        """Hold it against the places."""
        at, way = _port(self.place, places)
        across, rest = _across(way.value), figures[self.point] - at.value
        slopes = -across @ at.slopes + across @ _crossing(rest) @ _tilt(way.value)
        sigma = np.full(2, float(np.hypot(self.place.k2_mm, _BESIDE_K2_MM)) / 2)
        return Rows(across @ rest, {self.place.port.part: slopes}, {self.point: across}, sigma, ("mm",) * 2)


@dataclass(frozen=True, eq=False)
class AxisSurveyed:
    """A surveyed axis is a port's own, or a body's face has it square to itself.

    Parameters
    ----------
    place
        The port in its part.
    axis
        The axis's name.
    sense
        1 where the port points the way the axis does, -1 where it points against it. [-]
    what
        What it is, in words.
    lean_k2_deg
        How far the port may lean off it, k = 2. [deg]
    """

    place: PortPlace
    axis: str
    sense: float
    what: str
    lean_k2_deg: float = _LEAN_K2_DEG

    @property
    def words(self) -> str:
        """What it is, for a finding."""
        return self.what

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts it ties."""
        return (self.place.port.part,)

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:
        """Hold it against the places."""
        _, way = _port(self.place, places)
        across, seen = _across(way.value), self.sense * figures[self.axis]
        slopes = across @ _crossing(seen) @ _tilt(way.value)
        sigma = np.full(2, radians(self.lean_k2_deg) / 2)
        return Rows(
            across @ seen, {self.place.port.part: slopes}, {self.axis: self.sense * across}, sigma, ("rad",) * 2
        )


@dataclass(frozen=True, eq=False)
class Joined:
    """Two ports share an axis, look at each other, and one goes so far into the other.

    Parameters
    ----------
    a, b
        The two ports in their parts.
    made
        The joint, made up.
    """

    a: PortPlace
    b: PortPlace
    made: MadeUp

    @property
    def words(self) -> str:
        """What it is, for a finding."""
        return f"the joint of {self.made.a} and {self.made.b}"

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts it ties."""
        return self.made.parts

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:  # noqa: ARG002
        """Hold it against the places."""
        (at_a, way_a), (at_b, way_b) = _port(self.a, places), _port(self.b, places)
        across, rest = _across(way_a.value), at_b.value - at_a.value
        tilt = _tilt(way_a.value)
        moved_a = -at_a.slopes + _crossing(rest) @ tilt
        by_a = [across @ moved_a, across @ _crossing(way_b.value) @ tilt]
        by_b = [across @ at_b.slopes, across @ way_b.slopes]
        off = [across @ rest, across @ way_b.value]
        beside = float(np.linalg.norm([self.made.slack_k2_mm, self.a.k2_mm, self.b.k2_mm])) / 2
        sigma = [np.full(2, beside), np.full(2, radians(self.made.lean_k2_deg) / 2)]
        units = ["mm", "mm", "rad", "rad"]
        if not self.made.slides:
            off.append(np.array([-way_a.value @ rest - self.made.depth_mm]))
            by_a.append(-(way_a.value @ moved_a)[None])
            by_b.append(-(way_a.value @ at_b.slopes)[None])
            deep = float(np.linalg.norm([self.made.depth_k2_mm, self.a.k2_mm, self.b.k2_mm])) / 2
            sigma.append(np.array([deep]))
            units.append("mm")
        slopes = {self.made.parts[0]: np.vstack(by_a), self.made.parts[1]: np.vstack(by_b)}
        return Rows(np.concatenate(off), slopes, {}, np.concatenate(sigma), tuple(units))


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

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:
        """Hold it against the places."""
        at, along = _port(self.axis, places)
        arm_at, arm_way = _port(self.arm, places)
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


Tie = PointOnFace | PointOnAxis | AxisSurveyed | Joined | Clock | TurnedBy


@dataclass(frozen=True, eq=False)
class _Moved:
    """A vector, and its (3, 6) slopes by the steps of its part."""

    value: Array
    slopes: Array


def _port(place: PortPlace, places: Mapping[str, Placement]) -> tuple[_Moved, _Moved]:
    """Position and direction of a port in the job frame, with their slopes."""
    placement = places[place.port.part]
    lever = placement.directions(place.at_mm)
    way = placement.directions(place.direction)
    at = _Moved(lever + placement.shift_mm, np.hstack([np.eye(3), -_crossing(lever)]))
    return at, _Moved(way, np.hstack([np.zeros((3, 3)), -_crossing(way)]))


def _across(way: Array) -> Array:
    """(2, 3) two unit vectors square to a direction and to each other."""
    one = square_to(way)
    return np.vstack([one, cross(way, one)])


def _tilt(way: Array) -> Array:
    """(3, 6) the turn of a part less its roll about a direction, by its steps."""
    return np.hstack([np.zeros((3, 3)), np.eye(3) - np.outer(way, way)])


def _crossing(vector: Array) -> Array:
    x, y, z = vector
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
