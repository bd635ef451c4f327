"""A survey with full covariance, against scipy's least_squares with numeric differences and pycolmap."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np

from bench.clock import Row, least_ms
from oracles import Colmap, plain, scipy_adjusted
from scenes import scene
from trialfit.survey.adjust import Adjusted, adjust
from trialfit.survey.again import again
from trialfit.survey.problem import Problem, State
from trialfit.survey.start import start_of

_TOLERANCE = 1e-3
_NUMERIC_TOLERANCE = 1e-8


def rows() -> list[Row]:
    """Time surveys of 5 and 8 photographs, a moved mark, and a cold start.

    Returns
    -------
    list of Row
        Ours and the alternatives on the same observations.
    """
    return [*_against_others(5, 12), *_against_others(8, 20), *_moved_mark(), *_cold()]


def _against_others(photographs: int, points: int) -> list[Row]:
    problem = scene(np.random.default_rng(1), photographs, points).problem
    start = start_of(problem).state
    bare = plain(problem)
    bare_start = start_of(bare).state
    models = iter([Colmap(bare, bare_start) for _ in range(10)])
    numeric = partial(scipy_adjusted, problem, start, _NUMERIC_TOLERANCE)
    name = f"{photographs} photographs, {points} points"
    return [
        Row(f"{name}: trialfit, all observations", least_ms(partial(_whole, problem, start)), "covariance included"),
        Row(f"{name}: scipy least_squares on the same", least_ms(numeric, 1), "no covariance"),
        Row(
            f"{name}: trialfit, what pycolmap takes", least_ms(partial(_whole, bare, bare_start)), "covariance included"
        ),
        Row(f"{name}: pycolmap on the same", least_ms(lambda: next(models).adjust()), "no covariance"),
    ]


def _whole(problem: Problem, start: State) -> object:
    return adjust(problem, start, tolerance=_TOLERANCE).covariance


def _moved_mark() -> list[Row]:
    problem = scene(np.random.default_rng(2), 8, 60).problem
    last = adjust(problem, start_of(problem).state)
    px = problem.mark_px.copy()
    px[7] += [3.0, -2.0]
    moved = replace(problem, mark_px=px)
    name = "8 photographs, 60 points, one mark moved"

    def once_more() -> Adjusted:
        return again(last, moved)

    return [
        Row(f"{name}: new answer", least_ms(once_more, 25), "to stay under 3"),
        Row(f"{name}: new answer and covariance", least_ms(lambda: once_more().point_covariance_mm2, 25)),
        Row(f"{name}: adjusted the long way", least_ms(lambda: adjust(moved, last.state, tolerance=0.03), 25)),
    ]


def _cold() -> list[Row]:
    problem = scene(np.random.default_rng(3), 12, 100).problem
    return [
        Row(
            "12 photographs, 100 points, from nothing to covariance",
            least_ms(lambda: _whole(problem, start_of(problem).state), 3),
        )
    ]
