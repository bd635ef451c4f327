"""Records of a small network of pipes: ways, reservoirs, and what pumps put in.

Source: docs/methods/flows.md; the loss of a thin hole in slow flow is R. A. Sampson's (1891): 12 pi velocity heads
over Reynolds' number.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi

from trialfit.errors import Refusal
from trialfit.feed.flow_friction import DRAWN_MM
from trialfit.finding import Band

THIN_HOLE = 12.0 * pi
"""Least loss of any fitting in slow flow: that of a thin hole. [-]"""

SHARP_HOLE = Band(1.6, 2.4, 2.8, "-", 1)
"""Loss of a small hole, in velocity heads of its whole bore: 1/C², C from 0.6 sharp to 0.8 rounded, from memory. [-]"""


@dataclass(frozen=True)
class FlowWay:
    """A pipe, a fitting, a hole or a check valve between two places.

    Parameters
    ----------
    name
        What it is called.
    a, b
        The places it joins; a check lets water from a to b only.
    bore_mm
        Bore by which its losses are reckoned. [mm]
    length_mm
        Length of plain pipe; 0 for a mere fitting or hole. [mm]
    k
        Its fittings' loss in fast flow, in velocity heads: low, likely, high. [-]
    k_slow
        Their loss in slow flow: velocity heads times Reynolds' number. [-]
    check
        Whether it passes one way only.
    opens_mpa
        Difference of pressure that opens a check: spring or the ball's weight; a relief valve's set pressure. [MPa]
    roughness_mm
        Height of the roughness. [mm]
    """

    name: str
    a: str
    b: str
    bore_mm: float
    length_mm: float = 0.0
    k: Band = SHARP_HOLE
    k_slow: float = THIN_HOLE
    check: bool = False
    opens_mpa: float = 0.0
    roughness_mm: float = DRAWN_MM


@dataclass(frozen=True)
class FlowNetwork:
    """Places joined by ways.

    Parameters
    ----------
    ways
        The ways, each by its own name.
    reservoirs
        Pressure above the atmosphere of the places that hold theirs: boiler, tank, open air. [MPa]
    pumped
        What is put in at a place: low, likely, high; below zero where it is drawn out. [mL/min]
    """

    ways: tuple[FlowWay, ...]
    reservoirs: Mapping[str, float]
    pumped: Mapping[str, Band]

    def __post_init__(self) -> None:
        """Refuse what is no network."""
        names = [way.name for way in self.ways]
        places = {end for way in self.ways for end in (way.a, way.b)}
        for way in self.ways:
            if names.count(way.name) > 1:
                raise Refusal("way", f'"{way.name}" twice', "a name of its own", "Rename one of them.")
            if way.a == way.b:
                raise Refusal(f"way {way.name}", f'"{way.a}" at both ends', "two places", "Name the other end.")
            if not (way.bore_mm > 0 and way.length_mm >= 0 and way.opens_mpa >= 0 and way.k.low >= 0):
                remedy = "Give a bore above zero, and no length, loss or opening pressure below it."
                raise Refusal(f"way {way.name}", f"a bore of {way.bore_mm:g} mm", "a bore above zero", remedy)
            if way.k_slow <= 0 and way.length_mm == 0:
                remedy = "Leave k_slow out: the loss of a thin hole is the least there is."
                raise Refusal(f"way {way.name}", "no loss at all in slow flow", "some", remedy)
            if way.opens_mpa and not way.check:
                remedy = "Say that it is a check, or leave the opening pressure out."
                raise Refusal(f"way {way.name}", "an opening pressure both ways", "a check", remedy)
        for place in self.pumped:
            if place not in places or place in self.reservoirs:
                remedy = f"Name a place between the ways: {', '.join(sorted(places - set(self.reservoirs)))}."
                raise Refusal("pumped", f'"{place}"', "a place that is no reservoir", remedy)
        if not set(self.reservoirs) & places:
            raise Refusal("reservoirs", "none that a way leads to", "at least one", "Name the tank or the boiler.")

    @property
    def free(self) -> tuple[str, ...]:
        """The places whose pressure is to be found, in order of mention."""
        ends = dict.fromkeys(end for way in self.ways for end in (way.a, way.b))
        return tuple(place for place in ends if place not in self.reservoirs)


@dataclass(frozen=True)
class PlacePressure:
    """Pressure at a place. Shut in between checks it may stand anywhere between two figures.

    Parameters
    ----------
    place
        The place.
    low_mpa, high_mpa
        Least and greatest pressure above the atmosphere; alike where it is known; the greatest is infinite where
        nothing lets it out. [MPa]
    """

    place: str
    low_mpa: float
    high_mpa: float

    @property
    def trapped(self) -> bool:
        """Whether it is shut in."""
        return self.low_mpa != self.high_mpa


@dataclass(frozen=True)
class Flows:
    """What flows where.

    Parameters
    ----------
    flows
        Flow through each way from a to b. [mL/min]
    pressures
        Pressure at each place.
    steps
        Steps the solution took. [-]
    out_of_balance_ml_min
        The greatest sum of flows at any place that should be nought. [mL/min]
    """

    flows: Mapping[str, float]
    pressures: Mapping[str, PlacePressure]
    steps: int
    out_of_balance_ml_min: float
