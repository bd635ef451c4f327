"""Outside: bends, thick walls, stored energy and leaks against handbook forms, CoolProp and sums by hand."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from loaded import Loaded
from trialfit.strength.leak import bubble_ml_min, leak_of, nozzle_m_s
from trialfit.strength.leak_decay import decay_plan
from trialfit.strength.pressure import lame_mpa, tube_stands
from trialfit.strength.pressure_energy import air_energy_j, stored_energy, water_energy_j
from trialfit.strength.test_plan import codes_say
from trialfit.strength.tube_bends import bent_wall, flattened
from trialfit.units import pressure_mpa, psi

CoolProp = Loaded("CoolProp.CoolProp")


@pytest.mark.parametrize(("bends_of", "allowance"), [(6, 1.06), (5, 1.08), (4, 1.14), (3, 1.25)])
def test_thinning_allowance(bends_of: int, allowance: float) -> None:
    """ASME B31.1 table 102.4.5, as US federal guide 4-159-01 reprints it in table 5-4; a custom, so 8 %."""
    assert 0.1 / bent_wall(1.0, 0.1, bends_of).outer_mm == pytest.approx(allowance, rel=0.08)


@pytest.mark.parametrize("ratio", [1.5, 3.0, 5.0])
def test_bend_in_b31_form(ratio: float) -> None:
    """ASME B31.3 eqs 3d and 3e: I = (4x - 1)/(4x - 2) inside, (4x + 1)/(4x + 2) outside: t/(1 + D/4R)."""
    found = bent_wall(10.0, 1.0, 10.0 * ratio)
    assert found.as_straight_outer_mm == pytest.approx(1.0 / (1.0 + 10.0 / (4.0 * 10.0 * ratio)), rel=1e-12)
    inside = found.inner_mm / ((4 * ratio - 1) / (4 * ratio - 2))
    assert found.as_straight_inner_mm == pytest.approx(inside, rel=1e-12)


def test_a_worked_bend_in_print() -> None:
    """A worked sheet to ASME B31.3 304.2.1 (scribd.com/document/361485902): 273.2 mm pipe bent to 1270 mm, 5.82 MPa.

    It prints I = 1.060 inside and 0.951 outside, and walls of 10.14 and 9.13 mm, by t = P D / (2 (S W / I + P Y)) with
    S = 82.68 MPa, W = 0.975, Y = 0.4.
    """
    found = bent_wall(273.2, 10.0, 1270.0)
    inside, outside = found.inner_mm / found.as_straight_inner_mm, found.outer_mm / found.as_straight_outer_mm
    assert (inside, outside) == pytest.approx((1.060, 0.951), abs=0.0005)
    walls = [5.82 * 273.2 / (2.0 * (82.68 * 0.975 / each + 5.82 * 0.4)) for each in (inside, outside)]
    assert walls == pytest.approx([10.14, 9.13], abs=0.01)


def test_flattened_tube_against_an_elliptic_ring() -> None:
    """Moments of a thin elliptic ring under pressure, by cutting it at its long end and adding up: 2 % at 4 % ovality.

    M(s) = M0 - p a (a - x) + p ((a - x)^2 + y^2)/2, M0 from no turn of the cut; bending stress 6 M/t^2.
    """
    thick, middle, oval = 1.0, 20.0, 0.04
    a, b = middle / 2 * (1 + oval / 2), middle / 2 * (1 - oval / 2)
    turn = np.linspace(0.0, pi / 2, 4001)
    x, y = a * np.cos(turn), b * np.sin(turn)
    step = np.hypot(a * np.sin(turn), b * np.cos(turn))
    moment = -a * (a - x) + ((a - x) ** 2 + y**2) / 2
    moment -= np.trapezoid(moment * step, turn) / np.trapezoid(step, turn)
    bending = 6.0 * np.abs(moment).max() / thick**2
    ratio = 1.0 + bending / (middle / 2 / thick)
    assert flattened(oval, middle + thick, thick) == pytest.approx(ratio, rel=0.02)


def test_lame() -> None:
    """By hand: 100 MPa, 40 over 20 mm: 100 (1600 - 400)/(1600 + 400) = 60 MPa."""
    assert lame_mpa(100.0, 10.0, 40.0) == pytest.approx(60.0, rel=1e-12)


def test_cold_tube_in_print() -> None:
    """Soft tube data page: 3/16 x 0.028 in at 6000 psi cold, 1800 psi, printed to the nearest hundred."""
    found = tube_stands("pipe", 4.7625, 0.7112, pressure_mpa("80 psi"), hot=False)
    assert psi(found.b31_mpa) == pytest.approx(1800, abs=50)
    bent = tube_stands("pipe", 4.7625, 0.7112, pressure_mpa("80 psi"), 12.7, hot=False)
    assert bent.b31_mpa < found.b31_mpa


def test_stored_energy() -> None:
    """20 mL at 160 psi: CoolProp's real air, 1.1 % less; a source prints 30.6 J, water 0.0055 J."""
    gauge = pressure_mpa("160 psi")
    absolute_pa = gauge * 1e6 + 101325.0
    entropy, inner, density = (CoolProp.PropsSI(each, "T", 293.15, "P", absolute_pa, "Air") for each in "SUD")
    left = CoolProp.PropsSI("U", "S", entropy, "P", 101325.0, "Air")
    assert air_energy_j(20.0, gauge) == pytest.approx(20e-6 * density * (inner - left), rel=0.015)
    assert air_energy_j(20.0, gauge) == pytest.approx(30.6, abs=0.1)
    # Half of 1.1032 MPa times 20 mL times 1.1032 MPa x 0.4591 /GPa (CoolProp's compressibility at 20 °C).
    assert water_energy_j(20.0, gauge) == pytest.approx(0.5 * 1.1032**2 * 20 * 0.4591e-3, rel=0.005)
    assert water_energy_j(20.0, gauge) == pytest.approx(0.0055, abs=0.0001)
    assert stored_energy(20.0, gauge).trapped_part == pytest.approx(0.98, abs=0.005)


