"""Which single change would free what is stuck: each is made, and the order looked for again.

Tried are, of the pieces that strike or are struck: a shorter one, and one that can be taken off first; of the things:
one moved a little, one that points elsewhere, one that is left loose and fitted afterwards; of a group: one of its
things fitted by itself, once the rest is on; of a pipe to be made: one more union, wherever it has a straight for it.

Source: none; the changes are tried, not reasoned out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from trialfit.fitup.order.loose import Loose, Phase, Stand, Way
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.order.no_order import Stuck, comes_off
from trialfit.fitup.order.resting import LEANS_MM
from trialfit.fitup.order.table import table_of, tables_of
from trialfit.fitup.order.unions import both_held, parted
from trialfit.fitup.order.words import direction_words
from trialfit.fitup.scene import Piece, Pivot, Scene, Thing
from trialfit.parts.placement import Array, Placement
from trialfit.parts.solids import Capsule, Cylinder, placed

_SHORTER_BY = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7)
_MOVED_MM = (2.0, 4.0, 6.0, 10.0)
_TURNED_DEG = (30.0, -30.0, 60.0, -60.0, 90.0, -90.0, 180.0)
_ASIDE = 0.7
# What a part cannot do without.
_NEEDED = ("body", "tail", "hexagon", "thread", "nut", "seat")


@dataclass(frozen=True)
class Change:
    """A change that frees it.

    Parameters
    ----------
    about
        What is changed.
    words
        The change, as a clause.
    """

    about: str
    words: str


@dataclass(frozen=True, eq=False)
class _Try:
    """A change with the stand it makes, and the pipe that is made in two for it, with its far part."""

    change: Change
    stand: Stand
    parted: str = ""
    far: str = ""


def freeing(stand: Stand, stuck: Stuck, wanted: Iterable[str], named: Mapping[str, Array]) -> tuple[Change, ...]:
    """Find the single changes that free it, the least of each kind.

    Parameters
    ----------
    stand
        Everything in place.
    stuck
        What holds each other in.
    wanted
        All that has to come off.
    named
        (3,) directions the job has names for. [-]

    Returns
    -------
    tuple of Change
        Those that were tried and did it; none where nothing alone does.
    """
    goal = tuple(wanted)
    few = _only(stand, stuck)
    before = {(each.one, each.other) for each in table_of(few).overlaps}
    found: list[Change] = []
    for kind in _kinds(few, stuck, named):
        tries = tuple(kind)
        for each, table in zip(tries, tables_of([each.stand for each in tries]) if tries else (), strict=True):
            worse = any(over.deep_mm > LEANS_MM and (over.one, over.other) not in before for over in table.overlaps)
            if worse or not comes_off(each.stand, table, _also_far(each, (stuck.wanted,))):
                continue
            whole = _in_whole(stand, stuck, each)
            if comes_off(whole, table_of(whole), {one.name for one in whole.loose} & {*_also_far(each, goal)}):
                found.append(each.change)
                break
    return tuple(found)


def _kinds(few: Stand, stuck: Stuck, named: Mapping[str, Array]) -> Iterator[Iterator[_Try]]:
    touched = dict.fromkeys(
        pair for strike in stuck.strikes
        for pair in ((strike.mover, strike.mover_piece), (strike.struck, strike.struck_piece))
    )  # fmt: skip
    for thing, piece in touched:
        if thing in few.owners and piece not in _NEEDED:
            yield _shorter(few, thing, piece)
            yield _piece_off(few, thing, piece)
    for thing in dict.fromkeys(thing for thing, _ in touched if thing in few.owners):
        yield _by_itself(few, few.named(few.owners[thing]), thing)
    for name in stuck.things:
        yield _in_two(few, name)
    for name in stuck.things:
        yield _turned(few, few.named(name))
        yield _moved(few, few.named(name), named)
    for name in stuck.things:
        if name != stuck.wanted:
            yield iter([_Try(Change(name, f"{name} left loose and fitted afterwards"), _without(few, name))])


def _shorter(few: Stand, name: str, piece: str) -> Iterator[_Try]:
    thing = few.thing(name)
    solid = next((each.solid for each in thing.pieces if each.name == piece), None)
    if not isinstance(solid, Capsule | Cylinder):
        return
    motion = few.named(few.owners[name]).ways[0].phases[0].motion
    ends = (solid.start_mm, solid.end_mm)
    off = [float(np.linalg.norm(np.cross(end - motion.on_mm, motion.along))) for end in ends]
    inner, outer = (ends[0], ends[1]) if off[0] <= off[1] else (ends[1], ends[0])
    long = float(np.linalg.norm(outer - inner))
    for share in _SHORTER_BY:
        end = outer + share * (inner - outer)
        made = replace(solid, start_mm=inner, end_mm=end)
        change = Change(name, f"{name}'s {piece} made {share * long:.0f} mm shorter")
        yield _Try(change, _with_pieces(few, name, {piece: Piece(piece, made)}))


def _piece_off(few: Stand, name: str, piece: str) -> Iterator[_Try]:
    change = Change(name, f"{name}'s {piece} made to come off first")
    yield _Try(change, _with_pieces(few, name, {piece: None}))


def _by_itself(few: Stand, group: Loose, name: str) -> Iterator[_Try]:
    """One thing of a group fitted once the rest is on; whatever a group is named after stays with it."""
    if name == group.name or len(group.things) == 1:
        return
    left = tuple(each for each in group.things if each != name)
    rest = replace(group, things=left, ways=tuple(_moving(way, left) for way in group.ways))
    things = tuple(each for each in few.scene.things if each.name != name)
    change = Change(name, f"{name} fitted by itself, once {group.name} is on")
    yield _Try(change, Stand(Scene(things), tuple(rest if each is group else each for each in few.loose)))


def _moving(way: Way, things: tuple[str, ...]) -> Way:
    """A way without the motions of what is not there."""
    phases = (replace(each, moves=tuple(name for name in each.moves if name in things)) for each in way.phases)
    return replace(way, phases=tuple(each for each in phases if each.moves))


def _in_two(few: Stand, name: str) -> Iterator[_Try]:
    for each in parted(few, name):
        change = Change(name, f"{name} made in two, with one more union, a flat-faced one, {each.words}")
        yield _Try(change, each.stand, name, each.far)


def _also_far(one: _Try, names: tuple[str, ...]) -> tuple[str, ...]:
    """Where a pipe is made in two, both its parts are wanted off."""
    return (*names, one.far) if one.parted in names and one.far else names


def _moved(few: Stand, loose: Loose, named: Mapping[str, Array]) -> Iterator[_Try]:
    axis = loose.ways[0].phases[0].motion.along if loose.ways else np.zeros(3)
    for far in _MOVED_MM:
        # Along its own axis it cannot be moved: it would come out of what holds it, or go deeper in.
        for way in (each for each in (*np.eye(3), *-np.eye(3)) if abs(float(each @ axis)) < _ASIDE):
            shift = Placement(loose.name, "job", np.eye(3), far * way)
            change = Change(loose.name, f"{loose.name} moved {far:.0f} mm {direction_words(way, named)}")
            yield _Try(change, _placed_anew(few, loose, shift))


def _turned(few: Stand, loose: Loose) -> Iterator[_Try]:
    motion = loose.ways[0].phases[0].motion if loose.ways else None
    if motion is None or motion.do != "unscrew":
        return
    for angle in _TURNED_DEG:
        turn = Motion("turn", motion.on_mm, motion.along, 0.0, angle).moved(1.0, loose.name)
        sense = "anticlockwise" if angle > 0 else "clockwise"
        words = f"{loose.name} pointing {abs(angle):.0f} deg further round {sense}, seen from where it comes off"
        yield _Try(Change(loose.name, words), _placed_anew(few, loose, turn))


def _only(stand: Stand, stuck: Stuck) -> Stand:
    """Nothing but what is stuck, and the engine."""
    owners = stand.owners
    things = tuple(each for each in stand.scene.things if owners.get(each.name) in (None, *stuck.things))
    kept = tuple(_kept(each, stuck.things) for each in stand.loose if each.name in stuck.things)
    return Stand(Scene(things), kept)


def _kept(loose: Loose, names: Iterable[str]) -> Loose:
    there = set(names)
    return replace(
        loose, rides=tuple(each for each in loose.rides if each in there),
        held_by=tuple(each for each in loose.held_by if each in there),
    )  # fmt: skip


def _without(stand: Stand, name: str) -> Stand:
    gone = set(stand.named(name).things)
    left = [each.name for each in stand.loose if each.name != name]
    things = tuple(each for each in stand.scene.things if each.name not in gone)
    return Stand(Scene(things), tuple(_kept(each, left) for each in stand.loose if each.name != name))


def _in_whole(stand: Stand, stuck: Stuck, one: _Try) -> Stand:
    """The change made in the whole."""
    few = one.stand
    changed = {each.name: each for each in few.scene.things}
    new = {each.name: each for each in few.loose}
    gone = set(stuck.things) - set(new)
    apart = {thing for name in stuck.things for thing in stand.named(name).things} - set(changed)
    left = [each.name for each in stand.loose if each.name not in gone]
    owners = stand.owners
    things = [
        changed.get(each.name, each) for each in stand.scene.things
        if owners.get(each.name) not in gone and each.name not in apart
    ]  # fmt: skip
    loose = [
        replace(
            _kept(each, left), ways=new[each.name].ways, things=new[each.name].things,
            mates=each.mates | new[each.name].mates,
        ) if each.name in new else _kept(each, left)
        for each in stand.loose if each.name not in gone
    ]  # fmt: skip
    if one.far:
        things.append(changed[one.far])
        loose = [both_held(each, one.parted, one.far) for each in loose]
        held = next(each.held_by for each in loose if each.name == one.parted)
        loose.append(replace(new[one.far], held_by=held))
    return Stand(Scene(tuple(things)), tuple(loose))


def _with_pieces(few: Stand, name: str, pieces: Mapping[str, Piece | None]) -> Stand:
    things = []
    for thing in few.scene.things:
        if thing.name == name:
            made = (pieces.get(each.name, each) for each in thing.pieces)
            things.append(replace(thing, pieces=tuple(each for each in made if each is not None)))
        else:
            things.append(thing)
    return Stand(Scene(tuple(things)), few.loose)


def _placed_anew(few: Stand, loose: Loose, shift: Placement) -> Stand:
    def there(thing: Thing) -> Thing:
        if thing.name not in loose.things:
            return thing
        pieces = tuple(Piece(each.name, placed(each.solid, shift)) for each in thing.pieces)
        pivots = tuple(
            Pivot(shift.points_mm(each.on_mm), None if each.axis is None else shift.directions(each.axis))
            for each in thing.pivots
        )
        return replace(thing, pieces=pieces, pivots=pivots)

    def way(each: Way) -> Way:
        return replace(each, phases=tuple(phase(one) for one in each.phases))

    def phase(each: Phase) -> Phase:
        motion = replace(
            each.motion, on_mm=shift.points_mm(each.motion.on_mm), along=shift.directions(each.motion.along)
        )
        grip = each.grip and replace(
            each.grip, middle_mm=shift.points_mm(each.grip.middle_mm), axis=shift.directions(each.grip.axis)
        )
        return replace(each, motion=motion, grip=grip)

    moved = replace(loose, ways=tuple(way(each) for each in loose.ways))
    things = tuple(there(thing) for thing in few.scene.things)
    return Stand(Scene(things), tuple(moved if each.name == loose.name else each for each in few.loose))
