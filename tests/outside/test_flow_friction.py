"""Outside: friction, fittings and water of the flow module against the libraries fluids and CoolProp."""

from __future__ import annotations

from math import pi

import pytest
from fluids.fittings import Hooper, entrance_distance, entrance_sharp, exit_normal
from fluids.friction import Churchill_1977

from loaded import Loaded
from trialfit.feed.flow_fittings import fitting_losses
from trialfit.feed.flow_friction import churchill, hole_ml_min, hole_mm, pressure_lost_mpa
from trialfit.feed.flow_water import water_at

CoolProp = Loaded("CoolProp.CoolProp")

_HOOPER = {
    "elbow": "Elbow, 90°, Standard (R/D = 1), Screwed",
    "bend": "Elbow, 90°, Long-radius (R/D = 1.5), All types",
    "tee along the run": "Tee, Run, Screwed",
    "tee into the branch": "Elbow, Used as, Standard, Screwed",
    "cock": "Valve, Ball, Reduced trim, Beta = 0.9",
    "screw-down valve": "Valve, Globe, Standard",
    "ball check": "Valve, Check, Lift",
}


@pytest.mark.parametrize("reynolds", [0.5, 1.0, 20.0, 800.0, 2300.0, 3000.0, 4000.0, 2e4, 3e5])
@pytest.mark.parametrize("roughness", [0.0, 0.0005, 0.01])
def test_friction_factor(reynolds: float, roughness: float) -> None:
    """fluids.friction.Churchill_1977 gives Fanning's factor times four, as ours; and the slope by differences of it."""
    factor, slope = churchill(reynolds, roughness)
    assert factor == pytest.approx(Churchill_1977(Re=reynolds, eD=roughness), rel=1e-9)
    step = 1e-5
    rise = Churchill_1977(reynolds * (1 + step), roughness) - Churchill_1977(reynolds * (1 - step), roughness)
    assert slope == pytest.approx(rise / (2 * step), rel=2e-4, abs=1e-7)


def test_slow_flow_is_poiseuille() -> None:
    """128 mu L q / (pi d^4), by hand for 1 mL/min in 300 mm of 3 mm bore at 20 °C, mu 1.0016 mPa s (IAPWS)."""
    lost_pa = 128 * 1.0016e-3 * 0.3 * (1e-6 / 60) / (pi * 0.003**4)
    assert pressure_lost_mpa(1.0, 3.0, 300.0, 0.0, water_at()) * 1e6 == pytest.approx(lost_pa, rel=2e-4)


@pytest.mark.parametrize("temperature_c", [1.0, 20.0, 38.0, 60.0, 99.0, 110.0, 150.0, 170.0, 200.0])
def test_water(temperature_c: float) -> None:
    """CoolProp (IAPWS-95 and the full viscosity formulation). Past 110 °C ours is stretched: 1 %."""
    kelvin = temperature_c + 273.15
    boils_pa = CoolProp.PropsSI("P", "T", kelvin, "Q", 0, "Water")
    at = ("T", kelvin, "P", max(101325.0, boils_pa * 1.0001), "Water")
    water = water_at(temperature_c)
    assert water.density_kg_m3 == pytest.approx(CoolProp.PropsSI("D", *at), rel=2e-5)
    close = 2e-4 if temperature_c <= 110 else 0.01
    assert water.viscosity_pa_s == pytest.approx(CoolProp.PropsSI("V", *at), rel=close)
    assert water.vapour_mpa == pytest.approx(boils_pa / 1e6, rel=2e-4)


def test_mouths_hold_what_authors_give() -> None:
    """Sharp by Rennels and by Crane, standing proud by Crane, out of the pipe: as the library fluids holds them."""
    sharp = [entrance_sharp(method=each) for each in ("Rennels", "Crane")]
    proud = entrance_distance(Di=0.003, t=0.0005, l=0.01, method="Crane")
    into, out = (fitting_losses()[f"mouth {way} the pipe"] for way in ("into", "out of"))
    assert into.k.low == pytest.approx(min(sharp)) and max(*sharp, proud) < into.k.high
    assert out.k.low == out.k.high == pytest.approx(exit_normal())


@pytest.mark.parametrize("name", _HOOPER)
def test_fitting_losses_are_hooper_s(name: str) -> None:
    """K1 of slow flow as printed; K at 1 in and 3 mm bore, K (1 + 1 in / d), to the digit typed.

    The ball check's high end is kept under Hooper's 95 at 3 mm, as its note says.
    """
    slow, fast = Hooper[_HOOPER[name]]
    loss = fitting_losses()[name]
    assert loss.k_slow == slow
    assert loss.k.low == pytest.approx(2 * fast, rel=0.01)
    high = fast * (1 + 25.4 / 3)
    if name == "ball check":
        assert loss.k.low < loss.k.high < high
        return
    assert loss.k.high == pytest.approx(high, rel=0.02)


def test_a_bypass_hole() -> None:
    """By hand: 80 psi is 551.58 kPa, sqrt(2 x 551580 / 998.2) = 33.244 m/s; 0.6 of pi/4 0.29² mm² passes 79.05 mL/min.

    That is about half of a pump's 154 mL/min.
    """
    water = water_at()
    assert hole_ml_min(0.29, 0.55158, water) == pytest.approx(79.05, abs=0.02)
    assert hole_mm(77.0, 0.55158, water) == pytest.approx(0.286, abs=0.0005)
