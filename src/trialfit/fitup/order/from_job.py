"""What can come off an engine and how, from the job's joints and from what it says besides.

A screwed part turns out of its thread and is then pulled; a part that is only held is pulled. A pipe between unions
has its nuts unscrewed first, which slide back along it; then the whole is drawn out midway between its two ends'
directions, or along one of them; between unions that look at each other also sideways. What the job says of a thing
takes the place of all this.

Source: the job document; lengths of pull and sizes of spanner where nobody said are assumed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trialfit.finding import Basis
from trialfit.fitup.hand_spanner import Spanners, spanners_of
from trialfit.fitup.in_place import InPlace
from trialfit.fitup.order.grips import grip_on
from trialfit.fitup.order.groups import Link, groups_of, is_nut, links_of, parents_of
from trialfit.fitup.order.loose import Bar, Loose, Phase, Stand, Way
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Scene, Thing
from trialfit.fitup.slide_back import clear_mm, short_words
from trialfit.fitup.vectors import cross, square_to
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.job.taking_off import ComesOffEntry, MoveEntry
from trialfit.parts.place import Surveyed
from trialfit.parts.placement import Array
from trialfit.parts.solids import Capsule, HalfSpace, farthest_mm
from trialfit.tables.designations import find_thread

# Until it is clear of itself, and a little more.
PULL_MORE_MM, LEAST_PULL_MM, PIPE_PULL_MM = 5.0, 15.0, 40.0
# Sum of two unit vectors that look at each other within some 17 deg.
_FACING = 0.3


@dataclass(frozen=True, eq=False)
class Told:
    """What ways are read from.

    Parameters
    ----------
    job
        The job document.
    placed
        What stands where.
    scene
        The part of it that counts now.
    survey
        Where the points are, or None.
    links
        What holds what.
    owners
        Which group each thing belongs to.
    spanners
        The spanners there are.
    short
        Of new pipes by name: the nuts that have no room to be slid off their threads, each with a clause.
    """

    job: Job
    placed: InPlace
    scene: Scene
    survey: Surveyed | None
    links: tuple[Link, ...]
    owners: Mapping[str, str]
    spanners: Spanners
    short: Mapping[str, Mapping[str, str]]

    def thing(self, name: str) -> Thing:
        """A thing that is there.

        Parameters
        ----------
        name
            Its name.

        Returns
        -------
        Thing
            The thing.
        """
        return next(each for each in self.scene.things if each.name == name)


def stand_of(
    job: Job,
    placed: InPlace,
    scene: Scene,
    survey: Surveyed | None,
    shop: Shop | None = None,
    pipes: Iterable[PipePlan] = (),
) -> Stand:
    """Say of everything in a scene whether and how it comes off.

    Parameters
    ----------
    job
        The job document.
    placed
        What stands where.
    scene
        The part of it that counts now: as it is before the work, or as it will be after.
    survey
        Where the points are, or None.
    shop
        The workshop, for the spanners it could send; or None.
    pipes
        The new pipes, for the room they leave their nuts.

    Returns
    -------
    Stand
        Things without a way stay where they are, like the engine.

    Raises
    ------
    Refusal
        The job names points for an axis that the survey does not have.
    """
    links = links_of(job, scene, placed.joints)
    groups = groups_of(job, scene, links)
    owners = {thing: name for name, things in groups.items() for thing in things}
    short = {pipe.name: short_words(pipe) for pipe in pipes}
    told = Told(job, placed, scene, survey, links, owners, spanners_of(job, shop), short)
    parents = parents_of(groups, links, scene)
    stays = set(job.order.stays) if job.order else set()
    made: list[Loose] = []
    for name, things in groups.items():
        ways = () if stays & set(things) else _ways(told, name, things, parents)
        mates = {other for link in links for thing in things if (other := link.across(thing)) is not None}
        mates -= set(things)
        bars = tuple(Bar(words) for thing in things for words in short.get(thing, {}).values())
        ways = tuple(replace(way, bars=bars) for way in ways)
        if ways:
            made.append(Loose(name, told.thing(name).what, things, ways, mates=frozenset(mates | _bodies(told, mates))))
    return Stand(scene, _ridden(made, parents, told))


def _bodies(told: Told, mates: set[str]) -> set[str]:
    """The engine's bodies that what it is fixed to is let into: a tail may reach through its bush into the boiler."""
    return {body for mate in mates for body in told.thing(mate).rests_on if told.thing(mate).kind != "engine"} & {
        each.name for each in told.scene.things if each.kind == "engine"
    }


