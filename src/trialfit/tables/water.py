"""Liquid water: the room it takes, and how fast its pressure rises when it is heated with nowhere to go.

Source: IAPWS R7-97(2012), equation 7 with table 2 (region 1); its check values are table 5.
"""

from __future__ import annotations

from functools import cache

from trialfit.errors import Refusal
from trialfit.tables.rows import rows
from trialfit.tables.steam import saturation_mpa

_KELVIN = 273.15
_GAS_CONSTANT_KJ_KG_K = 0.461526
_MOST_C = 350.0
_MOST_MPA = 100.0


def liquid_m3_kg(temperature_c: float, absolute_mpa: float) -> float:
    """Room a kilogram of liquid water takes.

    Parameters
    ----------
    temperature_c
        Temperature. [°C]
    absolute_mpa
        Absolute pressure. [MPa]

    Returns
    -------
    float
        Specific volume. [m³/kg]

    Raises
    ------
    Refusal
        Outside 0 to 350 °C or over 100 MPa, or it would be steam.
    """
    _refuse_if_not_liquid(temperature_c, absolute_mpa)
    kelvin = temperature_c + _KELVIN
    slope, _, _ = _derivatives(1386.0 / kelvin, absolute_mpa / 16.53)
    return _GAS_CONSTANT_KJ_KG_K * kelvin * slope / 16.53 / 1000.0


def locked_mpa_per_k(temperature_c: float, absolute_mpa: float | None = None) -> float:
    """How fast the pressure of water rises when it is heated in a space it fills, whose walls do not give.

    Parameters
    ----------
    temperature_c
        Temperature. [°C]
    absolute_mpa
        Absolute pressure; None takes the one at which it is about to boil, or the atmosphere's if that is more. [MPa]

    Returns
    -------
    float
        Rise of pressure. [MPa/K]

    Raises
    ------
    Refusal
        As `liquid_m3_kg`.

    Valid
    -----
    No air in it. Real walls stretch and threads weep, so a fitting sees less until it bursts, never more.
    """
    if absolute_mpa is None:
        absolute_mpa = max(0.101325, saturation_mpa(max(temperature_c, 0.0)) * 1.0001)
    _refuse_if_not_liquid(temperature_c, absolute_mpa)
    kelvin = temperature_c + _KELVIN
    tau = 1386.0 / kelvin
    slope, bend, mixed = _derivatives(tau, absolute_mpa / 16.53)
    # At constant room: dp/dT = -(dv/dT at constant p) / (dv/dp at constant T).
    return -(slope - tau * mixed) * 16.53 / (kelvin * bend)


def _refuse_if_not_liquid(temperature_c: float, absolute_mpa: float) -> None:
    wanted = f"0 to {_MOST_C:g} C under {_MOST_MPA:g} MPa, and enough pressure to keep it from boiling"
    inside = 0.0 <= temperature_c <= _MOST_C and absolute_mpa <= _MOST_MPA
    if not inside or absolute_mpa < saturation_mpa(temperature_c):
        raise Refusal(
            "water", f"{temperature_c:g} C at {absolute_mpa:g} MPa absolute", wanted,
            "Check both figures and their units.",
        )  # fmt: skip


def _derivatives(tau: float, pi: float) -> tuple[float, float, float]:
    """The dimensionless Gibbs energy by pressure, by pressure twice, and by pressure and temperature."""
    a, b = 7.1 - pi, tau - 1.222
    slope = bend = mixed = 0.0
    for i, j, n in _region_1():
        if i:
            slope -= n * i * a ** (i - 1) * b**j
            mixed -= n * i * a ** (i - 1) * j * b ** (j - 1)
        if i > 1:
            bend += n * i * (i - 1) * a ** (i - 2) * b**j
    return slope, bend, mixed


@cache
def _region_1() -> tuple[tuple[int, int, float], ...]:
    return tuple(
        (int(row["pressure_power"]), int(row["temperature_power"]), row.number("n")) for row in rows("if97_region1.csv")
    )
