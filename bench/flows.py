"""Flows of a feed circuit with check valves, against EPANET through wntr where that is installed."""

from __future__ import annotations

import importlib.util
import tempfile
from functools import partial
from pathlib import Path
from typing import Any

from bench.clock import Row, least_ms
from flow_networks import networks_that_flow, sure
from trialfit.feed.flow_bands import flow_bands
from trialfit.feed.flow_records import FlowNetwork, FlowWay
from trialfit.feed.flow_solve import solve_flows

_M_OF_WATER_PER_MPA = 101.97


def rows() -> list[Row]:
    """Time one solution, its bands, and the alternative.

    Returns
    -------
    list of Row
        A solution is to stay near 2 ms.
    """
    feed = _feed()
    largest = max(networks_that_flow(40), key=lambda each: len(each.ways))
    held = solve_flows(feed).flows["clack"]
    found = [
        Row("feed with a pump, 6 ways: trialfit", least_ms(partial(solve_flows, feed)), f"clack {held:.6f} mL/min"),
        Row("the same with its bands", least_ms(partial(flow_bands, feed))),
        Row(f"random network, {len(largest.ways)} ways: trialfit", least_ms(partial(solve_flows, largest))),
    ]
    shut = _with_pump(feed, 0.0)
    found.append(Row("pump standing, clack shut", least_ms(partial(solve_flows, shut)), _leaks(shut)))
    if importlib.util.find_spec("wntr") is None:
        return [*found, Row("EPANET through wntr", float("nan"), "wntr is not installed; pip install wntr")]
    return [*found, _epanet(shut)]


def _with_pump(network: FlowNetwork, ml_min: float) -> FlowNetwork:
    return FlowNetwork(network.ways, network.reservoirs, {"pump": sure(ml_min, "mL/min")})


def _feed() -> FlowNetwork:
    ways = (
        FlowWay("suction", "tank", "well", 3.0, 400.0),
        FlowWay("suction ball", "well", "pump", 3.0, check=True),
        FlowWay("delivery ball", "pump", "tee", 3.0, check=True),
        FlowWay("bypass", "tee", "tank", 0.3),
        FlowWay("feed pipe", "tee", "joint", 3.0, 250.0),
        FlowWay("clack", "joint", "boiler", 3.0, check=True),
    )
    return FlowNetwork(ways, {"tank": 0.0, "boiler": 0.55}, {"pump": sure(150.0, "mL/min")})


def _leaks(network: FlowNetwork) -> str:
    return f"{solve_flows(network).flows['clack']:.6f} mL/min through the shut clack"


def _epanet(network: FlowNetwork) -> Row:
    import wntr

    model: Any = wntr.network.WaterNetworkModel()
    model.options.hydraulic.headloss = "D-W"
    model.options.hydraulic.inpfile_units = "LPS"
    for place in network.free:
        model.add_junction(place.replace(" ", "_"))
    for place, mpa in network.reservoirs.items():
        model.add_reservoir(place, base_head=mpa * _M_OF_WATER_PER_MPA)
    for way in network.ways:
        a, b = (end.replace(" ", "_") for end in (way.a, way.b))
        model.add_pipe(
            way.name.replace(" ", "_"), a, b, length=max(way.length_mm, 3.0) / 1e3, diameter=way.bore_mm / 1e3,
            roughness=way.roughness_mm / 1e3, minor_loss=way.k.likely, check_valve=way.check,
        )  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        prefix = str(Path(folder) / "feed")

        def run() -> Any:
            return wntr.sim.EpanetSimulator(model).run_sim(file_prefix=prefix)

        flow = float(run().link["flowrate"]["clack"].iloc[0]) * 6e7
        return Row("the same: EPANET through wntr", least_ms(run, 3), f"{flow:.6f} mL/min through the shut clack")