def _ridden(made: list[Loose], parents: Sequence[tuple[str, str]], told: Told) -> tuple[Loose, ...]:
    """Say what rides on what and what holds what: pins come out, and pipes are undone, before what they are on."""
    parts = told.job.parts
    names = {each.name for each in made}
    rides: dict[str, list[str]] = {name: [] for name in names}
    held: dict[str, list[str]] = {name: [] for name in names}
    for child, parent in parents:
        if child not in names or parent not in names:
            continue
        only = [other for one, other in parents if one == child] == [parent]
        first = "pipe" in told.thing(child).kind or (child in parts and parts[child].kind == "pin")
        (rides if only and not first else held)[parent].append(child)
    for name in names:
        for rider in rides[name]:
            pins = [each for each in held[rider] if each in parts and parts[each].kind == "pin"]
            rides[name] += [pin for pin in pins if pin not in rides[name]]
    return tuple(replace(each, rides=tuple(rides[each.name]), held_by=tuple(held[each.name])) for each in made)


def _ways(told: Told, name: str, things: tuple[str, ...], parents: Sequence[tuple[str, str]]) -> tuple[Way, ...]:
    said = [way for thing in things for way in told.job.comes_off.get(thing, ())]
    if said:
        return tuple(_said(told, name, things, each) for each in said)
    if "pipe" in told.thing(name).kind:
        return _pipe_ways(told, name, things)
    fixed_to = {parent for child, parent in parents if child == name}
    own = set(things)
    for link in told.links:
        inner = next((thing for thing in (link.one, link.other) if thing in own), None)
        outer = link.across(inner) if inner else None
        if inner is None or outer is None or outer in own or link.joint is None:
            continue
        # What only the engine carries stays: a bush is soldered in, and nothing says that it comes out.
        if told.owners.get(outer) in fixed_to:
            way = _joint_way(told, things, inner, link)
            return (way,) if way else ()
    return ()


def _joint_way(told: Told, things: tuple[str, ...], inner: str, link: Link) -> Way | None:
    axis = _axis(told, inner, link)
    if axis is None or link.joint is None:
        return None
    on, out = axis
    phases: list[Phase] = []
    if link.how == "thread" and link.joint.pitch_mm > 0 and link.joint.depth_mm > 0:
        turns = link.joint.depth_mm / link.joint.pitch_mm
        motion = Motion("unscrew", on, out, link.joint.depth_mm, 360 * turns)
        phases.append(Phase(things, motion, grip_on(told.spanners, told.scene, things, on, out), link.joint.basis))
    by = _clear_mm(told, things, out)
    phases.append(Phase(things, Motion("pull", on, out, by, 0.0), None, Basis.ASSUMED))
    return Way(tuple(phases))


def _axis(told: Told, thing: str, link: Link) -> tuple[Array, Array] | None:
    """A point on a joint's axis, and the way out of what it is fixed to."""
    placement = told.thing(thing).placement
    place = told.placed.envelopes[thing].places.get(link.port_of(thing)) if thing in told.placed.envelopes else None
    if placement is None or place is None:
        return None
    out = -placement.directions(place.direction)
    return placement.points_mm(place.at_mm), out / np.linalg.norm(out)


def _pipe_ways(told: Told, name: str, things: tuple[str, ...]) -> tuple[Way, ...]:
    ends = _ends(told.thing(name))
    if ends is None:
        return ()
    nuts = [thing for thing in things if is_nut(told.job, thing)]
    backed = [phase for nut in nuts for phase in _nut_back(told, nut, things)]
    both = ends[0] + ends[1]
    facing = float(np.linalg.norm(both)) <= _FACING
    # Unions that look at each other let it out sideways, once it is sprung over its seats; flat ones at once.
    ways = _square_ways(ends[0]) if facing else [both / np.linalg.norm(both)]
    ways += [ends[0], ends[1]]
    on = _middle(told.thing(name))
    return tuple(
        Way((*backed, Phase(things, Motion("pull", on, way, PIPE_PULL_MM, 0.0), None, Basis.ASSUMED))) for way in ways
    )


def _square_ways(axis: Array) -> list[Array]:
    up = square_to(axis)
    side = cross(axis, up)
    return [up, side, -up, -side]


def _nut_back(told: Told, nut: str, things: tuple[str, ...]) -> list[Phase]:
    link = next(
        (each for each in told.links if each.across(nut) not in (None, *things) and each.joint is not None), None
    )
    axis = _axis(told, nut, link) if link else None
    if link is None or link.joint is None or axis is None or link.joint.pitch_mm <= 0:
        return []
    on, out = axis
    depth, turns = link.joint.depth_mm, link.joint.depth_mm / link.joint.pitch_mm
    grip = grip_on(told.spanners, told.scene, (nut,), on, out)
    return [
        Phase((nut,), Motion("unscrew", on, out, depth, 360 * turns), grip, link.joint.basis),
        Phase((nut,), Motion("pull", on, out, clear_mm(), 0.0), None, Basis.ASSUMED),
    ]


