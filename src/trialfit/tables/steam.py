"""Saturated steam: temperature from pressure, pressure from temperature, and the room the steam takes.

Source: IAPWS R7-97(2012), equations 30 and 31 with table 34 (saturation), equation 15 with table 11 (region 2).
"""

from __future__ import annotations

from functools import cache
from math import sqrt

from trialfit.errors import Refusal
from trialfit.tables.rows import rows

ATMOSPHERE_MPA = 0.101325
"""Standard atmosphere, ISO 2533. [MPa]"""

LEAST_MPA, MOST_MPA = 0.000611213, 22.064
LEAST_C, MOST_C = 0.0, 373.946

_KELVIN = 273.15
_GAS_CONSTANT_KJ_KG_K = 0.461526
_REGION_2_MOST_C = 350.0
# Table 34 of the release, n1 to n10.
_N1, _N2, _N3, _N4, _N5 = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
)  # fmt: skip
_N6, _N7, _N8, _N9, _N10 = (
    0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip


def saturation_mpa(temperature_c: float) -> float:
    """Pressure at which water boils at a temperature.

    Parameters
    ----------
    temperature_c
        Temperature. [°C]

    Returns
    -------
    float
        Absolute pressure. [MPa]

    Raises
    ------
    Refusal
        The temperature is under 0 °C or over the critical one.

    Source
    ------
    IAPWS R7-97(2012), equation 30.
    """
    if not LEAST_C <= temperature_c <= MOST_C:
        raise Refusal(
            "steam temperature", f"{temperature_c:g} C", f"{LEAST_C:g} to {MOST_C:g} C",
            "Water and steam stand together only in this range; check the figure and its unit.",
        )  # fmt: skip
    kelvin = temperature_c + _KELVIN
    theta = kelvin + _N9 / (kelvin - _N10)
    a = theta**2 + _N1 * theta + _N2
    b = _N3 * theta**2 + _N4 * theta + _N5
    c = _N6 * theta**2 + _N7 * theta + _N8
    root = 2 * c / (-b + sqrt(b * b - 4 * a * c))
    return root * root * root * root


def saturation_c(absolute_mpa: float) -> float:
    """Temperature at which water boils under a pressure.

    Parameters
    ----------
    absolute_mpa
        Absolute pressure. [MPa]

    Returns
    -------
    float
        Temperature. [°C]

    Raises
    ------
    Refusal
        The pressure is under that of freezing water or over the critical one.

    Source
    ------
    IAPWS R7-97(2012), equation 31.
    """
    if not LEAST_MPA <= absolute_mpa <= MOST_MPA:
        raise Refusal(
            "steam pressure", f"{absolute_mpa:g} MPa absolute", f"{LEAST_MPA:g} to {MOST_MPA:g} MPa absolute",
            "Water and steam stand together only in this range; check the figure and its unit.",
        )  # fmt: skip
    beta = sqrt(sqrt(absolute_mpa))
    e = beta**2 + _N3 * beta + _N6
    f = _N1 * beta**2 + _N4 * beta + _N7
    g = _N2 * beta**2 + _N5 * beta + _N8
    d = 2 * g / (-f - sqrt(f * f - 4 * e * g))
    kelvin = (_N10 + d - sqrt((_N10 + d) ** 2 - 4 * (_N9 + _N10 * d))) / 2
    return kelvin - _KELVIN


NOT_SUPERHEATED = "Past a superheater steam is hotter than that, and this does not hold for it."


def boiler_c(gauge_mpa: float) -> float:
    """Temperature in a boiler whose gauge shows a pressure.

    Parameters
    ----------
    gauge_mpa
        Pressure above the standard atmosphere. [MPa]

    Returns
    -------
    float
        Temperature of water and steam. [°C]
    """
    return saturation_c(gauge_mpa + ATMOSPHERE_MPA)


def gauge_mpa(temperature_c: float) -> float:
    """Pressure a gauge shows over saturated steam.

    Parameters
    ----------
    temperature_c
        Temperature of the steam. [°C]

    Returns
    -------
    float
        Pressure above the standard atmosphere; negative under 100 °C. [MPa]
    """
    return saturation_mpa(temperature_c) - ATMOSPHERE_MPA


def dry_steam_m3_kg(absolute_mpa: float) -> float:
    """Room a kilogram of dry saturated steam takes.

    Parameters
    ----------
    absolute_mpa
        Absolute pressure. [MPa]

    Returns
    -------
    float
        Specific volume. [m³/kg]

    Raises
    ------
    Refusal
        The steam would be over 350 °C, where region 2 of the release ends.

    Source
    ------
    IAPWS R7-97(2012), equation 15 and table 11.
    """
    temperature_c = saturation_c(absolute_mpa)
    if temperature_c > _REGION_2_MOST_C:
        raise Refusal(
            "steam pressure", f"{absolute_mpa:g} MPa absolute", f"at most {saturation_mpa(_REGION_2_MOST_C):.2f} MPa",
            "No model boiler works there; check the figure and its unit.",
        )  # fmt: skip
    return region_2_m3_kg(temperature_c + _KELVIN, absolute_mpa)


def region_2_m3_kg(temperature_k: float, absolute_mpa: float) -> float:
    """Specific volume of steam in region 2.

    Parameters
    ----------
    temperature_k
        Temperature. [K]
    absolute_mpa
        Absolute pressure. [MPa]

    Returns
    -------
    float
        Specific volume. [m³/kg]

    Valid
    -----
    273.15 to 623.15 K up to saturation; it does not check.

    Source
    ------
    IAPWS R7-97(2012), equation 15 and table 11.
    """
    tau = 540 / temperature_k - 0.5
    residual = sum(n * i * absolute_mpa ** (i - 1) * tau**j for i, j, n in _region_2())
    return _GAS_CONSTANT_KJ_KG_K * temperature_k / absolute_mpa * (1 + absolute_mpa * residual) / 1000


@cache
def _region_2() -> tuple[tuple[int, int, float], ...]:
    return tuple(
        (int(row["pressure_power"]), int(row["temperature_power"]), row.number("n")) for row in rows("if97_region2.csv")
    )
