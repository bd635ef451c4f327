"""A water circuit of 28 ways in every setting under every single fault, against networkx asked state by state."""

from __future__ import annotations

from functools import partial

import networkx as nx

from bench.clock import Row, least_ms
from trialfit.feed.diagnosis import Symptom, what_is_wrong
from trialfit.feed.faults import Fault, faults_of
from trialfit.feed.harm import fails
from trialfit.feed.outcome import outcome_of
from trialfit.feed.records import AIR, BOILER, TANK, Circuit, Node, Source, Way
from trialfit.feed.settings import Setting, all_settings, usual
from trialfit.feed.sights import Looked, sights_of


def rows() -> list[Row]:
    """Time all settings times all single faults of one circuit, and a question of what is wrong.

    Returns
    -------
    list of Row
        Ours and networkx on the same states; networkx gives only what pushes in and what relieves.
    """
    circuit = _circuit()
    settings, faults = all_settings(circuit), faults_of(circuit)
    states = [(), *((fault,) for fault in faults)]
    name = f"{len(circuit.ways)} ways, {len(settings)} settings x {len(states)} states"
    seen = [Symptom({**usual(circuit), "engine": "running", "c0": "shut"}, Looked("pump", "feeds the boiler"), False)]

    def whole() -> object:
        return sights_of(circuit, outcome_of(circuit, settings, states))

    return [
        Row(f"{name}: trialfit, pressures and pumps", least_ms(partial(outcome_of, circuit, settings, states))),
        Row(f"{name}: trialfit, and all that is seen", least_ms(whole)),
        Row(f"{name}: trialfit, and all in words", least_ms(partial(fails, circuit, settings[:4]), 2)),
        Row(f"{name}: networkx, pressures only", least_ms(partial(_networkx, circuit, settings, faults), 1)),
        Row("what is wrong, one symptom", least_ms(partial(what_is_wrong, circuit, seen), 3)),
    ]


def _circuit() -> Circuit:
    """A pump and its loop, a rung of pipes and cocks, four checks: 28 ways and 128 settings."""
    ways = [Way("suction", "suction", "pipe", 0, 1, where="suction"), Way("low", "low", "check", 1, 2)]
    ways += [Way("high", "high", "check", 2, 3), Way("clack0", "clack0", "check", 9, 10)]
    ways += [Way("clack1", "clack1", "check", 15, 16)]
    ways += [Way(f"p{n}", f"p{n}", "pipe", n, n + 1, where=f"p{n}") for n in (*range(3, 9), *range(11, 15))]
    cocks = ((4, 0), (5, 11), (6, 12), (7, 13), (8, 14), (15, 17))
    ways += [
        Way(f"c{n}", f"c{n}", "cock", a, b, f"c{n}", frozenset({"open"})) for n, (a, b) in enumerate(cocks)
    ]  # fmt: skip
    ways += [Way("back", "back", "pipe", 17, 18, where="back"), Way("loop", "loop", "pipe", 3, 11, where="loop")]
    ways += [Way("tank", "tank", "opening", 0, TANK), Way("tank2", "tank2", "opening", 18, TANK)]
    ways += [Way("bush", "bush", "opening", n, BOILER) for n in (10, 16)]
    ways.append(Way("hole", "hole", "mouth", 17, AIR, where="hole"))
    handles = {f"c{n}": ("open", "shut") for n in range(len(cocks))} | {"engine": ("standing", "running")}
    source = Source("pump", "axle pump", 2, "engine", "running", None, "boiler")
    return Circuit(tuple(Node(f"n{n}", ()) for n in range(19)), tuple(ways), handles, (source,))


def _networkx(circuit: Circuit, settings: tuple[Setting, ...], faults: tuple[Fault, ...]) -> None:
    for fault in (None, *faults):
        for setting in settings:
            graph: nx.DiGraph[int] = nx.DiGraph()
            graph.add_nodes_from(range(len(circuit.nodes)))
            into: dict[int, list[int]] = {BOILER: [], TANK: [], AIR: []}
            for n, way in enumerate(circuit.ways):
                kind = fault.kind if fault and n in fault.ways else ""
                if kind == "blocked" or (way.handle and setting[way.handle] not in way.passes and kind != "passes"):
                    continue
                if way.b < 0:
                    into[way.b].append(way.a)
                    continue
                graph.add_edge(way.a, way.b)
                if way.kind != "check" or kind in ("stuck open", "weeps"):
                    graph.add_edge(way.b, way.a)
            if fault and fault.node is not None:
                into[AIR].append(fault.node)
            for places in into.values():
                for search in (nx.descendants, nx.ancestors):
                    set().union(*({n} | search(graph, n) for n in places))
