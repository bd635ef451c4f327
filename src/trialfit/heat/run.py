"""Heating and cooling in time, and where it stalls.

Source: a Rosenbrock method of second order, L-stable and of that order whatever the Jacobian (Verwer, Spee, Blom and
Hundsdorfer, SIAM J. Sci. Comput. 20 (1999) 1456), with its first-order companion for the step; Newton for the stall.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg.lapack import dpotrf, dpotrs

from trialfit.heat.air import Array, glow_w_m2, still_air_w_m2_k
from trialfit.heat.network import Network

BOILING_C = 100.0
_GAMMA = 1.0 - 0.5**0.5
TOLERANCE_K = 0.8
"""Error allowed in one step; a joint's time is then good to about a part in a thousand. [K]"""
_LONGEST_STEP_S = 20.0
_GRID_K = 4.0
_HOTTEST_C = 2400.0


@dataclass(frozen=True)
class Flame:
    """A flame as the work feels it.

    Parameters
    ----------
    takes_w
        Heat that cold work takes from it. [W]
    flame_c
        Temperature at which work would take no more. [°C]
    emissivity
        Of the work while it is heated. [-]
    """

    takes_w: float
    flame_c: float
    emissivity: float


@dataclass(frozen=True)
class Run:
    """One heat.

    Parameters
    ----------
    times_s
        Shape (m,). [s]
    nodes_c
        Temperatures of the nodes, shape (m, n). [°C]
    reached_s
        When the joint was hot enough; None where it never was. [s]
    out_s
        When the flame was taken away. [s]
    takes_w
        Heat that cold work would take from the flame over the step that ends at each time, shape (m,). [W]
    """

    times_s: Array
    nodes_c: Array
    reached_s: float | None
    out_s: float
    takes_w: Array

    def most_c(self, place: Array) -> float:
        """Highest temperature a place comes to.

        Parameters
        ----------
        place
            Weights of the nodes, shape (n,). [-]

        Returns
        -------
        float
            Temperature. [°C]
        """
        return float(np.max(self.nodes_c @ place))


@dataclass(frozen=True)
class Ledger:
    """Where the heat of a run went.

    Parameters
    ----------
    into_j, air_j, rag_j, kept_j
        Taken from the flame, given to the air, given to wet rags, and still in the metal at the end. [J]
    """

    into_j: float
    air_j: float
    rag_j: float
    kept_j: float


class Losses:
    """What the surfaces of a network lose, looked up on a grid of temperatures.

    Parameters
    ----------
    net
        The network.
    emissivity
        Of its surfaces. [-]
    """

    def __init__(self, net: Network, emissivity: float) -> None:
        sizes, self._size = np.unique(net.size_mm, return_inverse=True)
        self._least = net.air_c - _GRID_K
        grid = np.arange(self._least, _HOTTEST_C, _GRID_K)
        rows = []
        for size in sizes:
            coefficient = still_air_w_m2_k(grid, np.full_like(grid, size), np.array([True]), net.air_c)
            still = coefficient * (grid - net.air_c) + glow_w_m2(grid, emissivity, net.air_c)
            rows.append(still if net.film_w_m2_k is None else net.film_w_m2_k * (grid - net.air_c))
        self._flux = np.array(rows)
        self._slope = np.diff(self._flux, axis=1) / _GRID_K
        self._area = net.area_m2

    def w(self, nodes_c: Array) -> tuple[Array, Array]:
        """Loss of each node and how it grows with the node's temperature.

        Parameters
        ----------
        nodes_c
            Temperatures, shape (..., n). [°C]

        Returns
        -------
        tuple of array
            Loss [W] and growth [W/K], each of shape (..., n).
        """
        at = (nodes_c - self._least) / _GRID_K
        cell = np.clip(at.astype(np.intp), 0, self._slope.shape[1] - 1)
        slope = self._slope[self._size, cell]
        return self._area * (self._flux[self._size, cell] + slope * (at - cell) * _GRID_K), self._area * slope


