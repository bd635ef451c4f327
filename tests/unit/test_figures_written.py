"""Small arithmetic: how a number is written with no more figures than it deserves, by hand beside each."""

from __future__ import annotations

import pytest

from trialfit.finding import Band, Figure, places_for


@pytest.mark.parametrize(
    ("value", "places", "written"),
    [
        # Two figures of each: tenths for units, hundredths for tenths, whole tens for hundreds.
        (3.349, 1, "3.3 N·m"),
        (0.531, 2, "0.53 N·m"),
        (117.1, -1, "120 N·m"),
        (10251.0, -3, "10000 N·m"),
        # 9.96 rounds to 10, which has its two figures without a decimal; 0.0996 to 0.10.
        (9.96, 0, "10 N·m"),
        (0.0996, 2, "0.10 N·m"),
        (-41.8, 0, "-42 N·m"),
        (0.0, 1, "0.0 N·m"),
    ],
)
def test_two_figures_of_a_number_are_written(value: float, places: int, written: str) -> None:
    assert places_for(value) == places
    assert str(Figure(value, "N·m", None, places_for(value))) == written


def test_a_plus_or_minus_is_rounded_with_its_figure() -> None:
    assert str(Figure(243.4, "g", 41.2, -1)) == "240 ± 40 g"


def test_a_band_is_written_once_where_its_ends_are_written_alike() -> None:
    # To a thousandth 0.0521 and 0.0524 are both 0.052; to whole tens 842 and 1256 are 840 and 1260.
    assert str(Band(0.0521, 0.0522, 0.0524, "mm", 3)) == "0.052 mm"
    assert str(Band(842.0, 1033.0, 1256.0, "°C", -1)) == "1030 (840 to 1260) °C"
