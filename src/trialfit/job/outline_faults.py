"""What can be wrong with tubes and rims, and with the marks on them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Any

from trialfit.job.found import Found
from trialfit.job.nearest import nearest
from trialfit.job.places import Path
from trialfit.job.written import table, tables, text

_PIECE = re.compile(r"(leg|bend)([1-9])")
_FEWEST_ON_EDGE, _FEWEST_ON_RIM = 2, 5


def outline_faults(document: dict[str, Any]) -> list[Found]:
    """Find every reference to nothing, and every outline with too few marks.

    Parameters
    ----------
    document
        As read from TOML; whatever in it is of the wrong kind is passed over.

    Returns
    -------
    list
        One fault a mistake.
    """
    return [*_edges(document), *_rim_marks(document), *_tubes(document), *_rims(document), *_ports(document)]


def axis_names(document: dict[str, Any]) -> list[str]:
    """Name every axis the document has: legs of its tubes, then its rims.

    Parameters
    ----------
    document
        As read from TOML.

    Returns
    -------
    list
        Such as ``feed_pipe.leg1`` and ``bare_bush_rim``.
    """
    legs = [f"{name}.{leg}" for name, tube in tables(document, "tubes").items() for leg in _legs(tube)]
    return [*legs, *tables(document, "rims")]


def _legs(tube: dict[str, Any]) -> list[str]:
    return [piece for piece in _pieces(tube) if piece.startswith("leg")]


def _pieces(tube: dict[str, Any]) -> list[str]:
    bends = tube.get("bends", 0)
    count = bends if type(bends) is int and 0 <= bends <= 8 else 0
    return [f"leg{n}" for n in range(1, count + 2)] + [f"bend{n}" for n in range(1, count + 1)]


def _edges(document: dict[str, Any]) -> Iterator[Found]:
    known = table(document, "tubes")
    for photograph, marked in table(document, "edges").items():
        path: Path = ("edges", photograph)
        yield from _there(path, "photograph", photograph, table(document, "photographs"), "[photographs]")
        for name, pieces in marked.items() if isinstance(marked, dict) else ():
            yield from _there((*path, name), "tube", name, known, "[tubes]")
            has = _pieces(table(known, name))
            for piece, marks in pieces.items() if isinstance(pieces, dict) else ():
                here: Path = (*path, name, piece)
                if name in known and piece not in has:
                    yield _no_such_piece(here, name, piece, has)
                yield from _enough(here, marks, _FEWEST_ON_EDGE, "Mark two places or more along each edge.")


def _rim_marks(document: dict[str, Any]) -> Iterator[Found]:
    for photograph, marked in table(document, "rim_marks").items():
        path: Path = ("rim_marks", photograph)
        yield from _there(path, "photograph", photograph, table(document, "photographs"), "[photographs]")
        for name, marks in marked.items() if isinstance(marked, dict) else ():
            yield from _there((*path, name), "rim", name, table(document, "rims"), "[rims]")
            remedy = "An ellipse takes five: mark more of the rim, or take these out."
            yield from _enough((*path, name), marks, _FEWEST_ON_RIM, remedy)


def _enough(path: Path, marks: Any, fewest: int, remedy: str) -> Iterator[Found]:
    if isinstance(marks, list) and len(marks) < fewest:
        yield Found(path, f"{len(marks)} mark{'s' * (len(marks) != 1)}", f"at least {fewest}", remedy)


def _no_such_piece(path: Path, tube: str, piece: str, has: list[str]) -> Found:
    match = _PIECE.fullmatch(piece)
    near = None if match else nearest(piece, has)
    listing = f"It has {', '.join(has)}; one bend more is one straight length more: bends = ..."
    remedy = f'Did you mean "{near}"?' if near else listing
    return Found(path, f'"{piece}"', f"a straight length or bend that tube {tube} has", remedy)


def _tubes(document: dict[str, Any]) -> Iterator[Found]:
    points = table(document, "points")
    for name, tube in tables(document, "tubes").items():
        path: Path = ("tubes", name)
        legs = _legs(tube)
        for leg, on in table(tube, "on_axis").items():
            if leg not in legs:
                yield _no_such_piece((*path, "on_axis", leg), name, leg, legs)
            yield from _on_axis((*path, "on_axis", leg), on, points)
        yield from _pm(path, tube)
        if "bend_radius" in tube and len(legs) == 1:
            remedy = "Say how many bends it has, or take the radius out."
            yield Found((*path, "bend_radius"), "a bend radius on a straight tube", "bends = 1 or more", remedy)
        yield from _own_names(path, [f"{name}.{leg}" for leg in legs], points)


def _rims(document: dict[str, Any]) -> Iterator[Found]:
    points = table(document, "points")
    taken: dict[str, str] = {}
    for name, rim in tables(document, "rims").items():
        path: Path = ("rims", name)
        centre = text(rim, "centre")
        if centre is not None:
            yield from _there((*path, "centre"), "point", centre, points, "[points]")
            if centre in taken:
                remedy = "Give each rim a point of its own: two edges of one face lie at two heights."
                got = f'"{centre}", the middle of {taken[centre]} too'
                yield Found((*path, "centre"), got, "a point of its own", remedy)
            taken[centre] = name
            on = rim.get("on_axis")
            if isinstance(on, list) and centre in on:
                remedy = "Name a point behind the face, or take it out."
                yield Found((*path, "on_axis"), f'"{centre}", its own middle', "another point", remedy)
        yield from _on_axis((*path, "on_axis"), rim.get("on_axis"), points)
        yield from _pm(path, rim)
        yield from _own_names(path, [name], points)


def _on_axis(path: Path, names: Any, points: Collection[str]) -> Iterator[Found]:
    for place, name in enumerate(names if isinstance(names, list) else ()):
        if isinstance(name, str):
            yield from _there((*path, place), "point", name, points, "[points]")


def _pm(path: Path, entry: dict[str, Any]) -> Iterator[Found]:
    if entry.get("on_axis") and "on_axis_pm" not in entry:
        remedy = 'Add on_axis_pm = "0.3 mm": how far off the middle they may lie, k = 2.'
        yield Found((*path, "on_axis_pm"), "nothing", "a plus-or-minus", remedy, absent="on_axis_pm")


def _own_names(path: Path, names: list[str], points: Collection[str]) -> Iterator[Found]:
    for name in names:
        if name in points:
            yield Found(path, f'the name "{name}", which a point has too', "a name of its own", "Rename one of them.")


def _ports(document: dict[str, Any]) -> Iterator[Found]:
    known = axis_names(document)
    for part, entry in tables(document, "parts").items():
        for port, each in tables(entry, "ports").items():
            path: Path = ("parts", part, "ports", port)
            axis = text(each, "axis_of")
            if axis is not None:
                yield from _there((*path, "axis_of"), "rim, or tube.leg1", axis, known, "[rims] or [tubes]")
                if "axis_from" in each:
                    remedy = "Take one of the two out; points on a rim's axis can be named there, under on_axis."
                    yield Found((*path, "axis_of"), "both axis_from and axis_of", "one direction", remedy)
                if "face" not in each:
                    remedy = "Name the point in the middle of its face: face = ..."
                    yield Found((*path, "face"), "nothing", "a face, as there is an axis_of", remedy, absent="face")
            elif "axis_sense" in each:
                remedy = "Name the rim or the straight length it goes by: axis_of = ..."
                yield Found(
                    (*path, "axis_of"), "nothing", "an axis, as there is an axis_sense", remedy, absent="axis_of"
                )


def _there(path: Path, kind: str, name: str, known: Collection[str], heading: str) -> Iterator[Found]:
    if name not in known:
        near = nearest(name, known)
        listing = f"Name one that is there: {', '.join(known)}." if 0 < len(known) <= 8 else f"Add it under {heading}."
        remedy = f'Did you mean "{near}"?' if near else listing
        yield Found(path, f'"{name}"', f"the name of a {kind} that is there", remedy, absent=name)
