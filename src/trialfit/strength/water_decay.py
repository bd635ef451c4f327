"""What a gauge does when a water test leaks: how much the water, the walls and the air left in it give.

Water gives so little that the gauge shows the smallest leak at once, and the smallest change of temperature as well.

Source: compression of water by IAPWS R7-97(2012), region 1; growth of a closed tube by Lamé; air by the gas law, at one
temperature.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.finding import Band
from trialfit.strength.leak_decay import READ_DIVISIONS
from trialfit.tables.steam import ATMOSPHERE_MPA
from trialfit.tables.water import liquid_m3_kg, locked_mpa_per_k

AIR_LEFT = Band(0.0, 0.001, 0.01, "-", 3)
"""Share of the room that is air left in the water, at the test pressure: well bled to badly; assumed. [-]"""

HELD_MIN = 10.0
"""How long a water test is taken to be held where nobody says: common practice, no source. [min]"""

COPPER_MPA, COPPER_POISSON = 117000.0, 0.34
"""Elastic modulus [MPa] and Poisson's ratio [-] of annealed copper, as handbooks print them, from memory."""

_ROOM_C = 20.0


@dataclass(frozen=True)
class WaterDecay:
    """What a water test's gauge does.

    Parameters
    ----------
    volume_ml
        Room under pressure: what is tested, and the hose. [mL]
    water_mpa
        Pressure above the atmosphere. [MPa]
    fall_mpa
        Fall of the gauge that is believed. [MPa]
    gives
        Water that has to go for the pressure to fall by one MPa: bled and in walls that do not give, likely, and badly
        bled. [mL/MPa]
    leak_low_ml_h, leak_high_ml_h
        The leak that is looked for, as water at this pressure. [mL/h]
    hold
        How long until that leak has moved the gauge so far. [s]
    least_ml_h
        Least leak that ten minutes show. [mL/h]
    per_kelvin
        What one degree does to the pressure: badly bled, likely, bled. [MPa/K]
    steady_k
        Change of temperature that looks like the fall, likely. [K]
    """

    volume_ml: float
    water_mpa: float
    fall_mpa: float
    gives: Band
    leak_low_ml_h: float
    leak_high_ml_h: float
    hold: Band
    least_ml_h: Band
    per_kelvin: Band
    steady_k: float


def squeezed_per_mpa(absolute_mpa: float) -> float:
    """Share by which cold water shrinks for each unit of pressure.

    Parameters
    ----------
    absolute_mpa
        Absolute pressure. [MPa]

    Returns
    -------
    float
        Compressibility at 20 °C. [1/MPa]

    Source
    ------
    IAPWS R7-97(2012), region 1, by differences over 0.1 MPa.
    """
    above, below = (liquid_m3_kg(_ROOM_C, absolute_mpa + each) for each in (0.05, -0.05))
    return (below - above) / (0.1 * liquid_m3_kg(_ROOM_C, absolute_mpa))


def walls_give_per_mpa(od_mm: float, wall_mm: float) -> float:
    """Share by which the room in a closed copper tube grows for each unit of pressure.

    Parameters
    ----------
    od_mm, wall_mm
        Outside diameter and wall. [mm]

    Returns
    -------
    float
        Share of the room. [1/MPa]

    Source
    ------
    Lamé, closed ends: twice the strain round the bore and once that along it.
    """
    outer, inner = (od_mm / 2.0) ** 2, (od_mm / 2.0 - wall_mm) ** 2
    metal = COPPER_MPA * (outer - inner)
    along = (1.0 - 2.0 * COPPER_POISSON) * inner / metal
    return 2.0 * (along + (1.0 + COPPER_POISSON) * outer / metal) + along


def water_decay(
    room_ml: float, water_mpa: float, division_mpa: float, leak_ml_h: tuple[float, float],
    tubes_mm: Sequence[tuple[float, float]] = (),
) -> WaterDecay:  # fmt: skip
    """Say what the gauge of a water test does.

    Parameters
    ----------
    room_ml
        Room under pressure, hose and gauge included. [mL]
    water_mpa
        Pressure above the atmosphere. [MPa]
    division_mpa
        What can be read on the gauge. [MPa]
    leak_ml_h
        The leak that is looked for, low and high. [mL/h]
    tubes_mm
        Outside diameter and wall of the tubes in it; the one that gives most counts for all the room. [mm]

    Returns
    -------
    WaterDecay
        Time, least leak and temperature, each from well bled to badly bled.

    Raises
    ------
    Refusal
        A figure is not above zero, or the gauge cannot show the pressure.

    Valid
    -----
    A hose and a gauge that do not give; rubber hose gives many times what is reckoned here.
    """
    if min(room_ml, water_mpa, division_mpa, *leak_ml_h) <= 0:
        remedy = "Give the room, the gauge's division and the leak that matters."
        raise Refusal("water test", "a figure of nought or less", "figures above zero", remedy)
    fall = READ_DIVISIONS * division_mpa
    if fall > water_mpa:
        raise Refusal(
            "gauge", f"a division of {division_mpa * 10:g} bar for a test at {water_mpa * 10:g} bar",
            f"{READ_DIVISIONS:g} divisions within the test pressure", "Take a gauge of a smaller range.",
        )  # fmt: skip
    absolute = water_mpa + ATMOSPHERE_MPA
    water = squeezed_per_mpa(absolute)
    walls = max((walls_give_per_mpa(*each) for each in tubes_mm), default=0.0)
    shares = [
        (1.0 - air) * water + stretch + air / absolute
        for air, stretch in ((AIR_LEFT.low, 0.0), (AIR_LEFT.likely, walls), (AIR_LEFT.high, walls))
    ]
    gives = [room_ml * each for each in shares]
    low_leak, high_leak = leak_ml_h
    likely_leak = (low_leak * high_leak) ** 0.5
    swells = locked_mpa_per_k(_ROOM_C, absolute) * water
    hold = [fall * each / leak * 3600.0 for each, leak in zip(gives, (high_leak, likely_leak, low_leak), strict=True)]
    least = [fall * each * 60.0 / HELD_MIN for each in gives]
    warm = [swells / each for each in reversed(shares)]
    return WaterDecay(
        room_ml, water_mpa, fall, Band(gives[0], gives[1], gives[2], "mL/MPa", 3), low_leak, high_leak,
        Band(hold[0], hold[1], hold[2], "s", 1), Band(least[0], least[1], least[2], "mL/h", 4),
        Band(warm[0], warm[1], warm[2], "MPa/K", 3), fall / warm[1],
    )  # fmt: skip
