"""A pipe made in two, with one more union between: what comes off then, and how.

The union is a flat-faced one, so that its two halves come apart sideways as well as along. It is put into the middle
of each straight that is long enough, and then moved along it.

Source: how much straight a union takes is a row of ``figures/fit_up.csv``, assumed; its hexagon is taken as large as
that of the pipe's own nuts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from trialfit.fitup.order.loose import Grip, Loose, Phase, Stand, Way
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.fitup.vectors import square_to
from trialfit.parts.placement import Array
from trialfit.parts.solids import Capsule, HalfSpace, Hexagon, farthest_mm
from trialfit.tables.rules import rule

# Without nuts of its own: across flats over the tube's outside diameter (assumed).
_FLATS_OVER_OD = 2.2
_STEP_MM = 5.0


@dataclass(frozen=True, eq=False)
class Parted:
    """A pipe made in two.

    Parameters
    ----------
    stand
        Everything in place, with the pipe's two parts.
    far
        The name of its far part; its near part keeps the pipe's.
    words
        Where the union is, as a clause.
    """

    stand: Stand
    far: str
    words: str


def parted(stand: Stand, name: str) -> Iterator[Parted]:
    """Make a pipe in two, at one place after another.

    Parameters
    ----------
    stand
        Everything in place.
    name
        What comes off.

    Yields
    ------
    Parted
        The middles of its straights first, then places 5, 10 ... mm from them; nothing where it is no pipe to be made.
    """
    pipe, loose = stand.thing(name), stand.named(name)
    if pipe.kind != "pipe" or not loose.ways:
        return
    wants = rule("extra union", "straight").low or 0.0
    places = [
        (abs(off), k, along, off)
        for k, (near, long) in _straights(stand, loose, pipe).items()
        if long >= wants
        for off in _offsets(long - wants)
        for along in [near + long / 2 + off]
    ]
    for _, k, along, off in sorted(places):
        yield _parted(stand, loose, pipe, k, along, _words(pipe, k, off))


def _offsets(spare_mm: float) -> list[float]:
    steps = int(spare_mm / 2 // _STEP_MM)
    return [_STEP_MM * k for k in range(-steps, steps + 1)]


def _straights(stand: Stand, loose: Loose, pipe: Thing) -> dict[int, tuple[float, float]]:
    """Of each straight length, by its place among the pipe's pieces: where its free part begins, and how long it is."""
    legs = [k for k, piece in enumerate(pipe.pieces) if piece.name.startswith("leg")]
    found = {}
    for k in legs:
        start, end = _ends(pipe.pieces[k])
        long = float(np.linalg.norm(end - start))
        near = _taken_mm(stand, loose, pipe, start, (end - start) / max(long, 1e-9)) if k == legs[0] else 0.0
        far = _taken_mm(stand, loose, pipe, end, (start - end) / max(long, 1e-9)) if k == legs[-1] else 0.0
        found[k] = (near, long - near - far)
    return found


def _taken_mm(stand: Stand, loose: Loose, pipe: Thing, end: Array, into: Array) -> float:
    """How much of a straight its end's nut takes up when it is slid back."""
    taken = 0.0
    for name in _at_end(stand, loose, pipe, end):
        slides = max(
            (sum(phase.motion.travel_mm for phase in way.phases if phase.moves == (name,)) for way in loose.ways),
            default=0.0,
        )
        for piece in stand.thing(name).pieces:
            if not isinstance(piece.solid, HalfSpace):
                reach = float((farthest_mm(piece.solid, into[None])[0] - end) @ into)
                taken = max(taken, reach + slides)
    return taken


def _at_end(stand: Stand, loose: Loose, pipe: Thing, end: Array) -> list[str]:
    """What comes off with a pipe and is nearer to one of its ends than to the other."""
    ends = np.array([_ends(pipe.pieces[0])[0], _ends(pipe.pieces[-1])[1]])
    mine = int(np.linalg.norm(ends - end, axis=1).argmin())
    found = []
    for name in loose.things:
        pieces = [each.solid for each in stand.thing(name).pieces if not isinstance(each.solid, HalfSpace)]
        if name != pipe.name and pieces:
            axes = np.vstack([np.eye(3), -np.eye(3)])
            middle = np.mean([farthest_mm(solid, axes).mean(axis=0) for solid in pieces], axis=0)
            if int(np.linalg.norm(ends - middle, axis=1).argmin()) == mine:
                found.append(name)
    return found


