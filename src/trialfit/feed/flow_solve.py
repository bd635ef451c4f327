"""Flows in a network with check valves, by Newton's method.

A check either passes water, or holds and has the greater pressure behind it: its flow and what is still wanting to open
it are both not negative, and one of them is nought. Fischer and Burmeister's function sqrt(a2 + b2) - a - b is nought
just then, so that checks need no trying of open and shut. The flows are eliminated, which leaves one equation a place.

Source: A. Fischer, "A special Newton-type optimization method", Optimization 24, 1992, 269-284; the rest as
`trialfit.feed.flow_friction`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.feed.flow_friction import Losing
from trialfit.feed.flow_records import FlowNetwork, Flows
from trialfit.feed.flow_trapped import place_pressures, refuse_locked
from trialfit.feed.flow_water import Water, water_at

Array = NDArray[np.float64]

# Inside, flow is in mL/s and pressure in bar: then both are near one in a model's feed.
_M3_S = 1e-6
_PA = 1e5
_ML_MIN = 60.0
_BAR_MPA = 0.1
_MOST_STEPS = 200
_CLOSE = 1e-9
# Places shut in between checks have no pressure of their own; this holds them where they stand, and moves nothing else.
_HOLD = 1e-10
_CORNER = sqrt(0.5) - 1.0


@dataclass(frozen=True)
class _Laid:
    """A network with its ways (n) and free places (m) numbered."""

    ways: tuple[Losing, ...]
    check: tuple[bool, ...]
    opens: tuple[float, ...]
    inward: Array
    held: Array
    pumped: Array


def solve_flows(network: FlowNetwork, water: Water | None = None) -> Flows:
    """Find what flows where, with the likely figure of every band.

    Parameters
    ----------
    network
        The network.
    water
        What flows; without it, water of 20 °C.

    Returns
    -------
    Flows
        The one set of flows there is, and the pressures.

    Raises
    ------
    Refusal
        What is pumped in has no way out, or what is drawn has no way in; or no solution was found.

    Valid
    -----
    Steady flow of water at one temperature, no steam and no air in it.
    """
    refuse_locked(network)
    laid = _laid(network, water or water_at())
    flow, pressure, steps = _newton(laid)
    balance = laid.inward @ flow + laid.pumped
    known = dict(zip(network.free, pressure * _BAR_MPA, strict=True)) | dict(network.reservoirs)
    return Flows(
        {way.name: float(each) * _ML_MIN for way, each in zip(network.ways, flow, strict=True)},
        place_pressures(network, flow * _ML_MIN, known),
        steps,
        float(np.abs(balance).max(initial=0.0)) * _ML_MIN,
    )


def _laid(network: FlowNetwork, water: Water) -> _Laid:
    ways, free = network.ways, network.free
    number = {place: n for n, place in enumerate(free)}
    inward = np.zeros((len(free), len(ways)))
    held = np.zeros(len(ways))
    for n, way in enumerate(ways):
        for place, sign in ((way.a, -1.0), (way.b, 1.0)):
            if place in number:
                inward[number[place], n] = sign
            else:
                held[n] -= sign * network.reservoirs[place] / _BAR_MPA

    return _Laid(
        tuple(
            Losing(
                way.bore_mm / 1e3, way.length_mm / 1e3, way.roughness_mm / way.bore_mm, way.k.likely, way.k_slow, water
            )
            for way in ways
        ),
        tuple(way.check for way in ways),
        tuple(way.opens_mpa / _BAR_MPA for way in ways),
        inward,
        held,
        np.array([network.pumped[place].likely / _ML_MIN if place in network.pumped else 0.0 for place in free]),
    )


@dataclass(frozen=True)
class _Point:
    """Where the solution stands, and what is still wrong there."""

    flow: Array
    pressure: Array
    wrong: Array
    by_flow: Array
    by_drop: Array
    balance: Array
    merit: float


def _at(laid: _Laid, flow: Array, pressure: Array) -> _Point:
    drop = laid.held - pressure @ laid.inward
    rows = [
        _opened(*_lost(way, q), opens, d, q) if check else _passed(*_lost(way, q), opens, d)
        for way, check, opens, d, q in zip(
            laid.ways, laid.check, laid.opens, drop.tolist(), flow.tolist(), strict=True
        )
    ]  # fmt: skip
    wrong, by_flow, by_drop = np.array(rows).reshape(-1, 3).T
    balance = laid.inward @ flow + laid.pumped
    return _Point(flow, pressure, wrong, by_flow, by_drop, balance, float(wrong @ wrong + balance @ balance))


def _lost(way: Losing, flow: float) -> tuple[float, float]:
    """Loss [bar] and its slope [bar s/mL]."""
    lost, slope = way.pa(flow * _M3_S)
    return lost / _PA, slope * (_M3_S / _PA)


def _passed(lost: float, slope: float, opens: float, drop: float) -> tuple[float, float, float]:
    """What is wrong with an open way, and how that goes with its flow and its drop."""
    return lost + opens - drop, slope, -1.0


def _opened(lost: float, slope: float, opens: float, drop: float, flow: float) -> tuple[float, float, float]:
    """The same of a check, by Fischer and Burmeister's function."""
    wanting = lost + opens - drop
    root = hypot(flow, wanting)
    by_a, by_b = (flow / root - 1.0, wanting / root - 1.0) if root > 0.0 else (_CORNER, _CORNER)
    return root - flow - wanting, by_a + by_b * slope, -by_b


def _newton(laid: _Laid) -> tuple[Array, Array, int]:
    count = len(laid.pumped)
    middle = float(laid.held @ np.sign(laid.held)) / max(1, int(np.count_nonzero(laid.held)))
    here = _at(laid, np.where(laid.check, 0.1, 0.0), np.full(count, middle))
    for step in range(_MOST_STEPS):
        if np.abs(here.wrong).max(initial=0.0) < _CLOSE and np.abs(here.balance).max(initial=0.0) < _CLOSE:
            return here.flow, here.pressure, step
        weight = here.by_drop / here.by_flow
        free = -here.wrong / here.by_flow
        # A way's flow changes by `free` less its weight times the change of its drop, which is -inward.T @ change.
        matrix = -(laid.inward * weight) @ laid.inward.T
        diagonal = matrix.flat[:: count + 1]
        matrix.flat[:: count + 1] = diagonal + _HOLD * max(1.0, float(np.abs(diagonal).max(initial=1.0)))
        change = np.linalg.solve(matrix, laid.inward @ free + here.balance)
        flow_change = free + weight * (change @ laid.inward)
        there, share = here, 1.0
        for _ in range(30):
            there = _at(laid, here.flow + share * flow_change, here.pressure + share * change)
            if there.merit <= (1.0 - 1e-4 * share) * here.merit:
                break
            share *= 0.5
        here = there
    remedy = "Look for a way whose bore, length or loss is out of all proportion to the others."
    raise Refusal("flows", f"no solution in {_MOST_STEPS} steps", "a network that settles", remedy)
