"""Laws: round trips, what may only rise or fall, and what an error can never exceed."""

from __future__ import annotations

from fractions import Fraction
from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trialfit.errors import Refusal
from trialfit.tables.copper import allowed_stress, stress_rows
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import drills, nearest_drills, percent_of_thread
from trialfit.tables.fittings import ball_sinks_mm, ball_tangent_deg
from trialfit.tables.steam import LEAST_MPA, MOST_MPA, dry_steam_m3_kg, saturation_c, saturation_mpa
from trialfit.tables.threads import Thread, threads
from trialfit.tables.tubes import b31_mpa, bore_mm, mass_g_m
from trialfit.units import Quantity, inches, length_mm, nearest_64th, psi, read

UNITS = {
    "length": ("mm", "um", "cm", "m", "in", "thou"),
    "pressure": ("MPa", "kPa", "bar", "psi"),
    "temperature": ("C", "F", "K"),
    "mass": ("kg", "g", "lb", "oz"),
    "torque": ("N·m", "lbf·in"),
    "time": ("s", "min", "h"),
}
decimals = st.decimals(-9999, 9999, places=3).map(str)
kinds = st.sampled_from(sorted(UNITS))
any_thread = st.sampled_from(threads())


@given(decimals, kinds, st.data())
def test_there_and_back_is_exact(number: str, kind: str, data: st.DataObject) -> None:
    here, there = (data.draw(st.sampled_from(UNITS[kind])) for _ in range(2))
    quantity = read(f"{number} {here}", kind)
    assert quantity.number == Fraction(number)
    moved = quantity.to(there)
    assert Quantity(moved, there, "").to(here) == quantity.number


@given(st.integers(0, 20), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]), st.sampled_from([" ", "-"]))
def test_mixed_numbers_add_up(whole: int, top: int, bottom: int, join: str) -> None:
    text = f"{whole}{join}{top}/{bottom} in"
    if top >= bottom:
        with pytest.raises(Refusal):
            read(text, "length")
    else:
        assert read(text, "length").number == whole + Fraction(top, bottom)


@given(st.text(max_size=12), kinds)
def test_any_text_is_read_or_refused(text: str, kind: str) -> None:
    try:
        quantity = read(text, kind)
    except Refusal as refusal:
        assert refusal.fault.remedy.endswith((".", "?"))
    else:
        assert quantity.kind == kind


@given(st.floats(-2000, 2000))
def test_nearest_64th_is_out_by_half_a_64th_at_most(length: float) -> None:
    found = nearest_64th(length)
    assert abs(found.error_mm) <= 25.4 / 128 * (1 + 1e-9)
    assert isclose(length_mm(found.text), length + found.error_mm, abs_tol=1e-9)
    assert Fraction(read(found.text, "length").number) * 64 % 1 == 0


@given(st.floats(0.01, 100))
def test_bench_units_round_trip(value: float) -> None:
    assert isclose(length_mm(f"{inches(value):.15f} in"), value, rel_tol=1e-9)
    assert isclose(float(read(f"{psi(value):.15f} psi", "pressure").to("MPa")), value, rel_tol=1e-9)


@given(st.floats(LEAST_MPA * 1.001, MOST_MPA))
def test_saturation_both_ways(absolute_mpa: float) -> None:
    assert isclose(saturation_mpa(saturation_c(absolute_mpa)), absolute_mpa, rel_tol=1e-7)


@given(st.floats(0.01, 15), st.floats(1.0005, 1.05))
def test_steam_gets_hotter_and_denser_with_pressure(absolute_mpa: float, times: float) -> None:
    assert saturation_c(absolute_mpa * times) > saturation_c(absolute_mpa)
    assert dry_steam_m3_kg(absolute_mpa * times) < dry_steam_m3_kg(absolute_mpa)


@given(st.floats(-28, 204.4), st.floats(0, 100), st.sampled_from(["annealed", "drawn"]))
def test_allowed_stress_never_rises_with_heat(cold_c: float, more_c: float, temper: str) -> None:
    rows = stress_rows(temper)
    cold_c = max(cold_c, rows[0].temperature_c)
    hot_c = min(cold_c + more_c, rows[-1].temperature_c)
    assert allowed_stress(hot_c, temper).stress_mpa <= allowed_stress(cold_c, temper).stress_mpa + 1e-12


@given(st.floats(1, 20), st.floats(0.02, 0.45), st.floats(1.001, 1.1))
def test_more_wall_is_never_weaker_nor_lighter(od_mm: float, share: float, times: float) -> None:
    thin_mm, thick_mm = share * od_mm, share * times * od_mm
    assert b31_mpa(40, thick_mm, od_mm) > b31_mpa(40, thin_mm, od_mm)
    assert mass_g_m(od_mm, thick_mm, 8940) > mass_g_m(od_mm, thin_mm, 8940)
    assert isclose(bore_mm(od_mm, thin_mm) + 2 * thin_mm, od_mm)


@given(st.floats(1, 20), st.floats(0.01, 0.05))
def test_thin_tube_comes_to_the_boiler_formula(od_mm: float, share: float) -> None:
    """P D / 2 t = S as the wall goes to nothing: within 0.8 t / D of it."""
    assert b31_mpa(1, share * od_mm, od_mm) / (2 * share) - 1 <= 0.8 * share / (1 - 0.8 * share) + 1e-12


@given(any_thread, st.floats(0.0, 1.0))
def test_percentages_run_from_nought_at_the_major_to_a_hundred_at_the_core(thread: Thread, share: float) -> None:
    hole_mm = thread.major_mm - share * (thread.major_mm - thread.core_internal_mm)
    percent = percent_of_thread(thread, hole_mm)
    assert isclose(percent.of_form_pct, 100 * share, abs_tol=1e-6)
    assert isclose(percent.of_iso_pct, 1.2 * percent.of_us_pct, abs_tol=1e-9)


@given(any_thread, st.sampled_from([" ", "  "]), st.booleans())
def test_spaces_and_capitals_do_not_matter(thread: Thread, gap: str, upper: bool) -> None:
    text = thread.designation.replace("x", f"{gap}x{gap}")
    assert find_thread(text.upper() if upper else text) is thread


@given(st.floats(0.4, 10))
def test_nearest_drills_hold_the_diameter_between_them(diameter_mm: float) -> None:
    for nearest in nearest_drills(diameter_mm):
        assert nearest.under is None or nearest.under.diameter_mm <= diameter_mm + 1e-6
        assert nearest.over is None or nearest.over.diameter_mm >= diameter_mm - 1e-6
        between = [
            drill
            for drill in drills(nearest.series)
            if (nearest.under is None or drill.diameter_mm > nearest.under.diameter_mm)
            and (nearest.over is None or drill.diameter_mm < nearest.over.diameter_mm)
        ]
        assert between == []


@given(st.floats(1, 20), st.floats(1.01, 3))
def test_a_ball_sinks_less_the_greater_it_is(seat_mm: float, times: float) -> None:
    ball_mm = seat_mm * times
    assert ball_sinks_mm(ball_mm * 1.01, seat_mm) < ball_sinks_mm(ball_mm, seat_mm) < ball_mm / 2
    assert 0 < ball_tangent_deg(ball_mm, seat_mm) < 90
