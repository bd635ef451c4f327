"""The table sent along with a set of washers: stopped at N o'clock, fit these.

Source: `trialfit.fitup.clocking`.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.fitup.clocking import Packing, faced_back, packings, round_the_clock

HOURS = 12


@dataclass(frozen=True)
class TrialRow:
    """One line of the table.

    Parameters
    ----------
    stopped
        Where it stopped, as ``4 o'clock``.
    fit
        The washers to add.
    or_face_back_mm
        What to take off the shoulder instead. [mm]
    """

    stopped: str
    fit: Packing
    or_face_back_mm: float


def trial_table(wanted_deg: float, pitch_mm: float, stock_mm: tuple[float, ...]) -> tuple[TrialRow, ...]:
    """What to add to what was under a fitting in the owner's trial, by where it stopped.

    Parameters
    ----------
    wanted_deg
        Where it must point, clockwise from twelve. [deg]
    pitch_mm
        Pitch of its thread. [mm]
    stock_mm
        (n,) thicknesses in stock. [mm]

    Returns
    -------
    tuple of TrialRow
        One an hour, from one o'clock to twelve.
    """
    rows = []
    for hour in range(1, HOURS + 1):
        stopped = 30.0 * hour
        back = faced_back(stopped, wanted_deg, pitch_mm).face_back_mm
        rows.append(TrialRow(clock(stopped), packings(stopped, wanted_deg, pitch_mm, stock_mm)[0], back))
    return tuple(rows)


def clock(angle_deg: float) -> str:
    """Write a direction as the hand of a clock.

    Parameters
    ----------
    angle_deg
        Clockwise from twelve. [deg]

    Returns
    -------
    str
        Such as ``4 o'clock`` or ``half past 4``, to the nearest half hour.
    """
    hour, half_past = hour_hand(angle_deg)
    return f"half past {hour}" if half_past else f"{hour} o'clock"


def hour_hand(angle_deg: float) -> tuple[int, bool]:
    """Read a direction as the hand of a clock.

    Parameters
    ----------
    angle_deg
        Clockwise from twelve. [deg]

    Returns
    -------
    tuple of int and bool
        The hour from 1 to 12, and whether it is half past it: to the nearest half hour.
    """
    halves = round(round_the_clock(angle_deg) / 15.0) % 24
    return halves // 2 or 12, halves % 2 == 1


def washers(packing: Packing) -> str:
    """Write washers as a person picks them.

    Parameters
    ----------
    packing
        Which.

    Returns
    -------
    str
        Such as ``0.15 + 0.3 mm`` or ``none``.
    """
    return f"{' + '.join(f'{each:g}' for each in packing.shims_mm)} mm" if packing.shims_mm else "none"