def stall_c(net: Network, flame: Flame) -> Array:
    """Temperatures at which everything stands still.

    Parameters
    ----------
    net
        The network.
    flame
        The flame.

    Returns
    -------
    array
        Temperatures of the nodes, shape (n,). [°C]
    """
    losses = Losses(net, flame.emissivity)
    nodes = np.full(len(net.heat_j_k), 0.5 * (net.air_c + 600.0))
    for _ in range(60):
        rate, losing = _balance(net, losses, nodes, flame)
        change = np.linalg.solve(losing, rate)
        nodes = np.clip(nodes + np.clip(change, -300.0, 300.0), net.air_c, flame.flame_c)
        if np.max(np.abs(change)) < 1e-3:
            break
    return nodes


def heat(
    net: Network, flame: Flame, joint: Array, needs_c: float,
    hold_s: float = 10.0, longest_s: float = 900.0, after_s: float = 90.0,
    tolerance_k: float = TOLERANCE_K,
) -> Run:  # fmt: skip
    """Heat until a joint is hot enough, keep it so, take the flame away and watch the heat spread.

    Parameters
    ----------
    net
        The network, cold.
    flame
        The flame.
    joint
        Weights of the joint's place, shape (n,). [-]
    needs_c
        How hot it must be. [°C]
    hold_s
        How long it is kept hot, the flame drawn back to just that. [s]
    longest_s
        When to give up. [s]
    after_s
        How long to watch after the flame is gone. [s]
    tolerance_k
        Error allowed in one step, by which the step is chosen. [K]

    Returns
    -------
    Run
        The whole of it.
    """
    track = _Track(net, Losses(net, flame.emissivity), tolerance_k)
    reached = track.go(flame, longest_s, joint, needs_c)
    if reached is not None:
        track.go(_drawn_back(track, flame), hold_s)
    out_s = track.time
    track.go(Flame(0.0, flame.flame_c, flame.emissivity), after_s)
    return Run(np.array(track.times), np.array(track.every), reached, out_s, np.array(track.takes_w))


def ledger(net: Network, run: Run, flame: Flame) -> Ledger:
    """Count where the heat of a run went, by the trapezium rule over its steps.

    Parameters
    ----------
    net
        The network.
    run
        The run.
    flame
        The flame it was run with.

    Returns
    -------
    Ledger
        The four sums.
    """
    long_s = np.diff(run.times_s)
    middle = 0.5 * (run.nodes_c[1:] + run.nodes_c[:-1])
    share = (flame.flame_c - middle) / (flame.flame_c - net.air_c)
    into = run.takes_w[1:] * (share @ net.flame)
    lost = Losses(net, flame.emissivity).w(run.nodes_c)[0].sum(axis=1)
    boiled = np.maximum(run.nodes_c - BOILING_C, 0.0) @ net.rag_w_k
    kept = float(net.heat_j_k @ (run.nodes_c[-1] - run.nodes_c[0]))
    mean = [0.5 * (each[1:] + each[:-1]) for each in (lost, boiled)]
    return Ledger(float(long_s @ into), float(long_s @ mean[0]), float(long_s @ mean[1]), kept)


