"""From bubbles to a leak: how much air, how great a hole, and how much water it would weep at working pressure.

Source: volume of a sphere; flow of gas through a nozzle (ideal gas, exponent 1.4, choked or not) and along a capillary
(Poiseuille, slow), which are the two ends of what a real leak may be; the capillary's length is assumed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from trialfit.errors import Refusal
from trialfit.tables.steam import ATMOSPHERE_MPA

CAPILLARY_MM = 3.0
"""Length of a leak along a thread or a joint: assumed. [mm]"""

_GAMMA = 1.4
_GAS_J_KG_K = 287.05
_ROOM_K = 293.15
_AIR_PA_S = 1.82e-5
_WATER_PA_S = 1.002e-3
_WATER_KG_M3 = 998.2
_DISCHARGE = 0.6
_ML_MIN = 1e-6 / 60.0


@dataclass(frozen=True)
class Leak:
    """A leak seen in air, and what it means in water.

    Parameters
    ----------
    air_ml_min
        Air of atmospheric pressure. [mL/min]
    air_mpa
        Pressure above the atmosphere at which it was seen. [MPa]
    hole_um
        Diameter if it is a sharp hole, the least. [µm]
    capillary_um
        Diameter if it is a capillary of the assumed length, the greatest. [µm]
    water_mpa
        Pressure above the atmosphere for which the water is reckoned. [MPa]
    water_low_ml_h, water_high_ml_h
        Cold water it would weep there, as a capillary and as a hole. [mL/h]
    """

    air_ml_min: float
    air_mpa: float
    hole_um: float
    capillary_um: float
    water_mpa: float
    water_low_ml_h: float
    water_high_ml_h: float


def bubble_ml_min(bubble_mm: float, every_s: float) -> float:
    """Air that goes off in bubbles.

    Parameters
    ----------
    bubble_mm
        Diameter of a bubble. [mm]
    every_s
        Time from bubble to bubble. [s]

    Returns
    -------
    float
        Air. [mL/min]

    Raises
    ------
    Refusal
        One of the two is not above zero.

    Source
    ------
    Volume of a sphere.
    """
    if min(bubble_mm, every_s) <= 0:
        raise Refusal("bubbles", f"{bubble_mm:g} mm every {every_s:g} s", "both above zero", "Watch it again.")
    return pi / 6.0 * bubble_mm**3 / 1000.0 * 60.0 / every_s


def leak_of(air_ml_min: float, air_mpa: float, water_mpa: float) -> Leak:
    """Turn a leak of air into a hole, and into water at another pressure.

    Parameters
    ----------
    air_ml_min
        Air of atmospheric pressure. [mL/min]
    air_mpa
        Pressure above the atmosphere behind it. [MPa]
    water_mpa
        Pressure above the atmosphere for which the water is wanted. [MPa]

    Returns
    -------
    Leak
        Hole and capillary; the truth lies between, to a factor of two or three.

    Raises
    ------
    Refusal
        A figure is not above zero.

    Valid
    -----
    Cold. Hot, the water is thinner and the metal moves.
    """
    if min(air_ml_min, air_mpa, water_mpa) <= 0:
        raise Refusal("leak", f"{air_ml_min:g} mL/min at {air_mpa:g} MPa", "figures above zero", "Check them.")
    flow_m3_s = air_ml_min * _ML_MIN
    open_m2 = flow_m3_s / nozzle_m_s(air_mpa)
    behind, before = (air_mpa + ATMOSPHERE_MPA) * 1e6, ATMOSPHERE_MPA * 1e6
    long_m = CAPILLARY_MM / 1000.0
    fourth_m4 = flow_m3_s * 256.0 * _AIR_PA_S * long_m * before / (pi * (behind**2 - before**2))
    weeps = pi * fourth_m4 * water_mpa * 1e6 / (128.0 * _WATER_PA_S * long_m)
    spouts = open_m2 * sqrt(2.0 * water_mpa * 1e6 / _WATER_KG_M3)
    return Leak(
        air_ml_min, air_mpa, sqrt(open_m2 / _DISCHARGE / (pi / 4.0)) * 1e6, fourth_m4**0.25 * 1e6, water_mpa,
        min(weeps, spouts) * 3600e6, max(weeps, spouts) * 3600e6,
    )  # fmt: skip


def nozzle_m_s(air_mpa: float) -> float:
    """Air of atmospheric pressure that a nozzle passes, over its open area.

    Parameters
    ----------
    air_mpa
        Pressure above the atmosphere behind it; the atmosphere before it. [MPa]

    Returns
    -------
    float
        Volume flow over area. [m/s]

    Source
    ------
    Ideal gas without heat: choked where the ratio of pressures is under 0.528.
    """
    behind, ratio = air_mpa + ATMOSPHERE_MPA, ATMOSPHERE_MPA / (air_mpa + ATMOSPHERE_MPA)
    ratio = max(ratio, (2.0 / (_GAMMA + 1.0)) ** (_GAMMA / (_GAMMA - 1.0)))
    inside = 2.0 * _GAMMA / (_GAMMA - 1.0) * (ratio ** (2.0 / _GAMMA) - ratio ** ((_GAMMA + 1.0) / _GAMMA))
    return behind / ATMOSPHERE_MPA * sqrt(_GAS_J_KG_K * _ROOM_K * inside)
