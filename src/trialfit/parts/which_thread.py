"""Which thread is this: every thread of the tables ranked by how likely the readings make it.

By Bayes' rule, a thread's share goes as how often its series is met among threads of its size (from where the engine
comes) times how likely the readings are if it is the one. A small share is kept for a thread of none of the series.

Source: Bayes' rule; how often each series is met is assumed, by the rows of ``figures/thread_frequency.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from math import hypot, log

from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.parts.look_alikes import Attempt, look_alikes, warning
from trialfit.parts.thread_readings import (
    DIAMETERS,
    PitchReading,
    ThreadReadings,
    bell,
    diameters,
    likelihood,
    pitch_density,
)
from trialfit.parts.thread_tests import Splitter, Supposed, splitters
from trialfit.tables.rows import rows
from trialfit.tables.threads import Thread, threads

CREDIBLE = 0.95
_OF_NO_SERIES = 0.02
# A thread of no series may have any of these (assumed): they only have to cover what turns up.
_ANY_DIAMETER_MM = (1.0, 22.0)
_ANY_PITCH_MM = (0.3, 2.5)
_ANY_TAPERS, _ANY_RUNS_ON = 0.1, 0.03
_REMEMBERED = 0.5
_LEAST_SHARE = 0.001
_SETTLED = 0.97
_WARNED, _WARNINGS = 2, 3


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
class WhichThread:
    """The answer to "which thread is this?".

    Parameters
    ----------
    readings
        What was measured.
    origin
        Where it comes from.
    candidates
        The threads it may be, the likeliest first; those under one in a thousand are left out.
    none_share
        How likely it is that it belongs to none of the series. [-]
    likely
        How many of the first candidates it takes to be 95 % sure. [-]
    tests
        Tests that would tell them apart, the best first.
    look_alikes
        Threads that start on the likely ones and are not their mates.
    because
        What the answer rests on.
    """

    readings: ThreadReadings
    origin: Origin
    candidates: tuple[Candidate, ...]
    none_share: float
    likely: int
    tests: tuple[Splitter, ...]
    look_alikes: tuple[Attempt, ...]
    because: tuple[Reason, ...] = field(default=())

    @property
    def credible(self) -> tuple[str, ...]:
        """Designations of the candidates among which it lies with 95 %."""
        return tuple(candidate.thread.designation for candidate in self.candidates[: self.likely])

    @property
    def settled(self) -> bool:
        """Whether one thread is left."""
        return bool(self.candidates) and self.candidates[0].share >= _SETTLED


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


def which_thread(
    readings: ThreadReadings, origin: Origin = Origin.UNKNOWN, favour: Mapping[str, float] | None = None
) -> WhichThread:
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
    WhichThread
        Candidates, the best next test, look-alikes.

    Raises
    ------
    Refusal
        A series to be favoured is not in the tables, or its factor is negative.
    """
    weights = _weights(origin, favour or {})
    groups: list[tuple[list[Thread], float]] = []
    for thread in threads():
        weight = weights[thread.series] * (_REMEMBERED if thread.basis is Basis.MEMORY else 1.0)
        same = next((k for k, (names, _) in enumerate(groups) if names[0].is_same_as(thread)), None)
        if same is None:
            groups.append(([thread], weight))
        else:
            groups[same] = ([*groups[same][0], thread], groups[same][1] + weight)
    scores = [weight * likelihood(names[0], readings) for names, weight in groups]
    none = _OF_NO_SERIES / (1 - _OF_NO_SERIES) * sum(weight for _, weight in groups) * _of_no_series(readings)
    total = sum(scores) + none
    if not total > 0:
        return WhichThread(readings, origin, (), 1.0, 0, (), (), _because(origin, favour or {}))
    ranked = sorted(zip(groups, scores, strict=True), key=lambda each: -each[1])
    candidates = tuple(
        _candidate(names, score / total, readings) for (names, _), score in ranked if score >= _LEAST_SHARE * total
    )
    likely = _enough(candidates)
    supposed = [Supposed(each.thread, each.share) for each in candidates if each.share > 0.005][:12]
    tests = () if candidates and candidates[0].share >= _SETTLED else splitters(supposed, readings)
    alike = tuple(dict.fromkeys(
        found for each in candidates[: min(likely, _WARNED)] for found in look_alikes(each.thread)[:_WARNINGS]
    ))  # fmt: skip
    because = (*_because(origin, favour or {}), *_miscounts(candidates, readings))
    return WhichThread(readings, origin, candidates, none / total, likely, tests, alike, because)


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


def _candidate(names: list[Thread], share: float, readings: ThreadReadings) -> Candidate:
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


def _because(origin: Origin, favour: Mapping[str, float]) -> tuple[Reason, ...]:
    said = f"How often each series is met on {origin.engine} is common practice as the program assumes it"
    if favour:
        said += ", with " + ", ".join(f"{series} taken {factor:g} times as often" for series, factor in favour.items())
    return (Reason(f"{said}.", "", Basis.ASSUMED), Reason(DIAMETERS, "", Basis.ASSUMED))


def _miscounts(candidates: tuple[Candidate, ...], readings: ThreadReadings) -> tuple[Reason, ...]:
    """Say so where the leader explains a counted length only by a slip in the counting."""
    if not candidates:
        return ()
    pitch_mm = candidates[0].thread.pitch_mm
    return tuple(
        Reason(_slip(reading, candidates[0]), "", Basis.COMPUTED)
        for reading in readings.pitches
        if reading.counted > 1
        and pitch_density(reading, pitch_mm) > 2 * bell(reading.pitch_mm - pitch_mm, reading.k2_mm / 2)
    )


def _slip(reading: PitchReading, leader: Candidate) -> str:
    length_mm = reading.pitch_mm * reading.counted
    count = round(length_mm / leader.thread.pitch_mm)
    return (
        f"{length_mm:.2f} mm is nearer to {count} pitches of {leader.thread.designation} than to {reading.counted}: "
        f"count again, crest to crest, nought at the first."
    )


def which_thread_finding(found: WhichThread, about: str) -> Finding:
    """Say in one finding whether a thread is known well enough to cut its mate.

    Parameters
    ----------
    found
        The answer.
    about
        The part or port it is about, by its name in the job.

    Returns
    -------
    Finding
        Go where one thread is left, look where there are several, stop where it is likelier none of the tables.
    """
    question = "Which thread is this?"
    limit = Figure(100 * _SETTLED, "%", None, 0)
    if not found.candidates or found.none_share > found.candidates[0].share:
        share = Figure(100 * found.none_share, "%", None, 0)
        none = Reason("It is likelier a thread of none of the series than any of the tables.")
        do = "Measure again over the crests and by ten threads; if it stays so, cut its mate to the piece itself."
        return Finding("parts", about, question, Answer.STOP, share, limit, (none, *found.because), do)
    first = found.candidates[0]
    share = Figure(100 * first.share, "%", None, 0)
    names = ", ".join(found.credible)
    reasons = (Reason(f"With 95 % it is {'one of ' if found.likely > 1 else ''}{names}."), *found.because)
    warned = tuple(Reason(warning(each)) for each in found.look_alikes)
    if found.settled:
        return Finding("parts", about, question, Answer.GO, share, limit, reasons + warned)
    do = found.tests[0].do if found.tests else "Measure again, finer."
    return Finding("parts", about, question, Answer.LOOK, share, limit, reasons + warned, do)
