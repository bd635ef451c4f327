"""What the water circuit's records say, in the owner's words: places, handles, what happens, what is seen, faults."""

from __future__ import annotations

from collections.abc import Mapping

from trialfit.feed.faults import Fault, FaultKind
from trialfit.feed.records import Circuit, Node, Piece, spoken
from trialfit.feed.report import Does, DoesKind, Level
from trialfit.feed.settings import Setting
from trialfit.feed.sights import TANK_PLACE, Looked
from trialfit.finding import Band
from trialfit.job.circuit import ENGINE, Sight
from trialfit.sheets.words import Words

_DOES: Mapping[DoesKind, str] = {
    "locks": "settings-does-locks",
    "blows": "settings-does-blows",
    "feeds": "settings-does-feeds",
    "returns": "settings-does-returns",
    "air": "settings-does-air",
    "starved": "settings-does-starved",
    "hot": "settings-does-hot",
    "spills": "settings-does-spills",
    "idles": "settings-does-idles",
    "empties": "settings-does-empties",
    "scalds": "settings-does-scalds",
    "runs out": "settings-does-runs-out",
}
# What is seen, and what is said where it is not.
_SEEN: Mapping[Sight, tuple[str, str]] = {
    "feeds the boiler": ("settings-sees-feeds", "settings-sees-feeds-not"),
    "returns to the tank": ("settings-sees-returns", "settings-sees-returns-not"),
    "locks solid": ("settings-sees-locks", "settings-sees-locks-not"),
    "spits air": ("settings-sees-air", "settings-sees-air-not"),
    "hot": ("settings-sees-hot", "settings-sees-hot-not"),
    "wet": ("settings-sees-wet", "settings-sees-wet-not"),
}
_FAULTS: Mapping[FaultKind, str] = {
    "stuck open": "settings-fault-stuck-open",
    "weeps": "settings-fault-weeps",
    "blocked": "settings-fault-blocked",
    "cracked": "settings-fault-cracked",
    "passes": "settings-fault-passes",
    "left off": "settings-fault-left-off",
}
_PIECES: Mapping[Piece, str] = {
    "suction valve": "settings-piece-suction-valve",
    "delivery valve": "settings-piece-delivery-valve",
    "water way": "settings-piece-water-way",
    "own check": "settings-piece-own-check",
    "overflow": "settings-piece-overflow",
    "steam cone": "settings-piece-steam-cone",
    "steam": "settings-piece-steam",
    "mouth": "settings-piece-mouth",
    "gland": "settings-piece-gland",
}
_PORTS: Mapping[str, str] = {
    "inlet": "settings-port-inlet",
    "outlet": "settings-port-outlet",
    "left": "settings-port-left",
    "right": "settings-port-right",
    "start": "settings-port-start",
    "end": "settings-port-end",
    "cap": "settings-port-cap",
    "thread": "settings-port-thread",
    "steam": "settings-piece-steam",
    "water": "settings-port-water",
    "delivery": "settings-port-delivery",
    "overflow": "settings-piece-overflow",
    "branch": "settings-port-branch",
    "run_a": "settings-port-run",
    "run_b": "settings-port-run",
}
# Positions every job may use; one that a job names itself is said as the job names it.
_POSITIONS: Mapping[str, str] = {
    "shut": "settings-at-shut",
    "open": "settings-at-open",
    "standing": "settings-at-standing",
    "running": "settings-at-running",
    "at rest": "settings-at-rest",
    "worked": "settings-at-worked",
    "steam off": "settings-at-steam-off",
    "steam on": "settings-at-steam-on",
    "hose off": "settings-at-hose-off",
    "pumping": "settings-at-pumping",
    "cap on": "settings-at-cap-on",
    "cap off": "settings-at-cap-off",
}
LINE_WORDS: Mapping[Level, str] = {
    "boiler": "settings-line-boiler",
    "may hold boiler": "settings-line-holds",
    "no limit": "settings-line-more",
    "tank": "settings-line-tank",
    "open": "settings-line-open",
}


