"""Unit: one tube worked by hand: 3/16 in x 22 swg copper at 80 psi of steam."""

from __future__ import annotations

import pytest

from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis
from trialfit.tables.copper import allowed_stress
from trialfit.tables.rules import rule, rules
from trialfit.tables.seals import in_steam, seals
from trialfit.tables.steam import boiler_c, dry_steam_m3_kg, saturation_c, saturation_mpa
from trialfit.tables.tubes import bore_mm
from trialfit.tables.yardstick import joint_rules, tube_figures
from trialfit.units import pressure_mpa, psi

WORKING = pressure_mpa("80 psi")
TUBE = tube_figures(4.7625, 0.7112, WORKING)


def test_bore_and_mass_by_hand() -> None:
    # 4.7625 - 2 x 0.7112 = 3.3401 mm; pi/4 (22.68141 - 11.15627) = 9.05183 mm2 x 8.94 = 80.923 g/m
    assert TUBE.bore_mm == pytest.approx(3.3401, abs=1e-9)
    assert TUBE.mass_g_m == pytest.approx(80.923, abs=0.001)
    # pi/4 x 3.3401^2 = 8.7621 mm2, so as many mL in a metre
    assert TUBE.holds_ml_m == pytest.approx(8.7621, abs=0.0002)


def test_pressure_cold_by_hand() -> None:
    # least wall 0.9 x 0.028 = 0.0252 in, greatest diameter 0.1875 + 0.002 = 0.1895 in:
    # 2 x 6000 x 0.0252 / (0.1895 - 0.02016) = 302.4 / 0.16934 = 1785.76 psi
    assert psi(TUBE.cold.least_mpa) == pytest.approx(1785.76, abs=0.01)
    # nominal: 2 x 6000 x 0.028 / (0.1875 - 0.0224) = 336 / 0.1651 = 2035.13 psi
    assert psi(TUBE.cold.nominal_mpa) == pytest.approx(2035.13, abs=0.01)


def test_pressure_in_steam_by_hand() -> None:
    # 80 psi of steam is 323.9 F (printed 324, steam turbine handbook); between 300 F: 4700 and 350 F: 4000 psi
    # 4700 - 700 x 23.9 / 50 = 4365.4 psi; x 1785.76 / 6000 = 1299.3 psi; / 80 = 16.24 times
    assert psi(TUBE.hot.stress.stress_mpa) == pytest.approx(4365.4, abs=0.7)
    assert psi(TUBE.hot.least_mpa) == pytest.approx(1299.3, abs=0.3)
    assert TUBE.times_working == pytest.approx(16.24, abs=0.01)
    assert TUBE.hot.temperature_c == pytest.approx((323.9 - 32) / 1.8, abs=0.03)


def test_what_is_assumed_says_so() -> None:
    assert [reason.basis for reason in TUBE.assumed] == [Basis.ASSUMED] * 3
    assert all("assumed" in str(reason) for reason in TUBE.assumed)
    assert [rating.rating_psi for rating in TUBE.published] == [1800.0]
    assert tube_figures(4.7625, 0.6, WORKING).published == ()


def test_stress_between_rows_and_at_the_cold_end() -> None:
    # half way from 300 F (4700) to 350 F (4000): 4350 psi
    assert psi(allowed_stress((325 - 32) / 1.8).stress_mpa) == pytest.approx(4350, abs=0.01)
    # 6000 psi holds from -28 C to 100 F
    assert (
        psi(allowed_stress(-28.0).stress_mpa) == psi(allowed_stress(20.0).stress_mpa) == pytest.approx(6000, abs=1e-6)
    )
    assert allowed_stress(20.0).sources == ("S-TUBE31", "S-CTH3C")


@pytest.mark.parametrize(
    ("wall_mm", "working", "refusal"),
    [
        (2.4, WORKING, "wall: got 2.40 mm, wanted less than half of 4.76 mm. Was the wall typed in the right unit?"),
        (0.7, 0.0, "working pressure: got 0 MPa, wanted more than nought. Give the gauge pressure of the boiler."),
        (
            0.7, pressure_mpa("300 psi"),
            "temperature of annealed copper: got 217 C, wanted -28 to 204 C. "
            "The table of allowed stress ends there; copper tube is not used hotter.",
        ),
    ],
)  # fmt: skip
def test_tubes_refused_in_full(wall_mm: float, working: float, refusal: str) -> None:
    with pytest.raises(Refusal) as caught:
        tube_figures(4.7625, wall_mm, working)
    assert str(caught.value) == refusal


def test_steam_refused_in_full() -> None:
    with pytest.raises(Refusal) as caught:
        saturation_mpa(400.0)
    assert str(caught.value) == (
        "steam temperature: got 400 C, wanted 0 to 373.946 C. "
        "Water and steam stand together only in this range; check the figure and its unit."
    )
    with pytest.raises(Refusal, match=r"wanted 0\.000611213 to 22\.064 MPa absolute"):
        saturation_c(30.0)
    with pytest.raises(Refusal, match=r"at most 16\.53 MPa"):  # saturation at 350 C: 16.529 MPa, IAPWS R7-97
        dry_steam_m3_kg(17.0)
    with pytest.raises(Refusal, match="wanted annealed or drawn"):
        allowed_stress(20.0, "half hard")
    with pytest.raises(Refusal, match="wanted less than half"):
        bore_mm(4.0, 0.0)


def test_joints_give_out_first() -> None:
    """Copper Tube Handbook table 14.4a: 120 psi brazed, 15 psi soft-soldered, on saturated steam."""
    assert [(found.high, found.unit) for found in joint_rules()] == [(120.0, "psi"), (15.0, "psi")]


def test_seals_at_80_psi() -> None:
    """162 C: EPDM is marginal (150 to 165 C), nitrile, fluorocarbon and silicone are not for steam; PTFE stands it."""
    steam_c = boiler_c(WORKING)
    assert {key: in_steam(seal, steam_c) for key, seal in seals().items()} == {
        "NBR": Answer.STOP,
        "EPDM": Answer.LOOK,
        "FKM": Answer.STOP,
        "VMQ": Answer.STOP,
        "FEPM": Answer.GO,
        "PTFE": Answer.GO,
        "FFKM": Answer.GO,
    }
    assert in_steam(seals()["EPDM"], 150.0) is Answer.GO
    assert in_steam(seals()["EPDM"], 166.0) is Answer.STOP


def test_rules_are_found_by_name_or_refused() -> None:
    assert rule("PTFE tape", "temperature").high == 125.0  # EN 751-3
    with pytest.raises(Refusal, match=r"rules of PTFE tape: got colour, wanted one of temperature, hot water"):
        rule("PTFE tape", "colour")
    with pytest.raises(Refusal, match="rules: got tea, wanted one of copper pipe"):
        rules("tea")
