"""One tube held against the yardstick: bore, mass, and the pressure it is good for, cold and in steam.

Source: ASME B31 form with the allowed stresses of the Copper Tube Handbook; tolerances assumed after ASTM B88.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from trialfit.errors import Refusal
from trialfit.finding import Basis, Reason
from trialfit.tables.copper import AllowedStress, allowed_stress
from trialfit.tables.metals import find_metal
from trialfit.tables.rules import Rule, rule
from trialfit.tables.steam import boiler_c
from trialfit.tables.tubes import TubeRating, b31_mpa, bore_mm, mass_g_m, tube_ratings

_INCH_MM = 25.4
_COLD_C = 20.0
_ALIKE_MM = 0.003
_TOLERANCES = ("wall under nominal", "outside diameter over nominal", "temper")


@dataclass(frozen=True)
class TubePressure:
    """What a tube is good for at one temperature, by the yardstick.

    Parameters
    ----------
    temperature_c
        Temperature of the tube. [°C]
    stress
        Allowed stress there. [MPa]
    least_mpa
        With the least wall and the greatest outside diameter: the one to go by. [MPa]
    nominal_mpa
        With nominal figures, which flatter. [MPa]
    """

    temperature_c: float
    stress: AllowedStress
    least_mpa: float
    nominal_mpa: float


@dataclass(frozen=True)
class TubeFigures:
    """One size of copper tube.

    Parameters
    ----------
    od_mm, wall_mm, bore_mm
        Nominal outside diameter, wall and bore. [mm]
    least_wall_mm, greatest_od_mm
        Wall and outside diameter as bad as the assumed tolerances allow. [mm]
    mass_g_m
        Mass of a metre. [g/m]
    holds_ml_m
        Water in a metre. [mL/m]
    working_mpa
        Working pressure asked about, above atmosphere. [MPa]
    cold
        At 20 °C.
    hot
        At the temperature of saturated steam of the working pressure.
    times_working
        How many times the working pressure the hot tube is good for. [-]
    published
        Published ratings of the same size; usually none or one.
    assumed
        What was assumed, each as a sentence with its source.
    """

    od_mm: float
    wall_mm: float
    bore_mm: float
    least_wall_mm: float
    greatest_od_mm: float
    mass_g_m: float
    holds_ml_m: float
    working_mpa: float
    cold: TubePressure
    hot: TubePressure
    times_working: float
    published: tuple[TubeRating, ...]
    assumed: tuple[Reason, ...]


def tube_figures(od_mm: float, wall_mm: float, working_mpa: float) -> TubeFigures:
    """Hold one size of annealed copper tube against the yardstick.

    Parameters
    ----------
    od_mm, wall_mm
        Nominal outside diameter and wall. [mm]
    working_mpa
        Working pressure of the steam, above atmosphere. [MPa]

    Returns
    -------
    TubeFigures
        Bore, mass, and pressures cold and hot.

    Raises
    ------
    Refusal
        No bore is left, no pressure is given, or steam of that pressure is hotter than the table of stresses.

    Valid
    -----
    Plain straight tube. Joints, threads, bends and dents are weaker.
    """
    if working_mpa <= 0:
        raise Refusal(
            "working pressure", f"{working_mpa:g} MPa", "more than nought", "Give the gauge pressure of the boiler."
        )
    thin, over, temper = (rule("tube tolerance", name) for name in _TOLERANCES)
    bore = bore_mm(od_mm, wall_mm)
    least_wall_mm = wall_mm * (1 - (thin.high or 0.0) / 100)
    greatest_od_mm = od_mm + (over.high or 0.0) * _INCH_MM

    def at(temperature_c: float) -> TubePressure:
        stress = allowed_stress(temperature_c)
        least_mpa = b31_mpa(stress.stress_mpa, least_wall_mm, greatest_od_mm)
        return TubePressure(temperature_c, stress, least_mpa, b31_mpa(stress.stress_mpa, wall_mm, od_mm))

    hot = at(boiler_c(working_mpa))
    return TubeFigures(
        od_mm=od_mm,
        wall_mm=wall_mm,
        bore_mm=bore,
        least_wall_mm=least_wall_mm,
        greatest_od_mm=greatest_od_mm,
        mass_g_m=mass_g_m(od_mm, wall_mm, find_metal("CW024A").density_kg_m3),
        holds_ml_m=pi / 4 * bore**2,
        working_mpa=working_mpa,
        cold=at(_COLD_C),
        hot=hot,
        times_working=hot.least_mpa / working_mpa,
        published=_published(od_mm, wall_mm),
        assumed=(
            Reason(f"Least wall {least_wall_mm:.3f} mm: nominal less {thin.high:g} %.", thin.text, Basis.ASSUMED),
            Reason(
                f"Greatest outside diameter {greatest_od_mm:.3f} mm: nominal and {over.high:g} in more.",
                over.text,
                Basis.ASSUMED,
            ),
            Reason(temper.text, "", Basis.ASSUMED),
        ),
    )


def joint_rules() -> tuple[Rule, Rule]:
    """Give the full-size limits of joints on steam, which come long before the tube's.

    Returns
    -------
    tuple of Rule
        Brazed; soft-soldered.
    """
    return rule("brazed copper joint", "saturated steam"), rule("soft-soldered copper joint", "saturated steam")


def _published(od_mm: float, wall_mm: float) -> tuple[TubeRating, ...]:
    return tuple(
        rating
        for rating in tube_ratings()
        if abs(rating.od_mm - od_mm) < _ALIKE_MM and abs(rating.wall_mm - wall_mm) < _ALIKE_MM
    )