def setting_said(circuit: Circuit, setting: Setting, words: Words, whole: bool = False) -> str:
    """Say a setting.

    Parameters
    ----------
    circuit
        The circuit.
    setting
        Positions of some handles, or of all.
    words
        The owner's words.
    whole
        Whether handles that stand as usual are named too.

    Returns
    -------
    str
        Such as ``bypass shut, engine running``.
    """
    named = [
        words.say("settings-handle-at", handle=_handle(name, words), position=_position(at, words))
        for name, at in setting.items()
        if whole or at != circuit.handles[name][0]
    ]
    return ", ".join(named) or words.say("settings-all-usual")


def node_said(node: Node, words: Words) -> str:
    """Name a place where joints open into each other.

    Parameters
    ----------
    node
        The place.
    words
        The owner's words.

    Returns
    -------
    str
        Such as ``tee`` or ``inlet of bypass cock``.
    """
    if node.port == "inside":
        return words.say("settings-inside", part=spoken(node.part))
    return _port_said(node.part or node.name, node.port, words)


def place_said(circuit: Circuit, where: str, words: Words) -> str:
    """Name something an owner can look at.

    Parameters
    ----------
    circuit
        The circuit.
    where
        Where it is, as a way, a fault or a sight names it.
    words
        The owner's words.

    Returns
    -------
    str
        A part by its name, or a port or piece of it.
    """
    if where == TANK_PLACE:
        return words.say("settings-tank")
    for way in circuit.ways:
        if way.where == where and where.startswith(f"{way.part}."):
            return _port_said(way.part, where.removeprefix(f"{way.part}."), words)
    glands = {f"gland of {source.name}": source.name for source in circuit.sources}
    return _piece_said(glands[where], "gland", words) if where in glands else spoken(where)


def does_said(circuit: Circuit, does: Does, words: Words) -> str:
    """Say one thing that happens in a setting.

    Parameters
    ----------
    circuit
        The circuit.
    does
        What happens.
    words
        The owner's words.

    Returns
    -------
    str
        A sentence without its stop.
    """
    return words.say(_DOES[does.kind], at=place_said(circuit, does.at, words))


def looked_said(circuit: Circuit, looked: Looked, is_so: bool, words: Words) -> str:
    """Say what is seen.

    Parameters
    ----------
    circuit
        The circuit.
    looked
        What is looked at.
    is_so
        Whether it is so.
    words
        The owner's words.

    Returns
    -------
    str
        A sentence without its stop.
    """
    there, not_there = _SEEN[looked.seen]
    return words.say(there if is_so else not_there, at=place_said(circuit, looked.where, words))


def fault_said(fault: Fault, words: Words) -> str:
    """Say what is wrong with a part.

    Parameters
    ----------
    fault
        The fault.
    words
        The owner's words.

    Returns
    -------
    str
        A sentence without its stop.
    """
    return words.say(_FAULTS[fault.kind], at=_piece_said(fault.part or fault.name, fault.piece, words))


def range_said(band: Band, words: Words) -> str:
    """Write a band as it stands in a sentence, in whole figures.

    Parameters
    ----------
    band
        The band.
    words
        The owner's words.

    Returns
    -------
    str
        Such as ``180 to 300``; one figure where they are alike.
    """
    low, high = words.number(band.low, 0), words.number(band.high, 0)
    return low if low == high else words.say("settings-range", low=low, high=high)


def _handle(name: str, words: Words) -> str:
    return words.say("settings-engine") if name == ENGINE else spoken(name)


def _position(at: str, words: Words) -> str:
    return words.say(_POSITIONS[at]) if at in _POSITIONS else at


def _piece_said(part: str, piece: Piece, words: Words) -> str:
    if not piece:
        return spoken(part)
    return words.say("settings-of", piece=words.say(_PIECES[piece]), part=spoken(part))


def _port_said(part: str, port: str, words: Words) -> str:
    if not port:
        return spoken(part)
    called = words.say(_PORTS[port]) if port in _PORTS else spoken(port)
    return words.say("settings-of", piece=called, part=spoken(part))
