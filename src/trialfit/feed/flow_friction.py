"""How much pressure water loses in a pipe, a fitting or a hole, and how fast that loss grows with the flow.

Source: Darcy and Weisbach; friction factor of S. W. Churchill, "Friction-factor equation spans all fluid-flow regimes",
Chemical Engineering 84 (24), 1977, 91-92, which is 64/Re in slow flow; loss of fittings in two terms after
W. B. Hooper, "The two-K method predicts head losses in pipe fittings", Chemical Engineering 88 (17), 1981, 96-100.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import copysign, log, pi, sqrt

from trialfit.feed.flow_water import Water

DRAWN_MM = 0.0015
"""Roughness of drawn tube, as handbooks print it. [mm]"""

_SLOW = 1.0
_ML_MIN = 1e-6 / 60.0


def churchill(reynolds: float, roughness: float) -> tuple[float, float]:
    """Darcy friction factor in every regime, and its slope on the logarithm of Reynolds' number.

    Parameters
    ----------
    reynolds
        Reynolds' number above zero. [-]
    roughness
        Height of the roughness over the bore. [-]

    Returns
    -------
    tuple of float
        Friction factor and its derivative by ln(Re). [-]

    Valid
    -----
    Under Re = 1 it is 64/Re itself, from which the equation does not differ there.
    """
    if reynolds < _SLOW:
        return 64.0 / reynolds, -64.0 / reynolds
    slow = (8.0 / reynolds) ** 12
    smooth = (7.0 / reynolds) ** 0.9
    inside = smooth + 0.27 * roughness
    turbulent = -2.457 * log(inside)
    a, b = turbulent**16, (37530.0 / reynolds) ** 16
    both = a + b
    fast = both**-1.5
    total = slow + fast
    factor = 8.0 * total ** (1.0 / 12.0)
    slope_both = 16.0 * (turbulent**15 * 2.457 * 0.9 * smooth / inside - b)
    slope_total = -12.0 * slow - 1.5 * fast / both * slope_both
    return factor, factor / 12.0 * slope_total / total


@dataclass(frozen=True, slots=True)
class Losing:
    """One way as its losses are reckoned. One way at a time: for the few of a model that is far quicker than arrays.

    Parameters
    ----------
    bore_m, length_m
        Bore and length. [m]
    roughness
        Height of the roughness over the bore. [-]
    k
        Loss of its fittings in fast flow, as velocity heads. [-]
    k_slow
        Loss in slow flow: velocity heads times Reynolds' number. [-]
    water
        What flows.
    """

    bore_m: float
    length_m: float
    roughness: float
    k: float
    k_slow: float
    water: Water

    def pa(self, flow_m3_s: float) -> tuple[float, float]:
        """Pressure lost, and its slope on the flow.

        Parameters
        ----------
        flow_m3_s
            Flow, negative backwards. [m³/s]

        Returns
        -------
        tuple of float
            Loss, of the flow's sign [Pa], and its derivative by the flow [Pa·s/m³].
        """
        bore_m, water = self.bore_m, self.water
        section = pi / 4.0 * bore_m * bore_m
        speed = abs(flow_m3_s) / section
        # Written with viscosity where the flow creeps, so that the slope at rest is right and not nought over nought.
        head, thick = 0.5 * water.density_kg_m3 * speed, 0.5 * water.viscosity_pa_s / bore_m
        per_speed = self.k * head + self.k_slow * thick
        slope_speed = 2.0 * self.k * head + self.k_slow * thick
        if self.length_m > 0.0:
            long = self.length_m / bore_m
            reynolds = head / thick
            if reynolds < _SLOW:
                pipe = pipe_slope = 64.0 * thick * long
            else:
                factor, slope = churchill(reynolds, self.roughness)
                pipe, pipe_slope = factor * head * long, (2.0 * factor + slope) * head * long
            per_speed += pipe
            slope_speed += pipe_slope
        return copysign(per_speed * speed, flow_m3_s), slope_speed / section


def pressure_lost_mpa(
    flow_ml_min: float, bore_mm: float, length_mm: float, k: float, water: Water, k_slow: float = 0.0
) -> float:
    """Pressure lost in one drawn pipe with its fittings.

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

    Returns
    -------
    float
        Pressure lost. [MPa]
    """
    way = Losing(bore_mm / 1e3, length_mm / 1e3, DRAWN_MM / bore_mm, k, k_slow, water)
    return way.pa(flow_ml_min * _ML_MIN)[0] * 1e-6


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
