"""Stripping: the threads shear out before the tail parts.

Source: FED-STD-H28/2 (also ASME B1.1, appendix B): shear areas of male and female thread over a length of engagement,
written for any flank angle.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, radians, sqrt, tan

from trialfit.tables.threads import Thread

# Across the extremes of classes 2A and 2B a thread of 20 tpi keeps about four fifths of its basic shear area.
LEAST_SHARE = 0.78


@dataclass(frozen=True)
class ShearAreas:
    """Areas that shear when a thread strips, over each millimetre of engagement.

    Parameters
    ----------
    male_mm2_per_mm
        Of the male thread, sheared at the female's core. [mm²/mm]
    female_mm2_per_mm
        Of the female thread, sheared at the male's crests. [mm²/mm]
    """

    male_mm2_per_mm: float
    female_mm2_per_mm: float


def shear_areas(
    pitch_mm: float,
    angle_deg: float,
    male_major_mm: float,
    male_effective_mm: float,
    female_core_mm: float,
    female_effective_mm: float,
) -> ShearAreas:
    """Areas that shear when a thread strips.

    Parameters
    ----------
    pitch_mm
        Pitch. [mm]
    angle_deg
        Included angle of the flanks. [deg]
    male_major_mm, male_effective_mm
        Of the male thread; the least of each for the weakest pair. [mm]
    female_core_mm, female_effective_mm
        Of the female thread; the greatest of each for the weakest pair. [mm]

    Returns
    -------
    ShearAreas
        For each millimetre of engagement; nought where the threads do not reach one another.
    """
    slope = tan(radians(angle_deg / 2))

    def area(at_mm: float, tooth_mm: float) -> float:
        return max(0.0, pi * at_mm / pitch_mm * tooth_mm)

    male_tooth_mm = pitch_mm / 2 + slope * (male_effective_mm - female_core_mm)
    female_tooth_mm = pitch_mm / 2 + slope * (male_major_mm - female_effective_mm)
    return ShearAreas(area(female_core_mm, male_tooth_mm), area(male_major_mm, female_tooth_mm))


def basic_shear_areas(thread: Thread) -> ShearAreas:
    """Areas that shear when a thread of basic size strips.

    Parameters
    ----------
    thread
        The thread, male and female at their basic sizes.

    Returns
    -------
    ShearAreas
        For each millimetre of engagement.
    """
    return shear_areas(
        thread.pitch_mm, thread.angle_deg, thread.major_mm, thread.effective_mm,
        thread.core_internal_mm, thread.effective_mm,
    )  # fmt: skip


def strip_force_n(areas: ShearAreas, engaged_mm: float, male_uts_mpa: float, female_uts_mpa: float) -> float:
    """Pull at which the threads shear out.

    Parameters
    ----------
    areas
        Shear areas of the pair.
    engaged_mm
        Length of full thread engaged. [mm]
    male_uts_mpa, female_uts_mpa
        Tensile strengths of the two metals. [MPa]

    Returns
    -------
    float
        Pull. [N]

    Valid
    -----
    The load spread evenly over the engagement, as in metal that yields before it shears.

    Source
    ------
    Shear strength taken as 1/sqrt 3 of the tensile strength (von Mises); some handbooks take one half.
    """
    shear_n = min(areas.male_mm2_per_mm * male_uts_mpa, areas.female_mm2_per_mm * female_uts_mpa) / sqrt(3)
    return shear_n * engaged_mm


def engagement_to_match_mm(areas: ShearAreas, pull_n: float, male_uts_mpa: float, female_uts_mpa: float) -> float:
    """Length of thread that strips at just a given pull.

    Parameters
    ----------
    areas
        Shear areas of the pair.
    pull_n
        Pull to be held, as that which parts the tail. [N]
    male_uts_mpa, female_uts_mpa
        Tensile strengths of the two metals. [MPa]

    Returns
    -------
    float
        Engaged length; infinite where the threads do not reach one another. [mm]
    """
    each_mm_n = strip_force_n(areas, 1.0, male_uts_mpa, female_uts_mpa)
    return pull_n / each_mm_n if each_mm_n > 0 else float("inf")
