"""Names in the water circuit that refer to others, positions no handle can take, and parts joined to themselves."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations
from typing import Any

from trialfit.job.circuit import BY_THE_AXLE, CAPPED, COCK_PORTS, DRIVES, ENGINE, TWO_WAY
from trialfit.job.found import Found, one_of
from trialfit.job.nearest import did_you_mean
from trialfit.job.places import Path
from trialfit.job.written import listed, table, tables, text

# Directions the plug of a three-way cock is drilled in, and where its body has ports, in quarter turns.
_DRILLED = {"straight": (0, 2), "L": (0, 1), "T": (0, 1, 3)}
_PORT_AT = {"inlet": 0, "left": 1, "right": 3}


def circuit_faults(document: dict[str, Any]) -> list[Found]:
    """Find what in the water circuit refers to nothing, and what no part can do.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a name.
    """
    found = list(_joined_to_itself(document))
    circuit = table(document, "circuit")
    if circuit:
        found += [*_openings(document, circuit), *_handles(document, circuit), *_sources(document, circuit)]
        found += [*_pipes(document, circuit), *_positions(document, circuit)]
    return found


def possible_positions(document: dict[str, Any]) -> dict[str, tuple[str, ...]]:
    """Give every handle and drive with its positions.

    Parameters
    ----------
    document
        As read from TOML, or a job written out plainly.

    Returns
    -------
    dict
        Names of the positions by the name of the handle, the first being how it stands unless something else is said.
    """
    circuit, parts = table(document, "circuit"), tables(document, "parts")
    held: dict[str, tuple[str, ...]] = {}
    for name, part in parts.items():
        if text(part, "kind") in COCK_PORTS:
            written = tuple(table(circuit, "handles", name, "positions")) or tuple(TWO_WAY)
            usual = text(table(circuit, "handles", name), "usual")
            held[name] = tuple(sorted(written, key=lambda each: each != usual))
    for name, source in tables(circuit, "sources").items():
        kind = text(source, "kind") or ""
        if kind in BY_THE_AXLE:
            held[ENGINE] = DRIVES[kind]
        elif kind == "outside pump":
            held[name] = CAPPED if _has_cap(document, text(source, "port") or "") else DRIVES[kind]
        elif kind in DRIVES and not (kind == "injector" and _steam_joined(document, text(source, "part") or name)):
            held[name] = DRIVES[kind]
    return held


def _has_cap(document: dict[str, Any], port: str) -> bool:
    parts = tables(document, "parts")
    others = [text(j, other) or "" for _, j in listed(document, "joints")
              for one, other in (("a", "b"), ("b", "a")) if text(j, one) == port]  # fmt: skip
    return any(text(table(parts, each.rpartition(".")[0]), "kind") == "cap" for each in others)


def _steam_joined(document: dict[str, Any], part: str) -> bool:
    return any(f"{part}.steam" in (text(j, "a"), text(j, "b")) for _, j in listed(document, "joints"))


def _joined_to_itself(document: dict[str, Any]) -> Iterator[Found]:
    for n, joint in listed(document, "joints"):
        a, b = text(joint, "a") or "", text(joint, "b") or ""
        part = a.rpartition(".")[0]
        if part and a != b and part == b.rpartition(".")[0]:
            remedy = "A part cannot be joined to itself: name the port of the part it meets."
            yield Found(("joints", n, "b"), f'"{b}", of {part} again', "a port of another part", remedy)


def _openings(document: dict[str, Any], circuit: dict[str, Any]) -> Iterator[Found]:
    known = [*table(document, "parts"), *table(document, "pipes")]
    for key in ("boiler", "tank", "blanked"):
        for n, name in enumerate(_list(circuit.get(key))):
            if isinstance(name, str) and name not in known and name.rpartition(".")[0] not in known:
                yield _unknown(("circuit", key, n), name, "a part, or a port of a part, that is there", known)
            elif key == "tank" and name in _list(circuit.get("boiler")):
                remedy = "Take it out of one of them."
                yield Found(("circuit", key, n), f'"{name}", which opens into the boiler too', "one of the two", remedy)


def _handles(document: dict[str, Any], circuit: dict[str, Any]) -> Iterator[Found]:
    kinds = {name: text(part, "kind") or "" for name, part in tables(document, "parts").items()}
    cocks = [name for name, kind in kinds.items() if kind in COCK_PORTS]
    for name, kind in kinds.items():
        if kind == "three-way cock" and not table(circuit, "handles", name, "positions"):
            remedy = f'Add [circuit.handles.{name}.positions], such as feed = [["inlet", "left"]].'
            yield Found(
                ("circuit", "handles", name), "nothing", "the positions of a three-way cock", remedy, absent=name
            )
    for name, handle in tables(circuit, "handles").items():
        path: Path = ("circuit", "handles", name)
        if name not in cocks:
            yield _unknown(path, name, "the name of a cock among the parts", cocks)
            continue
        ports = COCK_PORTS[kinds[name]]
        positions = table(handle, "positions")
        for position, groups in positions.items():
            yield from _position((*path, "positions", position), ports, groups, text(handle, "plug"))
        usual = text(handle, "usual")
        if usual is not None and usual not in (positions or TWO_WAY):
            yield _unknown((*path, "usual"), usual, "a position of this handle", list(positions or TWO_WAY))


def _position(path: Path, ports: tuple[str, ...], groups: Any, plug: str | None) -> Iterator[Found]:
    asked: list[set[str]] = []
    for n, group in enumerate(_list(groups)):
        names = [each for each in _list(group) if isinstance(each, str)]
        wrong = [each for each in names if each not in ports]
        for each in wrong:
            yield _unknown((*path, n), each, f"a port of this cock: {', '.join(ports)}", ports)
        if not wrong:
            asked.append(set(names))
    if any(a & b for a, b in combinations(asked, 2)):
        yield Found(path, "one port in two groups", "groups that share no port", "Put them in one group.")
    elif plug in _DRILLED and "left" in ports and not _can_turn_to(plug, asked):
        what = " and ".join("-".join(sorted(group)) for group in asked) or "all shut"
        remedy = "The handle cannot take this position. Blow through the cock in each position and write what passes."
        yield Found(path, f"{what} with a plug drilled {plug}", "ports that one turn of the plug connects", remedy)


def _can_turn_to(plug: str, asked: list[set[str]]) -> bool:
    """Whether some quarter turn, or one between, connects just these ports."""
    if not asked:
        return True
    for turn in range(4):
        at = {(each + turn) % 4 for each in _DRILLED[plug]}
        if asked == [{port for port, where in _PORT_AT.items() if where in at}]:
            return True
    return False


def _sources(document: dict[str, Any], circuit: dict[str, Any]) -> Iterator[Found]:
    kinds = {name: text(part, "kind") or "" for name, part in tables(document, "parts").items()}
    for name, source in tables(circuit, "sources").items():
        path: Path = ("circuit", "sources", name)
        kind = text(source, "kind")
        if "pump" in source:
            yield from _pump_figures(document, circuit, path, source)
        if (name in kinds and kinds[name] in COCK_PORTS) or name == ENGINE:
            yield Found(path, f'the name "{name}"', "a name no handle has", "Rename it.")
        if kind == "outside pump":
            port = text(source, "port")
            if port is None:
                remedy = "Add port = ...: where its hose goes on."
                yield Found((*path, "port"), "nothing", "a port, as part.port", remedy, absent="port")
            elif port.rpartition(".")[0] not in [*kinds, *table(document, "pipes")]:
                yield _unknown((*path, "port"), port, "a port of a part that is there", list(kinds))
        elif kind is not None:
            part = text(source, "part") or name
            wanted = "injector" if kind == "injector" else "pump"
            known = [each for each, its in kinds.items() if its == wanted]
            if part not in known:
                where: Path = (*path, "part") if "part" in source else path
                yield _unknown(where, part, f'the name of a part of kind "{wanted}"', known)


def _pump_figures(
    document: dict[str, Any], circuit: dict[str, Any], path: Path, source: dict[str, Any]
) -> Iterator[Found]:
    """Figures on what has no ram, a pump without a speed, and a suction pipe that is not there."""
    kind, figures = text(source, "kind") or "", table(source, "pump")
    if kind == "injector":
        yield Found((*path, "pump"), "figures of a ram", "a pump", "An injector has no ram: take them out.")
    elif "strokes" not in figures and not (kind in BY_THE_AXLE and "turns" in table(circuit, "use")):
        by_axle = ", or turns = [180, 240, 300] under [circuit.use]" if kind in BY_THE_AXLE else ""
        remedy = f"Add strokes = [180, 240, 300]: delivery strokes a minute{by_axle}."
        yield Found((*path, "pump", "strokes"), "nothing", "how fast it works", remedy, absent="strokes")
    suction = table(figures, "suction")
    pipe, pipes = text(suction, "pipe"), table(document, "pipes")
    if suction and pipe is None and "bore" not in suction:
        remedy = 'Give its bore, for instance bore = "3 mm".'
        yield Found((*path, "pump", "suction", "bore"), "neither", "one of bore and pipe", remedy, absent="bore")
    if pipe is not None and pipe not in pipes:
        wanted = "the name of a pipe to be made, under [pipes]"
        yield _unknown((*path, "pump", "suction", "pipe"), pipe, wanted, pipes)


def _pipes(document: dict[str, Any], circuit: dict[str, Any]) -> Iterator[Found]:
    known = [*table(document, "parts"), *table(document, "pipes")]
    for name in table(circuit, "pipes"):
        if name not in known:
            yield _unknown(("circuit", "pipes", name), name, "the name of a part or pipe that is there", known)


def _positions(document: dict[str, Any], circuit: dict[str, Any]) -> Iterator[Found]:
    known = possible_positions(document)
    places: list[tuple[Path, dict[str, Any]]] = [
        (("circuit", "settings", name), each) for name, each in tables(circuit, "settings").items()
    ]
    places += [(("circuit", "symptoms", n), each) for n, each in listed(circuit, "symptoms")]
    for path, each in places:
        for handle, position in table(each, "positions").items():
            here: Path = (*path, "positions", handle)
            if handle not in known:
                yield _unknown(here, handle, "the name of a handle or drive", list(known))
            elif isinstance(position, str) and position not in known[handle]:
                wanted = f"a position {handle} can take: {', '.join(known[handle])}"
                yield _unknown(here, position, wanted, known[handle])


def _unknown(path: Path, name: str, wanted: str, known: Collection[str]) -> Found:
    return Found(path, f'"{name}"', wanted, did_you_mean(name, known, one_of(known)), absent=name)


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
