"""Energy stored in a test: by air, by water, and by the air that was not bled out of the water.

Source: ideal gas let down without heat, exponent 1.4; compression of water by IAPWS R7-97(2012), region 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

from trialfit.tables.steam import ATMOSPHERE_MPA
from trialfit.tables.water import liquid_m3_kg

_ADIABATIC = 1.4
_ROOM_C = 20.0


@dataclass(frozen=True)
class StoredEnergy:
    """Energy that would be set free if the thing under test burst.

    Parameters
    ----------
    volume_ml
        Room in it. [mL]
    gauge_mpa
        Pressure above the atmosphere. [MPa]
    air_j
        Filled with air. [J]
    water_j
        Filled with water, bled. [J]
    trapped_share
        Share of the room that is air left in the water. [-]
    trapped_j
        Energy of that air. [J]
    """

    volume_ml: float
    gauge_mpa: float
    air_j: float
    water_j: float
    trapped_share: float
    trapped_j: float

    @property
    def trapped_part(self) -> float:
        """Share of a water test's energy that is in the air left in it. [-]"""
        return self.trapped_j / (self.trapped_j + self.water_j)


def air_energy_j(volume_ml: float, gauge_mpa: float) -> float:
    """Energy of compressed air let down to the atmosphere without heat.

    Parameters
    ----------
    volume_ml
        Its room. [mL]
    gauge_mpa
        Pressure above the atmosphere. [MPa]

    Returns
    -------
    float
        Energy. [J]
    """
    absolute = gauge_mpa + ATMOSPHERE_MPA
    share = (_ADIABATIC - 1.0) / _ADIABATIC
    return absolute * volume_ml / (_ADIABATIC - 1.0) * (1.0 - exp(share * log(ATMOSPHERE_MPA / absolute)))


def water_energy_j(volume_ml: float, gauge_mpa: float) -> float:
    """Energy of compressed cold water.

    Parameters
    ----------
    volume_ml
        Its room. [mL]
    gauge_mpa
        Pressure above the atmosphere. [MPa]

    Returns
    -------
    float
        Energy: half the pressure times what the water gives. The walls' own give is left out. [J]
    """
    squeezed = liquid_m3_kg(_ROOM_C, gauge_mpa + ATMOSPHERE_MPA)
    gives = (liquid_m3_kg(_ROOM_C, ATMOSPHERE_MPA) - squeezed) / squeezed
    return 0.5 * gauge_mpa * volume_ml * gives


def stored_energy(volume_ml: float, gauge_mpa: float, trapped_share: float = 0.01) -> StoredEnergy:
    """Set the energy of an air test beside that of a water test.

    Parameters
    ----------
    volume_ml
        Room in what is tested. [mL]
    gauge_mpa
        Pressure above the atmosphere. [MPa]
    trapped_share
        Share of the room that is air left in the water, at pressure. [-]

    Returns
    -------
    StoredEnergy
        All three.
    """
    return StoredEnergy(
        volume_ml, gauge_mpa, air_energy_j(volume_ml, gauge_mpa),
        water_energy_j(volume_ml * (1.0 - trapped_share), gauge_mpa), trapped_share,
        air_energy_j(volume_ml * trapped_share, gauge_mpa),
    )  # fmt: skip
