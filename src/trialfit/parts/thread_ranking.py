"""Every thread of the tables ranked by how likely readings make it.

By Bayes' rule, a thread's share goes as how often its series is met among threads of its size (from where the engine
comes) times how likely the readings are if it is the one. A small share is kept for a thread of none of the series.

Source: Bayes' rule; how often each series is met is assumed, by the rows of ``figures/thread_frequency.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from math import hypot, log

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.parts.thread_readings import ThreadReadings, bell, diameters, likelihood
from trialfit.tables.rows import rows
from trialfit.tables.threads import Thread, threads

CREDIBLE = 0.95
_OF_NO_SERIES = 0.02
# A thread of no series may have any of these (assumed): they only have to cover what turns up.
_ANY_DIAMETER_MM = (1.0, 22.0)
_ANY_PITCH_MM = (0.3, 2.5)
_ANY_TAPERS, _ANY_RUNS_ON = 0.1, 0.03
# A size known only from memory is taken as half as often met (assumed).
_REMEMBERED = 0.5
_LEAST_SHARE = 0.001
_SETTLED = 0.97


class Origin(StrEnum):
    """Where the engine, or what the thread screws into, comes from."""

    BRITISH = "british"
    METRIC = "metric"
    AMERICAN = "american"
    UNKNOWN = "unknown"

    @property
    def engine(self) -> str:
        """An engine from there, in words."""
        nation = {"british": "a British", "metric": "a metric", "american": "an American"}.get(self.value)
        return f"{nation} engine" if nation else "an engine of unknown origin"


@dataclass(frozen=True)
class Candidate:
    """A thread it may be.

    Parameters
    ----------
    thread
        The thread.
    also
        Other names of the same thread.
    share
        How likely it is. [-]
    across_off_mm
        The diameter read, less the basic one of this thread. [mm]
    sound_mm
        Between what a sound thread of this kind measures. [mm]
    """

    thread: Thread
    also: tuple[str, ...]
    share: float
    across_off_mm: float
    sound_mm: tuple[float, float]

    @property
    def ten_threads_mm(self) -> float:
        """Length of ten threads. [mm]"""
        return 10 * self.thread.pitch_mm


@dataclass(frozen=True)
class Ranking:
    """The threads readings may belong to.

    Parameters
    ----------
    candidates
        The threads it may be, the likeliest first; those under one in a thousand are left out.
    none_share
        How likely it is that it belongs to none of the series. [-]
    likely
        How many of the first candidates it takes to be 95 % sure; all of them where none of the series is likelier
        than one in twenty. [-]
    """

    candidates: tuple[Candidate, ...]
    none_share: float
    likely: int

    @property
    def credible(self) -> tuple[str, ...]:
        """Designations of the candidates among which it lies with 95 %."""
        return tuple(candidate.thread.designation for candidate in self.candidates[: self.likely])

    @property
    def settled(self) -> bool:
        """Whether one thread is left."""
        return bool(self.candidates) and self.candidates[0].share >= _SETTLED

    @property
    def none_of_them(self) -> bool:
        """Whether a thread of none of the series is likelier than any of the tables."""
        return not self.candidates or self.none_share > self.candidates[0].share


@cache
def thread_frequency(origin: Origin) -> Mapping[str, float]:
    """Say how often the threads of each series are met.

    Parameters
    ----------
    origin
        Where the engine comes from.

    Returns
    -------
    Mapping
        Weight of a thread of each series, against others of its size. [-]
    """
    return {row["series"]: row.number(origin.value) for row in rows("thread_frequency.csv")}


def rank_threads(
    readings: ThreadReadings, origin: Origin = Origin.UNKNOWN, favour: Mapping[str, float] | None = None
) -> Ranking:
    """Rank the threads that readings may belong to.

    Parameters
    ----------
    readings
        What was measured.
    origin
        Where the engine comes from.
    favour
        Series to be taken as more or less often met, by this factor; None for as assumed. [-]

    Returns
    -------
    Ranking
        Every thread at or above one in a thousand.

    Raises
    ------
    Refusal
        A series to be favoured is not in the tables, or its factor is negative.
    """
    weights = _weights(origin, favour or {})
    often = [
        sum(weights[t.series] * (_REMEMBERED if t.basis is Basis.MEMORY else 1.0) for t in names)
        for names in _kinds()
    ]  # fmt: skip
    scores = [weight * likelihood(names[0], readings) for names, weight in zip(_kinds(), often, strict=True)]
    none = _OF_NO_SERIES / (1 - _OF_NO_SERIES) * sum(often) * _of_no_series(readings)
    total = sum(scores) + none
    if not total > 0:
        return Ranking((), 1.0, 0)
    ranked = sorted(zip(_kinds(), scores, strict=True), key=lambda each: -each[1])
    candidates = tuple(
        _candidate(names, score / total, readings) for names, score in ranked if score >= _LEAST_SHARE * total
    )
    return Ranking(candidates, none / total, _enough(candidates))


@cache
def _kinds() -> tuple[tuple[Thread, ...], ...]:
    """The threads, those that are one thread under several names together."""
    found: dict[tuple[str, bool, float, float], list[Thread]] = {}
    for thread in threads():
        key = (thread.form, thread.taper, round(thread.major_mm, 6), round(thread.pitch_mm, 6))
        found.setdefault(key, []).append(thread)
    return tuple(tuple(names) for names in found.values())


def _weights(origin: Origin, favour: Mapping[str, float]) -> dict[str, float]:
    weights = dict(thread_frequency(origin))
    for series, factor in favour.items():
        if series not in weights:
            raise Refusal("series", series, ", ".join(weights), "Write the series as the tables do.")
        if not factor >= 0:
            raise Refusal(f"weight of {series}", f"{factor:g}", "nought or more", "Write 2 for twice as often met.")
        weights[series] *= factor
    if not any(weights.values()):
        raise Refusal("weights", "nought for every series", "at least one above nought", "Leave one series its weight.")
    return weights


def _candidate(names: tuple[Thread, ...], share: float, readings: ThreadReadings) -> Candidate:
    thread = names[0]
    basic_mm = thread.major_mm if readings.gender == "male" else thread.core_internal_mm
    also = tuple(other.designation for other in names[1:])
    sound_mm = diameters(thread, readings.gender).sound
    return Candidate(thread, also, share, readings.across_mm - basic_mm, sound_mm)


def _enough(candidates: tuple[Candidate, ...]) -> int:
    """How many of the first make up the credible share; all where a thread of no series is too likely."""
    reached = 0.0
    for count, candidate in enumerate(candidates, 1):
        reached += candidate.share
        if reached >= CREDIBLE:
            return count
    return len(candidates)


def _of_no_series(readings: ThreadReadings) -> float:
    """Likelihood of the readings for a thread of any diameter and pitch."""
    found = 1 / (_ANY_DIAMETER_MM[1] - _ANY_DIAMETER_MM[0])
    for k, reading in enumerate(readings.pitches):
        if k == 0:
            found /= reading.pitch_mm * log(_ANY_PITCH_MM[1] / _ANY_PITCH_MM[0])
        else:
            first = readings.pitches[0]
            found *= bell(reading.pitch_mm - first.pitch_mm, hypot(reading.k2_mm, first.k2_mm) / 2)
    if readings.angle_deg is not None:
        sigma_deg = readings.angle_k2_deg / 2
        found *= sum(bell(readings.angle_deg - angle, sigma_deg) for angle in (47.5, 55.0, 60.0)) / 3
    if readings.tapers is not None:
        found *= _ANY_TAPERS if readings.tapers else 1 - _ANY_TAPERS
    for trial in readings.trials:
        found *= _ANY_RUNS_ON if trial.runs_on else 1 - _ANY_RUNS_ON
    return found
