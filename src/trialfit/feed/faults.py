"""Every single thing that can go wrong in a circuit.

How often each kind is met is common practice, no source: it only ranks explanations that fit equally well.

Source: docs/methods/feed.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from trialfit.feed.records import Circuit, Piece, spoken

FaultKind = Literal["stuck open", "weeps", "blocked", "cracked", "passes", "left off"]

# Odds against each other, for ranking only: dirt under a ball and scale come first, a cracked pipe last.
ODDS: Mapping[FaultKind, float] = {
    "weeps": 5.0,
    "passes": 4.0,
    "stuck open": 3.0,
    "left off": 2.0,
    "blocked": 2.0,
    "cracked": 1.0,
}


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with one part.

    Parameters
    ----------
    kind
        What is wrong. A check or cock that weeps or passes holds against the tank and not against the boiler.
    name
        Of the way it is in.
    ways
        The ways it changes, by their number in the circuit. [-]
    node
        Where a crack lets out, and air in; None for any other. [-]
    where
        What an owner calls the place; empty where there is nothing to see at it.
    part, piece
        The part that is at fault, and which piece of it.
    """

    kind: FaultKind
    name: str
    ways: tuple[int, ...]
    node: int | None = None
    where: str = ""
    part: str = ""
    piece: Piece = ""

    @property
    def words(self) -> str:
        """The fault as it is said."""
        name = spoken(self.name)
        return {
            "stuck open": f"{name} stuck open",
            "weeps": f"{name} weeps",
            "blocked": f"{name} blocked",
            "cracked": f"{name} cracked or leaking",
            "passes": f"{name} passes when shut",
            "left off": f"{name} left off",
        }[self.kind]


def faults_of(circuit: Circuit) -> tuple[Fault, ...]:
    """List every single fault.

    Parameters
    ----------
    circuit
        The circuit.

    Returns
    -------
    tuple of Fault
        Part by part, in the circuit's order.
    """
    found: list[Fault] = []
    cocks: dict[str, list[int]] = {}
    for n, way in enumerate(circuit.ways):
        if way.kind in ("check", "overflow"):
            found += [
                Fault(kind, way.name, (n,), None, way.where, way.part, way.piece)
                for kind in ("stuck open", "weeps", "blocked")
            ]
        elif way.kind == "pipe":
            found.append(Fault("blocked", way.name, (n,), None, way.where, way.part))
            found.append(Fault("cracked", way.name, (n,), way.a, way.where, way.part))
        elif way.kind == "cock":
            cocks.setdefault(way.name, []).append(n)
        elif way.kind == "cap":
            found.append(Fault("left off", way.name, (n,), None, way.where, way.part))
    for name, ways in cocks.items():
        found += [Fault(kind, name, tuple(ways), None, name, name) for kind in ("passes", "blocked")]
    for source in circuit.sources:
        if source.draws and source.kind != "injector":
            name = f"gland of {source.name}"
            found.append(Fault("cracked", name, (), source.node, name, source.name, "gland"))
    return tuple(found)
