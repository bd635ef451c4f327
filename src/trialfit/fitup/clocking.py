"""Where a screwed fitting stops, and what to put under it so that it points where it must.

Angles are clockwise from twelve o'clock as seen looking along the thread from outside, towards the part the fitting
screws into: the way a right-hand thread turns in. That is right-handed about the fitting's own port, as
`docs/frames.md` has it. A washer of thickness t lets it turn in less by 360 t / pitch.

Source: geometry of the helix; a taper of 1 in 16 on the diameter (ISO 7-1).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations_with_replacement
from math import atan, ceil, degrees, floor, radians, sqrt

import numpy as np

from trialfit.fitup.records import Array

# No better is promised: packings crush, seats bed in, and nobody tightens twice alike. Common practice, no source.
PROMISED_DEG = 10.0
WASHERS_MOST = 3
_TAPER = 16.0
_ALIKE = 1e-9


@dataclass(frozen=True)
class Packing:
    """Washers to put under a fitting, or metal to take off its shoulder.

    Parameters
    ----------
    shims_mm
        Thickness of each washer, thin to thick; none for none. [mm]
    face_back_mm
        What to take off the shoulder instead. [mm]
    stops_deg
        Where it then stops, 0 to 360. [deg]
    off_deg
        How far past where it must point, -180 to 180. [deg]
    """

    shims_mm: tuple[float, ...]
    face_back_mm: float
    stops_deg: float
    off_deg: float

    @property
    def total_mm(self) -> float:
        """All washers together: so much less thread goes in. [mm]"""
        return sum(self.shims_mm)


@dataclass(frozen=True)
class Turns:
    """How far to turn a taper thread past hand tight.

    Parameters
    ----------
    turns
        Past hand tight. [-]
    stops_deg
        Where it then points. [deg]
    off_deg
        How far past where it must point. [deg]
    """

    turns: float
    stops_deg: float
    off_deg: float


def stop_deg(rest_deg: float, nip_deg: float, shim_mm: float, pitch_mm: float) -> float:
    """Where a fitting stops.

    Parameters
    ----------
    rest_deg
        Where it comes to rest with no washer, just touching. [deg]
    nip_deg
        How much further it turns as it is tightened. [deg]
    shim_mm
        Washers under it. [mm]
    pitch_mm
        Pitch of its thread. [mm]

    Returns
    -------
    float
        0 to 360. [deg]
    """
    return round_the_clock(rest_deg + nip_deg - 360.0 * shim_mm / pitch_mm)


def round_the_clock(angle_deg: float) -> float:
    """Take whole turns off an angle.

    Parameters
    ----------
    angle_deg
        Any angle. [deg]

    Returns
    -------
    float
        0 up to but not 360. [deg]
    """
    left = angle_deg % 360.0
    return 0.0 if left > 360.0 - _ALIKE else left


def off_by_deg(stops_deg: float, wanted_deg: float) -> float:
    """How far past the wanted direction a fitting stops.

    Parameters
    ----------
    stops_deg, wanted_deg
        The two directions. [deg]

    Returns
    -------
    float
        -180 to 180; negative where it stops short. [deg]
    """
    return (stops_deg - wanted_deg + 180.0) % 360.0 - 180.0


def packings(stop_without_deg: float, wanted_deg: float, pitch_mm: float, stock_mm: tuple[float, ...]) -> list[Packing]:
    """Try every combination of at most three washers from the stock.

    Parameters
    ----------
    stop_without_deg
        Where it stops, tightened, without any of them. [deg]
    wanted_deg
        Where it must point. [deg]
    pitch_mm
        Pitch of its thread. [mm]
    stock_mm
        (n,) thicknesses in stock, several of each. [mm]

    Returns
    -------
    list of Packing
        The best first: within what can be promised the fewest washers and then the nearest, then all others by how
        near they come; where alike, the thinner.
    """
    tried = []
    for count in range(WASHERS_MOST + 1):
        for shims in combinations_with_replacement(sorted(set(stock_mm)), count):
            stops = stop_deg(stop_without_deg, 0.0, sum(shims), pitch_mm)
            tried.append(Packing(shims, 0.0, stops, off_by_deg(stops, wanted_deg)))

    def rank(packing: Packing) -> tuple[bool, int, float, float]:
        off = round(abs(packing.off_deg), 6)
        good = off <= PROMISED_DEG
        return (not good, len(packing.shims_mm) if good else 0, off, packing.total_mm)

    return sorted(tried, key=rank)


def faced_back(stop_without_deg: float, wanted_deg: float, pitch_mm: float) -> Packing:
    """Take metal off the shoulder, so that it turns in further to where it must point.

    Parameters
    ----------
    stop_without_deg
        Where it stops, tightened, as it is. [deg]
    wanted_deg
        Where it must point. [deg]
    pitch_mm
        Pitch of its thread. [mm]

    Returns
    -------
    Packing
        Under one pitch of metal.
    """
    further = round_the_clock(wanted_deg - stop_without_deg)
    return Packing((), further / 360.0 * pitch_mm, round_the_clock(wanted_deg), 0.0)


def worst_off_deg(stock_mm: tuple[float, ...], pitch_mm: float) -> float:
    """How far off a stock of washers may leave a fitting, whatever the direction wanted.

    Parameters
    ----------
    stock_mm
        (n,) thicknesses in stock. [mm]
    pitch_mm
        Pitch of the thread. [mm]

    Returns
    -------
    float
        Half the widest gap between the directions three washers or fewer can give. [deg]
    """
    stops = sorted({round(packing.stops_deg, 6) % 360.0 for packing in packings(0.0, 0.0, pitch_mm, stock_mm)})
    gaps = np.diff([*stops, stops[0] + 360.0])
    return float(gaps.max()) / 2


def taper_turns(hand_tight_deg: float, wanted_deg: float, least: float, most: float) -> tuple[Turns, ...]:
    """How far to turn a taper thread past hand tight so that it points where it must.

    Parameters
    ----------
    hand_tight_deg
        Where it points hand tight. [deg]
    wanted_deg
        Where it must point. [deg]
    least, most
        Turns past hand tight that make it tight without splitting the boss. [-]

    Returns
    -------
    tuple of Turns
        Every choice within the range, fewest turns first; where there is none, the nearer end of the range.
    """
    part = round_the_clock(wanted_deg - hand_tight_deg) / 360.0
    first, last = ceil(least - part - _ALIKE), floor(most - part + _ALIKE)
    if first <= last:
        return tuple(Turns(part + k, round_the_clock(wanted_deg), 0.0) for k in range(first, last + 1))
    ends = []
    for turns in (least, most):
        stops = round_the_clock(hand_tight_deg + 360.0 * turns)
        ends.append(Turns(turns, stops, off_by_deg(stops, wanted_deg)))
    return (min(ends, key=lambda each: abs(each.off_deg)),)


def tap_slip_turns(diameter_mm: float, pitch_mm: float) -> float:
    """How many turns hand tight moves when a taper tap cuts a hole so much larger.

    Parameters
    ----------
    diameter_mm
        On the diameter, at one place along the hole. [mm]
    pitch_mm
        Pitch of the thread. [mm]

    Returns
    -------
    float
        16 times the diameter, in pitches. [-]
    """
    return _TAPER * diameter_mm / pitch_mm


def off_axis_deg(tilt_deg: float) -> float:
    """The most a photograph errs in a fitting's angle when it is taken so far off the thread's axis.

    Parameters
    ----------
    tilt_deg
        Between the line of sight and the thread's axis. [deg]

    Returns
    -------
    float
        Greatest difference between an angle and its foreshortened self. [deg]
    """
    shorter = float(np.cos(radians(tilt_deg)))
    return degrees(atan((1 - shorter) / (2 * sqrt(shorter))))


def seen_deg(axis: Array, arm: Array, twelve: Array) -> float:
    """Where a fitting points, from surveyed directions.

    Parameters
    ----------
    axis
        (3,) along the thread from outside towards the part. [mm]
    arm
        (3,) from the axis to the end that must point somewhere. [mm]
    twelve
        (3,) from the axis to what stands at twelve o'clock. [mm]

    Returns
    -------
    float
        Clockwise from twelve, seen along `axis`. [deg]
    """
    along = axis / float(np.linalg.norm(axis))
    across = np.cross(along, twelve)
    return round_the_clock(degrees(float(np.arctan2(across @ arm, (twelve - along * (twelve @ along)) @ arm))))
