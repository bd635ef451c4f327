"""What an owner sees, hears and feels in every state, at the places he can name.

Source: docs/methods/feed.md; that a way boiler water flows through is felt to be hot is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trialfit.feed.outcome import Outcome
from trialfit.feed.reach import graph_of, reaching, relieved
from trialfit.feed.records import AIR, BOILER, TANK, Circuit, spoken
from trialfit.job.circuit import Sight

TANK_PLACE = "tank"

# Each thing that can be seen, and what is said where it is not.
OPPOSITE: Mapping[Sight, Sight] = {
    "feeds the boiler": "does not feed the boiler",
    "returns to the tank": "does not return to the tank",
    "locks solid": "moves freely",
    "spits air": "runs without air",
    "hot": "cold",
    "wet": "dry",
}
POSITIVE: Mapping[Sight, tuple[Sight, bool]] = {
    **{seen: (seen, True) for seen in OPPOSITE},
    **{other: (seen, False) for seen, other in OPPOSITE.items()},
}


@dataclass(frozen=True, order=True)
class Looked:
    """Something that can be looked at.

    Parameters
    ----------
    where
        The place, as the job names it.
    seen
        What may be seen there.
    """

    where: str
    seen: Sight

    def words(self, is_so: bool) -> str:
        """Say it as it is, or as it is not."""
        return f"{spoken(self.where)} {_verb(self.seen if is_so else OPPOSITE[self.seen])}"


def _verb(seen: Sight) -> str:
    return f"is {seen}" if seen in ("hot", "cold", "wet", "dry") else seen


def sights_of(circuit: Circuit, outcome: Outcome) -> dict[Looked, int]:
    """Give everything there is to see.

    Parameters
    ----------
    circuit
        The circuit.
    outcome
        What happens in every state.

    Returns
    -------
    dict
        The states in which it is seen, by what is looked at.
    """
    found: dict[Looked, int] = {}
    for name, each in outcome.driven.items():
        found[Looked(name, "feeds the boiler")] = each.feeds
        kind = next(source.kind for source in circuit.sources if source.name == name)
        if kind != "injector":
            found[Looked(name, "returns to the tank")] = each.returns
            found[Looked(name, "locks solid")] = each.locks
        if kind not in ("injector", "outside pump"):
            found[Looked(name, "spits air")] = each.air
    found[Looked(TANK_PLACE, "hot")] = into(outcome, TANK, outcome.boiler_weeps)
    _mouths(circuit, outcome, found)
    for n, way in enumerate(circuit.ways):
        if way.kind == "pipe":
            found[Looked(way.where, "hot")] = _flows_hot(circuit, outcome, n)
    return found


def into(outcome: Outcome, reservoir: int, pushed: Sequence[int]) -> int:
    """Give the states in which something that pushes at places gets out into a reservoir.

    Parameters
    ----------
    outcome
        What happens in every state.
    reservoir
        Its number. [-]
    pushed
        By place: the states in which it pushes there.

    Returns
    -------
    int
        The states.
    """
    found = 0
    for place, states in outcome.weeping.exits[reservoir]:
        found |= pushed[place] & states
    return found


def _mouths(circuit: Circuit, outcome: Outcome, found: dict[Looked, int]) -> None:
    """Water and steam at the open mouths, and at every crack there is among the faults."""
    watered = [a | b | c for a, b, c in zip(outcome.tank, outcome.boiler_weeps, _pumped(outcome), strict=True)]
    open_at: dict[str, list[tuple[int, int]]] = {}
    for n, way in enumerate(circuit.ways):
        if way.b == AIR and way.where:
            open_at.setdefault(way.where, []).append((way.a, outcome.passing.on[n]))
    for n, together in enumerate(outcome.states.faults):
        for fault in together:
            if fault.node is not None:
                open_at.setdefault(fault.where, []).append((fault.node, outcome.states.under(n)))
    for where, places in open_at.items():
        wet = hot = 0
        for place, states in places:
            wet |= watered[place] & states
            hot |= outcome.boiler_weeps[place] & states
        found[Looked(where, "wet")] = wet
        if any(way.where == where and way.b == AIR for way in circuit.ways):
            found[Looked(where, "hot")] = hot


def _pumped(outcome: Outcome) -> list[int]:
    total = [0] * len(outcome.tank)
    for each in outcome.driven.values():
        dry = each.starved & ~each.blows
        total = [old | (reached & ~dry) for old, reached in zip(total, each.reached, strict=True)]
    return total


def _flows_hot(circuit: Circuit, outcome: Outcome, n: int) -> int:
    """Whether boiler water goes in at one end of a pipe and away from the other; a dead leg stays cool."""
    way = circuit.ways[n]
    graph = graph_of(circuit, outcome.passing, True, [(n, False)])
    comes = reaching(graph, BOILER)
    goes = relieved(graph, [TANK, AIR])
    there = outcome.passing.on[n] & comes[way.a] & goes[way.b]
    return there | (outcome.passing.back[n] & comes[way.b] & goes[way.a])
