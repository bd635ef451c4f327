"""What a ram pump delivers: by its size and speed, with air in its barrel, and with a leak beside it.

Source: geometry of the ram; the gas law for the air pocket; docs/methods/flows.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, pi

from trialfit.errors import Refusal
from trialfit.feed.flow_friction import hole_ml_min, hole_mm
from trialfit.feed.flow_three import ends, three
from trialfit.feed.flow_water import Water
from trialfit.finding import Band
from trialfit.tables.steam import ATMOSPHERE_MPA

USUAL_SHARE = Band(0.7, 0.85, 0.95, "-")
"""Share of the swept volume that a small ball-valve pump delivers: common practice, no source. [-]"""

SQUEEZED = Band(1.0, 1.2, 1.4, "-")
"""How air is squeezed: 1 slowly, as its walls keep it cool; 1.4 fast. [-]"""


@dataclass(frozen=True)
class RamPump:
    """A pump with one ram, single acting.

    Parameters
    ----------
    ram_mm
        Diameter of the ram. [mm]
    stroke_mm
        Stroke. [mm]
    strokes
        Delivery strokes a minute: the axle's turns where an eccentric drives it. [1/min]
    share
        Share of the swept volume that is delivered: slip past the valves. [-]
    """

    ram_mm: float
    stroke_mm: float
    strokes: Band
    share: Band = USUAL_SHARE

    def __post_init__(self) -> None:
        """Refuse what is no pump."""
        if min(self.ram_mm, self.stroke_mm, self.strokes.low) <= 0:
            raise Refusal(
                "pump", f"ram {self.ram_mm:g} mm, stroke {self.stroke_mm:g} mm, {self.strokes.low:g} a minute",
                "all three above zero", "Measure ram and stroke, and count the turns of the axle.",
            )  # fmt: skip
        if not 0 < self.share.low <= self.share.likely <= self.share.high <= 1:
            raise Refusal("pump", f"a share of {self.share}", "a share of the swept volume, 0 to 1", "Give it rising.")

    @property
    def swept_ml(self) -> float:
        """Volume swept at a stroke. [mL]"""
        return pi / 4.0 * self.ram_mm**2 * self.stroke_mm / 1000.0


def delivery_ml_min(pump: RamPump) -> Band:
    """What a pump delivers with its barrel full of water.

    Parameters
    ----------
    pump
        The pump.

    Returns
    -------
    Band
        Delivery. [mL/min]

    Source
    ------
    Arithmetic: (pi/4) b² s N times the share.
    """
    pairs = zip(ends(pump.strokes), ends(pump.share), strict=True)
    return three((pump.swept_ml * strokes * share for strokes, share in pairs), "mL/min", 0)


def pocket_loss(pocket_swept: float, delivery_mpa: float, squeezed: float = 1.2) -> float:
    """Share of the swept volume that an air pocket swallows.

    Parameters
    ----------
    pocket_swept
        Volume of the pocket when suction ends, in swept volumes. [-]
    delivery_mpa
        Pressure above the atmosphere that it delivers against; it draws from an open tank. [MPa]
    squeezed
        Exponent of the air: 1 where it keeps its heat to the walls, 1.4 where it does not. [-]

    Returns
    -------
    float
        Share lost; at 1 or more nothing is delivered. [-]

    Raises
    ------
    Refusal
        A figure is below nought, or the exponent is outside 1 to 1.4.

    Source
    ------
    Gas law: Va/Vs (1 - r^(-1/n)), r the ratio of the absolute pressures.
    """
    if delivery_mpa < 0 or not 1.0 <= squeezed <= 1.4 or pocket_swept < 0:
        raise Refusal(
            "air pocket", f"{pocket_swept:g} swept volumes, 0 to {delivery_mpa:g} MPa, n {squeezed:g}",
            "a pocket and a delivery pressure of nought or more, n from 1 to 1.4",
            "Check the figures.",
        )  # fmt: skip
    return pocket_swept * (1.0 - exp(-log((delivery_mpa + ATMOSPHERE_MPA) / ATMOSPHERE_MPA) / squeezed))


def with_pocket(pump: RamPump, pocket: Band, delivery_mpa: float) -> Band:
    """What a pump delivers with air in its barrel.

    Parameters
    ----------
    pump
        The pump.
    pocket
        Air in the barrel when suction ends. [mL]
    delivery_mpa
        Pressure above the atmosphere that it delivers against. [MPa]

    Returns
    -------
    Band
        Delivery; nought where the air takes up the whole stroke. [mL/min]
    """
    # Squeezed slowly the air gives way more, and the greater pocket swallows more: those go with the low end.
    each = zip(ends(pump.strokes), ends(pump.share), reversed(ends(pocket)), ends(SQUEEZED), strict=True)
    return three(
        (
            pump.swept_ml * strokes * max(0.0, share - pocket_loss(pocket_ml / pump.swept_ml, delivery_mpa, n))
            for strokes, share, pocket_ml, n in each
        ),
        "mL/min", 0,
    )  # fmt: skip


def stopping_pocket(delivery_mpa: float) -> Band:
    """Air pocket that stops all delivery, though water still goes round to the tank freely.

    Parameters
    ----------
    delivery_mpa
        Pressure above the atmosphere that the pump delivers against. [MPa]

    Returns
    -------
    Band
        Pocket in swept volumes. [-]

    Raises
    ------
    Refusal
        There is no pressure to deliver against.
    """
    if delivery_mpa <= 0:
        raise Refusal("delivery", f"{delivery_mpa:g} MPa", "a pressure above zero", "Give the boiler's.")
    return three((1.0 / pocket_loss(1.0, delivery_mpa, n) for n in (1.0, 1.2, 1.4)), "-", 1)


@dataclass(frozen=True)
class BypassLeak:
    """A bypass that passes when it should be shut.

    Parameters
    ----------
    hole_mm
        Sharp hole it is taken for. [mm]
    passes
        What it passes at the delivery pressure. [mL/min]
    left
        What is left for the boiler. [mL/min]
    half_mm
        Hole that would take half of the likely delivery. [mm]
    all_mm
        Hole that would take the whole of it. [mm]
    """

    hole_mm: float
    passes: Band
    left: Band
    half_mm: float
    all_mm: float


DISCHARGE = Band(0.6, 0.65, 0.8, "-")
"""How much of a small hole the jet fills: sharp to rounded, from memory. [-]"""


def bypass_leak(pumped: Band, hole: float, delivery_mpa: float, water: Water) -> BypassLeak:
    """Set what a leaking bypass takes beside what the pump delivers.

    Parameters
    ----------
    pumped
        What the pump delivers. [mL/min]
    hole
        Diameter of the hole that leaks as much; 0 for none. [mm]
    delivery_mpa
        Pressure across it. [MPa]
    water
        What flows.

    Returns
    -------
    BypassLeak
        What it takes and what is left.
    """
    passes = three((hole_ml_min(hole, delivery_mpa, water, each) for each in ends(DISCHARGE)), "mL/min", 0)
    pairs = ((pumped.low, passes.high), (pumped.likely, passes.likely), (pumped.high, passes.low))
    left = three((max(0.0, given - taken) for given, taken in pairs), "mL/min", 0)
    half_mm, all_mm = (hole_mm(share * pumped.likely, delivery_mpa, water) for share in (0.5, 1.0))
    return BypassLeak(hole, passes, left, half_mm, all_mm)
