"""Which places are shut in between checks, what they may hold, and what is pumped with nowhere to go.

Source: logic; docs/methods/flows.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.feed.flow_records import FlowNetwork, PlacePressure

# A flow under this passes through no check: it is what the solution was not driven further down to. [mL/min]
_SHUT_ML_MIN = 1e-6


def refuse_locked(network: FlowNetwork) -> None:
    """Refuse a pump with nothing to push into, or nothing to draw from.

    Parameters
    ----------
    network
        The network.

    Raises
    ------
    Refusal
        With the place, and whether it is locked or starved.
    """
    for place, pumped in network.pumped.items():
        if pumped.likely == 0:
            continue
        onward = pumped.likely > 0
        steps = [(way.a, way.b) if onward else (way.b, way.a) for way in network.ways]
        steps += [end[::-1] for way, end in zip(network.ways, steps, strict=True) if not way.check]
        if not _reached({place}, steps) & set(network.reservoirs):
            word = "pushed in" if onward else "drawn out"
            remedy = (
                "That is a hydraulic lock: something bursts or the drive stops. Open a way out."
                if onward
                else "Nothing feeds it: look for a cock shut or a check the wrong way round."
            )
            got = f"{abs(pumped.likely):.0f} mL/min {word} with no way to a reservoir"
            raise Refusal(f"place {place}", got, "a way", remedy)


def place_pressures(
    network: FlowNetwork, flow_ml_min: NDArray[np.float64], found_mpa: Mapping[str, float]
) -> dict[str, PlacePressure]:
    """Tell known pressures from those that may stand anywhere between two figures.

    Parameters
    ----------
    network
        The network.
    flow_ml_min
        Flow through each way, shape (ways,). [mL/min]
    found_mpa
        Pressure of every place as the solution left it. [MPa]

    Returns
    -------
    dict
        Every place that is no reservoir, by its name.
    """
    through = [
        (way, passing)
        for way, each in zip(network.ways, flow_ml_min, strict=True)
        if (passing := not way.check or each > _SHUT_ML_MIN)
    ]
    both = [(way.a, way.b) for way, _ in through] + [(way.b, way.a) for way, _ in through]
    known = _reached(set(network.reservoirs), both)
    low = {place: found_mpa[place] if place in known else -inf for place in (*network.free, *network.reservoirs)}
    high = {place: found_mpa[place] if place in known else inf for place in low}
    checks = [way for way in network.ways if way.check]
    open_ways = [way for way in network.ways if not way.check and way.a not in known]
    for _ in low:
        for way in checks:
            if way.b not in known:
                low[way.b] = max(low[way.b], low[way.a] - way.opens_mpa)
            if way.a not in known:
                high[way.a] = min(high[way.a], high[way.b] + way.opens_mpa)
        for way in open_ways:
            low[way.a] = low[way.b] = max(low[way.a], low[way.b])
            high[way.a] = high[way.b] = min(high[way.a], high[way.b])
    return {
        place: PlacePressure(place, found_mpa[place], found_mpa[place])
        if place in known
        else PlacePressure(place, low[place], high[place])
        for place in network.free
    }


def _reached(start: set[str], steps: Iterable[tuple[str, str]]) -> set[str]:
    onward: dict[str, list[str]] = {}
    for a, b in steps:
        onward.setdefault(a, []).append(b)
    seen, waiting = set(start), list(start)
    while waiting:
        for place in onward.get(waiting.pop(), ()):
            if place not in seen:
                seen.add(place)
                waiting.append(place)
    return seen
