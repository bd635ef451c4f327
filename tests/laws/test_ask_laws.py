"""Laws: no further observation makes anything less sure, and what is told does not depend on the order of telling."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from scenes import card_corners, scene
from trialfit.survey.adjust import Adjusted, adjust
from trialfit.survey.gain import Telling, afterwards, padded, taken_off
from trialfit.survey.new_photograph import of_photographs
from trialfit.survey.standing import eyes_mm, ground_of
from trialfit.survey.stands import Stands, grid, stands_at
from trialfit.survey.start import start_of
from trialfit.survey.telling import of_lengths, of_marks

Array = NDArray[np.float64]
POINTS = 8
ROUNDING = 1e-7  # of the variance itself


@cache
def adjusted() -> Adjusted:
    """A small scene, adjusted."""
    problem = scene(np.random.default_rng(11), 4, POINTS, 1).problem
    return adjust(problem, start_of(problem).state)


@cache
def stands() -> Stands:
    """Every place to stand from which there is something to see."""
    here = adjusted()
    ground = ground_of(here.state, ("a", "b", "c", "d"), np.arange(POINTS))
    kept = np.ones(len(here.layout.problem.mark_px), dtype=bool)
    found = stands_at(
        here, kept, ground, grid(ground, eyes_mm(here.state)), card_corners(), np.ones(POINTS, dtype=bool)
    )  # fmt: skip
    return found.some(np.flatnonzero((found.points.sum(axis=1) >= 4) | (found.corners.sum(axis=1) >= 6)))


@cache
def photographs() -> Telling:
    """What they would tell."""
    return of_photographs(adjusted(), stands(), 1.5)


pairs = st.tuples(st.integers(0, POINTS - 1), st.integers(0, POINTS - 1)).filter(lambda pair: pair[0] != pair[1])
sigmas = st.floats(1e-3, 1e4)


def reading(pair: tuple[int, int], sigma_mm: float) -> Telling:
    """One reading."""
    return of_lengths(adjusted(), np.array([pair], dtype=np.intp), np.array([sigma_mm]))


def never_less_sure(before: Array, after: Array) -> None:
    """No direction whatever has more variance afterwards; the unknowns scaled to their own deviations."""
    per = 1.0 / np.sqrt(np.diag(before)[:-1])
    scaled = (before - after)[:-1, :-1] * per[:, None] * per
    assert np.linalg.eigvalsh((scaled + scaled.T) / 2.0)[0] > -ROUNDING


@settings(max_examples=60, deadline=None)
@given(pairs, sigmas)
def test_no_reading_makes_anything_less_sure(pair: tuple[int, int], sigma_mm: float) -> None:
    before = padded(adjusted())
    never_less_sure(before, afterwards(before, reading(pair, sigma_mm), 0))


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_no_photograph_makes_anything_less_sure(any_one: int) -> None:
    before = padded(adjusted())
    never_less_sure(before, afterwards(before, photographs(), any_one % photographs().count))


@settings(max_examples=40, deadline=None)
@given(pairs, pairs, sigmas, sigmas)
def test_the_order_of_telling_is_all_one(
    one: tuple[int, int], other: tuple[int, int], sigma_mm: float, other_mm: float
) -> None:
    first, second, start = reading(one, sigma_mm), reading(other, other_mm), padded(adjusted())
    ways = [afterwards(afterwards(start, a, 0), b, 0) for a, b in ((first, second), (second, first))]
    assert np.allclose(ways[0], ways[1], rtol=1e-6, atol=1e-9)


@settings(max_examples=40, deadline=None)
@given(pairs, st.floats(0.01, 10.0))
def test_two_readings_are_one_of_half_the_variance(pair: tuple[int, int], sigma_mm: float) -> None:
    start = padded(adjusted())
    twice = afterwards(afterwards(start, reading(pair, sigma_mm), 0), reading(pair, sigma_mm), 0)
    assert np.allclose(twice, afterwards(start, reading(pair, sigma_mm / 2**0.5), 0), rtol=1e-6, atol=1e-9)


@settings(max_examples=40, deadline=None)
@given(pairs, st.floats(0.001, 5.0))
def test_a_length_alone_follows_the_rule_of_weights(pair: tuple[int, int], sigma_mm: float) -> None:
    """1/new = 1/old + 1/sigma2 for the measured length itself: two independent measures of one thing."""
    start, told = padded(adjusted()), reading(pair, sigma_mm)
    points, columns = adjusted().state.points_mm, adjusted().layout.point_columns
    along = (points[pair[1]] - points[pair[0]]) / np.linalg.norm(points[pair[1]] - points[pair[0]])
    slopes = np.zeros((1, len(start)))
    slopes[0, columns[pair[1]]], slopes[0, columns[pair[0]]] = along, -along
    before = (slopes @ start @ slopes.T).item()
    after = before - taken_off(start, slopes, told).item()
    assert after == pytest.approx(1.0 / (1.0 / before + 1.0 / sigma_mm**2), rel=1e-6)


def test_a_photograph_from_where_one_stood_tells_no_more_than_its_own_marks() -> None:
    """A photograph that shows two points only cannot be placed and tells nothing to speak of."""
    here, some = adjusted(), stands()
    bare = Stands(
        some.bearings[:1],
        some.with_card[:1],
        some.some(np.array([0])).state,
        some.some(np.array([0])).problem,
        np.arange(POINTS)[None] < 3,
        np.zeros((1, some.corners.shape[1]), dtype=bool),
    )
    # Three marks are six observations for the six of its pose: nothing is left over to say where the points are.
    told = of_photographs(here, bare, 1.5)
    many = of_marks(here, np.zeros(1, dtype=np.intp), np.zeros(1, dtype=np.intp), 1.5)
    before = padded(here)
    off = np.diag(before - afterwards(before, told, 0))[:-1] / np.diag(before)[:-1]
    assert np.abs(off).max() < 1e-6
    assert (np.diag(before - afterwards(before, many, 0))[:-1] / np.diag(before)[:-1]).max() > 1e-3
