"""Names in the parcel that refer to others: each must be there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from trialfit.job.found import Found, unknown_name
from trialfit.job.places import Path
from trialfit.job.written import listed, table, tables, text


def parcel_faults(document: dict[str, Any]) -> list[Found]:
    """Find every reference to nothing in the parcel.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a reference.
    """
    return [*_lines(document), *_out(document)]


def _lines(document: dict[str, Any]) -> Iterator[Found]:
    lines = table(document, "parcel", "lines")
    for name, entry in tables(document, "parcel", "lines").items():
        path: Path = ("parcel", "lines", name)
        for key, kind, known in (
            ("part", "part", table(document, "parts")),
            ("inside", "line of the parcel", lines),
            ("unlike", "line of the parcel", lines),
            ("photograph", "photograph", table(document, "photographs")),
        ):
            named = text(entry, key)
            if named is not None and named not in known:
                yield unknown_name((*path, key), kind, named, known)
            elif named == name and key != "part" and known is lines:
                yield Found((*path, key), f'"{named}" itself', "another line of the parcel", "Name the other one.")
        yield from _in_a_ring(path, name, tables(document, "parcel", "lines"))


def _in_a_ring(path: Path, name: str, lines: dict[str, dict[str, Any]]) -> Iterator[Found]:
    seen, here = [name], text(lines[name], "inside")
    while here is not None and here in lines and here not in seen:
        seen.append(here)
        here = text(lines[here], "inside")
    if here == name and len(seen) > 1:
        chain = " in ".join([*seen, name])
        yield Found((*path, "inside"), chain, "pieces that lie in one another", "Take one of them out of the ring.")


def _out(document: dict[str, Any]) -> Iterator[Found]:
    parcel = table(document, "parcel")
    lines = table(parcel, "lines")
    for n, entry in listed(parcel, "out"):
        piece = text(entry, "piece")
        if piece is not None and piece not in lines:
            yield unknown_name(("parcel", "out", n, "piece"), "line of the parcel", piece, lines)
    made = [f"{kind}.{name}" for kind in ("turned", "pipes") for name in table(document, kind)]
    for name in table(parcel, "joined"):
        if name not in made:
            yield unknown_name(("parcel", "joined", name), "new part", name, made)
    stays = parcel.get("stays")
    for n, name in enumerate(stays if isinstance(stays, list) else []):
        if isinstance(name, str) and name not in made:
            yield unknown_name(("parcel", "stays", n), "new part", name, made)
