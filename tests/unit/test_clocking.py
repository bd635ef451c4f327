"""Unit: clocking, worked by hand; washers tried one by one; the table of the owner's trial."""

from __future__ import annotations

from itertools import product
from math import atan2, cos, degrees, radians, sin

import numpy as np
import pytest

from trialfit.fitup.clocking import (
    faced_back,
    off_axis_deg,
    off_by_deg,
    packings,
    seen_deg,
    stop_deg,
    tap_slip_turns,
    taper_turns,
    worst_off_deg,
)
from trialfit.fitup.trial_table import clock, trial_table, washers

TPI40, TPI32 = 25.4 / 40, 25.4 / 32
FIVE = (0.075, 0.125, 0.15, 0.3, 0.4)


def test_a_hundredth_of_a_washer() -> None:
    """At 40 tpi the pitch is 0.635 mm: 0.01 mm is 3.6 / 0.635 = 5.669 deg, and it stops so much sooner."""
    assert 10 - stop_deg(10, 0, 0.01, TPI40) == pytest.approx(5.669, abs=5e-4)
    assert stop_deg(350, 20, 0, TPI40) == pytest.approx(10)
    assert stop_deg(0, 0, 0.635, TPI40) == pytest.approx(0, abs=1e-6)


def reach(stock: tuple[float, ...], pitch: float) -> float:
    """Worst direction of all, by every direction in quarter degrees against every choice of up to three."""
    totals = {sum(chosen) for chosen in product((0.0, *stock), repeat=3)}
    stops = np.array([-360 * total / pitch for total in totals])
    wanted = np.arange(0, 360, 0.25)[:, None]
    return float(np.abs((stops - wanted + 180) % 360 - 180).min(axis=1).max())


@pytest.mark.parametrize("pitch", [TPI40, TPI32])
def test_five_washers_reach_any_direction_within_ten_degrees(pitch: float) -> None:
    assert worst_off_deg(FIVE, pitch) == pytest.approx(reach(FIVE, pitch), abs=0.13)
    assert worst_off_deg(FIVE, pitch) <= 10.0


def test_steps_of_a_twentieth() -> None:
    """0.05 mm is 28.35 deg at 40 tpi. Within one pitch, 12 steps, half of that stays: 14.2 deg.

    Going past one pitch (0.635 mm is 12.7 steps) the second turn falls between: three of
    0.05, 0.1, 0.2, 0.35 and 0.4 leave 9.9.
    """
    within = np.array([-360 * 0.05 * k / TPI40 for k in range(13)])
    wanted = np.arange(0, 360, 0.25)[:, None]
    assert np.abs((within - wanted + 180) % 360 - 180).min(axis=1).max() == pytest.approx(14.2, abs=0.13)
    past = (0.05, 0.1, 0.2, 0.35, 0.4)
    assert reach(past, TPI40) == pytest.approx(9.9, abs=0.13)
    assert worst_off_deg(past, TPI40) == pytest.approx(reach(past, TPI40), abs=0.13)


def test_the_packing_is_the_fewest_washers_that_will_do() -> None:
    """Stops at 200, wanted 30: back by 170 deg is 0.2999 mm at 40 tpi, and the 0.3 mm washer alone turns it 170.08."""
    best = packings(200, 30, TPI40, FIVE)[0]
    assert best.shims_mm == (0.3,)
    assert best.off_deg == pytest.approx(-0.08, abs=5e-3)
    # Already within ten degrees: nothing, though a washer of a whole pitch would come nearer.
    assert packings(38, 30, TPI40, (0.63,))[0].shims_mm == ()
    # Every choice of up to three of five: 1 + 5 + 15 + 35.
    assert len(packings(0, 0, TPI40, FIVE)) == 56


def test_the_shoulder_faced_back_turns_it_further() -> None:
    """From 200 on to 30 is 190 deg: 190 / 360 of 0.635 is 0.3351 mm."""
    assert faced_back(200, 30, TPI40).face_back_mm == pytest.approx(0.3351, abs=5e-5)


def test_taper_threads_turn_on() -> None:
    """Hand tight at 90, wanted 0: 0.75 of a turn, or 1.75; only the second lies between 1 and 2."""
    assert [each.turns for each in taper_turns(90, 0, 1, 2)] == pytest.approx([1.75])
    assert [each.turns for each in taper_turns(90, 0, 0.5, 2)] == pytest.approx([0.75, 1.75])
    # Between 1 and 1.5 there is none: at 1.5 turns it points to 270, 90 short; at 1 to 90, 90 past. The first is taken.
    (nearest,) = taper_turns(100, 0, 1, 1.5)
    assert (nearest.turns, nearest.stops_deg, nearest.off_deg) == pytest.approx((1.5, 280, -80))


def test_a_taper_tap_cannot_be_known_beforehand() -> None:
    """1 in 16: 0.05 mm on the diameter is 0.8 mm along, at 28 tpi 0.8 / 0.9071 = 0.882 of a turn."""
    assert tap_slip_turns(0.05, 25.4 / 28) == pytest.approx(0.882, abs=5e-4)


def test_a_photograph_off_the_axis() -> None:
    """20 deg off shortens one way by cos 20: tried every quarter degree, the worst is 1.8 deg."""
    turns = np.radians(np.arange(0, 90, 0.25))
    worst = max(abs(degrees(atan2(sin(turn) * cos(radians(20)), cos(turn)) - turn)) for turn in turns)
    assert off_axis_deg(20) == pytest.approx(worst, abs=1e-3)
    assert off_axis_deg(20) == pytest.approx(1.8, abs=0.05)


def test_clockwise_is_as_seen_looking_in() -> None:
    """Looking along -y with z up, x is to the left: an arm to the left of twelve stands at nine o'clock."""
    looking = np.array([0.0, -1.0, 0])
    up = np.array([0.0, 0.3, 1.0])
    assert seen_deg(looking, np.array([1.0, 5.0, 0]), up) == pytest.approx(270)
    assert seen_deg(-looking, np.array([1.0, 5.0, 0]), up) == pytest.approx(90)


def test_the_table_of_the_trial() -> None:
    """Four o'clock wanted. Stopped there: none. At nine it has 150 deg too much, 0.2646 mm: 0.125 + 0.15 is near."""
    rows = trial_table(120, TPI40, FIVE)
    assert [row.stopped for row in rows][:2] == ["1 o'clock", "2 o'clock"]
    assert washers(rows[3].fit) == "none"
    nine = rows[8]
    assert nine.stopped == "9 o'clock"
    assert washers(nine.fit) == "0.125 + 0.15 mm"
    assert nine.fit.off_deg == pytest.approx(150 - 360 * 0.275 / 0.635, abs=1e-9)
    # On to four o'clock from nine is 210 deg: 0.3704 mm off the shoulder.
    assert nine.or_face_back_mm == pytest.approx(0.3704, abs=5e-5)
    assert all(abs(off_by_deg(row.fit.stops_deg, 120)) <= 10 for row in rows)
    assert [clock(angle) for angle in (0, 44, 352, 353, 165)] == [
        "12 o'clock", "half past 1", "half past 11", "12 o'clock", "half past 5",
    ]  # fmt: skip
