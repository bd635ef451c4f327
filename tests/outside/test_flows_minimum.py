"""Outside: flows of random networks against scipy's constrained minimum of the same losses.

With checks the flows are the one minimum of the work lost, integral of loss over flow, less what the reservoirs give,
over all flows that keep the balance of every place and pass no check backwards (Millar's content, 1951; convex). The
minimiser knows nothing of pressures at places, of Newton's method on them, or of Fischer and Burmeister's function.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, minimize

from flow_networks import networks_that_flow
from trialfit.feed.flow_friction import Losing
from trialfit.feed.flow_records import FlowNetwork
from trialfit.feed.flow_solve import solve_flows
from trialfit.feed.flow_water import water_at

Array = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_WATER = water_at()
_CLOSE_ML_MIN = 0.1


def _least_work(network: FlowNetwork, ours: Array) -> tuple[Array, bool, float, float]:
    ways = network.ways
    losing = [
        Losing(w.bore_mm / 1e3, w.length_mm / 1e3, w.roughness_mm / w.bore_mm, w.k.likely, w.k_slow, _WATER)
        for w in ways
    ]
    opens = np.array([way.opens_mpa * 10.0 for way in ways])
    given = np.array([10.0 * (network.reservoirs.get(w.a, 0.0) - network.reservoirs.get(w.b, 0.0)) for w in ways])
    balance = np.array([[float(w.b == place) - float(w.a == place) for w in ways] for place in network.free])
    pumped = np.array(
        [network.pumped[place].likely / 60.0 if place in network.pumped else 0.0 for place in network.free]
    )

    def lost_bar(flow_ml_s: Array) -> Array:
        rows = np.atleast_2d(flow_ml_s) * 1e-6
        lost = [[way.pa(q)[0] for way, q in zip(losing, row, strict=True)] for row in rows.tolist()]
        return np.array(lost).reshape(flow_ml_s.shape) / 1e5

    def work(flow: Array) -> tuple[float, Array]:
        content = _WEIGHTS @ lost_bar(0.5 * np.outer(1.0 + _NODES, flow)) * flow * 0.5
        slope = opens - given
        return float(np.sum(content + slope * flow)), lost_bar(flow) + slope

    low = [0.0 if way.check else None for way in ways]
    found = minimize(
        work,
        np.array([0.5 if way.check else 0.0 for way in ways]),
        jac=True,
        method="SLSQP",
        bounds=[(each, None) for each in low],
        constraints=[LinearConstraint(balance, -pumped, -pumped)],
        options={"maxiter": 80, "ftol": 1e-12},
    )
    flow: Array = found.x * 60.0
    amiss = float(np.abs(balance @ found.x + pumped).sum())
    return flow, bool(found.success), work(ours / 60.0)[0] - float(found.fun), amiss


def test_flows_are_the_least_work() -> None:
    """Where the minimiser settles it never finds less work, and finds the same flows.

    What its own balance is amiss [mL/s] buys it work at some thirty bar; sums over 64 points are good to 2e-6.
    """
    settled = []
    for network in [each for each in networks_that_flow(250) if len(each.ways) < 13][:100]:
        ours = np.array(list(solve_flows(network).flows.values()))
        theirs, success, more, amiss = _least_work(network, ours)
        if success:
            assert more < 2e-6 + 30.0 * amiss
            settled.append(float(np.abs(ours - theirs).max()))
    assert len(settled) >= 60
    assert np.median(settled) < 0.01
    # Where the work is flat the minimiser stops early: a flow that hardly costs work is hardly fixed by it.
    assert np.quantile(settled, 0.9) < _CLOSE_ML_MIN
