"""What stress copper tube is allowed, by temperature.

Source: ASME B31 allowable stresses, Copper Tube Handbook table 14.3c; a tube data page for the cold end. Rows of
``figures/copper_stress.csv``.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import cache

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.tables.rows import rows, strongest
from trialfit.units import pressure_mpa


@dataclass(frozen=True)
class AllowedStress:
    """Allowed stress at a temperature.

    Parameters
    ----------
    temper
        Annealed or drawn.
    temperature_c
        Temperature. [°C]
    stress_mpa
        Stress. [MPa]
    sources, basis
        Where the rows on either side come from.
    """

    temper: str
    temperature_c: float
    stress_mpa: float
    sources: tuple[str, ...]
    basis: Basis


@cache
def stress_rows(temper: str = "annealed") -> tuple[AllowedStress, ...]:
    """Give the printed rows.

    Parameters
    ----------
    temper
        Annealed or drawn.

    Returns
    -------
    tuple of AllowedStress
        From cold to hot.

    Raises
    ------
    Refusal
        The table has no such temper.
    """
    found = tuple(
        AllowedStress(
            temper, row.temperature_c("temperature"), pressure_mpa(f"{row['stress_psi']} psi"), row.sources, row.basis
        )
        for row in rows("copper_stress.csv")
        if row["temper"] == temper
    )
    if not found:
        raise Refusal("temper", temper, "annealed or drawn", "Tube that has been silver-soldered is annealed.")
    return found


def allowed_stress(temperature_c: float, temper: str = "annealed") -> AllowedStress:
    """Stress allowed at a temperature, on straight lines between the printed rows.

    Parameters
    ----------
    temperature_c
        Temperature of the tube. [°C]
    temper
        Annealed, as all tube is that has been silver-soldered, or drawn.

    Returns
    -------
    AllowedStress
        The stress with its sources.

    Raises
    ------
    Refusal
        The temperature is colder or hotter than the printed rows.
    """
    printed = stress_rows(temper)
    coldest, hottest = printed[0].temperature_c, printed[-1].temperature_c
    if not coldest <= temperature_c <= hottest:
        raise Refusal(
            f"temperature of {temper} copper", f"{temperature_c:.0f} C", f"{coldest:.0f} to {hottest:.0f} C",
            "The table of allowed stress ends there; copper tube is not used hotter.",
        )  # fmt: skip
    place = max(1, bisect_left([row.temperature_c for row in printed], temperature_c))
    below, above = printed[place - 1], printed[place]
    share = (temperature_c - below.temperature_c) / (above.temperature_c - below.temperature_c)
    stress_mpa = below.stress_mpa + share * (above.stress_mpa - below.stress_mpa)
    sources = tuple(dict.fromkeys(below.sources + above.sources))
    return AllowedStress(temper, temperature_c, stress_mpa, sources, strongest((below.basis, above.basis)))
