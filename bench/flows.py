"""Flows of a feed circuit with check valves, against EPANET through wntr, with what EPANET lets through shut links."""

from __future__ import annotations

import tempfile
import warnings
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import wntr

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
    standing = FlowNetwork(feed.ways, feed.reservoirs, {"pump": sure(0.0, "mL/min")})
    open_ways, drain = _drain()
    run, stand, shut = _epanet(feed), _epanet(standing), _epanet(drain, "cock")
    return [
        Row("feed with a pump, 6 ways: trialfit", least_ms(partial(solve_flows, feed), 50), _through(feed)),
        Row("the same with its bands", least_ms(partial(flow_bands, feed))),
        Row("the same: EPANET through wntr", least_ms(run, 3), f"clack {run()['clack']:.3f} mL/min, K in fast flow"),
        Row(f"random network, {len(largest.ways)} ways: trialfit", least_ms(partial(solve_flows, largest), 50)),
        Row("pump standing, clack shut: trialfit", least_ms(partial(solve_flows, standing), 50), _through(standing)),
        Row("the same: EPANET through wntr", least_ms(stand, 3),
            f"it writes {stand()['clack']:.3f} mL/min at the clack, but {-stand()['feed_pipe']:.3f} come out of it"),
        Row("drain cock shut at 80 psi: trialfit", least_ms(partial(solve_flows, open_ways), 50), "left out: 0 mL/min"),
        Row("the same: EPANET through wntr", least_ms(shut, 3),
            f"it writes {shut()['cock']:.3f} mL/min at the cock, but {shut()['drain']:.3f} run out below it"),
    ]  # fmt: skip


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


def _drain() -> tuple[FlowNetwork, FlowNetwork]:
    """Boiler, cock and drain; as it is shut for us, and with the cock for a program that shuts it itself."""
    pipe, cock, out = (
        FlowWay("pipe", "boiler", "joint", 3.0, 200.0), FlowWay("cock", "joint", "below", 3.0, 10.0),
        FlowWay("drain", "below", "tank", 3.0, 200.0),
    )  # fmt: skip
    held = {"tank": 0.0, "boiler": 0.55}
    return FlowNetwork((pipe, out), held, {}), FlowNetwork((pipe, cock, out), held, {})


def _through(network: FlowNetwork) -> str:
    return f"clack {solve_flows(network).flows['clack']:.3f} mL/min"


def _epanet(network: FlowNetwork, shut: str = "") -> Callable[[], Mapping[str, float]]:
    """A run of EPANET on the same network, which gives the flows it writes. [mL/min]"""
    with warnings.catch_warnings():
        # It warns that roughness is now a length, which it is.
        warnings.simplefilter("ignore")
        model: Any = wntr.network.WaterNetworkModel()
        model.options.hydraulic.headloss = "D-W"
    model.options.hydraulic.inpfile_units = "LPS"
    model.options.hydraulic.accuracy = 1e-5
    for place in network.free:
        drawn = -network.pumped[place].likely / 6e7 if place in network.pumped else 0.0
        model.add_junction(place.replace(" ", "_"), base_demand=drawn)
    for place, mpa in network.reservoirs.items():
        model.add_reservoir(place, base_head=mpa * _M_OF_WATER_PER_MPA)
    for way in network.ways:
        a, b = (end.replace(" ", "_") for end in (way.a, way.b))
        model.add_pipe(
            way.name.replace(" ", "_"), a, b, length=max(way.length_mm, 3.0) / 1e3, diameter=way.bore_mm / 1e3,
            roughness=way.roughness_mm / 1e3, minor_loss=way.k.likely, check_valve=way.check,
            initial_status="CLOSED" if way.name == shut else "OPEN",
        )  # fmt: skip

    def run() -> Mapping[str, float]:
        with tempfile.TemporaryDirectory() as folder:
            found: Any = wntr.sim.EpanetSimulator(model).run_sim(file_prefix=str(Path(folder) / "feed"))
        flows: Mapping[str, float] = (found.link["flowrate"].iloc[0] * 6e7).to_dict()
        return flows

    return run
