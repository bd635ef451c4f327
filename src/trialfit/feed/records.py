"""Records of a water circuit: places, ways between them, handles and sources.

Source: the job's parts and joints; docs/methods/feed.md says how one is made of the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from trialfit.job.circuit import SourceKind

# Reservoirs stand where a node's number would; no path leads through one.
BOILER, TANK, AIR = -1, -2, -3
RESERVOIRS: Mapping[int, str] = {BOILER: "boiler", TANK: "tank", AIR: "open air"}

# A piece of a part that has a name of its own; empty for the whole part.
Piece = Literal[
    "", "suction valve", "delivery valve", "water way", "own check", "overflow", "steam cone", "steam", "mouth", "gland"
]
WayKind = Literal["pipe", "check", "cock", "opening", "mouth", "cap", "overflow", "water", "nozzle"]


@dataclass(frozen=True)
class Node:
    """A place where the same water stands whatever is set: joints that open into each other.

    Parameters
    ----------
    name
        What it is called, after the part a person would look for.
    ports
        The ports that meet there, as part.port.
    nuts
        Union nuts there, by their names in the job.
    inside
        Whether it lies in the body of a pump or injector, where no joint can be undone.
    part, port
        The part it is called after, and which port of it; no port where the whole part is one place.
    """

    name: str
    ports: tuple[str, ...]
    nuts: tuple[str, ...] = ()
    inside: bool = False
    part: str = ""
    port: str = ""


@dataclass(frozen=True)
class Way:
    """A way water can go between two places.

    Parameters
    ----------
    name
        What it is called.
    part
        The part it leads through, by its name in the job.
    kind
        What it is. A check, an overflow and a nozzle pass from `a` to `b` only; all others both ways. A mouth, a
        cap and an opening lead to a reservoir; so does a nozzle whose steam pipe is not in the job, and it passes from
        there.
    a, b
        Numbers of the places it joins, or of a reservoir. [-]
    handle
        The handle it is set by, or empty where it stands open always. A cap without a handle is shut.
    passes
        Positions of that handle in which it passes.
    where
        What an owner calls the place when he says what he sees there; empty where there is nothing to see.
    piece
        Which piece of the part it is.
    """

    name: str
    part: str
    kind: WayKind
    a: int
    b: int
    handle: str = ""
    passes: frozenset[str] = frozenset()
    where: str = ""
    piece: Piece = ""

    @property
    def one_way(self) -> bool:
        """Whether it is meant to pass one way only."""
        return self.kind in ("check", "overflow", "nozzle")


@dataclass(frozen=True)
class Source:
    """A pump or an injector.

    Parameters
    ----------
    name
        Its name in the job.
    kind
        What it is.
    node
        The place it drives: the barrel of a pump, the cones of an injector, the mouth an outside pump's hose is on. [-]
    handle, on
        The handle or drive that sets it to work, and in which position; empty for an injector whose steam comes
        through the circuit.
    steam
        Where its steam comes from: a place of the circuit, or None. [-]
    duty
        What it is there to fill.
    """

    name: str
    kind: SourceKind
    node: int
    handle: str
    on: str
    steam: int | None
    duty: Literal["boiler", "tank"]

    @property
    def draws(self) -> bool:
        """Whether it takes its water from the circuit."""
        return self.kind != "outside pump"


@dataclass(frozen=True)
class Circuit:
    """A water circuit.

    Parameters
    ----------
    nodes
        The places; a way names them by their number in this list.
    ways
        The ways between them and to the reservoirs.
    handles
        Every handle and drive with its positions, the usual one first.
    sources
        What moves water.
    aside
        Parts of the job that are not joined to the circuit.
    """

    nodes: tuple[Node, ...]
    ways: tuple[Way, ...]
    handles: Mapping[str, tuple[str, ...]]
    sources: tuple[Source, ...]
    aside: tuple[str, ...] = ()

    def place(self, number: int) -> str:
        """Give a place or reservoir its name."""
        return RESERVOIRS[number] if number < 0 else self.nodes[number].name


def spoken(name: str) -> str:
    """Write a name of the job as it is said.

    Parameters
    ----------
    name
        As written in the job.

    Returns
    -------
    str
        Without underscores.
    """
    return name.replace("_", " ")
