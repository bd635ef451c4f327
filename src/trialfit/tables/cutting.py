"""Cutting speeds, and turns a minute.

Source: speed tables for high-speed steel, by the rows of ``figures/cutting_speeds.csv``; feeds, tapping and practice
are rules in ``figures/cutting_and_tapping.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import pi

from trialfit.finding import Basis
from trialfit.tables.rows import rows

_FOOT_M = 0.3048


@dataclass(frozen=True)
class CuttingSpeed:
    """A range of surface speed.

    Parameters
    ----------
    operation
        Turning, drilling or reaming.
    metal
        Metal as the table calls it.
    low_m_min, high_m_min
        Surface speed with high-speed steel. [m/min]
    sources, basis, note
        Where it comes from.
    """

    operation: str
    metal: str
    low_m_min: float
    high_m_min: float
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def cutting_speeds(operation: str = "") -> tuple[CuttingSpeed, ...]:
    """Give the surface speeds.

    Parameters
    ----------
    operation
        Turning, drilling or reaming; empty for all.

    Returns
    -------
    tuple of CuttingSpeed
        In the order of the file.
    """
    return tuple(
        CuttingSpeed(
            row["operation"], row["metal"], row.number("low_ft_min") * _FOOT_M, row.number("high_ft_min") * _FOOT_M,
            row.sources, row.basis, row.note,
        )
        for row in rows("cutting_speeds.csv")
        if operation in ("", row["operation"])
    )  # fmt: skip


def turns_per_min(speed_m_min: float, diameter_mm: float) -> float:
    """Turns a minute for a surface speed.

    Parameters
    ----------
    speed_m_min
        Surface speed. [m/min]
    diameter_mm
        Diameter of work or tool. [mm]

    Returns
    -------
    float
        Turns a minute. [1/min]
    """
    return 1000 * speed_m_min / (pi * diameter_mm)
