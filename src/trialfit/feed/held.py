"""What each joint can hold, now and after a pump has run.

Source: docs/methods/feed.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trialfit.feed.outcome import Outcome
from trialfit.feed.reach import Arcs, spread
from trialfit.feed.records import Circuit


@dataclass(frozen=True)
class Held:
    """What every place can hold in the sound circuit, one bit a setting.

    Parameters
    ----------
    boiler_now
        By place: the boiler pushes in.
    worked
        By place: a pump works it up to the boiler's pressure, or locks on it.
    boiler
        By place: it may hold the boiler's pressure, or has it; a pump may have run, or other settings gone before.
    more
        By place: it may hold more than the boiler: a pump can force it and nothing relieves it.
    trapped
        By place: shut in, so that it keeps what it had.
    no_relief
        By place: nothing at all that it could push out to.
    """

    boiler_now: Sequence[int]
    worked: Sequence[int]
    boiler: Sequence[int]
    more: Sequence[int]
    trapped: Sequence[int]
    no_relief: Sequence[int]


def held_by(circuit: Circuit, outcome: Outcome) -> Held:
    """Say what every place can hold.

    Parameters
    ----------
    circuit
        The circuit.
    outcome
        All its settings, of one set of faults.

    Returns
    -------
    Held
        The highest pressure of every place, whatever settings went before.
    """
    count, every = len(circuit.nodes), outcome.states.every
    to_nothing, to_boiler = outcome.to_nothing, outcome.to_boiler
    no_relief = [every & ~(to_nothing[n] | to_boiler[n]) for n in range(count)]
    trapped = [every & ~to_nothing[n] & ~(outcome.boiler[n] & to_boiler[n]) for n in range(count)]
    worked, more = [0] * count, [0] * count
    for each in outcome.driven.values():
        # What a pump reaches stands at what the pump works against: the boiler, where nothing lower is open to it.
        against = ~_lower(to_nothing, each.reached)
        for n, reached in enumerate(each.reached):
            more[n] |= reached & each.locks
            worked[n] |= reached & against
    more = _kept(outcome.graph.out, more, no_relief, every)
    keeps_boiler = [every & ~to_nothing[n] for n in range(count)]
    boiler = _kept(
        outcome.graph.out,
        [a | b | c for a, b, c in zip(outcome.boiler, worked, more, strict=True)],
        keeps_boiler,
        every,
    )
    return Held(outcome.boiler, worked, boiler, more, trapped, no_relief)


def _lower(relief: Sequence[int], reached: Sequence[int]) -> int:
    """States in which what a pump reaches is open to the tank or the air somewhere."""
    found = 0
    for n, states in enumerate(reached):
        found |= states & relief[n]
    return found


def _kept(arcs: Arcs, had: list[int], keeps: Sequence[int], every: int) -> list[int]:
    """Follow a pressure through later settings: it stays where a place is shut in, and pushes on from there."""
    while True:
        seeds = [(n, (every if states else 0) & keeps[n]) for n, states in enumerate(had)]
        spreads = spread(arcs, seeds)
        new = [old | (states & keeps[n]) for n, (old, states) in enumerate(zip(had, spreads, strict=True))]
        if [bool(each) for each in new] == [bool(each) for each in had]:
            return new
        had = new
