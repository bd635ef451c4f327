"""Names that refer to other names: each must be there."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from trialfit.job.found import Found, unknown_name
from trialfit.job.nearest import did_you_mean, nearest
from trialfit.job.places import Path
from trialfit.job.port_faults import no_such_port
from trialfit.job.ports import KINDS
from trialfit.job.written import listed, table, tables, text

_ENDS = ("start", "end")


def reference_faults(document: dict[str, Any]) -> list[Found]:
    """Find every reference to nothing.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a reference.
    """
    return [
        *_names(document),
        *_phones(document),
        *_marks(document),
        *_readings(document),
        *_faces(document),
        *_joints(document),
        *_pipes(document),
        *_old_routes(document),
        *_clockings(document),
        *_fittings(document),
        *_bodies(document),
        *_carried(document),
        *_coming_off(document),
    ]


def _unknown(path: Path, kind: str, name: str, known: Collection[str], heading: str, what: str = "") -> Found:
    otherwise = f"Name one that is there: {', '.join(known)}." if 0 < len(known) <= 8 else f"Add it under {heading}."
    return unknown_name(path, kind, name, known, otherwise, what)


def _names(document: dict[str, Any]) -> Iterator[Found]:
    sections = ("phones", "photographs", "points", "parts", "pipes", "bodies")
    held: list[tuple[Path, Iterable[str]]] = [((key,), table(document, key)) for key in sections]
    held += [(("parts", part, "ports"), table(each, "ports")) for part, each in tables(document, "parts").items()]
    for path, names in held:
        for name in names:
            if not name.strip():
                yield Found((*path, name), "an empty name", "a name", "Give it a name.", what=str(path[-1]))
            elif path[-1] == "ports" and "." in name:
                yield Found(
                    (*path, name),
                    f'"{name}"',
                    "a port's name without a dot",
                    "Leave out the dot: joints say part.port.",
                )
    for pipe in table(document, "pipes"):
        if pipe in table(document, "parts"):
            yield Found(
                ("pipes", pipe), f'the name "{pipe}", which a part has too', "a name of its own", "Rename one of them."
            )


def _phones(document: dict[str, Any]) -> Iterator[Found]:
    phones = table(document, "phones")
    for name, entry in tables(document, "photographs").items():
        phone = text(entry, "phone")
        if phone is not None and phone not in phones:
            yield _unknown(("photographs", name, "phone"), "phone", phone, phones, "[phones]")


def _marks(document: dict[str, Any]) -> Iterator[Found]:
    photographs, points = table(document, "photographs"), table(document, "points")
    for photograph, marks in table(document, "marks").items():
        if photograph not in photographs:
            path: Path = ("marks", photograph)
            yield _unknown(path, "photograph", photograph, photographs, "[photographs]", "marks")
        for point in marks if isinstance(marks, dict) else ():
            if point not in points:
                path = ("marks", photograph, point)
                yield _unknown(path, "point", point, points, "[points]", f"mark on {photograph}")


def _readings(document: dict[str, Any]) -> Iterator[Found]:
    points = table(document, "points")
    for n, reading in listed(document, "readings"):
        between = reading.get("between")
        ends = between if isinstance(between, list) else []
        for place, name in enumerate(ends[:2]):
            if isinstance(name, str) and name not in points:
                yield _unknown(("readings", n, "between", place), "point", name, points, "[points]")
        if len(ends) == 2 and isinstance(ends[0], str) and ends[0] == ends[1]:
            remedy = "Name the other end of what was measured."
            yield Found(("readings", n, "between"), f'"{ends[0]}" twice', "two different points", remedy)


def _faces(document: dict[str, Any]) -> Iterator[Found]:
    points = table(document, "points")
    for part, entry in tables(document, "parts").items():
        for port, each in tables(entry, "ports").items():
            path: Path = ("parts", part, "ports", port)
            face, behind = text(each, "face"), text(each, "axis_from")
            for key, name in (("face", face), ("axis_from", behind)):
                if name is not None and name not in points:
                    yield _unknown((*path, key), "point", name, points, "[points]")
            if face is not None and face == behind:
                remedy = "Name a point further back on the same axis."
                yield Found((*path, "axis_from"), f'"{face}", the face itself', "another point", remedy)
            if behind is not None and "face" not in each:
                remedy = "Name the point in the middle of its face: face = ..."
                yield Found((*path, "face"), "nothing", "a face, as there is an axis_from", remedy, absent="face")


def _joints(document: dict[str, Any]) -> Iterator[Found]:
    for n, joint in listed(document, "joints"):
        a, b = text(joint, "a"), text(joint, "b")
        for key, port in (("a", a), ("b", b)):
            if port is not None:
                yield from _port(("joints", n, key), port, document, pipes_too=True)
        if a is not None and a == b:
            remedy = "Name the port on the other side of the joint."
            yield Found(("joints", n, "b"), f'"{a}" twice', "two different ports", remedy)


def _pipes(document: dict[str, Any]) -> Iterator[Found]:
    for name, entry in tables(document, "pipes").items():
        ports = [text(table(entry, end), "port") for end in _ENDS]
        for end, port in zip(_ENDS, ports, strict=True):
            if port is not None:
                yield from _port(("pipes", name, end, "port"), port, document, pipes_too=False)
        if ports[0] is not None and ports[0] == ports[1]:
            remedy = "Name the port at the other end of the pipe."
            yield Found(("pipes", name, "end", "port"), f'"{ports[0]}" at both ends', "two different ports", remedy)


def _old_routes(document: dict[str, Any]) -> Iterator[Found]:
    tubes = table(document, "tubes")
    for name, entry in tables(document, "pipes").items():
        old = text(entry, "like")
        if old is not None and old not in tubes:
            yield _unknown(("pipes", name, "like"), "tube", old, tubes, "[tubes]")


def _clockings(document: dict[str, Any]) -> Iterator[Found]:
    points = table(document, "points")
    for name, entry in tables(document, "clocking").items():
        axis = entry.get("axis")
        named: list[tuple[tuple[str | int, ...], object]] = [((key,), entry.get(key)) for key in ("arm", "twelve_at")]
        named += [(("axis", place), each) for place, each in enumerate(axis if isinstance(axis, list) else [])]
        for path, point in named:
            if isinstance(point, str) and point not in points:
                yield _unknown(("clocking", name, *path), "point", point, points, "[points]")
        port = text(entry, "port")
        if port is not None:
            yield from _port(("clocking", name, "port"), port, document, pipes_too=False)


def _bodies(document: dict[str, Any]) -> Iterator[Found]:
    points, taken = table(document, "points"), {*table(document, "parts"), *table(document, "pipes")}
    for name, entry in tables(document, "bodies").items():
        named: list[tuple[Path, object]] = [((key,), entry.get(key)) for key in ("seen_from", "start_at", "end_at")]
        for key in ("through", "rim"):
            listing = entry.get(key)
            several = listing if isinstance(listing, list) else []
            named += [((key, place), each) for place, each in enumerate(several)]
            twice = next((each for each in several if several.count(each) > 1), None)
            if isinstance(twice, str):
                remedy = "Name another point of the face."
                yield Found(("bodies", name, key), f'"{twice}" twice', "different points", remedy)
        for path, point in named:
            if isinstance(point, str) and point not in points:
                yield _unknown(("bodies", name, *path), "point", point, points, "[points]")
        if name in taken:
            got = f'the name "{name}", which a part or pipe has too'
            yield Found(("bodies", name), got, "a name of its own", "Rename one of them.")


def _carried(document: dict[str, Any]) -> Iterator[Found]:
    bodies, turned = table(document, "bodies"), table(document, "turned")
    for name, entry in tables(document, "parts").items():
        for key, kind, known in (("on", "body", bodies), ("turned", "turned part", turned)):
            named = text(entry, key)
            if named is not None and named not in known:
                heading = "[bodies]" if key == "on" else "[turned]"
                yield _unknown(("parts", name, key), kind, named, known, heading)


def _fittings(document: dict[str, Any]) -> Iterator[Found]:
    clockings, breaks = table(document, "clocking"), table(document, "breaks")
    things = {**table(document, "parts"), **table(document, "pipes"), **clockings}
    for name, entry in tables(document, "fitting").items():
        if name not in things:
            yield _unknown(("fitting", name), "part, pipe or clocking", name, things, "[parts]")
        for key, known in (("clocking", clockings), ("tail", breaks)):
            named = text(entry, key)
            if named is not None and named not in known:
                kind = "broken tail" if key == "tail" else key
                yield _unknown(("fitting", name, key), kind, named, known, f"[{'breaks' if key == 'tail' else key}]")


def _coming_off(document: dict[str, Any]) -> Iterator[Found]:
    things = {**table(document, "parts"), **table(document, "pipes"), **table(document, "tubes")}
    named: list[tuple[Path, object]] = []
    for name in table(document, "comes_off"):
        if name not in things:
            yield _unknown(("comes_off", name), "part, pipe or tube", name, things, "[parts]")
    order = table(document, "order")
    for key in ("off", "on", "new", "gone", "stays"):
        listing = order.get(key)
        named += [(("order", key, k), each) for k, each in enumerate(listing if isinstance(listing, list) else [])]
    groups = order.get("together")
    for k, group in enumerate(groups if isinstance(groups, list) else []):
        listing = group if isinstance(group, list) else []
        named += [(("order", "together", k, n), each) for n, each in enumerate(listing)]
    for path, written in named:
        if isinstance(written, str) and written not in things:
            yield _unknown(path, "part, pipe or tube", written, things, "[parts]")


def _port(path: Path, written: str, document: dict[str, Any], pipes_too: bool) -> Iterator[Found]:
    parts, pipes = table(document, "parts"), table(document, "pipes") if pipes_too else {}
    part, dot, port = written.rpartition(".")
    if not dot or not part or not port:
        known = [f"{name}.{each}" for name, entry in parts.items() for each in table(entry, "ports")]
        remedy = did_you_mean(written, known, "Put part and port with a dot between.")
        yield Found(path, f'"{written}"', "part.port", remedy)
    elif part in parts:
        yield from _not_of_its_kind(path, table(parts, part), part, port)
    elif part in pipes:
        if port not in _ENDS:
            near = nearest(port, _ENDS) or "start"
            yield Found(path, f'"{written}"', "an end of the pipe, start or end", f'Did you mean "{part}.{near}"?')
    else:
        names = [*parts, *pipes]
        end = nearest(part, names)
        listing = f"The parts are {', '.join(names)}." if 0 < len(names) <= 12 else "Add it under [parts]."
        remedy = f'Did you mean "{end}.{port}"?' if end else listing
        kind = "part or pipe" if pipes_too else "part"
        yield Found(path, f'"{written}"', f"a port of a {kind} that is there", remedy, absent=part)


def _not_of_its_kind(path: Path, entry: dict[str, Any], part: str, port: str) -> Iterator[Found]:
    ports = next((ports for kind, ports in KINDS.items() if kind == entry.get("kind")), ())
    known = [each.name for each in ports]
    # A port that is written in the part itself is complained of there.
    if known and port not in known and port not in table(entry, "ports"):
        fault = no_such_port(part, str(entry["kind"]), port, known).fault
        yield Found(path, f'"{part}.{port}"', fault.wanted, fault.remedy)
