"""What ties parts to surveyed points and to one another: rows of an adjustment, each with its slopes.

Each tie gives how far
the places disagree with it, how that changes with the steps of the parts it ties and with the surveyed figures it
rests on, and how far it may be out by itself. Directions across an axis follow its tilt and never its own roll, so
that a roll which nothing fixes stays quite free.

Source: rigid motion to first order; `docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import radians

import numpy as np

from trialfit.fitup.place_rolls import Clock, TurnedBy
from trialfit.fitup.place_slopes import Rows, across_of, port_at, tilt_of
from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross_matrix
from trialfit.parts.envelope import PortPlace
from trialfit.parts.made_up import MadeUp
from trialfit.parts.placement import Placement

# How far a point that is said to lie on an axis may lie beside it; how far a port may lean in its part. Assumed, k = 2.
_BESIDE_K2_MM = 0.2
LEAN_K2_DEG = 0.5
# Nothing is truer than this, so that two parts may rest on one point. One standard deviation. [mm]
_TRUEST_MM = 1e-3


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

    @property
    def rests_on(self) -> str:
        """The figures it rests on, as the job has them."""
        return _listed(f"the marks of point {self.point}", at_words(self.place))

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:
        """Hold it against the places."""
        at, _ = port_at(self.place, places)
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

    @property
    def rests_on(self) -> str:
        """The figures it rests on, as the job has them."""
        return _listed(f"the marks of point {self.point}", at_words(self.place))

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:
        """Hold it against the places."""
        at, way = port_at(self.place, places)
        across, rest = across_of(way.value), figures[self.point] - at.value
        slopes = -across @ at.slopes + across @ cross_matrix(rest) @ tilt_of(way.value)
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
    lean_k2_deg: float = LEAN_K2_DEG

    @property
    def words(self) -> str:
        """What it is, for a finding."""
        return self.what

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts it ties."""
        return (self.place.port.part,)

    @property
    def rests_on(self) -> str:
        """The figures it rests on, as the job has them."""
        return f"{self.what}, and the direction of {self.place.port.full_name}"

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:
        """Hold it against the places."""
        _, way = port_at(self.place, places)
        across, seen = across_of(way.value), self.sense * figures[self.axis]
        slopes = across @ cross_matrix(seen) @ tilt_of(way.value)
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

    @property
    def rests_on(self) -> str:
        """The figures it rests on, as the job has them."""
        said = self.made.because[0].lower() + self.made.because[1:-1]
        depth = f"how deep the joint of {self.made.a} and {self.made.b} goes in: {said}"
        return _listed("" if self.made.slides else depth, at_words(self.a), at_words(self.b))

    def rows(self, places: Mapping[str, Placement], figures: Mapping[str, Array]) -> Rows:  # noqa: ARG002
        """Hold it against the places."""
        (at_a, way_a), (at_b, way_b) = port_at(self.a, places), port_at(self.b, places)
        across, rest = across_of(way_a.value), at_b.value - at_a.value
        tilt = tilt_of(way_a.value)
        moved_a = -at_a.slopes + cross_matrix(rest) @ tilt
        by_a = [across @ moved_a, across @ cross_matrix(way_b.value) @ tilt]
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


def at_words(place: PortPlace) -> str:
    """Write where a port is in its part, for a person who is to look at that figure.

    Parameters
    ----------
    place
        The port in its part.

    Returns
    -------
    str
        Such as ``where check_valve.outlet is in check_valve: 19, 0, 0 mm, measured``; empty for a port at the origin,
        which is there by agreement.
    """
    if not place.at_mm.any():
        return ""
    where = ", ".join(f"{each:.4g}" for each in np.round(place.at_mm, 3) + 0.0)
    return f"where {place.port.full_name} is in {place.port.part}: {where} mm, {place.basis.value}"


def _listed(*figures: str) -> str:
    """Figures one after the other, those there are; the way the port looks where there is none."""
    return "; ".join(each for each in figures if each) or "the directions of both ports"


Tie = PointOnFace | PointOnAxis | AxisSurveyed | Joined | Clock | TurnedBy
