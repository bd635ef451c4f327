"""Things that stand into each other where they are said to be at rest.

What is joined is meant to be one inside the other: a tail in its bush, a cone under its nut, a pipe in its socket. So
of two joined parts it is asked whether they are clear of each other once one is drawn out again by as much as the joint
hides; what shares one port is not asked about; nor is a part and the body that carries it.

Source: `trialfit.fitup.apart`; `docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from itertools import combinations
from math import pi, sqrt

import numpy as np

from trialfit.finding import Basis
from trialfit.fitup.apart import near, sunk_mm
from trialfit.fitup.records import Array
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.fitup.vectors import cross_matrix, turned
from trialfit.job.records import Job
from trialfit.parts.envelope import Envelope
from trialfit.parts.made_up import MadeUp
from trialfit.parts.placement import Placement
from trialfit.parts.solids import Box, HalfSpace, placed

# Faces that touch are no overlap; nor is a burr.
_TOUCHING_MM = 0.1
# Whether something stands into another whichever way round it is, is tried at so many.
_ROLLS = 12


@dataclass(frozen=True)
class Overlap:
    """Two things in one another's room.

    Parameters
    ----------
    one, other
        The two things.
    piece, other_piece
        The pieces of each that are deepest in one another.
    depth_mm
        How far one would have to be moved to come clear. [mm]
    k2_mm
        Two standard deviations of that, from where the two are said to be. [mm]
    assumed
        Whether the envelope of one of them is assumed.
    joined
        Whether the two are joined, and this is more than their joint explains.
    body
        The one of the two that is a body of the engine; it comes second. Empty where neither is.
    any_way
        Those of the two of which nothing says which way they point, and that stand into the other only some ways round.
    figures
        Where the job says how large the two pieces are.
    """

    one: str
    other: str
    piece: str
    other_piece: str
    depth_mm: float
    k2_mm: float
    assumed: bool
    joined: bool
    body: str = ""
    any_way: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()

    @property
    def is_sure(self) -> bool:
        """Whether it is more than what is not known."""
        return self.depth_mm > self.k2_mm and not self.assumed and not self.any_way


def overlaps(
    job: Job,
    scene: Scene,
    joints: Sequence[MadeUp],
    envelopes: Mapping[str, Envelope],
    among: Set[str] | None = None,
) -> tuple[Overlap, ...]:
    """Find everything that stands into something else.

    Parameters
    ----------
    job
        The job document.
    scene
        Everything in its place.
    joints
        The joints between parts, made up.
    envelopes
        The parts' envelopes, by name.
    among
        Only pairs with one of these things; None for all.

    Returns
    -------
    tuple of Overlap
        The deepest first, one a pair of things; old pipes are left out, since they come off. Of a part of which nothing
        says which way it points, what stands off its axis counts all round, where nothing else of the two overlaps.
    """
    found = []
    for one, other in combinations([each for each in scene.things if each.kind != "old pipe"], 2):
        if one.kind == other.kind == "engine" or (among is not None and among.isdisjoint((one.name, other.name))):
            continue
        asked = _asked(job, one, other, joints, envelopes)
        if asked is None:
            continue
        (pieces, others), joined = asked
        worst = _worst(_settled(pieces), _settled(others))
        if worst is None and (worst := _worst(pieces, others)) is not None:
            worst = _every_way(job, one, other, joints, envelopes) or worst
        if worst is not None:
            assumed = any(_is_assumed(each.name, envelopes) for each in (one, other))
            k2 = float(np.hypot(_k2_mm(one, worst[0]), _k2_mm(other, worst[1])))
            named = _named(one, other, worst, k2, assumed, joined)
            pairs = ((named.one, named.piece), (named.other, named.other_piece))
            found.append(replace(named, figures=tuple(_figure_of(job, *pair, envelopes) for pair in pairs)))
    return tuple(sorted(found, key=lambda each: -each.depth_mm))


def _named(
    one: Thing, other: Thing, worst: tuple[Piece, Piece, float], k2_mm: float, assumed: bool, joined: bool
) -> Overlap:
    """The overlap with what stands on the engine named before what the engine is."""
    if one.kind == "engine":
        one, other, worst = other, one, (worst[1], worst[0], worst[2])
    body = other.name if other.kind == "engine" else ""
    any_way = tuple(thing.name for thing, piece in ((one, worst[0]), (other, worst[1])) if piece.all_round)
    return Overlap(one.name, other.name, worst[0].name, worst[1].name, worst[2], k2_mm, assumed, joined, body, any_way)


def _every_way(
    job: Job, one: Thing, other: Thing, joints: Sequence[MadeUp], envelopes: Mapping[str, Envelope]
) -> tuple[Piece, Piece, float] | None:
    """What two things stand into each other by whichever way round one of them stands; None where some way is clear."""
    turning = [thing for thing in (one, other) if thing.pivots and not _is_round(thing, envelopes)]
    if len(turning) != 1 or len(turning[0].pivots) != 1 or turning[0].pivots[0].axis is None:
        return None
    least: tuple[Piece, Piece, float] | None = None
    for k in range(_ROLLS):
        here, there = (
            _rolled(thing, 2 * pi * k / _ROLLS) if thing is turning[0] else thing for thing in (one, other)
        )  # fmt: skip
        asked = _asked(job, here, there, joints, envelopes)
        worst = _worst(*asked[0]) if asked is not None else None
        if worst is None:
            return None
        least = worst if least is None or worst[2] < least[2] else least
    return least


def _rolled(thing: Thing, angle_rad: float) -> Thing:
    """A thing turned about what it may be turned about, as if it stood so."""
    pivot = thing.pivots[0]
    if pivot.axis is None or thing.placement is None:
        return thing
    spin = np.column_stack([turned(column, pivot.axis, angle_rad) for column in np.eye(3)])
    roll = Placement("job", "job", spin, pivot.on_mm - spin @ pivot.on_mm)
    pieces = tuple(Piece(piece.name, placed(piece.solid, roll)) for piece in thing.pieces)
    return replace(thing, pieces=pieces, placement=thing.placement.then(roll), pivots=(), settled=None)


def _figure_of(job: Job, name: str, piece: str, envelopes: Mapping[str, Envelope]) -> str:
    """Where the job says how large a piece is."""
    if name in job.bodies:
        return f"[bodies.{name}]"
    if name in job.pipes:
        return f"[pipes.{name}]"
    entry = job.parts[name]
    if entry.envelope:
        return f"{piece} under [parts.{name}.envelope]"
    is_turned = entry.turned is not None and not _is_assumed(name, envelopes)
    return f"[turned.{entry.turned}]" if is_turned else f"{name}, which nobody measured"


def _settled(pieces: Sequence[Piece]) -> list[Piece]:
    """Those of which it is known where they are."""
    return [piece for piece in pieces if not piece.all_round]


def _room(thing: Thing, envelopes: Mapping[str, Envelope]) -> tuple[Piece, ...]:
    """What a thing may take up; the corners of what is round are not made more of than its flats."""
    return thing.pieces if _is_round(thing, envelopes) else thing.room


def _is_round(thing: Thing, envelopes: Mapping[str, Envelope]) -> bool:
    """Whether what it may be turned about is its own axis, and it is the same all round that."""
    return thing.name in envelopes and envelopes[thing.name].is_round and len(thing.pivots) < 2


_Pieces = tuple[tuple[Piece, ...], tuple[Piece, ...]]


def _asked(
    job: Job, one: Thing, other: Thing, joints: Sequence[MadeUp], envelopes: Mapping[str, Envelope]
) -> tuple[_Pieces, bool] | None:
    """The pieces of two things that have to be clear of each other; None where one is meant to be inside the other."""
    for pipe, thing in ((one, other), (other, one)):
        if pipe.kind == "pipe":
            kept = _free_of(job, pipe, thing.name)
            room = _room(thing, envelopes)
            return ((kept, room) if pipe is one else (room, kept)), False
    for part, body in ((one, other), (other, one)):
        if body.kind == "engine":
            entry = job.parts[part.name]
            if entry.on == body.name:
                return None
            carried = [made for made in joints if part.name in made.parts and _carrier(job, made, part.name, body.name)]
            drawn = _drawn_out(part, carried[0], envelopes) if carried else _room(part, envelopes)
            return ((drawn, body.pieces) if part is one else (body.pieces, drawn)), bool(carried)
    if _share_a_port(one.name, other.name, joints):
        return None
    made = next((each for each in joints if set(each.parts) == {one.name, other.name}), None)
    if made is None:
        return (_room(one, envelopes), _room(other, envelopes)), False
    return None if made.slides else ((_drawn_out(one, made, envelopes), _room(other, envelopes)), True)


def _carrier(job: Job, made: MadeUp, part: str, body: str) -> bool:
    other = made.parts[1] if made.parts[0] == part else made.parts[0]
    return job.parts[other].on == body


def _share_a_port(one: str, other: str, joints: Sequence[MadeUp]) -> bool:
    def ports(name: str) -> set[str]:
        return {made.b if made.parts[0] == name else made.a for made in joints if name in made.parts}

    return bool(ports(one) & ports(other))


def _free_of(job: Job, pipe: Thing, other: str) -> tuple[Piece, ...]:
    """The pieces of a pipe that have to be clear of something: its end legs may be in what holds that end."""
    wanted = job.pipes[pipe.name]
    legs = [piece.name for piece in pipe.pieces if piece.name.startswith("leg")]
    left_out = set()
    for end, leg, port in (("start", legs[0], wanted.start.port), ("end", legs[-1], wanted.end.port)):
        held = {port.rpartition(".")[0]}
        for joint in job.joints:
            for a, b in ((joint.a, joint.b), (joint.b, joint.a)):
                if a in (port, f"{pipe.name}.{end}"):
                    held.add(b.rpartition(".")[0])
        # What carries that port is reached into as well: a union's spigot goes through the tank's side.
        held |= {entry.on for name in list(held) if (entry := job.parts.get(name)) is not None and entry.on}
        if other in held:
            left_out.add(leg)
    return tuple(piece for piece in pipe.pieces if piece.name not in left_out)


def _drawn_out(part: Thing, made: MadeUp, envelopes: Mapping[str, Envelope]) -> tuple[Piece, ...]:
    """A part's pieces when it is drawn out of its joint by as much as is hidden."""
    own = made.a if made.parts[0] == part.name else made.b
    place = envelopes[part.name].places[own.rpartition(".")[2]]
    room = _room(part, envelopes)
    if part.placement is None:
        return room
    way = part.placement.directions(place.direction)
    step = Placement("job", "job", np.eye(3), -(made.depth_mm + made.depth_k2_mm / 2) * way)
    return tuple(Piece(piece.name, placed(piece.solid, step), piece.all_round) for piece in room)