def _ends(pipe: Thing) -> tuple[Array, Array] | None:
    """The directions in which a pipe leaves its two ends; None where it has no length."""
    rods = [piece.solid for piece in pipe.pieces if isinstance(piece.solid, Capsule)]
    rods = [rod for rod in rods if np.linalg.norm(rod.end_mm - rod.start_mm) > 0]
    if not rods:
        return None
    start, end = rods[0].end_mm - rods[0].start_mm, rods[-1].start_mm - rods[-1].end_mm
    return start / np.linalg.norm(start), end / np.linalg.norm(end)


def _middle(thing: Thing) -> Array:
    every = _reach(thing, np.vstack([np.eye(3), -np.eye(3)]))
    return np.asarray((every.min(axis=0) + every.max(axis=0)) / 2) if len(every) else np.zeros(3)


def _clear_mm(told: Told, things: Sequence[str], out: Array) -> float:
    """How far to pull until a thing is clear of where it was."""
    far = np.vstack([_reach(told.thing(name), np.vstack([out, -out])) for name in things]) @ out
    long = float(far.max() - far.min()) if len(far) else 0.0
    return float(np.ceil(max(LEAST_PULL_MM, long + PULL_MORE_MM)))


def _reach(thing: Thing, ways: Array) -> Array:
    """(n, 3) the farthest points of all its pieces. [mm]"""
    solids = [piece.solid for piece in thing.pieces if not isinstance(piece.solid, HalfSpace)]
    return np.vstack([np.zeros((0, 3)), *(farthest_mm(solid, ways) for solid in solids)])


def _said(told: Told, name: str, things: tuple[str, ...], entry: ComesOffEntry) -> Way:
    phases: list[Phase] = []
    for move in entry.moves:
        moves = (move.only,) if move.only else things
        on, out, link = _said_axis(told, name, moves, move)
        grip = None
        if move.do == "unscrew" and not entry.by_hand:
            flats = float(entry.spanner.to("mm")) if entry.spanner else None
            grip = grip_on(told.spanners, told.scene, moves, on, out, flats)
        phases.append(Phase(moves, _said_motion(told, moves, move, on, out, link), grip))
    return Way(tuple(phases), entry.side)


def _said_axis(told: Told, name: str, moves: tuple[str, ...], move: MoveEntry) -> tuple[Array, Array, Link | None]:
    link = next(
        (each for each in told.links if each.joint is not None for thing in moves
         if each.across(thing) not in (None, *moves) and _axis(told, thing, each) is not None), None
    )  # fmt: skip
    if move.axis is not None and told.survey is not None:
        (inner, outer), _ = told.survey.joint(list(move.axis))
        return inner, (outer - inner) / np.linalg.norm(outer - inner), link
    axis = None
    if link is not None:
        axis = _axis(told, link.one if link.one in moves else link.other, link)
    on = axis[0] if axis else _middle(told.thing(name))
    if move.along is not None:
        along = np.array(move.along, dtype=np.float64)
        return on, along / np.linalg.norm(along), link
    if axis is not None:
        return on, axis[1], link
    thing = told.thing(name)
    ends = _ends(thing) if "pipe" in thing.kind else None
    out = ends[0] + ends[1] if ends else np.array([0.0, 0.0, 1.0])
    size = float(np.linalg.norm(out))
    return on, out / size if size > 0 else np.array([0.0, 0.0, 1.0]), link


def _said_motion(
    told: Told, moves: tuple[str, ...], move: MoveEntry, on: Array, out: Array, link: Link | None
) -> Motion:
    if move.do == "unscrew":
        joint = link.joint if link else None
        pitch = find_thread(move.thread).pitch_mm if move.thread else joint.pitch_mm if joint else 0.0
        deep = joint.depth_mm if joint else 0.0
        turns = float(move.turns) if move.turns is not None else deep / pitch if pitch else 1.0
        sense = -1.0 if move.left_hand else 1.0
        return Motion("unscrew", on, out, turns * pitch, sense * 360 * turns)
    if move.do == "turn" and move.angle is not None:
        return Motion("turn", on, out, 0.0, float(move.angle.to("deg")))
    by = float(move.by.to("mm")) if move.by else _clear_mm(told, moves, out)
    return Motion(move.do, on, out, by, 0.0)
