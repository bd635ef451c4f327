"""The chance that a pipe drops on: the share of all pipes and engines, as uncertain as they are, that go together.

What is left at the far end is drawn from its joint spread; for each draw the pipe is rolled in its first union as a
hand would roll it. Off to the side, along the axis and out of line each leave a stretch of roll that will do, for each
is a quadratic in the roll; the pipe drops on where the stretches have a roll in common. Nothing is searched for.

The draws are a fixed additive sequence, shifted eight times: the scatter of the eight shares is the chance's own error.

Source: the sequence is the d-dimensional golden ratio's (M. Roberts, 2018, from memory); randomly shifted point sets
as Cranley and Patterson (1976) have them, here with fixed shifts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import radians, sin

import numpy as np
from scipy.special import ndtri

from trialfit.finding import Figure
from trialfit.fitup.offer import Offer
from trialfit.fitup.records import Array

_ALIKE = 1e-12
# A pipe is rolled no further than this: beyond it a swing is not straight, and a nearly straight pipe swings nowhere.
_ROLLED_MOST = radians(20.0)
# And its far part turned no further than this at a joint in the run.
_TURNED_MOST_DEG = 10.0
_ROOTS = np.sqrt(np.array([2.0, 3.0, 5.0, 7.0, 11.0, 13.0]))


@dataclass(frozen=True)
class Play:
    """What the far union draws in by itself.

    Parameters
    ----------
    aside_mm
        Off its axis to the side. [mm]
    along_mm
        Short of its seat or past it. [mm]
    out_of_line_deg
        Angle between the pipe's end and its axis. [deg]
    """

    aside_mm: float
    along_mm: float
    out_of_line_deg: float

    @property
    def chord(self) -> float:
        """Distance between two unit vectors at that angle. [-]"""
        return 2 * sin(radians(self.out_of_line_deg) / 2)


@dataclass(frozen=True)
class Springs:
    """What a pipe gives when its far end is drawn onto its face and turns as it likes.

    Parameters
    ----------
    stiffness
        (3, 3) force by shift. [N/mm]
    turns
        (3, 3) change of the end's direction by shift. [1/mm]
    most_n
        Greatest force a hand holds it over with. [N]
    """

    stiffness: Array
    turns: Array
    most_n: float


@cache
def fixed_draws(count: int = 1024, shifts: int = 8) -> Array:
    """Standard normal draws, always the same.

    Parameters
    ----------
    count
        Draws in each shifted set. [-]
    shifts
        How many sets. [-]

    Returns
    -------
    Array
        (shifts, count, 6) draws. [-]
    """
    golden = 1.0
    for _ in range(60):
        golden = (1 + golden) ** (1 / 7)
    steps = golden ** -np.arange(1.0, 7.0)
    begin = np.arange(1, shifts + 1)[:, None, None] * _ROOTS
    draws = np.asarray(ndtri((begin + np.arange(1, count + 1)[:, None] * steps) % 1.0))
    draws.flags.writeable = False
    return draws


def strays_drawn(offer: Offer, spread: Array, draws: Array) -> Array:
    """Draw what is left at the far end.

    Parameters
    ----------
    offer
        The pipe offered up.
    spread
        (6, 6) covariance it is drawn from. [mm2, mm, 1]
    draws
        (s, n, 6) standard normal draws. [-]

    Returns
    -------
    Array
        (s, n, 6) off the face [mm], out of line [-].
    """
    # Shifts are made comparable with turns, so that the widest directions come first and meet the best draws.
    scale = np.array([1.0, 1.0, 1.0, 50.0, 50.0, 50.0])
    values, ways = np.linalg.eigh(spread * np.outer(scale, scale))
    root = ways[:, ::-1] * np.sqrt(np.maximum(values[::-1], 0.0)) / scale[:, None]
    return np.asarray(offer.off + draws @ root.T)


def drops_on(offer: Offer, strays: Array, play: Play) -> Array:
    """Whether each goes on, rolled to suit.

    Parameters
    ----------
    offer
        The pipe offered up: its roll and its far axis.
    strays
        (..., 6) off the face, out of line, before rolling. [mm, -]
    play
        What the union draws in.

    Returns
    -------
    Array
        (...,) true where there is a roll that will do. [-]
    """
    off, line = strays[..., :3], strays[..., 3:]
    swing, turning, axis = offer.swing[:3], offer.swing[3:], offer.axis
    along, sweeps = off @ axis, float(swing @ axis)
    ranges = [
        _within(off - along[..., None] * axis, swing - sweeps * axis, play.aside_mm),
        _within(along[..., None], np.array([sweeps]), play.along_mm),
        _within(line, turning, play.chord),
    ]
    return _in_common(ranges)


def springs_on(offer: Offer, strays: Array, play: Play, springs: Springs) -> Array:
    """Whether each can be drawn onto its face by hand, the nut finger tight, and then is in line enough to seat.

    Parameters
    ----------
    offer
        The pipe offered up: its roll and its far axis.
    strays
        (..., 6) off the face, out of line, before rolling. [mm, -]
    play
        What the union draws in: only the angle is used.
    springs
        What the pipe gives.

    Returns
    -------
    Array
        (...,) true where there is a roll that will do. [-]
    """
    off, line = strays[..., :3], strays[..., 3:]
    swing, turning = offer.swing[:3], offer.swing[3:]
    ranges = [
        _within(off @ springs.stiffness.T, springs.stiffness @ swing, springs.most_n),
        _within(line - off @ springs.turns.T, turning - springs.turns @ swing, play.chord),
    ]
    return _in_common(ranges)


def turned_on(offer: Offer, strays: Array, play: Play, second: Array) -> Array:
    """Whether each goes on where a joint in the run lets the far part turn as well, tried by thirds of a degree.

    Parameters
    ----------
    offer
        The pipe offered up: its roll and its far axis.
    strays
        (..., 6) off the face, out of line, before rolling. [mm, -]
    play
        What the union draws in.
    second
        (6,) what one radian of turn at the joint does. [mm, -]

    Returns
    -------
    Array
        (...,) true where there is a roll and a turn that will do. [-]
    """
    found = np.zeros(strays.shape[:-1], dtype=bool)
    for turn_deg in np.linspace(-_TURNED_MOST_DEG, _TURNED_MOST_DEG, round(6 * _TURNED_MOST_DEG) + 1):
        left = ~found
        found[left] = drops_on(offer, strays[left] + radians(turn_deg) * second, play)
    return found


def share(goes: Array) -> Figure:
    """The chance, from draws in shifted sets.

    Parameters
    ----------
    goes
        (s, n) true where it goes on. [-]

    Returns
    -------
    Figure
        In %, with k = 2 of its own error; 1 % at least, as the spread is itself only estimated.
    """
    shares = 100.0 * np.mean(goes, axis=1)
    error = 2 * float(np.std(shares, ddof=1)) / len(shares) ** 0.5
    return Figure(float(np.mean(shares)), "%", max(error, 1.0), 0)


def _within(at: Array, by: Array, most: float) -> tuple[Array, Array]:
    """Stretch of roll x for which |at + x by| <= most; an empty one begins after it ends."""
    square, half, rest = float(by @ by), at @ by, np.sum(at * at, axis=-1) - most**2
    if square < _ALIKE:
        return np.where(rest <= 0, -np.inf, np.inf), np.where(rest <= 0, np.inf, -np.inf)
    inside = half**2 - square * rest
    reach = np.sqrt(np.maximum(inside, 0.0))
    none = inside < 0
    return np.where(none, np.inf, (-half - reach) / square), np.where(none, -np.inf, (-half + reach) / square)


def _in_common(ranges: list[tuple[Array, Array]]) -> Array:
    begins = np.maximum(np.max([begin for begin, _ in ranges], axis=0), -_ROLLED_MOST)
    ends = np.minimum(np.min([end for _, end in ranges], axis=0), _ROLLED_MOST)
    return np.asarray(begins <= ends)