def _worst(pieces: Sequence[Piece], others: Sequence[Piece]) -> tuple[Piece, Piece, float] | None:
    close = near([piece.solid for piece in pieces], [piece.solid for piece in others])
    found = [(pieces[a], others[b], sunk_mm(pieces[a].solid, others[b].solid)) for a, b in close]
    worst = max(found, key=lambda each: each[2], default=None)
    return worst if worst is not None and worst[2] > _TOUCHING_MM else None


def _is_assumed(name: str, envelopes: Mapping[str, Envelope]) -> bool:
    return name in envelopes and envelopes[name].basis is Basis.ASSUMED


def _k2_mm(thing: Thing, piece: Piece) -> float:
    """Two standard deviations of where a piece is, the way it is least sure of. [mm]"""
    if thing.covariance is None or thing.placement is None:
        return 0.0
    slopes = np.hstack([np.eye(3), -cross_matrix(_middle(piece) - thing.placement.shift_mm)])
    # What stands in another whichever way round, or counts all round, is as sure as its axis.
    known = thing.covariance if thing.settled is None or piece in thing.pieces else thing.settled
    return 2.0 * sqrt(max(float(np.linalg.eigvalsh(slopes @ known @ slopes.T)[-1]), 0.0))


def _middle(piece: Piece) -> Array:
    if isinstance(piece.solid, HalfSpace):
        return piece.solid.on_mm
    return piece.solid.middle_mm if isinstance(piece.solid, Box) else (piece.solid.start_mm + piece.solid.end_mm) / 2
