"""Names within the heats of a job that refer to others, and places that lie off a pipe's end."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from fractions import Fraction
from typing import Any

from trialfit.errors import Refusal
from trialfit.job.found import Found
from trialfit.job.nearest import nearest
from trialfit.job.places import Path
from trialfit.job.written import listed, quantity, table, tables, text
from trialfit.tables.gauges import wall_mm


def heating_faults(document: dict[str, Any]) -> list[Found]:
    """Find what in the heats refers to nothing, and what no pipe can do.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a name or place.
    """
    found: list[Found] = []
    for name, entry in tables(document, "heating").items():
        path: Path = ("heating", name)
        found += [*_outer(document, path, entry), *_pipes(path, entry), *_metals(document, path, entry)]
        found += _places(path, entry)
    return found


def _outer(document: dict[str, Any], path: Path, entry: dict[str, Any]) -> Iterator[Found]:
    if not table(entry, "bodies"):
        remedy = f"Add one under [{'.'.join(map(str, path))}.bodies]."
        yield Found((*path, "bodies"), "nothing", "at least one body", remedy, absent="bodies")
    for shared in sorted(set(table(entry, "bodies")) & set(table(entry, "pipes"))):
        yield Found((*path, "pipes", shared), f'"{shared}", which a body is called too', "a name of its own", "Rename.")
    assembly = text(entry, "assembly")
    if assembly is not None:
        yield from _there((*path, "assembly"), "assembly", assembly, table(document, "assemblies"))
    flame_on = text(entry, "flame_on")
    if flame_on is not None:
        yield from _there((*path, "flame_on"), "body or pipe", flame_on, _things(entry))
    for n, thin in listed(entry, "thin"):
        on = text(thin, "on")
        if on is not None:
            yield from _there((*path, "thin", n, "on"), "body or pipe", on, _things(entry))


def _pipes(path: Path, entry: dict[str, Any]) -> Iterator[Found]:
    bodies = table(entry, "bodies")
    for name, pipe in tables(entry, "pipes").items():
        here: Path = (*path, "pipes", name)
        ends = [text(pipe, key) for key in ("start", "end")]
        for key, end in zip(("start", "end"), ends, strict=True):
            if end is not None:
                yield from _there((*here, key), "body", end, bodies)
        if ends[0] is not None and ends[0] == ends[1]:
            yield Found((*here, "end"), f'"{ends[0]}" at both ends', "two different bodies", "Name the other body.")
        if ends == [None, None]:
            yield Found(here, "a pipe with two free ends", "a body at one end", "Add start or end.", absent="start")
        od, written = quantity(pipe.get("od"), "length"), pipe.get("wall")
        if od is None or not isinstance(written, str):
            continue
        try:
            wall = Fraction(wall_mm(written))
        except (Refusal, OverflowError):
            yield Found(
                (*here, "wall"), written or '""', "a length or a wire gauge", 'Write for instance "22 swg" or "0.7 mm".'
            )
            continue
        if not 0 < wall * 2 < od.to("mm"):
            yield Found((*here, "wall"), written, f"less than half of {od}", "Check both and their units.")


def _metals(document: dict[str, Any], path: Path, entry: dict[str, Any]) -> Iterator[Found]:
    """A body or pipe without a metal needs an assembly whose body of that name has one."""
    assembly = table(document, "assemblies", text(entry, "assembly") or "")
    for kind in ("bodies", "pipes"):
        for name, each in tables(entry, kind).items():
            if "metal" not in each and "metal" not in table(assembly, "bodies", name):
                remedy = 'Add its metal, for instance metal = "CW614N".'
                yield Found((*path, kind, name, "metal"), "nothing", "a metal of the tables", remedy, absent="metal")


def _places(path: Path, entry: dict[str, Any]) -> Iterator[Found]:
    spots: list[tuple[Path, dict[str, Any]]] = [((*path, "joint"), table(entry, "joint"))]
    spots += [((*path, "there", name), each) for name, each in tables(entry, "there").items()]
    spots += [((*path, "rags", n), each) for n, each in listed(entry, "rags")]
    if isinstance(entry.get("joint"), str):
        spots.append((path, {"on": entry["joint"]}))
    for here, spot in spots:
        on, along = text(spot, "on"), quantity(spot.get("along"), "length")
        if on is None:
            continue
        yield from _there((*here, "on") if here != path else (*here, "joint"), "body or pipe", on, _things(entry))
        pipe = table(entry, "pipes", on)
        if pipe and "along" not in spot:
            remedy = 'Say how far from its start: along = "30 mm".'
            yield Found((*here, "along"), "nothing", f"a place along {on}", remedy, absent="along")
        long = quantity(pipe.get("long"), "length")
        if along is not None and long is not None and along.to("mm") > long.to("mm"):
            yield Found((*here, "along"), str(along), f"at most {long}, the length of {on}", "Check both.")
        if along is not None and on in table(entry, "bodies"):
            yield Found((*here, "along"), str(along), "nothing: a body is all at one temperature", "Take it out.")


def _things(entry: dict[str, Any]) -> tuple[str, ...]:
    return (*table(entry, "bodies"), *table(entry, "pipes"))


def _there(path: Path, kind: str, name: str, known: Collection[str]) -> Iterator[Found]:
    if name not in known:
        near = nearest(name, known)
        listing = f"Name one that is there: {', '.join(known)}." if known else "There is none yet: add it."
        remedy = f'Did you mean "{near}"?' if near else listing
        yield Found(path, f'"{name}"', f"the name of a {kind} that is there", remedy, absent=name)
