"""Recover: parts measured with simulated errors come back within the plus-or-minus the sums claim."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, radians, sin, sqrt, tan
from random import Random

import pytest

from trialfit.finding import Figure
from trialfit.parts.measuring import Taken, cone_by_balls, cone_by_mouth, middle_shift_mm, tube_by_weight

_TRIES = 1000


def _cone_by_mouth(read: Callable[[float, float], Taken]) -> tuple[Figure, float]:
    deep = 3.0
    return cone_by_mouth(read(8.0, 0.1), read(8.0 - 2 * deep * tan(radians(30)), 0.1), read(deep, 0.1)), 60.0


def _cone_by_balls(read: Callable[[float, float], Taken]) -> tuple[Figure, float]:
    tops = [12.0 - radius * (1 + 1 / sin(radians(45))) for radius in (3.0, 1.5)]
    return cone_by_balls(read(6.0, 0.01), read(3.0, 0.01), read(tops[0], 0.05), read(tops[1], 0.05)), 90.0


def _bore(read: Callable[[float, float], Taken]) -> tuple[Figure, float]:
    od, bore, long = 4.7625, 3.34, 80.0
    mass = 8940e-6 * pi / 4 * (od**2 - bore**2) * long
    return tube_by_weight(read(mass, 0.02), read(long, 0.2), read(od, 0.02), read(8940.0, 30.0)).bore, bore


@pytest.mark.parametrize("case", [_cone_by_mouth, _cone_by_balls, _bore])
def test_the_truth_lies_within_twice_sigma_as_often_as_it_should(
    case: Callable[[Callable[[float, float], Taken]], tuple[Figure, float]],
) -> None:
    """Normal errors: 95.45 % lie within k = 2; four standard errors of the count either way."""
    random = Random(3)
    within = 0
    for _ in range(_TRIES):
        found, true = case(lambda value, k2: Taken(random.gauss(value, k2 / 2), k2))
        assert found.k2 is not None
        within += abs(found.value - true) <= found.k2
    assert abs(within - 0.9545 * _TRIES) < 4 * sqrt(_TRIES * 0.9545 * 0.0455)


def test_the_middle_of_an_ellipse_by_projecting_a_whole_circle() -> None:
    """A circle of many points, tilted and seen through a pinhole: the middle of its picture."""
    radius, distance, tilt = 8.0, 200.0, radians(50)
    seen = []
    for k in range(3600):
        x, y = radius * cos(2 * pi * k / 3600), radius * sin(2 * pi * k / 3600)
        near = distance - x * sin(tilt)
        seen.append((distance * x * cos(tilt) / near, distance * y / near))
    middle = (max(x for x, _ in seen) + min(x for x, _ in seen)) / 2
    assert middle == pytest.approx(middle_shift_mm(8.0, 200.0, 50.0), abs=1e-4)
