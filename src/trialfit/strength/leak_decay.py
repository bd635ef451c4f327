"""How long to hold a test until the gauge would show a leak, and how much of its movement is only temperature.

Source: gas law; t = divisions x resolution x V / (q p_atm).
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.tables.steam import ATMOSPHERE_MPA

READ_DIVISIONS = 2.0
"""Least change of the pointer that is believed: common practice, no source. [-]"""

_ROOM_K = 293.15


@dataclass(frozen=True)
class DecayPlan:
    """How long to hold pressure with air in it.

    Parameters
    ----------
    volume_ml
        Room under pressure: what is tested, and the hose. [mL]
    division_mpa
        What can be read on the gauge. [MPa]
    leak_ml_min
        Leak that is to be seen, as air of atmospheric pressure. [mL/min]
    hold_min
        How long until it has fallen that far. [min]
    per_kelvin_mpa
        What one degree does to the pressure. [MPa/K]
    steady_k
        Change of temperature that looks like that leak. [K]
    """

    volume_ml: float
    division_mpa: float
    leak_ml_min: float
    hold_min: float
    per_kelvin_mpa: float
    steady_k: float


def decay_plan(volume_ml: float, hose_ml: float, air_mpa: float, division_mpa: float, leak_ml_min: float) -> DecayPlan:
    """Plan how long to hold a test by air.

    Parameters
    ----------
    volume_ml, hose_ml
        Room in what is tested, and in hose and gauge. [mL]
    air_mpa
        Pressure above the atmosphere. [MPa]
    division_mpa
        What can be read on the gauge. [MPa]
    leak_ml_min
        Least leak that is to be seen, as air of atmospheric pressure. [mL/min]

    Returns
    -------
    DecayPlan
        The time, and what temperature does meanwhile.

    Raises
    ------
    Refusal
        A figure is not above zero, or the gauge cannot show the pressure at all.
    """
    if min(volume_ml, division_mpa, leak_ml_min) <= 0 or hose_ml < 0:
        remedy = "Give the room, the gauge's division and the leak that matters."
        raise Refusal("pressure decay", "a figure of nought or less", "figures above zero", remedy)
    fall = READ_DIVISIONS * division_mpa
    if fall > air_mpa:
        raise Refusal(
            "gauge", f"a division of {division_mpa * 10:g} bar for a test at {air_mpa * 10:g} bar",
            f"{READ_DIVISIONS:g} divisions within the test pressure", "Take a gauge of a smaller range.",
        )  # fmt: skip
    room = volume_ml + hose_ml
    per_kelvin = (air_mpa + ATMOSPHERE_MPA) / _ROOM_K
    hold_min = fall * room / (leak_ml_min * ATMOSPHERE_MPA)
    return DecayPlan(room, division_mpa, leak_ml_min, hold_min, per_kelvin, fall / per_kelvin)
