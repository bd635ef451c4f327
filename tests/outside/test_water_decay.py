"""Outside: what a water test's gauge does, against handbook figures of water and a thick-walled tube's own growth."""

from __future__ import annotations

import pytest

from loaded import Loaded
from trialfit.errors import Refusal
from trialfit.strength.water_decay import squeezed_per_mpa, walls_give_per_mpa, water_decay
from trialfit.tables.steam import ATMOSPHERE_MPA

CoolProp = Loaded("CoolProp.CoolProp")


def test_compression_of_water() -> None:
    """CRC Handbook of Chemistry and Physics, 45.89e-6 a bar at 20 °C and 1 bar, from memory; CoolProp says the same."""
    pressed = CoolProp.PropsSI("isothermal_compressibility", "T", 293.15, "P", 1e5, "Water")
    assert pressed * 1e5 == pytest.approx(45.89e-6, rel=5e-4)
    assert squeezed_per_mpa(0.101325) == pytest.approx(4.589e-4, rel=2e-3)


@pytest.mark.parametrize(("od_mm", "wall_mm"), [(200.0, 1.0), (100.0, 0.7)])
def test_a_thin_tube_gives_as_boiler_formula_says(od_mm: float, wall_mm: float) -> None:
    """Thin walls: p D/(2 t) round, half of it along; twice one strain and once the other is p D/(t E) (5/4 - v)."""
    assert walls_give_per_mpa(od_mm, wall_mm) == pytest.approx(od_mm / (wall_mm * 117000.0) * (1.25 - 0.34), rel=0.03)


def test_a_bled_test_by_hand() -> None:
    """35 mL at 160 psi, 1.103 MPa; two divisions of 0.2 bar are 0.04 MPa. Rigid and bled: 35 x 4.58e-4 = 0.0160 mL/MPa.

    So 0.00064 mL has to go: at 2 mL/h in 1.15 s. Ten minutes show 0.0038 mL/h. One kelvin is 2.07e-4 / 4.58e-4 =
    0.45 MPa. With 1 % of air: 35 x (0.99 x 4.58e-4 + 0.01 / 1.2044) = 0.3065 mL/MPa, nineteen times as much.
    """
    plan = water_decay(35.0, 1.1032, 0.02, (2.0, 2.0))
    assert plan.gives.low == pytest.approx(0.0160, abs=1e-4)
    assert plan.hold.low == pytest.approx(1.15, abs=0.02)
    assert plan.least_ml_h.low == pytest.approx(0.0038, abs=1e-4)
    assert plan.per_kelvin.high == pytest.approx(0.45, abs=0.01)
    assert plan.gives.high == pytest.approx(0.3065, abs=1e-3)
    assert plan.hold.high == pytest.approx(0.04 * 0.3065 / 2.0 * 3600.0, rel=0.01)


def test_air_alone_is_the_gas_law() -> None:
    """0.1 % air at 0.7 bar gauge: a share of 0.001/(0.07 + 0.101325) gives more than all the water does."""
    plan = water_decay(20.0, 0.07, 0.002, (1.0, 1.0))
    water = squeezed_per_mpa(0.07 + ATMOSPHERE_MPA)
    assert plan.gives.likely - 20.0 * 0.999 * water == pytest.approx(20.0 * 0.001 / 0.171325, rel=1e-6)


def test_refused() -> None:
    with pytest.raises(Refusal, match=r"gauge: got a division of 2 bar for a test at 3 bar, wanted 2 divisions within"):
        water_decay(20.0, 0.3, 0.2, (1.0, 1.0))
    with pytest.raises(Refusal, match="a figure of nought or less"):
        water_decay(20.0, 0.3, 0.02, (0.0, 1.0))
