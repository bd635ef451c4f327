"""Recover: threads of known kind, made and measured with simulated scatter, come back as surely as the program says.

The simulation does not share the program's arithmetic: it draws a diameter and reads it with an error, where the
program integrates. What real threads are like is assumed by both (the stretches `diameters` states);
`test_it_still_holds_...` makes them otherwise. Rates are held to four standard errors of the count.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import log2, sqrt
from random import Random

import pytest

from trialfit.finding import Basis
from trialfit.parts.thread_ranking import CREDIBLE, Origin, Ranking, rank_threads, thread_frequency
from trialfit.parts.thread_readings import Gender, PitchReading, ThreadReadings, diameters
from trialfit.parts.which_thread import which_thread
from trialfit.tables.threads import Thread, threads

_OF_NO_SERIES = 0.02  # as the program says it keeps
_REMEMBERED = 0.5
_PM_MM = 0.05
_COUNT = 400

Made = Callable[[Random, Thread, Gender], float]


def _drawn(random: Random, thread: Thread, gender: Gender) -> float:
    """A diameter of a real thread, by the stretches the program states."""
    stretches = diameters(thread, gender).stretches
    _, low_mm, high_mm = random.choices(stretches, [share for share, _, _ in stretches])[0]
    return random.uniform(low_mm, high_mm)


def _mid_limits(random: Random, thread: Thread, gender: Gender) -> float:
    """A diameter from a careful factory: about the middle of the limits, a sixth of them one standard deviation."""
    low_mm, high_mm = diameters(thread, gender).sound
    return random.gauss((low_mm + high_mm) / 2, (high_mm - low_mm) / 6)


def _pitch(random: Random, pitch_mm: float, how: str) -> tuple[PitchReading, ...]:
    if how == "leaf":
        k2_mm = 0.012 * pitch_mm
        return (PitchReading(random.gauss(pitch_mm, k2_mm / 2), k2_mm, 0, "leaf"),)
    if how == "ten":
        slip = random.choices((0, -1, 1), (0.96, 0.02, 0.02))[0]
        return (PitchReading(random.gauss(pitch_mm * (10 + slip) / 10, 0.01), 0.02, 10, "ten"),)
    return ()


def _one(random: Random, origin: Origin, gender: Gender, how: str, made: Made) -> tuple[Thread | None, Ranking]:
    """Draw a thread as often as its series is met (now and then one of no series), make it, measure it, ask."""
    thread: Thread | None = None
    if random.random() < _OF_NO_SERIES:
        across_mm, pitch_mm = random.uniform(1.0, 22.0), 0.3 * (2.5 / 0.3) ** random.random()
    else:
        weights = thread_frequency(origin)
        often = [weights[t.series] * (_REMEMBERED if t.basis is Basis.MEMORY else 1.0) for t in threads()]
        thread = random.choices(threads(), often)[0]
        across_mm, pitch_mm = made(random, thread, gender), thread.pitch_mm
    read_mm = random.gauss(across_mm, _PM_MM / 2)
    readings = ThreadReadings(gender, read_mm, _PM_MM, _pitch(random, pitch_mm, how))
    return thread, rank_threads(readings, origin)


@cache
def _asked(origin: Origin, gender: Gender, how: str, seed: int) -> tuple[tuple[Thread | None, Ranking], ...]:
    random = Random(seed)
    return tuple(_one(random, origin, gender, how, _drawn) for _ in range(_COUNT))


_CASES: list[tuple[Origin, Gender, str]] = [
    (Origin.BRITISH, "male", "none"),
    (Origin.UNKNOWN, "male", "leaf"),
    (Origin.METRIC, "male", "ten"),
    (Origin.UNKNOWN, "female", "ten"),
]


def _is(thread: Thread | None, names: tuple[Thread, ...]) -> bool:
    return thread is not None and any(thread.is_same_as(name) for name in names)


@pytest.mark.parametrize(("origin", "gender", "how"), _CASES)
def test_the_thread_is_among_those_named_as_often_as_is_said(origin: Origin, gender: Gender, how: str) -> None:
    within, said = 0, 0.0
    for thread, found in _asked(origin, gender, how, 20260314):
        named = found.candidates[: found.likely]
        within += _is(thread, tuple(candidate.thread for candidate in named))
        said += sum(candidate.share for candidate in named)
    error = sqrt(_COUNT * CREDIBLE * (1 - CREDIBLE))
    assert abs(within - said) < 4 * error, f"{within} of {_COUNT}, where {said:.0f} were promised"
    assert within > CREDIBLE * (1 - _OF_NO_SERIES) * _COUNT - 4 * error


@pytest.mark.parametrize(("origin", "gender", "how"), _CASES)
def test_a_share_of_p_is_right_about_p_of_the_time(origin: Origin, gender: Gender, how: str) -> None:
    bins = [(0.02, 0.1), (0.1, 0.3), (0.3, 0.6), (0.6, 0.9), (0.9, 0.99), (0.99, 1.01)]
    seen = {each: [0, 0.0, 0.0] for each in bins}
    for thread, found in _asked(origin, gender, how, 20260314):
        for candidate in found.candidates:
            share = min(candidate.share, 1.0)
            for low, high in bins:
                if low <= candidate.share < high:
                    cell = seen[low, high]
                    cell[0] += _is(thread, (candidate.thread,))
                    cell[1] += share
                    cell[2] += share * (1 - share)
    filled = {each: cell for each, cell in seen.items() if cell[1] > 20}
    assert len(filled) >= 2
    for each, (right, expected, variance) in filled.items():
        assert abs(right - expected) < 4 * sqrt(variance) + 2, f"{each}: {right} right, {expected:.1f} promised"


@pytest.mark.parametrize("gender", ["male", "female"])
def test_it_still_holds_where_threads_are_made_to_the_middle_of_their_limits(gender: Gender) -> None:
    random = Random(7)
    within = 0
    for _ in range(400):
        thread, found = _one(random, Origin.BRITISH, gender, "leaf", _mid_limits)
        within += thread is None or _is(thread, tuple(each.thread for each in found.candidates[: found.likely]))
    assert within >= 0.95 * 400 - 4 * sqrt(400 * 0.95 * 0.05)


@pytest.mark.parametrize("thread", threads(), ids=lambda thread: thread.designation)
def test_every_thread_is_found_again_by_caliper_and_leaf(thread: Thread) -> None:
    """A sound thread in the middle of its limits, read without error, is never less than third."""
    low_mm, high_mm = diameters(thread, "male").sound
    pitch = PitchReading(thread.pitch_mm, 0.012 * thread.pitch_mm, 0, "leaf")
    found = rank_threads(ThreadReadings("male", (low_mm + high_mm) / 2, _PM_MM, (pitch,)))
    assert _is(thread, tuple(candidate.thread for candidate in found.candidates[:3]))


def test_the_best_test_removes_as_much_doubt_as_it_promises() -> None:
    """An 8 mm male thread: lay the leaf on many threads that may be it, and see how sure the answers are after."""
    random = Random(11)
    readings = ThreadReadings("male", 7.85, _PM_MM)
    first = which_thread(readings)
    best = first.tests[0]
    assert best.name == "pitch gauge"
    shares = [candidate.share for candidate in first.ranking.candidates]
    left = 0.0
    for _ in range(300):
        true = random.choices(first.ranking.candidates, shares)[0].thread
        k2_mm = 0.012 * true.pitch_mm
        leaf = PitchReading(random.gauss(true.pitch_mm, k2_mm / 2), k2_mm, 0, "leaf")
        after = rank_threads(ThreadReadings("male", 7.85, _PM_MM, (leaf,)))
        left += _doubt([candidate.share for candidate in after.candidates]) / 300
    # The program reckons with the candidates above half a per cent; the rest is worth less than a tenth of a bit.
    assert 2**left == pytest.approx(best.left_after, rel=0.1)


def _doubt(shares: list[float]) -> float:
    return -sum(share * log2(share) for share in shares if share > 0)
