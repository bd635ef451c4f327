"""How much pressure water loses in a pipe, a fitting or a hole, and how fast that loss grows with the flow.

Source: Darcy and Weisbach; friction factor of S. W. Churchill, "Friction-factor equation spans all fluid-flow regimes",
Chemical Engineering 84 (24), 1977, 91-92, which is 64/Re in slow flow; loss of fittings in two terms after
W. B. Hooper, "The two-K method predicts head losses in pipe fittings", Chemical Engineering 88 (17), 1981, 96-100.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from trialfit.feed.flow_water import Water

Array = NDArray[np.float64]

DRAWN_MM = 0.0015
"""Roughness of drawn tube, as handbooks print it. [mm]"""

_SLOW = 1.0
_ML_MIN = 1e-6 / 60.0


def churchill(reynolds: Array, roughness: Array) -> tuple[Array, Array]:
    """Darcy friction factor in every regime, and its slope on the logarithm of Reynolds' number.

    Parameters
    ----------
    reynolds
        Reynolds' numbers above zero, shape (n,). [-]
    roughness
        Height of the roughness over the bore, shape (n,). [-]

    Returns
    -------
    tuple of Array
        Friction factors and their derivatives by ln(Re), each of shape (n,). [-]

    Valid
    -----
    Under Re = 1 it is 64/Re itself, from which the equation does not differ there.
    """
    re = np.maximum(reynolds, _SLOW)
    slow = (8.0 / re) ** 12
    smooth = (7.0 / re) ** 0.9
    inside = smooth + 0.27 * roughness
    log = 2.457 * np.log(1.0 / inside)
    a, b = log**16, (37530.0 / re) ** 16
    both = a + b
    fast = both**-1.5
    total = slow + fast
    factor = 8.0 * total ** (1.0 / 12.0)
    slope_both = 16.0 * log**15 * 2.457 * 0.9 * smooth / inside - 16.0 * b
    slope_total = -12.0 * slow - 1.5 * both**-2.5 * slope_both
    slope = factor / 12.0 * slope_total / total
    creeping = reynolds < _SLOW
    laminar = 64.0 / np.maximum(reynolds, 1e-300)
    return np.where(creeping, laminar, factor), np.where(creeping, -laminar, slope)


def losses_pa(
    flow_m3_s: Array, bore_m: Array, length_m: Array, roughness: Array, k: Array, k_slow: Array, water: Water
) -> tuple[Array, Array]:
    """Pressure lost in each of several ways, and its slope on the flow.

    Parameters
    ----------
    flow_m3_s
        Flow, negative backwards, shape (n,). [m³/s]
    bore_m, length_m
        Bore and length, shape (n,). [m]
    roughness
        Height of the roughness over the bore, shape (n,). [-]
    k
        Loss of its fittings in fast flow, as velocity heads, shape (n,). [-]
    k_slow
        Loss in slow flow: velocity heads times Reynolds' number, shape (n,). [-]
    water
        What flows.

    Returns
    -------
    tuple of Array
        Loss, of the flow's sign [Pa], and its derivative by the flow [Pa·s/m³], each of shape (n,).
    """
    section = pi / 4.0 * bore_m**2
    speed = np.abs(flow_m3_s) / section
    reynolds = water.density_kg_m3 * speed * bore_m / water.viscosity_pa_s
    factor, slope = churchill(reynolds, roughness)
    long = length_m / bore_m
    # Written with viscosity where the flow creeps, so that the slope at rest is right and not nought over nought.
    creeping = reynolds < _SLOW
    head = 0.5 * water.density_kg_m3 * speed
    thick = 0.5 * water.viscosity_pa_s / bore_m
    pipe = np.where(creeping, 64.0 * thick * long, factor * head * long)
    pipe_slope = np.where(creeping, pipe, (2.0 * factor + slope) * head * long)
    per_speed = pipe + k * head + k_slow * thick
    slope_speed = pipe_slope + 2.0 * k * head + k_slow * thick
    return np.sign(flow_m3_s) * per_speed * speed, slope_speed / section


def pressure_lost_mpa(
    flow_ml_min: float, bore_mm: float, length_mm: float, k: float, water: Water, k_slow: float = 0.0,
    roughness_mm: float = DRAWN_MM,
) -> float:  # fmt: skip
    """Pressure lost in one pipe with its fittings.

    Parameters
    ----------
    flow_ml_min
        Flow. [mL/min]
    bore_mm, length_mm
        Bore and length. [mm]
    k
        Loss of its fittings, as velocity heads. [-]
    water
        What flows.
    k_slow
        Their loss in slow flow: velocity heads times Reynolds' number. [-]
    roughness_mm
        Height of the roughness. [mm]

    Returns
    -------
    float
        Pressure lost. [MPa]
    """
    flow, bore, length, rough, fast, slow = (
        np.array([each])
        for each in (flow_ml_min * _ML_MIN, bore_mm / 1e3, length_mm / 1e3, roughness_mm / bore_mm, k, k_slow)
    )
    lost, _ = losses_pa(flow, bore, length, rough, fast, slow, water)
    return float(lost[0]) * 1e-6


def hole_ml_min(hole_mm: float, pressure_mpa: float, water: Water, discharge: float = 0.6) -> float:
    """Flow through a small sharp hole.

    Parameters
    ----------
    hole_mm
        Diameter of the hole. [mm]
    pressure_mpa
        Difference of pressure across it. [MPa]
    water
        What flows.
    discharge
        How much of the hole the jet fills. [-]

    Returns
    -------
    float
        Flow. [mL/min]

    Source
    ------
    Torricelli; 0.6 to 0.62 is the handbooks' figure for a sharp hole (from memory).
    """
    speed_m_s = sqrt(2.0 * pressure_mpa * 1e6 / water.density_kg_m3)
    return discharge * pi / 4.0 * hole_mm**2 * 1e-6 * speed_m_s / _ML_MIN


def hole_mm(flow_ml_min: float, pressure_mpa: float, water: Water, discharge: float = 0.6) -> float:
    """Diameter of the sharp hole that would pass a flow.

    Parameters
    ----------
    flow_ml_min
        Flow. [mL/min]
    pressure_mpa
        Difference of pressure across it. [MPa]
    water
        What flows.
    discharge
        How much of the hole the jet fills. [-]

    Returns
    -------
    float
        Diameter. [mm]
    """
    return sqrt(flow_ml_min / hole_ml_min(1.0, pressure_mpa, water, discharge))
