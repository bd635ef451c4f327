"""The gap a joint has when it is hot, and the solder that fills it.

Source: each diameter grows by its metal's linear expansion; the gap wanted by the rules of ``brazing.csv``.
"""

from __future__ import annotations

from math import pi

from trialfit.finding import Band
from trialfit.tables.metals import Metal

COLD_C = 20.0
FILLET_MM = 0.5
"""Leg of the fillet allowed at each mouth; common practice, no source. [mm]"""


def hot_gap_mm(hole_mm: float, shank_mm: float, outer: Metal, inner: Metal, temperature_c: float) -> Band:
    """Gap on each side at a temperature, both parts equally hot.

    Parameters
    ----------
    hole_mm, shank_mm
        Cold diameters of hole and shank. [mm]
    outer, inner
        Their metals.
    temperature_c
        Temperature of both. [°C]

    Returns
    -------
    Band
        Gap per side; negative where it has shut. [mm]

    Valid
    -----
    With the tables' expansion, which is that of the first hundred degrees or so; by 650 °C most metals grow a tenth
    to a fifth more, and the difference of two of them with it.
    """
    rise_k = temperature_c - COLD_C

    def gap(outer_um: float, inner_um: float) -> float:
        return (hole_mm * (1.0 + outer_um * 1e-6 * rise_k) - shank_mm * (1.0 + inner_um * 1e-6 * rise_k)) / 2.0

    ends = [gap(o, i) for o in (outer.expansion.low, outer.expansion.high)
            for i in (inner.expansion.low, inner.expansion.high)]  # fmt: skip
    return Band(min(ends), gap(outer.expansion.likely, inner.expansion.likely), max(ends), "mm", 3)


def solder_mm3(shank_mm: float, gap_mm: float, overlap_mm: float, fillet_mm: float = FILLET_MM) -> float:
    """Solder that fills a gap, with a fillet at each mouth.

    Parameters
    ----------
    shank_mm
        Diameter of the inner part. [mm]
    gap_mm
        Gap on each side. [mm]
    overlap_mm
        How far one is within the other. [mm]
    fillet_mm
        Leg of the straight-sided fillet. [mm]

    Returns
    -------
    float
        Volume. [mm³]
    """
    ring_mm2 = pi * (shank_mm + gap_mm) * gap_mm
    fillets_mm3 = 2.0 * (fillet_mm**2 / 2.0) * pi * shank_mm
    return ring_mm2 * overlap_mm + fillets_mm3


def wire_mm(volume_mm3: float, wire_diameter_mm: float) -> float:
    """Length of wire that holds a volume.

    Parameters
    ----------
    volume_mm3
        The volume. [mm³]
    wire_diameter_mm
        Diameter of the wire. [mm]

    Returns
    -------
    float
        Length. [mm]
    """
    return volume_mm3 / (pi / 4.0 * wire_diameter_mm**2)
