"""What a hot surface loses to still air, and by its glow.

Source: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049 (horizontal cylinder) and 1323 (vertical face);
Stefan and Boltzmann's law with CODATA 2018's constant. Air by Sutherland's formula with the constants of White,
Viscous Fluid Flow, table 1-2 and 1-3 (from memory); held against printed air tables in the tests.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

KELVIN = 273.15
STEFAN_W_M2_K4 = 5.670374419e-8
_GRAVITY_M_S2 = 9.80665
_GAS_CONSTANT_J_KG_K = 287.05
_ATMOSPHERE_PA = 101325.0

Array = NDArray[np.float64]


def air(film_k: Array) -> tuple[Array, Array, Array]:
    """Dry air at one atmosphere.

    Parameters
    ----------
    film_k
        Absolute temperature, shape (n,). [K]

    Returns
    -------
    tuple of array
        Kinematic viscosity [m²/s], conductivity [W/(m·K)] and Prandtl number [-], each of shape (n,).

    Valid
    -----
    200 to 1500 K.
    """
    ratio = (film_k / KELVIN) ** 1.5
    viscosity = 1.716e-5 * ratio * (KELVIN + 110.4) / (film_k + 110.4)
    conductivity = 0.0241 * ratio * (KELVIN + 194.0) / (film_k + 194.0)
    heat = 1002.5 + 275e-6 * np.minimum(film_k - 200.0, 700.0) ** 2
    density = _ATMOSPHERE_PA / (_GAS_CONSTANT_J_KG_K * film_k)
    return viscosity / density, conductivity, viscosity * heat / conductivity


def still_air_w_m2_k(surface_c: Array, size_mm: Array, lies: NDArray[np.bool_], air_c: float) -> Array:
    """Free convection's coefficient.

    Parameters
    ----------
    surface_c
        Temperature of the surface, shape (n,). [°C]
    size_mm
        Diameter of a cylinder that lies, or height of a face that stands, shape (n,). [mm]
    lies
        Which are lying cylinders; the others are standing faces. Shape (n,). [-]
    air_c
        Temperature of the air. [°C]

    Returns
    -------
    array
        Coefficient, shape (n,). [W/(m²·K)]

    Valid
    -----
    Rayleigh numbers up to 1e12; a thin wire under Ra = 1e-5 is outside it.
    """
    film_k = 0.5 * (surface_c + air_c) + KELVIN
    viscosity, conductivity, prandtl = air(film_k)
    size_m = size_mm / 1000.0
    lift = np.abs(surface_c - air_c) / film_k
    rayleigh = _GRAVITY_M_S2 * lift * size_m**3 / viscosity**2 * prandtl
    root = rayleigh ** (1.0 / 6.0)
    lying = (0.60 + 0.387 * root / (1.0 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    standing = (0.825 + 0.387 * root / (1.0 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    found: Array = np.where(lies, lying, standing) * conductivity / size_m
    return found


def glow_w_m2(surface_c: Array, emissivity: float, air_c: float) -> Array:
    """What a surface sends out to a room at the air's temperature.

    Parameters
    ----------
    surface_c
        Temperature of the surface, shape (n,). [°C]
    emissivity
        Of the surface, grey. [-]
    air_c
        Temperature of the room. [°C]

    Returns
    -------
    array
        Net loss, shape (n,). [W/m²]
    """
    found: Array = emissivity * STEFAN_W_M2_K4 * ((surface_c + KELVIN) ** 4 - (air_c + KELVIN) ** 4)
    return found
