"""Outside: the rounding of each form against its standard, and the profile's own diameters."""

from __future__ import annotations

from itertools import pairwise
from math import atan, degrees

import pytest

from trialfit.parts.thread_profile import thread_profile
from trialfit.tables.designations import find_thread
from trialfit.tables.threads import Thread, threads


@pytest.mark.parametrize(
    ("name", "per_pitch", "digits"),
    [
        ("1/4x40", 0.137329, 1e-6),  # BS 84, Machinery's Handbook: r = 0.137329 p
        ("G1/8", 0.137329, 1e-6),  # ISO 228-1 is of the same form
        ("0BA", 2 / 11, 1e-3),  # BS 93: r = 2 p / 11, which is 0.1818; the form's geometry gives 0.1808
        ("M8x1", 0.14434, 1e-5),  # ISO 68-1: root of the male rounded with H/6 = 0.14434 p
    ],
)
def test_roots_are_rounded_as_the_standard_says(name: str, per_pitch: float, digits: float) -> None:
    thread = find_thread(name)
    assert thread_profile(thread).root_radius_mm / thread.pitch_mm == pytest.approx(per_pitch, abs=digits)


@pytest.mark.parametrize("thread", threads(), ids=lambda thread: thread.designation)
def test_the_profile_reaches_core_and_major_and_has_its_flank_angle(thread: Thread) -> None:
    profile = thread_profile(thread)
    radii = [r for _, r in profile.points_mm]
    assert max(radii) == pytest.approx(thread.major_mm / 2, abs=1e-9)
    assert min(radii) == pytest.approx(thread.core_mm / 2, abs=1e-9)
    along = [z for z, _ in profile.points_mm]
    assert along == sorted(along)
    assert along[0] == pytest.approx(-thread.pitch_mm / 2)
    assert along[-1] == pytest.approx(thread.pitch_mm / 2)
    # Where the right flank crosses the effective diameter, thread and gap are equally wide.
    crossing, slope = _crossing(profile.points_mm, thread.effective_mm / 2)
    assert crossing == pytest.approx(thread.pitch_mm / 4, abs=1e-9)
    assert 2 * degrees(atan(slope)) == pytest.approx(thread.angle_deg, abs=1e-6)


def _crossing(points: tuple[tuple[float, float], ...], radius: float) -> tuple[float, float]:
    right = [point for point in points if point[0] > 0]
    for (z0, r0), (z1, r1) in pairwise(right):
        if r0 >= radius >= r1:
            return z0 + (r0 - radius) / (r0 - r1) * (z1 - z0), (z1 - z0) / (r0 - r1)
    raise AssertionError("no crossing")
