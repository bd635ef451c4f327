"""Water as it flows: how heavy and how thick.

Source: density by IAPWS R7-97(2012) region 1; viscosity by IAPWS SR6-08(2011), the release on ordinary water at
0.1 MPa, equation for the viscosity (coefficients from memory, held against a library).
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.tables.steam import ATMOSPHERE_MPA, saturation_mpa
from trialfit.tables.water import liquid_m3_kg

_MOST_C = 200.0
# SR6-08(2011): viscosity in uPa s is the sum of a (T / 300 K) ** b.
_VISCOSITY = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))


@dataclass(frozen=True)
class Water:
    """Water at one temperature.

    Parameters
    ----------
    temperature_c
        Temperature. [°C]
    density_kg_m3
        Density. [kg/m³]
    viscosity_pa_s
        Dynamic viscosity. [Pa·s]
    vapour_mpa
        Absolute pressure at which it boils. [MPa]
    """

    temperature_c: float
    density_kg_m3: float
    viscosity_pa_s: float
    vapour_mpa: float


def water_at(temperature_c: float = 20.0) -> Water:
    """Give water at a temperature, under the atmosphere or, hotter, under what keeps it from boiling.

    Parameters
    ----------
    temperature_c
        Temperature. [°C]

    Returns
    -------
    Water
        Its figures.

    Raises
    ------
    Refusal
        Colder than 0 or hotter than 200 °C.

    Valid
    -----
    The release gives the viscosity to 110 °C; beyond, to 200 °C, it stays within 2 % of the full formulation.
    """
    if not 0.0 <= temperature_c <= _MOST_C:
        raise Refusal(
            "water", f"{temperature_c:g} C", f"0 to {_MOST_C:g} C", "Feed water and boiler water lie in this range."
        )
    ratio = (temperature_c + 273.15) / 300.0
    viscosity_upa_s = sum(a * ratio**b for a, b in _VISCOSITY)
    vapour_mpa = saturation_mpa(temperature_c)
    volume_m3_kg = liquid_m3_kg(temperature_c, max(ATMOSPHERE_MPA, vapour_mpa * 1.0001))
    return Water(temperature_c, 1.0 / volume_m3_kg, viscosity_upa_s * 1e-6, vapour_mpa)
