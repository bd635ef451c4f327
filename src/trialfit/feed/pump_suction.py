"""How fast a ram pump may run before its water parts in the suction pipe.

Source: the ram taken to move as a sine; Newton for the water's inertia, rho L (A_ram / A_pipe) r w²; friction as
`trialfit.feed.flow_friction`; the margin over boiling is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sin

from trialfit.errors import Refusal
from trialfit.feed.flow_friction import pressure_lost_mpa
from trialfit.feed.flow_three import ends, three
from trialfit.feed.flow_water import Water
from trialfit.feed.pump import RamPump
from trialfit.finding import Band
from trialfit.tables.steam import ATMOSPHERE_MPA

GRAVITY_M_S2 = 9.80665
MARGIN_MPA = 0.01
"""Kept over the pressure at which the water boils: common practice, no source. [MPa]"""

_MOST_STROKES_MIN = 10000.0
_CRANK_DEG = tuple(range(0, 91, 3))


@dataclass(frozen=True)
class Suction:
    """A suction pipe from the tank to the pump.

    Parameters
    ----------
    bore_mm, length_mm
        Bore and length. [mm]
    k
        Loss of its fittings and of the suction valve, in velocity heads: low, likely, high. [-]
    k_slow
        The same in slow flow: velocity heads times Reynolds' number. [-]
    lift_mm
        Height of the pump over the water; below zero where the water stands higher. [mm]
    ball_mpa
        What lifts the suction ball. [MPa]
    passes
        The fittings that loss is made of, by name; empty where it was given as a figure.
    """

    bore_mm: float
    length_mm: float
    k: Band
    k_slow: float = 40.0
    lift_mm: float = 0.0
    ball_mpa: float = 0.0
    passes: tuple[str, ...] = ()


@dataclass(frozen=True)
class SuctionLimit:
    """What is left of the atmosphere's push, and the speed at which nothing is.

    Parameters
    ----------
    standing_mpa
        What the atmosphere has to spare for moving the water: less lift, ball, boiling pressure, margin. [MPa]
    inertia_mpa
        Greatest push that the water's own mass takes, at the pump's highest speed. [MPa]
    friction_mpa
        Greatest loss to friction and fittings there. [MPa]
    spare_mpa
        What is left at the worst point of the stroke, at the highest speed and with the high loss. [MPa]
    limit_strokes_min
        Speed at which nothing is left: with the high, the likely and the low loss. [1/min]
    """

    standing_mpa: float
    inertia_mpa: float
    friction_mpa: float
    spare_mpa: float
    limit_strokes_min: Band


def suction_limit(pump: RamPump, suction: Suction, water: Water) -> SuctionLimit:
    """Find how fast a pump may run on its suction pipe.

    Parameters
    ----------
    pump
        The pump.
    suction
        Its suction pipe.
    water
        The water in the tank.

    Returns
    -------
    SuctionLimit
        Push to spare, and the speed limit.

    Raises
    ------
    Refusal
        Nothing is left even at rest: it stands too high or the water is too hot.

    Valid
    -----
    A pipe full of water without an air vessel. Air let in at a gland or union upsets a suction earlier.
    """
    height_mpa = water.density_kg_m3 * GRAVITY_M_S2 * suction.lift_mm * 1e-9
    standing_mpa = ATMOSPHERE_MPA - height_mpa - suction.ball_mpa - water.vapour_mpa - MARGIN_MPA
    if standing_mpa <= 0:
        remedy = "Lower the pump, cool the water, or take a lighter ball."
        raise Refusal("suction", f"{standing_mpa * 1000:.1f} kPa to spare at rest", "more than nought", remedy)
    inertia, friction, worst = _taken_mpa(pump, suction, water, pump.strokes.high, suction.k.high)
    limits = [_limit(pump, suction, water, standing_mpa, k) for k in reversed(ends(suction.k))]
    return SuctionLimit(standing_mpa, inertia, friction, standing_mpa - worst, three(limits, "a minute", 0))


def _taken_mpa(
    pump: RamPump, suction: Suction, water: Water, strokes_min: float, k: float
) -> tuple[float, float, float]:
    """Greatest inertia, greatest friction, and the greatest sum of both anywhere in the stroke."""
    turn_rad_s = 2.0 * pi * strokes_min / 60.0
    half_m = pump.stroke_mm / 2000.0
    areas = (pump.ram_mm / suction.bore_mm) ** 2
    inertia_mpa = water.density_kg_m3 * suction.length_mm / 1000.0 * areas * half_m * turn_rad_s**2 * 1e-6
    peak_ml_min = pi / 4.0 * pump.ram_mm**2 * 1e-6 * half_m * turn_rad_s * 60e6

    def lost(share: float) -> float:
        return pressure_lost_mpa(peak_ml_min * share, suction.bore_mm, suction.length_mm, k, water, suction.k_slow)

    worst = max(inertia_mpa * cos(radians(deg)) + lost(sin(radians(deg))) for deg in _CRANK_DEG)
    return inertia_mpa, lost(1.0), worst


def _limit(pump: RamPump, suction: Suction, water: Water, standing_mpa: float, k: float) -> float:
    low, high = 0.0, _MOST_STROKES_MIN
    if _taken_mpa(pump, suction, water, high, k)[2] <= standing_mpa:
        return high
    for _ in range(40):
        middle = 0.5 * (low + high)
        enough = _taken_mpa(pump, suction, water, middle, k)[2] <= standing_mpa
        low, high = (middle, high) if enough else (low, middle)
    return low
