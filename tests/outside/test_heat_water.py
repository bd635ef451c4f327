"""Outside: water with nowhere to go, against IAPWS R7-97 table 5 (as the library iapws quotes it) and CoolProp."""

from __future__ import annotations

import pytest

from loaded import Loaded
from trialfit.errors import Refusal
from trialfit.tables.water import liquid_m3_kg, locked_mpa_per_k

CoolProp = Loaded("CoolProp.CoolProp")


@pytest.mark.parametrize(
    ("kelvin", "mpa", "m3_kg"),
    [(300.0, 3.0, 0.00100215168), (300.0, 80.0, 0.000971180894), (500.0, 3.0, 0.00120241800)],
)
def test_room_of_a_kilogram(kelvin: float, mpa: float, m3_kg: float) -> None:
    """Table 5's check values; nine figures."""
    assert liquid_m3_kg(kelvin - 273.15, mpa) == pytest.approx(m3_kg, rel=1e-8)


def test_rise_by_the_quoted_expansion_and_compressibility() -> None:
    """At 500 K and 3 MPa the library quotes 0.00164118128 /K and 0.00112892188 /MPa; their quotient is the rise."""
    assert locked_mpa_per_k(500.0 - 273.15, 3.0) == pytest.approx(0.00164118128 / 0.00112892188, rel=1e-7)


@pytest.mark.parametrize("celsius", [20.0, 50.0, 100.0, 150.0])
def test_rise_against_coolprop(celsius: float) -> None:
    """CoolProp uses the scientific formulation (IAPWS-95); the industrial one is within half a part in a hundred."""
    pascal = max(101325.0, CoolProp.PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")) * 1.0001
    wanted = CoolProp.PropsSI("d(P)/d(T)|D", "T", celsius + 273.15, "P", pascal, "Water") / 1e6
    assert locked_mpa_per_k(celsius) == pytest.approx(wanted, rel=0.005)


@pytest.mark.parametrize(("celsius", "mpa"), [(20.0, 101.0), (360.0, 30.0), (200.0, 0.5), (-1.0, 1.0)])
def test_what_is_not_water_is_refused(celsius: float, mpa: float) -> None:
    with pytest.raises(Refusal, match="enough pressure to keep it from boiling"):
        liquid_m3_kg(celsius, mpa)
