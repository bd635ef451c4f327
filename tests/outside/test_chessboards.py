"""Outside: OpenCV's published chessboard photographs (Debian package opencv-doc, examples/data/left01..14.jpg).

A few corners of the board are given as known points and the others recovered; the lens is held against the
calibration published beside the photographs (left_intrinsics.yml: 13 frames, squares of 25 mm, one focal length).
The pasted board is itself out of true by about 0.1 mm an axis (its photographs disagree with a perfect grid by more
than their corners' own scatter), so its grid is no better a truth than that.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted, adjust
from trialfit.survey.problem import Priors, Problem
from trialfit.survey.start import start_of

PICTURES = Path("/usr/share/doc/opencv-doc/examples/data")
BOARD = (9, 6)
SQUARE_MM = 25.0
CORNER_SIGMA_PX = 0.2  # OpenCV's own published reprojection error is 0.16 to 0.38 px a frame, one frame 1.18
KNOWN = (0, 4, 8, 18, 26, 45, 49, 53)
Array = NDArray[np.float64]


def grid_mm() -> Array:
    """(54, 3) the nominal board."""
    y, x = np.divmod(np.arange(BOARD[0] * BOARD[1]), BOARD[0])
    return np.column_stack([x, y, np.zeros_like(x)]) * SQUARE_MM


@cache
def surveyed() -> Adjusted:
    """Survey the thirteen photographs with eight known corners and nothing else."""
    px = []
    for path in sorted(PICTURES.glob("left[01][0-9].jpg")):
        grey = np.asarray(cv2.imread(str(path), cv2.IMREAD_GRAYSCALE))
        found, corners = cv2.findChessboardCorners(grey, BOARD)
        assert found, path
        criteria = (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 40, 1e-4)
        px.append(cv2.cornerSubPix(grey, corners, (5, 5), (-1, -1), criteria).reshape(-1, 2).astype(float))
    count, corners_each = len(px), BOARD[0] * BOARD[1]
    problem = Problem(
        lens_of_photograph=np.zeros(count, dtype=np.intp),
        focal_start_px=np.array([28.0 / 43.27 * 800.0]),  # a common wide lens: nothing of the published one is told
        centre_start_px=np.array([[319.5, 239.5]]),
        focal_prior=np.array([0.15]),
        point_count=corners_each,
        mark_photograph=np.repeat(np.arange(count, dtype=np.intp), corners_each),
        mark_point=np.tile(np.arange(corners_each, dtype=np.intp), count),
        mark_px=np.vstack(px),
        mark_sigma_px=np.full(count * corners_each, CORNER_SIGMA_PX),
        known_point=np.array(KNOWN, dtype=np.intp),
        known_mm=grid_mm()[list(KNOWN)],
        known_sigma_mm=np.full(len(KNOWN), 0.1),
        priors=Priors(
            centre_px=30.0, distortion=(0.5, 0.5, 0.01, 0.01, 0.5), breathing_focal=0.0, breathing_centre_px=0.0
        ),
    )
    return adjust(problem, start_of(problem).state)


def test_thirteen_photographs_are_there() -> None:
    assert len(sorted(PICTURES.glob("left[01][0-9].jpg"))) == 13, "install the Debian package opencv-doc"


def test_other_corners_come_back_on_the_grid() -> None:
    found = surveyed()
    others = np.setdiff1d(np.arange(BOARD[0] * BOARD[1]), KNOWN)
    off = (found.state.points_mm - grid_mm())[others]
    rms = np.sqrt((off**2).mean(axis=0))
    print(f"chessboard corners against the nominal grid: rms {rms.round(3)} mm in x, y, out of the board")
    # 0.1 mm an axis is the board's own truth in its plane; paper on a panel is no flatter than some tenths.
    assert (rms[:2] < 0.2).all()
    assert rms[2] < 0.5


def test_lens_is_the_published_one() -> None:
    found = surveyed()
    lens = found.state.lenses[0]
    focal = found.layout.problem.focal_start_px[0] * np.exp(lens[0])
    centre = found.layout.problem.centre_start_px[0] + lens[1:3]
    # left_intrinsics.yml: f 535.916, centre 342.283, 235.571, k1 -0.2664, k2 -0.0386, p1 0.00178, p2 -0.00028.
    # The published file comes from another corner finder and a rigid perfect board; half a per cent covers both.
    assert focal == pytest.approx(535.916, rel=0.005)
    assert centre == pytest.approx([342.283, 235.571], abs=3.0)
    at = np.linspace(0.0, 0.6, 7)
    published = at * (1 - 0.26637 * at**2 - 0.03859 * at**4 + 0.23839 * at**6)
    ours = at * (1 + lens[3] * at**2 + lens[4] * at**4 + lens[7] * at**6)
    # The separate coefficients trade against each other; the curve they make is what bends a picture.
    assert np.abs(ours * focal - published * 535.916).max() < 2.0
