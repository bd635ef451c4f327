"""How much water the boiler asks for: by the fire's heat, or by the cylinders' steam.

Source: IAPWS R7-97(2012): enthalpy of water by region 1, heat of evaporation from the slope of the saturation curve
(Clausius and Clapeyron); the share of steam lost on cold cylinder walls is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import pi

from trialfit.errors import Refusal
from trialfit.feed.flow_three import ends, three
from trialfit.finding import Band
from trialfit.tables.rows import rows
from trialfit.tables.steam import ATMOSPHERE_MPA, dry_steam_m3_kg, saturation_c, saturation_mpa
from trialfit.tables.water import liquid_m3_kg

LOST_ON_WALLS = Band(1.3, 1.8, 2.5, "-", 1)
"""Steam drawn over steam seen by the cylinder's volume, in small saturated engines: common practice, no source. [-]"""

_KELVIN = 273.15
_GAS_KJ_KG_K = 0.461526
_STEP_C = 0.01


@dataclass(frozen=True)
class Cylinders:
    """The engine's cylinders.

    Parameters
    ----------
    number
        How many, double acting. [-]
    bore_mm, stroke_mm
        Bore and stroke. [mm]
    cut_off
        Share of the stroke over which steam is let in. [-]
    turns
        Turns of the driving axle a minute. [1/min]
    """

    number: int
    bore_mm: float
    stroke_mm: float
    cut_off: Band
    turns: Band


def water_kj_kg(temperature_c: float, absolute_mpa: float) -> float:
    """Enthalpy of liquid water.

    Parameters
    ----------
    temperature_c
        Temperature. [°C]
    absolute_mpa
        Absolute pressure. [MPa]

    Returns
    -------
    float
        Enthalpy over that of water at the triple point. [kJ/kg]

    Raises
    ------
    Refusal
        It is no liquid there.

    Source
    ------
    IAPWS R7-97(2012), equation 7 and table 3.
    """
    liquid_m3_kg(temperature_c, absolute_mpa)
    a, b = 7.1 - absolute_mpa / 16.53, 1386.0 / (temperature_c + _KELVIN) - 1.222
    slope = sum(n * a**i * j * b ** (j - 1) for i, j, n in _region_1())
    return _GAS_KJ_KG_K * 1386.0 * slope


def evaporation_kj_kg(absolute_mpa: float) -> float:
    """Heat that turns boiling water into dry steam.

    Parameters
    ----------
    absolute_mpa
        Absolute pressure. [MPa]

    Returns
    -------
    float
        Heat of evaporation. [kJ/kg]

    Source
    ------
    Clausius and Clapeyron: T (v_steam - v_water) dp/dT, exact.
    """
    boils_c = saturation_c(absolute_mpa)
    slope = (saturation_mpa(boils_c + _STEP_C) - saturation_mpa(boils_c - _STEP_C)) / (2.0 * _STEP_C)
    grows = dry_steam_m3_kg(absolute_mpa) - liquid_m3_kg(boils_c, absolute_mpa * (1.0 + 1e-9))
    return (boils_c + _KELVIN) * grows * slope * 1000.0


def boiled_ml_min(net_kw: float, feed_c: float, gauge_mpa: float) -> float:
    """Feed that a fire boils away, measured as the pump draws it.

    Parameters
    ----------
    net_kw
        Heat that gets into the water. [kW]
    feed_c
        Temperature of the feed. [°C]
    gauge_mpa
        Boiler pressure above the atmosphere. [MPa]

    Returns
    -------
    float
        Feed. [mL/min]

    Raises
    ------
    Refusal
        The heat is below zero, or the feed is hotter than the boiler.
    """
    absolute = gauge_mpa + ATMOSPHERE_MPA
    boils_c = saturation_c(absolute)
    if net_kw < 0 or not 0 <= feed_c < boils_c:
        raise Refusal(
            "evaporation", f"{net_kw:g} kW on feed of {feed_c:g} C", f"heat, and feed under {boils_c:.0f} C",
            "Give the heat that gets into the water, and the tank's temperature.",
        )  # fmt: skip
    boiling = water_kj_kg(boils_c, absolute * (1.0 + 1e-9))
    needed = evaporation_kj_kg(absolute) + boiling - water_kj_kg(feed_c, absolute)
    room_m3_kg = liquid_m3_kg(feed_c, max(ATMOSPHERE_MPA, saturation_mpa(feed_c) * 1.0001))
    return net_kw / needed * room_m3_kg * 60e6


def drawn_ml_min(cylinders: Cylinders, gauge_mpa: float, feed_c: float = 20.0) -> Band:
    """Feed that the cylinders draw as steam.

    Parameters
    ----------
    cylinders
        The cylinders.
    gauge_mpa
        Pressure in the steam chest above the atmosphere. [MPa]
    feed_c
        Temperature of the feed. [°C]

    Returns
    -------
    Band
        Feed, with what is lost on cold walls. [mL/min]

    Raises
    ------
    Refusal
        A size is not above zero, or the cut-off no share of the stroke.
    """
    sizes = (cylinders.number, cylinders.bore_mm, cylinders.stroke_mm, cylinders.turns.low)
    if min(sizes) <= 0 or not 0 < cylinders.cut_off.low <= cylinders.cut_off.high <= 1:
        raise Refusal(
            "cylinders", f"{cylinders.number} of {cylinders.bore_mm:g} x {cylinders.stroke_mm:g} mm, "
            f"cut-off {cylinders.cut_off.high:g}", "sizes above zero, a cut-off of 0 to 1", "Measure them again.",
        )  # fmt: skip
    swept_m3 = 2 * cylinders.number * pi / 4.0 * cylinders.bore_mm**2 * cylinders.stroke_mm * 1e-9
    room = liquid_m3_kg(feed_c, max(ATMOSPHERE_MPA, saturation_mpa(feed_c) * 1.0001)) * 1e6
    water_ml = swept_m3 / dry_steam_m3_kg(gauge_mpa + ATMOSPHERE_MPA) * room
    each = zip(ends(cylinders.cut_off), ends(cylinders.turns), ends(LOST_ON_WALLS), strict=True)
    return three((water_ml * cut_off * turns * lost for cut_off, turns, lost in each), "mL/min", 0)


@cache
def _region_1() -> tuple[tuple[int, int, float], ...]:
    return tuple(
        (int(row["pressure_power"]), int(row["temperature_power"]), row.number("n")) for row in rows("if97_region1.csv")
    )
