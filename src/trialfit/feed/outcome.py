"""What happens in every state of a circuit: pressures, what the sources do, what is seen.

Source: docs/methods/feed.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trialfit.feed.faults import Fault
from trialfit.feed.reach import Graph, Passing, States, graph_of, passing, reaching, relieved, spread
from trialfit.feed.records import AIR, BOILER, TANK, Circuit, Source
from trialfit.feed.settings import Setting, position_bits


@dataclass(frozen=True)
class Driven:
    """What a source does, each as the states in which it is so.

    Parameters
    ----------
    on
        It is driven.
    feeds
        It draws from the tank, or from outside, and what it sends goes into the boiler and nowhere else.
    returns
        It draws from the tank by one way and sends it back there by another.
    locks
        What it sends has nowhere to go.
    air
        It draws air.
    starved
        It has nothing to draw.
    hot
        Boiler water stands behind it, so that it draws nothing from the tank.
    spills
        It pushes water into the open.
    blows
        An injector that does not pick up: steam blows through it.
    reached
        By place: what it pushes water to.
    """

    on: int
    feeds: int
    returns: int
    locks: int
    air: int
    starved: int
    hot: int
    spills: int
    blows: int
    reached: Sequence[int]


@dataclass(frozen=True)
class Outcome:
    """What happens in every state.

    Parameters
    ----------
    states
        The states.
    passing
        In which of them each way passes.
    graph, weeping
        The arcs, without and with what passes a little.
    boiler, boiler_weeps, tank, air
        By place: where the boiler pushes in, freely and at least a little; where the tank, and the open air.
    to_boiler, to_nothing
        By place: what can push out into the boiler; into the tank or the open.
    driven
        What each source does.
    """

    states: States
    passing: Passing
    graph: Graph
    weeping: Graph
    boiler: Sequence[int]
    boiler_weeps: Sequence[int]
    tank: Sequence[int]
    air: Sequence[int]
    to_boiler: Sequence[int]
    to_nothing: Sequence[int]
    driven: Mapping[str, Driven]


def outcome_of(circuit: Circuit, settings: Sequence[Setting], faults: Sequence[tuple[Fault, ...]] = ((),)) -> Outcome:
    """Work out every setting under every set of faults.

    Parameters
    ----------
    circuit
        The circuit.
    settings
        The settings.
    faults
        The sets of faults; an empty set is the sound circuit.

    Returns
    -------
    Outcome
        One bit a state throughout.
    """
    states = States(tuple(settings), tuple(faults))
    made = passing(circuit, states)
    injectors = {each.name: _injected(circuit, states, made, each) for each in circuit.sources
                 if each.kind == "injector"}  # fmt: skip
    graph, weeping = graph_of(circuit, made, False), graph_of(circuit, made, True)
    boiler, boiler_weeps = reaching(graph, BOILER), reaching(weeping, BOILER)
    tank, air = reaching(graph, TANK), reaching(graph, AIR)
    driven = {
        each.name: injectors.get(each.name)
        or _driven(circuit, states, graph, weeping, each, (boiler, boiler_weeps, tank, air))
        for each in circuit.sources
    }
    return Outcome(
        states, made, graph, weeping, boiler, boiler_weeps, tank, air,
        relieved(graph, [BOILER]), relieved(graph, [TANK, AIR]), driven,
    )  # fmt: skip


def _on(circuit: Circuit, states: States, source: Source) -> int:
    return states.repeat(position_bits(circuit, states.settings)[source.handle, source.on])


def _sent(graph: Graph, node: int, on: int) -> tuple[list[int], dict[int, int]]:
    """Where a source's water gets to, and into which reservoirs."""
    reached = spread(graph.out, [(node, on)])
    into = {r: _any(reached[place] & states for place, states in exits) for r, exits in graph.exits.items()}
    return reached, into


