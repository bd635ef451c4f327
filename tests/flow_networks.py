"""Small random networks of pipes, holes and check valves, for the tests of flows."""

from __future__ import annotations

import numpy as np

from trialfit.errors import Refusal
from trialfit.feed.flow_records import FlowNetwork, FlowWay
from trialfit.feed.flow_solve import solve_flows
from trialfit.finding import Band


def sure(figure: float, unit: str = "-") -> Band:
    """A band without width."""
    return Band(figure, figure, figure, unit)


def random_network(seed: int) -> FlowNetwork:
    """Three to eight places between boiler, tank and open air, joined at random; about half the ways are checks."""
    rng = np.random.default_rng(seed)
    inner = [f"joint {n}" for n in range(int(rng.integers(3, 9)))]
    places = ["boiler", "tank", "air", *inner]
    order = [places[n] for n in rng.permutation(len(places))]
    pairs = [(order[n], order[int(rng.integers(0, n))]) for n in range(1, len(order))]
    for _ in range(int(rng.integers(2, len(inner) + 6))):
        a, b = rng.choice(len(places), 2, replace=False)
        pairs.append((places[a], places[b]))
    ways = []
    for n, pair in enumerate(pairs):
        a, b = pair if rng.random() < 0.5 else pair[::-1]
        hole, check = rng.random() < 0.2, rng.random() < 0.45
        bore_mm = float(rng.uniform(0.2, 0.5) if hole else rng.uniform(1.5, 4.0))
        long_mm = 0.0 if hole else float(rng.uniform(20.0, 800.0))
        opens_mpa = float(rng.choice([0.0, 0.001, 0.01])) if check else 0.0
        k = sure(float(np.exp(rng.uniform(np.log(0.5), np.log(20.0)))))
        ways.append(FlowWay(f"way {n}", a, b, bore_mm, long_mm, k, check=bool(check), opens_mpa=opens_mpa))
    pumped = {place: sure(float(rng.uniform(-300, 300)), "mL/min") for place in inner if rng.random() < 0.25}
    return FlowNetwork(tuple(ways), {"boiler": float(rng.uniform(0.2, 0.8)), "tank": 0.005, "air": 0.0}, pumped)


def networks_that_flow(wanted: int) -> list[FlowNetwork]:
    """The first so many random networks in which no pump is locked or starved."""
    found: list[FlowNetwork] = []
    seed = 0
    while len(found) < wanted:
        network = random_network(seed)
        seed += 1
        try:
            solve_flows(network)
        except Refusal as refusal:
            if "no solution" in str(refusal):
                raise
            continue
        found.append(network)
    return found
