"""Bodies, pipes and what cools them, as nodes that store heat and links that carry it.

Source: finite volumes along each pipe; the constriction where a pipe leaves a body by Cooper, Mikic and Yovanovich,
Int. J. Heat Mass Transfer 12 (1969) 279 (from memory), as held against finite elements in the tests.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, pi

import numpy as np
from numpy.typing import NDArray

from trialfit.tables.metals import Metal

Array = NDArray[np.float64]

_CELL_MM = 3.0
_LEAST_CELLS, _MOST_CELLS = 4, 80


@dataclass(frozen=True)
class Lump:
    """A body whose metal is all at one temperature.

    Parameters
    ----------
    name
        Its name.
    metal
        Its metal.
    mass_kg
        Its mass. [kg]
    across_mm, long_mm
        Diameter and length of the cylinder that has its surface. [mm]
    """

    name: str
    metal: Metal
    mass_kg: float
    across_mm: float
    long_mm: float

    @property
    def area_m2(self) -> float:
        """Surface, ends and all. [m²]"""
        return pi * self.across_mm * (self.long_mm + self.across_mm / 2.0) * 1e-6


@dataclass(frozen=True)
class Pipe:
    """A tube or rod that carries heat along itself.

    Parameters
    ----------
    name
        Its name.
    metal
        Its metal.
    od_mm, bore_mm
        Outside diameter, and bore; 0 for a rod. [mm]
    long_mm
        Its length between the bodies. [mm]
    start, end
        Names of the bodies at its ends; None for a free end.
    """

    name: str
    metal: Metal
    od_mm: float
    bore_mm: float
    long_mm: float
    start: str | None
    end: str | None

    @property
    def section_m2(self) -> float:
        """Metal that carries heat. [m²]"""
        return pi / 4.0 * (self.od_mm**2 - self.bore_mm**2) * 1e-6


@dataclass(frozen=True)
class Sink:
    """A wet rag, or a clamp of so much metal, on a body or on part of a pipe.

    Parameters
    ----------
    on
        Name of the body or pipe.
    middle_mm, long_mm
        Where its middle is from the pipe's start, and how much it covers; of no account on a body. [mm]
    rag_w_m2_k
        Coefficient of a wet rag, whose water boils at 100 °C; 0 for a clamp. [W/(m²·K)]
    clamp_j_k, clamp_w_m2_k
        Heat a clamp stores, and how well it touches; 0 for a rag. [J/K] [W/(m²·K)]
    """

    on: str
    middle_mm: float
    long_mm: float
    rag_w_m2_k: float = 0.0
    clamp_j_k: float = 0.0
    clamp_w_m2_k: float = 0.0


@dataclass(frozen=True)
class Network:
    """Nodes and links.

    Parameters
    ----------
    heat_j_k
        Heat each node stores, shape (n,). [J/K]
    links_w_k
        Conductances: heat leaving each node is this times the temperatures, shape (n, n). [W/K]
    area_m2
        Surface of each node, shape (n,). [m²]
    size_mm
        Size that governs its convection, shape (n,). [mm]
    flame
        Share of the flame each node takes, shape (n,). [-]
    rag_w_k
        Coefficient times area of wet rag, shape (n,). [W/K]
    first
        Node of each body, and first node of each pipe.
    cells
        Nodes of each pipe.
    pipes
        The pipes.
    ends
        For each pipe, what lies between its outer nodes and the joint: the body's node or -1, resistance within the
        body [K/W], resistance within the pipe [K/W].
    air_c
        Temperature of air, room and start. [°C]
    film_w_m2_k
        Coefficient of all surfaces where it is known; None takes still air and glow. [W/(m²·K)]
    """

    heat_j_k: Array
    links_w_k: Array
    area_m2: Array
    size_mm: Array
    flame: Array
    rag_w_k: Array
    first: dict[str, int]
    cells: dict[str, int]
    pipes: dict[str, Pipe]
    ends: dict[str, tuple[tuple[int, float, float], tuple[int, float, float]]]
    air_c: float
    film_w_m2_k: float | None = None

    def place(self, on: str, along_mm: float = 0.0) -> Array:
        """Weights that give the temperature of a place out of the nodes' temperatures.

        Parameters
        ----------
        on
            Body or pipe.
        along_mm
            From the pipe's start; 0 and its whole length are the joints themselves. [mm]

        Returns
        -------
        array
            Weights, shape (n,). [-]
        """
        weights = np.zeros(len(self.heat_j_k))
        if on not in self.pipes:
            weights[self.first[on]] = 1.0
            return weights
        pipe, count, first = self.pipes[on], self.cells[on], self.first[on]
        step = pipe.long_mm / count
        at = min(max(along_mm, 0.0), pipe.long_mm) / step - 0.5
        if at < 0.0 or at > count - 1:
            (body, within, beyond), cell = (
                (self.ends[on][0], first) if at < 0.0 else (self.ends[on][1], first + count - 1)
            )
            near = (-at if at < 0.0 else at - (count - 1)) / 0.5
            share = near * beyond / (within + beyond) if body >= 0 else 0.0
            weights[cell] = 1.0 - share
            if body >= 0:
                weights[body] = share
            return weights
        left = min(int(at), count - 2)
        weights[first + left], weights[first + left + 1] = 1.0 - (at - left), at - left
        return weights


def spreading_k_w(od_mm: float, across_mm: float, conductivity_w_m_k: float) -> float:
    """Resistance of the metal of a body crowding into a pipe that leaves it.

    Parameters
    ----------
    od_mm
        Outside diameter of the pipe. [mm]
    across_mm
        Width of the body round it. [mm]
    conductivity_w_m_k
        Of the body. [W/(m·K)]

    Returns
    -------
    float
        Resistance. [K/W]
    """
    share = min(od_mm / across_mm, 1.0)
    return float((1.0 - share) ** 1.5 / (4.0 * conductivity_w_m_k * od_mm / 2000.0))


def network(
    lumps: Sequence[Lump], pipes: Sequence[Pipe], flame_on: str, sinks: Sequence[Sink] = (), air_c: float = 20.0
) -> Network:
    """Put bodies, pipes and sinks together.

    Parameters
    ----------
    lumps
        The bodies.
    pipes
        The pipes between them.
    flame_on
        Body, or pipe with the flame at its start, that the flame plays on.
    sinks
        Wet rags and clamps.
    air_c
        Temperature of air, room and start. [°C]

    Returns
    -------
    Network
        Ready to be run.
    """
    cells = {pipe.name: _cells(pipe) for pipe in pipes}
    clamps = [sink for sink in sinks if sink.clamp_j_k > 0.0]
    count = len(lumps) + sum(cells.values()) + len(clamps)
    heat, area, flame, rag = (np.zeros(count) for _ in range(4))
    size = np.full(count, 20.0)
    links = np.zeros((count, count))
    first = {lump.name: n for n, lump in enumerate(lumps)}
    by_name = {lump.name: lump for lump in lumps}
    for lump in lumps:
        n = first[lump.name]
        heat[n], area[n], size[n] = lump.mass_kg * lump.metal.heat_j_kg_k, lump.area_m2, lump.across_mm
    next_node = len(lumps)
    ends = {}
    for pipe in pipes:
        first[pipe.name] = at = next_node
        next_node += cells[pipe.name]
        ends[pipe.name] = _lay(pipe, at, cells[pipe.name], by_name, first, (heat, area, size, links))
    for sink in sinks:
        nodes, covered_m2 = _covered(sink, first, cells, {pipe.name: pipe for pipe in pipes}, area)
        if sink.clamp_j_k > 0.0:
            heat[next_node], area[next_node] = sink.clamp_j_k, 1e-9
            for node, part_m2 in zip(nodes, covered_m2, strict=True):
                _link(links, next_node, node, sink.clamp_w_m2_k * part_m2)
            next_node += 1
        for node, part_m2 in zip(nodes, covered_m2, strict=True):
            rag[node] += sink.rag_w_m2_k * part_m2
            area[node] -= part_m2
    flame[first[flame_on]] = 1.0
    area = np.maximum(area, 1e-9)
    return Network(heat, links, area, size, flame, rag, first, cells, {p.name: p for p in pipes}, ends, air_c)


def _cells(pipe: Pipe) -> int:
    return min(max(ceil(pipe.long_mm / _CELL_MM), _LEAST_CELLS), _MOST_CELLS)


def _lay(
    pipe: Pipe, at: int, count: int, lumps: dict[str, Lump], first: dict[str, int],
    arrays: tuple[Array, Array, Array, Array],
) -> tuple[tuple[int, float, float], tuple[int, float, float]]:  # fmt: skip
    """Cut a pipe into cells, link them to each other and to the bodies at its ends."""
    heat, area, size, links = arrays
    step_m = pipe.long_mm / count / 1000.0
    nodes = slice(at, at + count)
    heat[nodes] = pipe.section_m2 * step_m * pipe.metal.density_kg_m3 * pipe.metal.heat_j_kg_k
    area[nodes] = pi * pipe.od_mm / 1000.0 * step_m
    size[nodes] = pipe.od_mm
    half_k_w = step_m / 2.0 / (pipe.metal.conductivity.likely * pipe.section_m2)
    for n in range(at, at + count - 1):
        _link(links, n, n + 1, 0.5 / half_k_w)
    found = []
    for body, cell in ((pipe.start, at), (pipe.end, at + count - 1)):
        if body is None:
            area[cell] += pi / 4.0 * pipe.od_mm**2 * 1e-6
            found.append((-1, 0.0, half_k_w))
            continue
        lump = lumps[body]
        within = spreading_k_w(pipe.od_mm, lump.across_mm, lump.metal.conductivity.likely)
        _link(links, first[body], cell, 1.0 / (within + half_k_w))
        found.append((first[body], within, half_k_w))
    return found[0], found[1]


def _link(links: Array, a: int, b: int, w_k: float) -> None:
    links[a, a] += w_k
    links[b, b] += w_k
    links[a, b] -= w_k
    links[b, a] -= w_k


def _covered(
    sink: Sink, first: dict[str, int], cells: dict[str, int], pipes: dict[str, Pipe], area: Array
) -> tuple[list[int], list[float]]:
    """Nodes a sink covers, with the surface of each that it covers."""
    if sink.on not in pipes:
        return [first[sink.on]], [0.9 * float(area[first[sink.on]])]
    pipe, count = pipes[sink.on], cells[sink.on]
    step = pipe.long_mm / count
    low, high = sink.middle_mm - sink.long_mm / 2.0, sink.middle_mm + sink.long_mm / 2.0
    nodes, parts = [], []
    for n in range(count):
        covered_mm = min(high, (n + 1) * step) - max(low, n * step)
        if covered_mm > 0.0:
            nodes.append(first[sink.on] + n)
            parts.append(pi * pipe.od_mm * covered_mm * 1e-6)
    return nodes, parts
