"""Flows with what is uncertain in them: each loss and each pump moved to its low and its high, one after the other.

Source: first order, independent causes, their effects up and down added as squares; docs/methods/flows.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt

from trialfit.feed.flow_records import FlowNetwork, Flows
from trialfit.feed.flow_solve import solve_flows
from trialfit.feed.flow_water import Water
from trialfit.finding import Band


@dataclass(frozen=True)
class FlowBands:
    """What flows where, and how sure that is.

    Parameters
    ----------
    likely
        The flows with every input at its likely figure.
    also
        The flows of each network that was given besides.
    flows
        Flow through each way. [mL/min]
    pressures
        Pressure at each place that is not shut in. [MPa]
    """

    likely: Flows
    also: tuple[Flows, ...]
    flows: Mapping[str, Band]
    pressures: Mapping[str, Band]


def flow_bands(network: FlowNetwork, water: Water | None = None, also: Sequence[FlowNetwork] = ()) -> FlowBands:
    """Find what flows where, with its band.

    Parameters
    ----------
    network
        The network, whose losses and pumps are bands.
    water
        What flows; without it, water of 20 °C.
    also
        The same network with something else of it moved, such as a bore that is assumed: one thing at its low, or its
        high, in each.

    Returns
    -------
    FlowBands
        Likely flows, and a band for each flow and each known pressure.

    Raises
    ------
    Refusal
        As `solve_flows`.
    """
    likely = solve_flows(network, water)
    beside = tuple(solve_flows(each, water) for each in also)
    moved = [*(solve_flows(each, water) for each in _moved(network)), *beside]
    known = [place for place, each in likely.pressures.items() if not each.trapped]

    def band(read: Callable[[Flows], float], unit: str, places: int) -> Band:
        middle = read(likely)
        changes = [read(each) - middle for each in moved]
        down = sqrt(sum(min(each, 0.0) ** 2 for each in changes))
        up = sqrt(sum(max(each, 0.0) ** 2 for each in changes))
        return Band(middle - down, middle, middle + up, unit, places)

    return FlowBands(
        likely,
        beside,
        {way.name: band(lambda found, name=way.name: found.flows[name], "mL/min", 1) for way in network.ways},  # type: ignore[misc]
        {place: band(lambda found, at=place: _pressure(found, likely, at), "MPa", 4) for place in known},  # type: ignore[misc]
    )


def _pressure(found: Flows, likely: Flows, place: str) -> float:
    """Pressure of a place; as it likely is where moving something shuts it in."""
    there = found.pressures[place]
    return likely.pressures[place].low_mpa if there.trapped else there.low_mpa


def _moved(network: FlowNetwork) -> Iterator[FlowNetwork]:
    for n, way in enumerate(network.ways):
        for k in (way.k.low, way.k.high):
            if k != way.k.likely:
                changed = replace(way, k=Band(k, k, k, "-"))
                yield replace(network, ways=(*network.ways[:n], changed, *network.ways[n + 1 :]))
    for place, pumped in network.pumped.items():
        for each in (pumped.low, pumped.high):
            if each != pumped.likely:
                yield replace(network, pumped={**network.pumped, place: Band(each, each, each, "mL/min")})
