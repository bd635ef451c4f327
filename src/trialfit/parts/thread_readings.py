"""What was measured on an unknown thread, and how likely it is for each thread of the tables.

Source: geometry of the forms; how real threads stray from basic size is assumed, as `DIAMETERS` says and as
`trialfit.parts.thread_limits` gives it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, exp, pi, sqrt
from typing import Literal

from trialfit.errors import Refusal
from trialfit.parts.look_alikes import Ends, attempt
from trialfit.parts.thread_limits import thread_limits
from trialfit.tables.threads import Thread, gauge_lengths_mm

Gender = Literal["male", "female"]

DIAMETERS = (
    "A male thread measures under its basic size by anything up to the lower limit of ISO 965-1 6g, put on every form; "
    "a tapped hole leaves 60 to 100 % of the form's depth. Nine in ten lie there, one in fourteen is worn further, the "
    "rest are cut over size."
)
# Shares of threads that are sound, worn further, and over (a male cut large, or a hole drilled under its core).
_SHARES = {False: (0.90, 0.07, 0.03), True: (0.45, 0.53, 0.02)}
_LEAST_DEPTH = 0.60
# Of the depth of thread on the diameter: how much further a worn thread goes, and how far one is cut over.
_WORN_DEPTHS, _OVER_DEPTHS = 0.2, 0.06
# Counting one crest too few or too many along ten (assumed).
_MISCOUNTED = 0.02
# How often a trial nut says what it should (assumed).
_TRIAL_RIGHT = 0.97
_BY_EYE_RIGHT = 0.95
# A taper thread reaches this much further past its gauge plane, over the gauge length (assumed).
_PAST_GAUGE = 0.6


@dataclass(frozen=True)
class PitchReading:
    """A reading of the pitch.

    Parameters
    ----------
    pitch_mm
        The pitch read. [mm]
    k2_mm
        Its plus-or-minus, k = 2. [mm]
    counted
        How many pitches were measured and counted off; 0 where a gauge leaf was tried. [-]
    said
        What was done, as a person would say it.
    """

    pitch_mm: float
    k2_mm: float
    counted: int
    said: str


@dataclass(frozen=True)
class Trial:
    """A nut or screw of known thread, tried on the unknown one.

    Parameters
    ----------
    thread
        The known thread.
    runs_on
        Whether it ran on for several turns, without binding and without slop.
    """

    thread: Thread
    runs_on: bool


@dataclass(frozen=True)
class ThreadReadings:
    """Everything measured on one unknown thread.

    Parameters
    ----------
    gender
        Male: measured over the crests. Female: the bore was measured.
    across_mm
        Diameter over the crests, or bore. [mm]
    across_k2_mm
        Its plus-or-minus, k = 2. [mm]
    pitches
        Readings of the pitch, if any.
    angle_deg
        Included angle of the flanks, or None. [deg]
    angle_k2_deg
        Its plus-or-minus, k = 2. [deg]
    tapers
        Whether it was seen to taper; None where nobody looked.
    worn
        Whether its crests are seen to be worn, flattened or corroded.
    trials
        Nuts or screws tried on it.
    """

    gender: Gender
    across_mm: float
    across_k2_mm: float
    pitches: tuple[PitchReading, ...] = ()
    angle_deg: float | None = None
    angle_k2_deg: float = 5.0
    tapers: bool | None = None
    worn: bool = False
    trials: tuple[Trial, ...] = ()

    def __post_init__(self) -> None:
        """Refuse readings without a size or a plus-or-minus.

        Raises
        ------
        Refusal
            A length or its plus-or-minus is not above zero.
        """
        what = "over the crests" if self.gender == "male" else "bore"
        named = [(what, self.across_mm), (f"{what}, plus-or-minus", self.across_k2_mm)]
        for pitch in self.pitches:
            named += [(pitch.said, pitch.pitch_mm), (f"{pitch.said}, plus-or-minus", pitch.k2_mm)]
        for name, length_mm in named:
            if not length_mm > 0:
                raise Refusal(name, f"{length_mm:g} mm", "more than nought", "Check the figure and its sign.")


@dataclass(frozen=True)
class Spread:
    """Where a real diameter may lie: stretches of equal likelihood.

    Parameters
    ----------
    stretches
        Share, low end and high end of each. [-, mm, mm]
    """

    stretches: tuple[tuple[float, float, float], ...]

    @property
    def sound(self) -> tuple[float, float]:
        """Low and high end of the stretch where sound threads lie. [mm]"""
        return self.stretches[0][1], self.stretches[0][2]

    def density(self, reading_mm: float, sigma_mm: float) -> float:
        """Likelihood of a reading.

        Parameters
        ----------
        reading_mm
            What was read. [mm]
        sigma_mm
            Its standard deviation. [mm]

        Returns
        -------
        float
            Probability density: each stretch smeared by the reading's own error. [1/mm]
        """
        return sum(
            share * (_normal((high - reading_mm) / sigma_mm) - _normal((low - reading_mm) / sigma_mm)) / (high - low)
            for share, low, high in self.stretches
        )


def diameters(thread: Thread, gender: Gender, worn: bool = False) -> Spread:
    """Say where the diameter of a real thread may lie.

    Parameters
    ----------
    thread
        The thread.
    gender
        Male: over the crests. Female: the bore.
    worn
        Whether its crests are seen to be worn.

    Returns
    -------
    Spread
        Sound threads first, then worn ones, then those cut over size.
    """
    sound, further, over = _SHARES[worn]
    ends_mm = gauge_lengths_mm()[thread.designation] / 16 if thread.taper else 0.0
    if gender == "male":
        depth_mm = thread.major_mm - thread.core_mm
        limits = thread_limits(thread)
        high_mm = thread.major_mm + _PAST_GAUGE * ends_mm
        low_mm = thread.major_mm - ends_mm - limits.gap_mm - limits.major_mm
        beyond_mm = (low_mm - _WORN_DEPTHS * depth_mm, low_mm, high_mm, high_mm + _OVER_DEPTHS * depth_mm)
    else:
        depth_mm = thread.major_mm - thread.core_internal_mm
        low_mm = thread.core_internal_mm - ends_mm
        high_mm = thread.core_internal_mm + (1 - _LEAST_DEPTH) * depth_mm
        beyond_mm = (high_mm, high_mm + _WORN_DEPTHS * depth_mm, low_mm - _OVER_DEPTHS * depth_mm, low_mm)
    worn_low, worn_high, over_low, over_high = beyond_mm
    return Spread(((sound, low_mm, high_mm), (further, worn_low, worn_high), (over, over_low, over_high)))


def likelihood(thread: Thread, readings: ThreadReadings) -> float:
    """Say how likely the readings are, if the thread is this one.

    Parameters
    ----------
    thread
        A thread of the tables.
    readings
        What was measured.

    Returns
    -------
    float
        Probability density, in the product of the readings' units. [1/mm ...]
    """
    spread = diameters(thread, readings.gender, readings.worn)
    found = spread.density(readings.across_mm, readings.across_k2_mm / 2)
    for reading in readings.pitches:
        found *= pitch_density(reading, thread.pitch_mm)
    if readings.angle_deg is not None:
        found *= bell(readings.angle_deg - thread.angle_deg, readings.angle_k2_deg / 2)
    if readings.tapers is not None:
        found *= _BY_EYE_RIGHT if thread.taper == readings.tapers else 1 - _BY_EYE_RIGHT
    for trial in readings.trials:
        runs = runs_on(thread, trial.thread, readings.gender)
        found *= runs if trial.runs_on else 1 - runs
    return found


def pitch_density(reading: PitchReading, pitch_mm: float) -> float:
    """Say how likely a reading of the pitch is.

    Parameters
    ----------
    reading
        The reading.
    pitch_mm
        The true pitch. [mm]

    Returns
    -------
    float
        Probability density; a miscount by one is allowed for where pitches were counted. [1/mm]
    """
    sigma_mm = reading.k2_mm / 2
    right = bell(reading.pitch_mm - pitch_mm, sigma_mm)
    if reading.counted < 2:
        return right
    sides = (pitch_mm * (reading.counted + step) / reading.counted for step in (-1, 1))
    wrong = sum(bell(reading.pitch_mm - side_mm, sigma_mm) for side_mm in sides)
    return (1 - 2 * _MISCOUNTED) * right + _MISCOUNTED * wrong


def runs_on(thread: Thread, known: Thread, gender: Gender) -> float:
    """Say how likely it is that a nut or screw of known thread runs on.

    Parameters
    ----------
    thread
        The thread supposed.
    known
        The thread of the nut or screw that is tried.
    gender
        Which the thread supposed is.

    Returns
    -------
    float
        Probability that it runs on for several turns. [-]
    """
    if thread.is_same_as(known):
        return _TRIAL_RIGHT
    tried = attempt(thread, known) if gender == "male" else attempt(known, thread)
    if tried.ends is Ends.RUNS_ON and tried.deceives:
        return 0.6
    if tried.ends is Ends.BINDS and tried.deceives and tried.turns is not None and tried.turns.high > 5:
        return 0.25
    return 1 - _TRIAL_RIGHT


def bell(off: float, sigma: float) -> float:
    """Give the normal density.

    Parameters
    ----------
    off
        How far from the middle. [unit]
    sigma
        Standard deviation, in the same unit. [unit]

    Returns
    -------
    float
        Density. [1/unit]
    """
    return exp(-0.5 * (off / sigma) ** 2) / (sigma * sqrt(2 * pi))


def _normal(x: float) -> float:
    return 0.5 * (1 + erf(x / sqrt(2)))
