"""Outside: the adjustment's optimum against pycolmap's bundle adjuster on the same observations.

pycolmap knows no readings, beliefs or bowed card, so it is given what it can take: one radial lens with free
focal length, centre, k1, k2; the card's corners held; marks and corners of equal weight. The full model, readings and
beliefs included, is held against scipy's general least squares with numeric differences.
"""

from __future__ import annotations

import numpy as np
import pytest

from oracles import Colmap, plain, scipy_adjusted
from scenes import scene
from trialfit.survey.adjust import adjust
from trialfit.survey.start import start_of


@pytest.mark.parametrize(("seed", "photographs", "points"), [(3, 5, 12), (4, 8, 20), (5, 3, 10)])
def test_same_optimum_as_pycolmap(seed: int, photographs: int, points: int) -> None:
    problem = plain(scene(np.random.default_rng(seed), photographs, points).problem)
    start = start_of(problem).state
    ours = adjust(problem, start, tolerance=1e-10).state
    theirs = Colmap(problem, start)
    theirs.adjust()
    lens = ours.lenses[0]
    focal = problem.focal_start_px[0] * np.exp(lens[0])
    apart_mm = np.abs(theirs.points_mm - ours.points_mm).max()
    print(f"pycolmap and we agree to {apart_mm:.1e} mm")
    # Both stop where rounding hides the slope of the normal equations; that leaves six decimals of a millimetre.
    assert apart_mm < 1e-6
    mine = np.array([focal, *(problem.centre_start_px[0] + lens[1:3]), *lens[3:5]])
    assert theirs.lens[:3] == pytest.approx(mine[:3], abs=1e-5)
    assert theirs.lens[3:] == pytest.approx(mine[3:], abs=1e-7)


def test_same_optimum_as_scipy_with_readings_and_beliefs() -> None:
    problem = scene(np.random.default_rng(6), 4, 8, readings=3).problem
    start = start_of(problem).state
    ours = adjust(problem, start, tolerance=1e-10).state
    theirs = scipy_adjusted(problem, start)
    # Numeric differences leave scipy about 1e-4 mm short of its own optimum; a wrong term would show in tenths.
    assert np.abs(theirs.points_mm - ours.points_mm).max() < 1e-3
    assert np.abs(theirs.card - ours.card).max() < 1e-4
    assert theirs.lenses[0, 0] == pytest.approx(ours.lenses[0, 0], abs=1e-5)
    assert theirs.lenses[0, 1:3] == pytest.approx(ours.lenses[0, 1:3], abs=0.02)
    assert theirs.lenses[0, 3:] == pytest.approx(ours.lenses[0, 3:], abs=1e-3)