def _driven(
    circuit: Circuit, states: States, graph: Graph, weeping: Graph, source: Source,
    pushed: tuple[Sequence[int], Sequence[int], Sequence[int], Sequence[int]],
) -> Driven:  # fmt: skip
    boiler, boiler_weeps, tank, air = (each[source.node] for each in pushed)
    on = _on(circuit, states, source)
    reached, into = _sent(graph, source.node, on)
    _, leaks = _sent(weeping, source.node, on)
    to_nothing = into[TANK] | into[AIR]
    locks = on & ~to_nothing & ~into[BOILER]
    if source.draws:
        good = tank & ~air & ~boiler
        held = ~boiler_weeps
        from_tank = _by_another_way(graph, source.node, pushed[2])
    else:
        good, held, from_tank = -1, -1, into[TANK]
    # A pump that works against the boiler must not lose by any way that weeps, backwards or to a lower place.
    feeds = on & good & held & into[BOILER] & ~to_nothing & ~leaks[TANK] & ~leaks[AIR]
    draws = on if source.draws else 0
    return Driven(
        on=on,
        feeds=feeds,
        returns=on & good & into[TANK] & from_tank,
        locks=locks,
        air=draws & air,
        starved=draws & ~(tank | air | boiler),
        hot=draws & boiler,
        spills=on & into[AIR],
        blows=0,
        reached=reached,
    )


def _by_another_way(graph: Graph, node: int, tank: Sequence[int]) -> int:
    """States in which water can leave a barrel towards the tank by one way and come from there by another."""
    out = _joined(graph.out[node])
    into = _joined(graph.into[node])
    back = relieved(graph, [TANK])
    leaves = {place: states & back[place] for place, states in out.items()}
    comes = {place: states & tank[place] for place, states in into.items()}
    found = 0
    for a, goes in leaves.items():
        for b, enters in comes.items():
            if a != b:
                found |= goes & enters
    for place, states in graph.entries[TANK]:
        if place == node:
            found |= states & _any(leaves.values())
    for place, states in graph.exits[TANK]:
        if place == node:
            found |= states & _any(comes.values())
    return found


def _injected(circuit: Circuit, states: States, made: Passing, source: Source) -> Driven:
    """What an injector does; the ways of its steam and its overflow are set by it."""
    graph = graph_of(circuit, made, False)
    boiler = reaching(graph, BOILER)
    on = _on(circuit, states, source) if source.steam is None else boiler[source.steam]
    own = [n for n, way in enumerate(circuit.ways) if way.a == source.node or way.b == source.node]
    # The jet draws its water in and shuts the overflow: neither is a way out while it works.
    jet = [(n, circuit.ways[n].kind == "water") for n in own if circuit.ways[n].kind in ("water", "overflow")]
    reached, into = _sent(graph_of(circuit, made, False, jet), source.node, on)
    _, leaks = _sent(graph_of(circuit, made, True, jet), source.node, on)
    tank, air = reaching(graph, TANK)[source.node], reaching(graph, AIR)[source.node]
    lost = into[TANK] | into[AIR] | leaks[TANK] | leaks[AIR]
    feeds = on & tank & ~air & into[BOILER] & ~lost
    for n in own:
        way = circuit.ways[n]
        if way.kind == "overflow":
            made.on[n] &= ~feeds
        elif way.kind == "nozzle" and source.steam is None:
            made.back[n] |= on & ~feeds
        elif way.kind == "nozzle":
            # Open to whatever stands before it: steam that gets past a shut cock, and what is left in the pipe.
            made.on[n] |= states.every & ~feeds
    return Driven(on, feeds, 0, 0, on & air, on & ~tank & ~air, 0, 0, on & ~feeds, [each & feeds for each in reached])


def _joined(arcs: Iterable[tuple[int, int]]) -> dict[int, int]:
    total: dict[int, int] = {}
    for place, states in arcs:
        total[place] = total.get(place, 0) | states
    return total


def _any(each: Iterable[int]) -> int:
    total = 0
    for states in each:
        total |= states
    return total
