"""What a tube and a drilled wall hold at their working temperature, by a yardstick and by a second opinion.

Source: ASME B31 form P = 2 S t / (D - 0.8 t) with the allowed stresses of the Copper Tube Handbook; Lamé's thick
cylinder as second opinion; a drilled block's allowed stress as the lesser of 2/3 of proof and 1/4 of tensile strength
(the usual bases of such codes, from memory), falling with heat as copper's does (assumed).
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.strength.metal_state import metal_state
from trialfit.strength.tube_bends import ASSUMED_OVALITY, BentWall, bent_wall, flattened
from trialfit.tables.copper import allowed_stress
from trialfit.tables.metals import find_metal
from trialfit.tables.rules import rule
from trialfit.tables.steam import boiler_c
from trialfit.tables.tubes import b31_mpa, bore_mm

_INCH_MM = 25.4
_COLD_C = 20.0


@dataclass(frozen=True)
class Stands:
    """Pressure that a wall is good for.

    Parameters
    ----------
    name
        What it is.
    temperature_c
        Its temperature. [°C]
    stress_mpa
        Allowed stress there. [MPa]
    wall_mm
        Wall reckoned with: the least, in a bend what that is worth straight. [mm]
    b31_mpa
        By the yardstick. [MPa]
    lame_mpa
        By Lamé with the same stress at the bore. [MPa]
    bend
        The bend, where there is one.
    oval_mpa
        By the yardstick with the stress of a flattened bend counted in full; None where it is straight. [MPa]
    """

    name: str
    temperature_c: float
    stress_mpa: float
    wall_mm: float
    b31_mpa: float
    lame_mpa: float
    bend: BentWall | None = None
    oval_mpa: float | None = None

    @property
    def least_mpa(self) -> float:
        """The least of what is said of it. [MPa]"""
        return min(self.b31_mpa, self.lame_mpa, *(() if self.oval_mpa is None else (self.oval_mpa,)))


def lame_mpa(stress_mpa: float, wall_mm: float, od_mm: float) -> float:
    """Pressure at which the hoop stress at the bore of a thick cylinder reaches a figure.

    Parameters
    ----------
    stress_mpa
        The stress. [MPa]
    wall_mm, od_mm
        Wall and outside diameter. [mm]

    Returns
    -------
    float
        Pressure. [MPa]

    Source
    ------
    Lamé: P = S (D² - d²) / (D² + d²).
    """
    bore = bore_mm(od_mm, wall_mm)
    return stress_mpa * (od_mm**2 - bore**2) / (od_mm**2 + bore**2)


def tube_stands(
    name: str, od_mm: float, wall_mm: float, working_mpa: float, radius_mm: float | None = None,
    ovality: float = ASSUMED_OVALITY, hot: bool = True,
) -> Stands:  # fmt: skip
    """Find what an annealed copper tube holds, its tightest bend counted.

    Parameters
    ----------
    name
        What it is called.
    od_mm, wall_mm
        Nominal outside diameter and wall. [mm]
    working_mpa
        Working pressure above the atmosphere. [MPa]
    radius_mm
        Centre-line radius of its tightest bend; None where it is straight. [mm]
    ovality
        Greatest less least diameter in the bend over the nominal one. [-]
    hot
        Whether it is as hot as steam of the working pressure; else cold.

    Returns
    -------
    Stands
        Pressure by both, with the least wall and the greatest diameter of the assumed tolerances.

    Raises
    ------
    Refusal
        No bore, no such bend, or steam hotter than the table of stresses.
    """
    thin, over = rule("tube tolerance", "wall under nominal"), rule("tube tolerance", "outside diameter over nominal")
    least_mm, most_mm = wall_mm * (1.0 - (thin.high or 0.0) / 100.0), od_mm + (over.high or 0.0) * _INCH_MM
    temperature_c = boiler_c(working_mpa) if hot else _COLD_C
    stress_mpa = allowed_stress(temperature_c).stress_mpa
    bore_mm(od_mm, wall_mm)
    bend = None if radius_mm is None else bent_wall(most_mm, least_mm, radius_mm)
    wall = least_mm if bend is None else bend.as_straight_mm
    yardstick = b31_mpa(stress_mpa, wall, most_mm)
    oval = None if bend is None else yardstick / flattened(ovality, most_mm, bend.outer_mm)
    return Stands(name, temperature_c, stress_mpa, wall, yardstick, lame_mpa(stress_mpa, wall, most_mm), bend, oval)


def wall_stands(name: str, bore: float, wall_mm: float, metal: str, working_mpa: float, hot: bool = True) -> Stands:
    """Find what the least wall of a drilled block holds.

    Parameters
    ----------
    name
        What it is called.
    bore
        Bore of the hole; a thread's greatest diameter where it is tapped. [mm]
    wall_mm
        Least metal between the hole and the outside, or the next hole. [mm]
    metal
        Its metal, by its name in the tables; taken soft from the torch.
    working_mpa
        Working pressure above the atmosphere. [MPa]
    hot
        Whether it is as hot as steam of the working pressure; else cold.

    Returns
    -------
    Stands
        Pressure by both, as of a pipe whose wall is everywhere the least.

    Raises
    ------
    Refusal
        No wall or no bore, or a metal that the tables do not have.

    Valid
    -----
    Along a drilled hole. Flat ends, plugs and threads are other questions.
    """
    if min(bore, wall_mm) <= 0:
        raise Refusal(f"wall of {name}", f"{wall_mm:g} mm round {bore:g} mm", "both above zero", "Measure them again.")
    temperature_c = boiler_c(working_mpa) if hot else _COLD_C
    stress_mpa = block_stress_mpa(metal, temperature_c)
    od_mm = bore + 2.0 * wall_mm
    return Stands(
        name, temperature_c, stress_mpa, wall_mm, b31_mpa(stress_mpa, wall_mm, od_mm),
        lame_mpa(stress_mpa, wall_mm, od_mm),
    )  # fmt: skip


def block_stress_mpa(metal: str, temperature_c: float) -> float:
    """Stress allowed in a drilled block.

    Parameters
    ----------
    metal
        Its metal, by its name in the tables.
    temperature_c
        Temperature. [°C]

    Returns
    -------
    float
        The lesser of 2/3 of the lowest proof stress and 1/4 of the lowest tensile strength that the tables have for it
        soft from the torch, less what copper loses by the same heat. [MPa]

    Raises
    ------
    Refusal
        The tables do not have the metal, or it is hotter than their stresses go.
    """
    found = metal_state(find_metal(metal), softened=True)
    cold = min(found.proof.low * 2.0 / 3.0, found.uts.low / 4.0)
    return cold * allowed_stress(temperature_c).stress_mpa / allowed_stress(_COLD_C).stress_mpa
