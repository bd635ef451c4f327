"""Outside: what a boiler uses and what air does to a pump, against CoolProp, steam tables and sums by hand."""

from __future__ import annotations

import pytest

from flow_networks import sure
from loaded import Loaded
from trialfit.feed.balls import lift_for_mm, way_under_ball_mm2
from trialfit.feed.pump import RamPump, delivery_ml_min, pocket_loss, stopping_pocket
from trialfit.feed.pump_demand import Cylinders, boiled_ml_min, drawn_ml_min, evaporation_kj_kg, water_kj_kg
from trialfit.units import pressure_mpa

CoolProp = Loaded("CoolProp.CoolProp")


@pytest.mark.parametrize("gauge", ["15 psi", "50 psi", "80 psi", "120 psi"])
def test_evaporation(gauge: str) -> None:
    absolute_pa = pressure_mpa(gauge) * 1e6 + 101325.0
    steam, boiling = (CoolProp.PropsSI("H", "P", absolute_pa, "Q", dry, "Water") for dry in (1, 0))
    assert evaporation_kj_kg(absolute_pa * 1e-6) == pytest.approx((steam - boiling) / 1e3, rel=5e-4)
    cold = CoolProp.PropsSI("H", "T", 293.15, "P", absolute_pa, "Water")
    density = CoolProp.PropsSI("D", "T", 293.15, "P", 101325.0, "Water")
    ml_min = 1e3 / (steam - cold) / density * 60e6
    assert boiled_ml_min(1.0, 20.0, pressure_mpa(gauge)) == pytest.approx(ml_min, rel=5e-4)


def test_printed_steam_table() -> None:
    """Saturated steam at 6.5 bar absolute: h_fg 2076 kJ/kg, h_f 684: printed tables, from memory; CoolProp agrees."""
    steam, boiling = (CoolProp.PropsSI("H", "P", 0.65e6, "Q", dry, "Water") / 1e3 for dry in (1, 0))
    assert (steam - boiling, boiling) == pytest.approx((2076, 684), abs=0.6)
    assert evaporation_kj_kg(0.65) == pytest.approx(2076, abs=1.0)
    assert water_kj_kg(161.9, 0.651) == pytest.approx(684, abs=0.6)


def test_one_kilowatt_at_80_psi() -> None:
    """By hand: 60 kJ/min over 2759.6 - 84.5 = 2675 kJ/kg is 22.43 g/min, 22.47 mL/min of water at 20 °C."""
    assert boiled_ml_min(1.0, 20.0, pressure_mpa("80 psi")) == pytest.approx(22.47, abs=0.02)


def test_if97_check_values() -> None:
    """IAPWS R7-97(2012) table 5: enthalpy of region 1 at 300 K, 3 MPa and 500 K, 3 MPa."""
    assert water_kj_kg(26.85, 3.0) == pytest.approx(115.331273, abs=1e-5)
    assert water_kj_kg(226.85, 3.0) == pytest.approx(975.542239, abs=1e-5)


def test_cylinders() -> None:
    """By hand: 2 of 1 in x 1.5 in, 75 %: 4 x 0.75 x 19.307 mL = 57.92 mL a turn, 240 turns 13.901 L/min of steam.

    At 80 psi it weighs 3.424 g/L (CoolProp 3.43): 47.6 g/min and as much water; 1.3, 1.8 and 2.5 times that.
    """
    drawn = drawn_ml_min(Cylinders(2, 25.4, 38.1, sure(0.75), sure(240.0)), pressure_mpa("80 psi"))
    assert (drawn.low, drawn.likely, drawn.high) == pytest.approx((62.0, 85.9, 119.3), rel=0.005)


def test_ram() -> None:
    """By hand: pi/4 x 9.525² x 12.7 = 904.9 mm³; 240 strokes 217.2 mL/min; 70, 85 and 95 % of that."""
    band = delivery_ml_min(RamPump(9.525, 12.7, sure(240.0)))
    assert (band.low, band.likely, band.high) == pytest.approx((152.0, 184.6, 206.3), abs=0.1)


def test_air_pocket() -> None:
    """By hand: r = 94.696/14.696 = 6.444; 1 - 1/r = 0.8448, 1 - r^(-1/1.4) = 0.7358: stopped at 1.18 to 1.36."""
    gauge = pressure_mpa("80 psi")
    assert pocket_loss(1.0, gauge, 1.0) == pytest.approx(0.8448, abs=1e-4)
    assert pocket_loss(1.0, gauge, 1.4) == pytest.approx(0.7358, abs=2e-4)
    band = stopping_pocket(gauge)
    assert (band.low, band.high) == pytest.approx((1.18, 1.36), abs=0.005)


def test_way_under_a_ball() -> None:
    """By hand: ball 5, seat 4: the centre stands 1.5 over the edge. Lifted 1: 2.5; edge to centre sqrt(10.25) = 3.2016.

    Gap 0.7016; nearest point of the ball at radius 2 x 2.5/3.2016 = 1.5617; pi (2 + 1.5617) x 0.7016 = 7.850 mm².
    """
    assert way_under_ball_mm2(5.0, 4.0, 1.0) == pytest.approx(7.850, abs=0.001)
    assert way_under_ball_mm2(5.0, 4.0, 0.0) == pytest.approx(0.0, abs=1e-12)
    # A ball far greater than its bore is a flat valve, whose way is the bore's at a quarter of it (S-CHKLIFT's rule).
    assert lift_for_mm(5000.0, 4.0) == pytest.approx(1.0, rel=0.01)
