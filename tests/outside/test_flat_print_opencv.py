"""Outside: the flat print's picture against OpenCV's undistort and warp, its 95 % radius against the integral."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import erf

from flat_prints import board, view
from trialfit.survey.flat_band import radius95_mm
from trialfit.survey.flat_limits import Window, lattice_of
from trialfit.survey.flat_plane import plane_for
from trialfit.survey.flatten import flattened, pixels_of


def _held(radius: float, small: float) -> float:
    """Share of a normal error of standard deviations 1 and `small` within a radius, by the integral itself."""

    def strip(x: float) -> float:
        reach = np.sqrt(radius**2 - x**2)
        return float(np.exp(-x * x / 2.0) / np.sqrt(2.0 * np.pi) * erf(reach / small / np.sqrt(2.0)))

    return float(quad(strip, -radius, radius, limit=200)[0])


@pytest.mark.parametrize("small", [0.01, 0.1, 0.25, 0.5, 0.75, 1.0])
def test_radius_holds_95_percent_by_the_integral(small: float) -> None:
    exact = float(brentq(lambda radius: _held(radius, small) - 0.95, 1.5, 3.0))
    turn = np.array([[0.8, -0.6], [0.6, 0.8]])
    ours = radius95_mm((turn @ np.diag([1.0, small**2]) @ turn.T)[None])[0]
    # The published polynomial is an approximation: found here to keep within 0.2 % (none printed with it that we have).
    assert ours == pytest.approx(exact, rel=2e-3)


def test_radius_of_a_round_error_and_of_a_line() -> None:
    # Rayleigh: sqrt(-2 ln 0.05) = 2.4477; one way only: 1.9600. The approximation is 2.4508 and 1.9608.
    assert radius95_mm(np.eye(2)[None])[0] == pytest.approx(2.4477, abs=0.004)
    assert radius95_mm(np.diag([1.0, 0.0])[None])[0] == pytest.approx(1.9600, abs=0.001)


def test_the_picture_is_the_one_opencv_makes_in_two_steps() -> None:
    # Of the photograph taken lowest, where the map bends most.
    name = "low"
    # A pattern of slow waves, so that sampling twice, as OpenCV does here, costs next to nothing.
    row, column = np.arange(3000)[:, None], np.arange(4000)[None, :]
    across, down, slanting = np.sin(column / 37.0), np.sin(row / 29.0), np.cos(np.arange(7000) / 41.0)
    greys = [np.rint(128.0 + 100.0 * wave).astype(np.uint8) for wave in (across, down, slanting)]
    picture = np.dstack([*np.broadcast_arrays(greys[0], greys[1]), greys[2][row + column]])
    seen, px_per_mm = view(name), 4.0
    plane = plane_for(seen, board().centre_mm)
    window = Window(-10.0, -10.0, 140.0, 110.0)
    lattice = lattice_of(seen, plane, window)
    ours = flattened(picture, seen, plane, lattice, window, px_per_mm)

    station = seen.station
    x, y = station.centre_px
    K = np.array([[station.focal_px, 0.0, x], [0.0, station.focal_px, y], [0.0, 0.0, 1.0]])
    straight = cv2.undistort(picture, K, np.array(station.distortion))
    # From pixels of the print to the plane z = 0, and on to ideal pixels.
    to_plane = np.array(
        [[1.0 / px_per_mm, 0.0, window.left_mm + 0.5 / px_per_mm],
         [0.0, -1.0 / px_per_mm, window.high_mm - 0.5 / px_per_mm], [0.0, 0.0, 1.0]]
    )  # fmt: skip
    through = K @ np.column_stack([station.rotation[:, :2], station.translation_mm]) @ to_plane
    theirs = cv2.warpPerspective(
        straight, through, ours.shape[1::-1], flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderValue=(255,) * 3
    )
    shown = (ours < 250).all(axis=2) & (theirs < 250).all(axis=2)
    assert shown.mean() > 0.7
    off = np.abs(ours.astype(int) - theirs.astype(int))[shown]
    print(f"{name}: grey values apart by {off.mean():.2f} on average, at most {np.quantile(off, 0.999):.0f}")
    # One pixel of the photograph out would be up to 100 / 29 = 3.4 grey values, 2 on average.
    assert off.mean() < 0.5
    assert np.quantile(off, 0.999) <= 2


def test_pixels_are_those_of_the_surveys_own_lens_model() -> None:
    # The survey's projection is its own; the print's is OpenCV's. They must be one.
    from trialfit.survey.project import project

    seen = view("left")
    rng = np.random.default_rng(4)
    points = rng.uniform([-50.0, -20.0, 0.0], [200.0, 150.0, 60.0], (200, 3))
    station, n = seen.station, 200
    own = project(
        points, np.tile(station.rotation, (n, 1, 1)), np.tile(station.translation_mm, (n, 1)),
        np.full(n, station.focal_px), np.tile(station.centre_px, (n, 1)), np.tile(station.distortion, (n, 1)),
    ).px  # fmt: skip
    assert np.abs(own - pixels_of(seen, points)).max() < 1e-6
