"""How unevenly a thin flat part may be heated before it buckles.

Source: Timoshenko and Gere, Theory of Elastic Stability, simply supported square plate pressed alike both ways
(from memory): strain at buckling pi² t² / (6 (1 + v) b²).
"""

from __future__ import annotations

from math import pi

from trialfit.tables.metals import Metal

_POISSON = 0.34
UNEVEN_K = 100.0
"""By how much a hand torch heats a small part unevenly while it comes up; assumed. [K]"""


def buckles_k(thick_mm: float, across_mm: float, metal: Metal) -> float:
    """Difference of temperature, middle over rim, at which a flat part buckles.

    Parameters
    ----------
    thick_mm
        Its thickness. [mm]
    across_mm
        Its width between what holds it flat. [mm]
    metal
        Its metal.

    Returns
    -------
    float
        Difference. [K]
    """
    strain = pi**2 * (thick_mm / across_mm) ** 2 / (6.0 * (1.0 + _POISSON))
    return strain / (metal.expansion.likely * 1e-6)