def _parted(stand: Stand, loose: Loose, pipe: Thing, k: int, along_mm: float, words: str) -> Parted:
    start, end = _ends(pipe.pieces[k])
    way = (end - start) / np.linalg.norm(end - start)
    cut, rod = start + along_mm * way, pipe.pieces[k].solid
    assert isinstance(rod, Capsule)
    half = (rule("extra union", "straight").low or 0.0) / 2
    flats = _flats_mm(stand, loose, rod.radius_mm)
    towards = square_to(way)
    name, far = pipe.name, f"{pipe.name}'s far part"
    halves = [
        Piece("union", Hexagon(cut - half * way, cut, flats, towards)),
        Piece("union", Hexagon(cut, cut + half * way, flats, towards)),
    ]
    rods = [
        Piece(pipe.pieces[k].name, Capsule(start, cut - rod.radius_mm * way, rod.radius_mm)),
        Piece(pipe.pieces[k].name, Capsule(cut + rod.radius_mm * way, end, rod.radius_mm)),
    ]
    near_thing = replace(pipe, pieces=(*pipe.pieces[:k], rods[0], halves[0]))
    far_thing = replace(pipe, name=far, pieces=(halves[1], rods[1], *pipe.pieces[k + 1 :]))
    last = _at_end(stand, loose, pipe, _ends(pipe.pieces[-1])[1])
    first = [each for each in loose.things if each != name and each not in last]
    both = (
        _half(loose, (name, *first), name, far, _grip(loose, name, cut - half / 2 * way, -way), -way),
        _half(loose, (far, *last), far, name, _grip(loose, far, cut + half / 2 * way, way), way),
    )
    things = [each for one in stand.scene.things for each in ((near_thing, far_thing) if one is pipe else (one,))]
    others = [both_held(each, name, far) for each in stand.loose if each is not loose]
    return Parted(Stand(Scene(tuple(things)), (*both, *others)), far, words)


def both_held(loose: Loose, near: str, far: str) -> Loose:
    """What a pipe had to be off for wants both of its parts off.

    Parameters
    ----------
    loose
        What comes off.
    near, far
        The pipe's two parts.

    Returns
    -------
    Loose
        The same, held by both.
    """
    return replace(loose, held_by=(*loose.held_by, far)) if near in loose.held_by else loose


def _half(loose: Loose, things: tuple[str, ...], name: str, other: str, grip: Grip | None, away: Array) -> Loose:
    """One part, with its ways: its own nuts back, then out by the pipe's ways, away from the other part, or both."""
    ways: list[Way] = []
    for way in loose.ways:
        nuts = tuple(each for each in way.phases[:-1] if set(each.moves) <= set(things))
        last = way.phases[-1].motion
        for out in _outs(last.along, away):
            pull = Motion("pull", last.on_mm, out, last.travel_mm, 0.0)
            ways.append(Way((*nuts, Phase(things, pull, grip, way.phases[-1].basis)), way.sides))
    what = loose.what if name == loose.name else f"the far part of {loose.what}"
    return Loose(name, what, things, tuple(ways), loose.rides, loose.held_by, loose.mates | {other})


def _outs(out: Array, away: Array) -> list[Array]:
    """Ways out that do not drive one half of the union into the other."""
    both = out + away
    ways = [out] if float(out @ away) > -1e-6 else []
    ways += [both / np.linalg.norm(both)] if np.linalg.norm(both) > 1e-6 else []
    return [*ways, away]


def _grip(loose: Loose, thing: str, middle_mm: Array, axis: Array) -> Grip | None:
    """The spanner of the pipe's own nuts on the union."""
    held = next((phase.grip.spanner for way in loose.ways for phase in way.phases if phase.grip), None)
    return None if held is None else Grip(thing, "union", middle_mm, axis, held)


def _flats_mm(stand: Stand, loose: Loose, radius_mm: float) -> float:
    own = [
        piece.solid.flats_mm for name in loose.things for piece in stand.thing(name).pieces
        if isinstance(piece.solid, Hexagon)
    ]  # fmt: skip
    return max(own, default=_FLATS_OVER_OD * 2 * radius_mm)


def _ends(piece: Piece) -> tuple[Array, Array]:
    assert isinstance(piece.solid, Capsule)
    return piece.solid.start_mm, piece.solid.end_mm


def _words(pipe: Thing, k: int, off_mm: float) -> str:
    legs = [n for n, piece in enumerate(pipe.pieces) if piece.name.startswith("leg")]
    number = legs.index(k)
    if len(legs) == 1:
        where = "its length"
    elif number == 0:
        where = "its straight before bend 1"
    elif number == len(legs) - 1:
        where = f"its straight after bend {number}"
    else:
        where = f"its straight between bends {number} and {number + 1}"
    if off_mm == 0:
        return f"in the middle of {where}"
    return f"in {where}, {abs(off_mm):.0f} mm {'on from' if off_mm > 0 else 'before'} its middle"
