"""What comes off as one: soldered together, the nuts on a pipe, and what the job says is fitted as one.

Source: the job's joints; plain sense of what holds what.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from trialfit.fitup.order.apart import apart, forms
from trialfit.fitup.order.sweep import TOUCH_MM
from trialfit.fitup.scene import Scene, Thing
from trialfit.job.records import Job
from trialfit.parts.made_up import MadeUp
from trialfit.parts.solids import Capsule


@dataclass(frozen=True)
class Link:
    """Two things that hold each other.

    Parameters
    ----------
    one, other
        The things.
    one_port, other_port
        Their ports, by name; empty where none is named.
    how
        Seat, thread, tube, hole, held; ``touch`` for the end of an old pipe.
    joint
        The joint made up, or None for a pipe's end.
    """

    one: str
    other: str
    one_port: str
    other_port: str
    how: str
    joint: MadeUp | None

    def across(self, name: str) -> str | None:
        """The thing at its other side.

        Parameters
        ----------
        name
            A thing.

        Returns
        -------
        str or None
            None where it does not touch it.
        """
        return self.other if name == self.one else self.one if name == self.other else None

    def port_of(self, name: str) -> str:
        """The port of one of its two things.

        Parameters
        ----------
        name
            One of them.

        Returns
        -------
        str
            The port's name.
        """
        return self.one_port if name == self.one else self.other_port


def links_of(job: Job, scene: Scene, joints: Sequence[MadeUp]) -> tuple[Link, ...]:
    """Find what holds what in a scene.

    Parameters
    ----------
    job
        The job document.
    scene
        What stands.
    joints
        The joints between parts, made up.

    Returns
    -------
    tuple of Link
        Between things that are there.
    """
    there = {thing.name: thing for thing in scene.things}
    found: list[Link] = []
    for each in joints:
        (one, one_port), (other, other_port) = _split(each.a), _split(each.b)
        found.append(Link(one, other, one_port, other_port, each.how, each))
    for joint in job.joints:
        (one, one_port), (other, other_port) = _split(joint.a), _split(joint.b)
        if one in job.pipes or other in job.pipes:
            found.append(Link(one, other, one_port, other_port, "tube", None))
    for name, pipe in job.pipes.items():
        for end, port in (("start", pipe.start.port), ("end", pipe.end.port)):
            other, other_port = _split(port)
            found.append(Link(name, other, end, other_port, "seat", None))
    found += [link for thing in scene.things if thing.kind == "old pipe" for link in _touched(thing, scene)]
    found += [Link(name, entry.on, "", "", "on", None) for name, entry in job.parts.items() if entry.on]
    return tuple(link for link in found if link.one in there and link.other in there)


def groups_of(job: Job, scene: Scene, links: Sequence[Link]) -> dict[str, tuple[str, ...]]:
    """Gather what comes off as one.

    Parameters
    ----------
    job
        The job document.
    scene
        What stands.
    links
        What holds what.

    Returns
    -------
    dict
        Things by the group's name, which is that of its pipe, else of its first thing, pipe first; in the scene's
        order.
    """
    movable = [thing for thing in scene.things if thing.kind != "engine"]
    leader = {thing.name: thing.name for thing in movable}

    def top(name: str) -> str:
        while leader[name] != name:
            name = leader[name]
        return name

    together = [(link.one, link.other) for link in links if link.how == "tube"]
    together += [pair for link in links for pair in _nut_and_pipe(job, link, links)]
    if job.order is not None:
        together += [(group[0], other) for group in job.order.together for other in group[1:]]
    for one, other in together:
        if one in leader and other in leader:
            leader[top(one)] = top(other)
    gathered: dict[str, list[Thing]] = {}
    for thing in movable:
        gathered.setdefault(top(thing.name), []).append(thing)
    named: dict[str, tuple[str, ...]] = {}
    for things in gathered.values():
        things.sort(key=lambda thing: "pipe" not in thing.kind)
        named[things[0].name] = tuple(thing.name for thing in things)
    return named


def is_nut(job: Job, name: str) -> bool:
    """Whether a thing is a union nut.

    Parameters
    ----------
    job
        The job document.
    name
        The thing.

    Returns
    -------
    bool
        By its kind.
    """
    return name in job.parts and job.parts[name].kind == "union nut"


def _nut_and_pipe(job: Job, link: Link, links: Sequence[Link]) -> list[tuple[str, str]]:
    """A nut screwed on the port that a pipe's end or cone sits in is on that pipe."""
    nut = next((name for name in (link.one, link.other) if is_nut(job, name)), None)
    if nut is None or link.how == "tube":
        return []
    body = link.across(nut) or ""
    if link.how in ("touch", "hole"):
        return [(nut, body)]
    port = link.port_of(body)
    return [
        (nut, other) for each in links
        if each is not link and each.how == "seat" and body in (each.one, each.other) and each.port_of(body) == port
        and (other := each.across(body)) is not None and other != nut
    ]  # fmt: skip


def _touched(pipe: Thing, scene: Scene) -> list[Link]:
    """What the two ends of an old pipe run into: its unions, and the nuts on it."""
    found: list[Link] = []
    straights = [piece for piece in pipe.pieces if isinstance(piece.solid, Capsule)]
    for end, piece in (("start", straights[0]), ("end", straights[-1])) if straights else ():
        for thing in scene.things:
            if thing.name == pipe.name or thing.kind == "engine" or not thing.pieces:
                continue
            others = forms(each.solid for each in thing.pieces)
            rod = forms([piece.solid]).chosen(np.zeros(len(others), dtype=np.intp))
            if float(apart(rod, others, TOUCH_MM, TOUCH_MM).most_mm.min()) <= TOUCH_MM:
                found.append(Link(pipe.name, thing.name, end, "", "touch", None))
    return found


def _split(written: str) -> tuple[str, str]:
    part, _, port = written.rpartition(".")
    return part, port


def parents_of(
    groups: Mapping[str, tuple[str, ...]], links: Sequence[Link], scene: Scene
) -> tuple[tuple[str, str], ...]:
    """Say which group is fixed to which: child, then what it is fixed to.

    Parameters
    ----------
    groups
        Things by group.
    links
        What holds what.
    scene
        What stands.

    Returns
    -------
    tuple
        Pairs of names of groups; what a body of the engine carries has none here.
    """
    owner = {thing: name for name, things in groups.items() for thing in things}
    things = {thing.name: thing for thing in scene.things}
    places = {name: k for k, name in enumerate(things)}

    def rank(name: str) -> tuple[bool, int, int]:
        thing = things[name]
        return "pipe" in thing.kind, len(thing.rests_on), places[name]

    found: dict[tuple[str, str], None] = {}
    for link in links:
        one, other = owner.get(link.one), owner.get(link.other)
        if one is not None and other is not None and one != other:
            one_is_child = rank(one) > rank(other)
            found[(one, other) if one_is_child else (other, one)] = None
    return tuple(found)
