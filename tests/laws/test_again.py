"""Laws: adjusting again from the last answer gives what adjusting from the beginning gives."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scenes import scene
from trialfit.survey.adjust import adjust
from trialfit.survey.again import again
from trialfit.survey.start import start_of


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("slip_px", [0.5, 4.0, 25.0])
def test_a_moved_mark_gives_the_same_answer_as_starting_over(seed: int, slip_px: float) -> None:
    rng = np.random.default_rng(seed)
    problem = scene(rng, 5, 14, readings=3).problem
    start = start_of(problem).state
    last = adjust(problem, start)
    px = problem.mark_px.copy()
    for mark in rng.choice(len(px), 2, replace=False):
        way = rng.uniform(0, 2 * np.pi)
        px[mark] += slip_px * np.array([np.cos(way), np.sin(way)])
    shifted = replace(problem, mark_px=px)
    quick, whole = again(last, shifted, tolerance=0.03), adjust(shifted, start)
    sigma = np.sqrt(np.diag(whole.point_covariance_mm2))
    # A step shorter than 0.03 standard deviations of everything together leaves far less than that in any one point.
    assert np.abs((quick.state.points_mm - whole.state.points_mm).ravel() / sigma).max() < 0.01
    assert quick.chi_square == pytest.approx(whole.chi_square, abs=1e-3)
    assert np.sqrt(np.diag(quick.point_covariance_mm2)) == pytest.approx(sigma, rel=0.03)


def test_marks_set_aside_stay_aside() -> None:
    problem = scene(np.random.default_rng(9), 5, 14).problem
    weight = np.ones(len(problem.mark_px))
    weight[4] = 0.0
    start = start_of(problem).state
    last = adjust(problem, start, weight)
    px = problem.mark_px.copy()
    px[4] += 300.0
    quick = again(last, replace(problem, mark_px=px), weight)
    assert quick.state.points_mm == pytest.approx(last.state.points_mm, abs=1e-6)


def test_anything_else_that_changed_is_adjusted_the_long_way() -> None:
    problem = scene(np.random.default_rng(10), 5, 14, readings=2).problem
    start = start_of(problem).state
    last = adjust(problem, start)
    longer = replace(problem, reading_mm=problem.reading_mm + 0.3)
    quick, whole = again(last, longer, tolerance=1e-6), adjust(longer, start)
    assert quick.state.points_mm == pytest.approx(whole.state.points_mm, abs=1e-5)
