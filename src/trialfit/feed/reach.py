"""What reaches what, for thousands of states of a circuit at once: each state is one bit of a long number.

A state is a setting together with a set of faults. Bit ``f * S + s`` is setting ``s`` of ``S`` with the faults ``f``.

Source: reachability in a directed graph; that bits stand for states is only for speed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trialfit.feed.faults import Fault
from trialfit.feed.records import AIR, RESERVOIRS, Circuit
from trialfit.feed.settings import Setting, position_bits

Arcs = list[list[tuple[int, int]]]


@dataclass(frozen=True)
class States:
    """Settings times sets of faults.

    Parameters
    ----------
    settings
        The settings.
    faults
        The sets of faults; an empty set is the sound circuit.
    """

    settings: Sequence[Setting]
    faults: Sequence[tuple[Fault, ...]]

    @property
    def every(self) -> int:
        """All states."""
        return (1 << (len(self.settings) * len(self.faults))) - 1

    def repeat(self, settings: int) -> int:
        """Give settings, one bit each, under every set of faults."""
        wide = len(self.settings)
        return settings * (self.every // ((1 << wide) - 1)) if settings else 0

    def under(self, n: int) -> int:
        """Give all settings under one set of faults."""
        return ((1 << len(self.settings)) - 1) << (n * len(self.settings))

    def settings_of(self, states: int, n: int) -> int:
        """Give, of some states, the settings under one set of faults."""
        return (states & self.under(n)) >> (n * len(self.settings))


@dataclass
class Passing:
    """In which states each way passes.

    Parameters
    ----------
    on, back
        From `a` to `b`, and from `b` to `a`, freely.
    weep_on, weep_back
        A little, and only with the boiler's pressure behind it.
    cracks
        Places that are open to the air besides, each with the states.
    """

    on: list[int]
    back: list[int]
    weep_on: list[int]
    weep_back: list[int]
    cracks: list[tuple[int, int]]


def passing(circuit: Circuit, states: States) -> Passing:
    """Say in which states each way passes.

    Parameters
    ----------
    circuit
        The circuit.
    states
        The states.

    Returns
    -------
    Passing
        One number a way. A nozzle passes never: whether it does follows from the pressures.
    """
    bits = position_bits(circuit, states.settings)
    on: list[int] = []
    back: list[int] = []
    for way in circuit.ways:
        if way.kind == "nozzle" or (way.kind == "cap" and not way.handle):
            passes = 0
        elif way.handle:
            passes = states.repeat(sum(bits[way.handle, each] for each in way.passes))
        else:
            passes = states.every
        on.append(passes)
        back.append(0 if way.one_way else passes)
    made = Passing(on, back, [0] * len(on), [0] * len(on), [])
    for n, together in enumerate(states.faults):
        for fault in together:
            _change(made, fault, states.under(n))
    return made


def _change(made: Passing, fault: Fault, under: int) -> None:
    if fault.node is not None:
        made.cracks.append((fault.node, under))
        return
    for way in fault.ways:
        if fault.kind == "blocked":
            made.on[way] &= ~under
            made.back[way] &= ~under
        elif fault.kind == "stuck open":
            made.back[way] |= under
        elif fault.kind == "weeps":
            made.weep_back[way] |= under
        elif fault.kind == "passes":
            made.weep_on[way] |= under
            made.weep_back[way] |= under
        else:
            made.on[way] |= under
            made.back[way] |= under


@dataclass(frozen=True)
class Graph:
    """The ways as arcs between places, and into and out of the reservoirs.

    Parameters
    ----------
    out, into
        By place: the places its water can go to, or come from, with the states. [-]
    entries, exits
        By reservoir: the places it opens into, and those that open into it, with the states.
    """

    out: Arcs
    into: Arcs
    entries: Mapping[int, list[tuple[int, int]]]
    exits: Mapping[int, list[tuple[int, int]]]


def graph_of(circuit: Circuit, made: Passing, weeping: bool, left_out: Iterable[tuple[int, bool]] = ()) -> Graph:
    """Give the arcs of a circuit.

    Parameters
    ----------
    circuit
        The circuit.
    made
        In which states each way passes.
    weeping
        Whether what passes a little is counted.
    left_out
        Ways left out, by number, and whether only backwards.

    Returns
    -------
    Graph
        The arcs.
    """
    count = len(circuit.nodes)
    graph = Graph([[] for _ in range(count)], [[] for _ in range(count)], *({r: [] for r in RESERVOIRS} for _ in "12"))
    gone = dict(left_out)
    for n, way in enumerate(circuit.ways):
        if gone.get(n) is False:
            continue
        on = made.on[n] | (made.weep_on[n] if weeping else 0)
        back = 0 if n in gone else made.back[n] | (made.weep_back[n] if weeping else 0)
        for a, b, states in ((way.a, way.b, on), (way.b, way.a, back)):
            if states:
                _arc(graph, a, b, states)
    for node, states in made.cracks:
        _arc(graph, node, AIR, states)
        _arc(graph, AIR, node, states)
    return graph


def _arc(graph: Graph, a: int, b: int, states: int) -> None:
    if a < 0:
        graph.entries[a].append((b, states))
    elif b < 0:
        graph.exits[b].append((a, states))
    else:
        graph.out[a].append((b, states))
        graph.into[b].append((a, states))


def spread(arcs: Arcs, seeds: Iterable[tuple[int, int]]) -> list[int]:
    """Follow the arcs from some places as far as they lead.

    Parameters
    ----------
    arcs
        By place: where it leads, with the states in which it does.
    seeds
        Places to begin from, with the states in which to begin there.

    Returns
    -------
    list of int
        By place: the states in which it is reached.
    """
    reached = [0] * len(arcs)
    waiting: list[int] = []
    for place, states in seeds:
        if states & ~reached[place]:
            reached[place] |= states
            waiting.append(place)
    while waiting:
        place = waiting.pop()
        here = reached[place]
        for there, states in arcs[place]:
            new = here & states & ~reached[there]
            if new:
                reached[there] |= new
                waiting.append(there)
    return reached


def reaching(graph: Graph, reservoir: int) -> list[int]:
    """Give where a reservoir can push in.

    Parameters
    ----------
    graph
        The arcs.
    reservoir
        Its number. [-]

    Returns
    -------
    list of int
        By place: the states.
    """
    return spread(graph.out, graph.entries[reservoir])


def relieved(graph: Graph, reservoirs: Iterable[int]) -> list[int]:
    """Give what can push out to any of some reservoirs.

    Parameters
    ----------
    graph
        The arcs.
    reservoirs
        Their numbers. [-]

    Returns
    -------
    list of int
        By place: the states.
    """
    return spread(graph.into, [exit_ for each in reservoirs for exit_ in graph.exits[each]])
