"""Outside: the lens from card corners alone against OpenCV's calibrateCamera on the same corners.

OpenCV's documentation, "Camera Calibration and 3D Reconstruction": five distortion coefficients, one focal length
(fixed aspect ratio), free principal point, points of the target held.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from oracles import plain
from scenes import SIZE_PX, scene
from trialfit.survey.adjust import adjust
from trialfit.survey.problem import FREE
from trialfit.survey.start import start_of


@pytest.mark.parametrize("seed", [1, 2])
def test_lens_equals_calibrate_camera(seed: int) -> None:
    problem = plain(scene(np.random.default_rng(seed), 8, 3).problem)
    problem = replace(
        problem,
        priors=replace(problem.priors, distortion=(FREE,) * 5),
        point_count=0,
        mark_photograph=np.zeros(0, dtype=np.intp),
        mark_point=np.zeros(0, dtype=np.intp),
        mark_px=np.zeros((0, 2)),
        mark_sigma_px=np.zeros(0),
    )
    found = adjust(problem, start_of(problem).state, tolerance=1e-10)
    solid, flat = [], []
    for photograph in range(problem.photograph_count):
        rows = problem.card_photograph == photograph
        xy = problem.card_xy_mm[rows]
        solid.append(np.column_stack([xy, np.zeros(len(xy))]).astype(np.float32))
        flat.append(problem.card_px[rows].astype(np.float32))
    guess = np.array([[2950.0, 0, 1999.5], [0, 2950.0, 1499.5], [0, 0, 1]])
    flags = cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_ASPECT_RATIO
    criteria = (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 500, 1e-15)
    rms, matrix, lens, _, _ = cv2.calibrateCamera(
        solid, flat, SIZE_PX, guess, np.zeros(5), flags=flags, criteria=criteria
    )
    ours = found.state.lenses[0]
    # OpenCV takes its points as 32-bit floats, good to 2e-4 px here; k3, which moves nothing until the picture's
    # edge, feels that in its fourth decimal.
    assert problem.focal_start_px[0] * np.exp(ours[0]) == pytest.approx(matrix[0, 0], abs=0.02)
    assert problem.centre_start_px[0] + ours[1:3] == pytest.approx(matrix[:2, 2], abs=0.02)
    assert ours[3:] == pytest.approx(lens.ravel(), abs=5e-4)
    assert np.sqrt(found.chi_square / len(problem.card_px)) == pytest.approx(rms, rel=1e-4)
