"""How hard the owner may tighten: with which spanner, pulled how hard, or with fingers only.

Source: derived from the stress in the thread; hands by `trialfit.strength.assumed`. No torque is published for unions
and tails of this size.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import floor

from trialfit.finding import Answer
from trialfit.strength.assumed import FINGERS_NM, LIGHTEST_PULL_N, MARGIN, hand_on_spanner_n
from trialfit.strength.records import TailStrength
from trialfit.strength.tail import GRAVITY_N_KG


class Way(StrEnum):
    """How a tail may be tightened."""

    SPANNER = "an ordinary pull"
    LIGHT = "a light pull"
    FINGERS = "fingers only"
    NOBODY = "not by the owner"


@dataclass(frozen=True)
class SafePull:
    """What the owner is told.

    Parameters
    ----------
    torque_nm
        Torque that is safe. [N·m]
    way
        How it may be tightened.
    spanner_mm
        Length of the spanner it is reckoned for; None where none is to be used or known. [mm]
    pull_n
        Most it may be pulled at that length; None likewise. [N]
    words
        The sentence for the owner's sheet.
    """

    torque_nm: float
    way: Way
    spanner_mm: float | None
    pull_n: float | None
    words: str

    @property
    def answer(self) -> Answer:
        """Go with an ordinary pull, look where the owner must hold back, stop where he must not."""
        return {Way.SPANNER: Answer.GO, Way.NOBODY: Answer.STOP}.get(self.way, Answer.LOOK)


def safe_pull(strength: TailStrength) -> SafePull:
    """Say how hard the owner may pull on his spanner; where its length is not known, the torque alone.

    Parameters
    ----------
    strength
        What the tail stands.

    Returns
    -------
    SafePull
        For the owner's sheet.
    """
    torque_nm = strength.yield_torque.low / MARGIN
    length_mm = strength.duty.spanner_mm
    ordinary_n, _, _ = hand_on_spanner_n()
    if torque_nm < FINGERS_NM:
        words = "Do not tighten it: even fingers could stretch it. It is fitted by the workshop, or made stronger."
        return SafePull(torque_nm, Way.NOBODY, None, None, words)
    if length_mm is None:
        words = f"Tighten to {rounded_down(torque_nm):.1f} N·m and no more; without a torque driver, fingers only."
        return SafePull(torque_nm, Way.FINGERS, None, None, words)
    pull_n = 1000 * torque_nm / length_mm
    if pull_n < LIGHTEST_PULL_N:
        words = f"Fingers only, no spanner: on one of {_long(length_mm)} a pull of {pull_n:.0f} N would be too much."
        return SafePull(torque_nm, Way.FINGERS, None, None, words)
    most_n = floor(1000 * rounded_down(torque_nm) / length_mm)
    balance = f"{rounded_down(most_n / GRAVITY_N_KG):.1f} kg on a spring balance hooked to the spanner's end"
    if pull_n < ordinary_n:
        words = (
            f"Two fingers on a spanner of {_long(length_mm)}, no more than {most_n} N: {balance}. "
            "A hand round the spanner is too much."
        )
        return SafePull(torque_nm, Way.LIGHT, length_mm, pull_n, words)
    words = f"A spanner of {_long(length_mm)}, pulled with no more than {most_n} N: {balance}."
    return SafePull(torque_nm, Way.SPANNER, length_mm, pull_n, words)


def _long(length_mm: float) -> str:
    return f"{length_mm:.0f} mm"


def rounded_down(worked_out: float) -> float:
    """Round down to a tenth: what is told to the owner is never more than what was worked out.

    Parameters
    ----------
    worked_out
        Torque or mass. [N·m or kg]

    Returns
    -------
    float
        The tenth at or below it. [N·m or kg]
    """
    return floor(10 * worked_out + 1e-9) / 10