class _Track:
    """The march through time."""

    def __init__(self, net: Network, losses: Losses, tolerance_k: float) -> None:
        self.tolerance_k = tolerance_k
        self.net, self.losses, self.time = net, losses, 0.0
        self.nodes = np.full(len(net.heat_j_k), net.air_c)
        self.times, self.every, self.takes_w = [0.0], [self.nodes], [0.0]

    def go(self, flame: Flame, long_s: float, joint: Array | None = None, needs_c: float = 0.0) -> float | None:
        """March on; stop when the joint is hot enough, and give the time."""
        end, step = self.time + long_s, min(0.5, long_s)
        rate, losing = _balance(self.net, self.losses, self.nodes, flame)
        while end - self.time > 1e-9:
            step = min(step, end - self.time)
            new, error = self._step(rate, losing, flame, step)
            if error > 2.0 * self.tolerance_k and step > 1e-4:
                step *= max(0.3, 0.8 * (self.tolerance_k / error) ** 0.5)
                continue
            new_rate, new_losing = _balance(self.net, self.losses, new, flame)
            if joint is not None and float(joint @ new) >= needs_c:
                slopes = rate / self.net.heat_j_k, new_rate / self.net.heat_j_k
                ends = tuple(float(joint @ v) for v in (self.nodes, new, *slopes))
                step *= _crossing(ends, step, needs_c)
                self._keep(self._step(rate, losing, flame, step)[0], step, flame)
                return self.time
            self._keep(new, step, flame)
            rate, losing = new_rate, new_losing
            step *= min(2.5, 0.8 * (self.tolerance_k / max(error, 1e-6)) ** 0.5)
            step = min(max(step, 1e-4), _LONGEST_STEP_S)
        return None

    def _step(self, rate: Array, losing: Array, flame: Flame, step: float) -> tuple[Array, float]:
        heat_j_k = self.net.heat_j_k
        matrix = (_GAMMA * step) * losing
        matrix.flat[:: len(heat_j_k) + 1] += heat_j_k
        factor, _ = dpotrf(matrix, lower=1, clean=0, overwrite_a=1)
        one, _ = dpotrs(factor, rate, lower=1)
        again, _ = _balance(self.net, self.losses, self.nodes + step * one, flame, bare=True)
        two, _ = dpotrs(factor, again - 2.0 * heat_j_k * one, lower=1)
        new = self.nodes + step * (1.5 * one + 0.5 * two)
        return new, 0.5 * step * float(np.max(np.abs(one + two)))

    def _keep(self, new: Array, step: float, flame: Flame) -> None:
        self.nodes, self.time = new, self.time + step
        self.times.append(self.time)
        self.every.append(new)
        self.takes_w.append(flame.takes_w)


def _balance(net: Network, losses: Losses, nodes: Array, flame: Flame, bare: bool = False) -> tuple[Array, Array]:
    """Heat each node gains [W], and how each loses more as any grows hotter [W/K]."""
    lost, growth = losses.w(nodes)
    fed = net.flame * (flame.takes_w / (flame.flame_c - net.air_c))
    over = nodes - BOILING_C
    wet = over > 0.0
    rate = fed * (flame.flame_c - nodes) - lost - net.rag_w_k * (over * wet) - net.links_w_k @ nodes
    if bare:
        return rate, net.links_w_k
    losing = net.links_w_k.copy()
    losing.flat[:: len(nodes) + 1] += growth + net.rag_w_k * wet + fed
    return rate, losing


def _crossing(ends: tuple[float, ...], step: float, needs_c: float) -> float:
    """Where in a step the joint was hot enough, on the cubic through both ends and their slopes."""
    a, b, slope_a, slope_b = ends
    low, high = 0.0, 1.0
    for _ in range(30):
        s = 0.5 * (low + high)
        cubic = (
            a * (1 + 2 * s) * (1 - s) ** 2 + b * s * s * (3 - 2 * s)
            + step * s * (1 - s) * (slope_a * (1 - s) - slope_b * s)
        )  # fmt: skip
        low, high = (s, high) if cubic < needs_c else (low, s)
    return high


def _drawn_back(track: _Track, flame: Flame) -> Flame:
    """The flame that just keeps the body it plays on where it is."""
    net, nodes = track.net, track.nodes
    rate, _ = _balance(net, track.losses, nodes, Flame(0.0, flame.flame_c, flame.emissivity), bare=True)
    at = float(net.flame @ nodes)
    takes = -float(net.flame @ rate) * (flame.flame_c - net.air_c) / max(flame.flame_c - at, 1.0)
    return Flame(min(max(takes, 0.0), flame.takes_w), flame.flame_c, flame.emissivity)
