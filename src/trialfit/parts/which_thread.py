"""Which thread is this: the threads it may be, the test that would settle it, and what it is easily taken for.

Source: the ranking of `trialfit.parts.thread_ranking`, the tests of `thread_tests`, the warnings of `look_alikes`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trialfit.finding import Basis, Reason
from trialfit.parts.look_alikes import Attempt, look_alikes
from trialfit.parts.thread_ranking import Candidate, Origin, Ranking, rank_threads
from trialfit.parts.thread_readings import DIAMETERS, PitchReading, ThreadReadings, bell, pitch_density
from trialfit.parts.thread_tests import Splitter, Supposed, splitters

_WORTH_SPLITTING, _MOST_SPLIT = 0.005, 12
_WARNED, _WARNINGS = 2, 3


@dataclass(frozen=True)
class WhichThread:
    """The answer to "which thread is this?".

    Parameters
    ----------
    readings
        What was measured.
    origin
        Where it comes from.
    ranking
        The threads it may be.
    tests
        Tests that would tell them apart, the best first; none where one is left.
    look_alikes
        Threads that start on the likely ones and are not their mates.
    because
        What the answer rests on.
    """

    readings: ThreadReadings
    origin: Origin
    ranking: Ranking
    tests: tuple[Splitter, ...]
    look_alikes: tuple[Attempt, ...]
    because: tuple[Reason, ...]


def which_thread(
    readings: ThreadReadings, origin: Origin = Origin.UNKNOWN, favour: Mapping[str, float] | None = None
) -> WhichThread:
    """Say which thread readings belong to, and what to do next.

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
    """
    ranking = rank_threads(readings, origin, favour)
    worth = [each for each in ranking.candidates if each.share > _WORTH_SPLITTING][:_MOST_SPLIT]
    tests = () if ranking.settled else splitters([Supposed(each.thread, each.share) for each in worth], readings)
    leaders = ranking.candidates[: min(ranking.likely, _WARNED)]
    alike = dict.fromkeys(found for each in leaders for found in look_alikes(each.thread)[:_WARNINGS])
    because = (*_because(origin, favour or {}), *_miscounts(ranking.candidates, readings))
    return WhichThread(readings, origin, ranking, tests, tuple(alike), because)


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
