"""Unit: what the flow, pump and test modules refuse, word for word where it matters."""

from __future__ import annotations

import pytest

from flow_networks import sure
from trialfit.errors import Refusal
from trialfit.feed.flow_fittings import together
from trialfit.feed.flow_records import FlowNetwork, FlowWay
from trialfit.feed.flow_solve import solve_flows
from trialfit.feed.flow_water import water_at
from trialfit.feed.pump import RamPump
from trialfit.feed.pump_suction import Suction, suction_limit
from trialfit.strength.leak_decay import decay_plan
from trialfit.strength.test_plan import air_test_mpa


def test_a_pump_with_no_way_out_is_a_lock() -> None:
    """A check from the tank, and nothing after the pump."""
    way = FlowWay("suction", "tank", "barrel", 3.0, check=True)
    with pytest.raises(Refusal, match=r"150 mL/min pushed in with no way to a reservoir.*hydraulic lock"):
        solve_flows(FlowNetwork((way,), {"tank": 0.0}, {"barrel": sure(150.0, "mL/min")}))


def test_no_air_test_above_the_low_limit() -> None:
    assert air_test_mpa() == pytest.approx(0.07)
    with pytest.raises(Refusal, match=r"air test: got 2\.1 bar, wanted at most 0\.7 bar, under water"):
        air_test_mpa(0.2068)


def test_others() -> None:
    with pytest.raises(Refusal, match="at both ends"):
        FlowNetwork((FlowWay("loop", "a", "a", 3.0),), {"tank": 0.0}, {})
    with pytest.raises(Refusal, match="fitting: got elbo"):
        together("elbo")
    with pytest.raises(Refusal, match="Take a gauge of a smaller range"):
        decay_plan(20.0, 0.0, 0.05, 0.1, 0.85)
    with pytest.raises(Refusal, match="to spare at rest"):
        suction_limit(RamPump(9.5, 12.7, sure(200.0)), Suction(3.0, 300.0, sure(5.0)), water_at(99.0))


def test_speed_limit_by_inertia_alone() -> None:
    """By hand, no lift, no fittings, 20 °C: 101.3 - 2.34 - 10 = 89.0 kPa to spare.

    998.2 x 1 m x (10/4)² x 0.005 m x w² = 89.0 kPa gives w = 53.4 /s, 510 a minute; a bore of 4 mm adds next to no
    friction at the start of the stroke, where the inertia is greatest, so the limit is at most that.
    """
    limit = suction_limit(
        RamPump(10.0, 10.0, sure(200.0)), Suction(4.0, 1000.0, sure(0.0), 0.0), water_at()
    ).limit_strokes_min
    assert 0.9 * 510 < limit.likely <= 510.5