def test_bubbles() -> None:
    """By hand: pi/6 x 27 mm³ = 14.137 mm³ a second is 0.848 mL/min."""
    assert bubble_ml_min(3.0, 1.0) == pytest.approx(0.848, abs=0.0005)


def test_sonic_conductance() -> None:
    """ISO 6358, and by hand: 0.6847 / sqrt(287 x 293.15) x 1e5 Pa x 1e-6 m² over 1.185 kg/m³ is 0.199 L/(s bar mm²).

    0.6847 is sqrt(1.4) (2 / 2.4)^3 of a choked ideal gas.
    """
    gauge = pressure_mpa("30 psi")
    per_bar = nozzle_m_s(gauge) / ((gauge + 0.101325) * 10.0)
    assert per_bar == pytest.approx(200.0, rel=0.03)


def test_leak_in_air_and_water() -> None:
    """By hand at 30 psi, 1.413e-8 m³/s: 603.8 m/s choked leaves 2.34e-11 m², 7.0 µm at 0.6; 2.8 mL/h at 80 psi.

    A capillary of 3 mm: d^4 = 1.413e-8 x 256 x 1.82e-5 x 0.003 x 101325 / (pi (3.0817² - 1.01325²) e10) = 7.5e-20,
    17 µm; pi d^4 551580 / (128 x 1.002e-3 x 0.003) is 1.2 mL/h.
    """
    found = leak_of(0.848, pressure_mpa("30 psi"), pressure_mpa("80 psi"))
    assert (found.hole_um, found.capillary_um) == pytest.approx((7.0, 16.6), abs=0.1)
    assert (found.water_low_ml_h, found.water_high_ml_h) == pytest.approx((1.22, 2.80), abs=0.02)


def test_hold_time() -> None:
    """By hand: 2 x 0.02 bar x 35 mL / (0.85 mL/min x 1.01325 bar) = 1.626 min; 1.51325 bar / 293.15 K = 5.16 mbar/K."""
    plan = decay_plan(20.0, 15.0, 0.05, 0.002, 0.85)
    assert plan.hold_min == pytest.approx(1.626, abs=0.001)
    assert plan.per_kelvin_mpa * 1e4 == pytest.approx(5.16, abs=0.01)
    assert plan.steady_k == pytest.approx(40 / 5.162, abs=0.01)


def test_codes_at_80_psi() -> None:
    """Twice, 1.5, 1.25 (34 Pa. Code 3a.115, locomotives) and 1.1 times 80 psi; no code here says anything else."""
    said = {round(psi(each.high_mpa or 0.0)) for each in codes_say(pressure_mpa("80 psi"))}
    assert said == {160, 120, 100, 88}
