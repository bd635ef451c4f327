"""Outside: the limits assumed of real threads, and the rule of pitch errors, against published figures.

ISO 965-2 (medium class, 6g and 6H) and ASME B1.1 (classes 2A and 2B): limits as printed there, typed from memory. The
printed ones are made with mean diameters of size groups and rounded to preferred numbers (R40), hence 6 %.
"""

from __future__ import annotations

from dataclasses import replace
from math import radians, tan

import pytest

from trialfit.parts.look_alikes import attempt
from trialfit.parts.thread_limits import thread_limits
from trialfit.tables.designations import find_thread

# thread: major high, low; effective male high, low; effective female low, high; core female low, high [mm]
_ISO_965_2 = {
    "M3": (2.980, 2.874, 2.655, 2.580, 2.675, 2.775, 2.459, 2.599),
    "M6": (5.974, 5.794, 5.324, 5.212, 5.350, 5.500, 4.917, 5.153),
    "M8": (7.972, 7.760, 7.160, 7.042, 7.188, 7.348, 6.647, 6.912),
    "M10": (9.968, 9.732, 8.994, 8.862, 9.026, 9.206, 8.376, 8.676),
}


@pytest.mark.parametrize("name", _ISO_965_2)
def test_tolerances_are_those_of_iso_965(name: str) -> None:
    high, low, male_high, male_low, female_low, female_high, core_low, core_high = _ISO_965_2[name]
    thread, limits = find_thread(name), thread_limits(find_thread(name))
    assert limits.gap_mm == pytest.approx(thread.major_mm - high, abs=0.0011)
    assert limits.major_mm == pytest.approx(high - low, rel=0.06)
    assert limits.male_effective_mm == pytest.approx(male_high - male_low, rel=0.06)
    assert limits.female_effective_mm == pytest.approx(female_high - female_low, rel=0.06)
    assert limits.female_core_mm == pytest.approx(core_high - core_low, rel=0.06)


@pytest.mark.parametrize(
    ("name", "high_in", "low_in"),
    [("1/4-20 UNC", 0.2489, 0.2408), ("1/4-28 UNF", 0.2490, 0.2425), ("10-32 UNF", 0.1891, 0.1831)],
)
def test_class_2a_lies_within_hundredths_of_them(name: str, high_in: float, low_in: float) -> None:
    thread, limits = find_thread(name), thread_limits(find_thread(name))
    assert thread.major_mm - limits.gap_mm == pytest.approx(25.4 * high_in, abs=0.01)
    assert thread.major_mm - limits.gap_mm - limits.major_mm == pytest.approx(25.4 * low_in, abs=0.015)


@pytest.mark.parametrize(("name", "factor"), [("M8x1", 1.732), ("1/4x40", 1.921), ("0BA", 2.273)])
def test_a_pitch_error_uses_up_effective_diameter_as_gauge_makers_say(name: str, factor: float) -> None:
    """A pitch error e over the engaged length uses up 1.732 e (60 deg), 1.921 e (55 deg), 2.273 e (47.5 deg).

    BS 919 and ASME B1.2, from memory. The male is made shorter in pitch by 0.002 mm and 0.1 mm less in diameter.
    """
    female = find_thread(name)
    male = replace(
        female, designation="a trifle shorter", pitch_mm=female.pitch_mm - 0.002, tpi=25.4 / (female.pitch_mm - 0.002),
        major_mm=female.major_mm - 0.1, effective_mm=female.effective_mm - 0.1, core_mm=female.core_mm - 0.1,
    )  # fmt: skip
    turns = attempt(male, female).turns
    assert turns is not None
    # Over n turns the pitches part by 0.002 n; half the pitch difference of one turn is free, for the ridge is thinner.
    spent_mm = 0.002 * turns.low - 0.001
    assert factor * spent_mm == pytest.approx(0.1, rel=0.001)
    assert factor == pytest.approx(1 / tan(radians(female.angle_deg / 2)), abs=0.0006)
