"""How far real threads stray from the basic sizes of the tables.

Source: the formulas of ISO 965-1 for tolerance grade 6 and position g, from memory. They are put on every form here,
Whitworth, BA and pipe included: that is assumed. Unified class 2A, whose limits are printed, comes within a few
hundredths of a millimetre of them.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.tables.threads import Thread


@dataclass(frozen=True)
class Limits:
    """How far a thread's diameters may lie from the basic ones.

    Parameters
    ----------
    gap_mm
        Least that a male thread lies below basic size, on all its diameters. [mm]
    major_mm
        Tolerance of the male major diameter, downwards from there. [mm]
    male_effective_mm
        Tolerance of the male effective diameter, downwards from there. [mm]
    female_effective_mm
        Tolerance of the female effective diameter, upwards from basic. [mm]
    female_core_mm
        Tolerance of the female core diameter, upwards from basic. [mm]
    """

    gap_mm: float
    major_mm: float
    male_effective_mm: float
    female_effective_mm: float
    female_core_mm: float


def thread_limits(thread: Thread) -> Limits:
    """Give the usual limits of a thread.

    Parameters
    ----------
    thread
        The thread; of its form only pitch and diameter are used.

    Returns
    -------
    Limits
        Gap and tolerances.
    """
    pitch_mm = thread.pitch_mm
    effective_um = 90 * pitch_mm**0.4 * thread.major_mm**0.1
    core_um = 433 * pitch_mm - 190 * pitch_mm**1.22 if pitch_mm < 0.9 else 230 * pitch_mm**0.7
    return Limits(
        gap_mm=(15 + 11 * pitch_mm) / 1000,
        major_mm=(180 * pitch_mm ** (2 / 3) - 3.15 / pitch_mm**0.5) / 1000,
        male_effective_mm=effective_um / 1000,
        female_effective_mm=1.32 * effective_um / 1000,
        female_core_mm=core_um / 1000,
    )
