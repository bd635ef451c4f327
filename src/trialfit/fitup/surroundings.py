"""What a pipe must stay clear of, from all that stands on the engine.

Left out are the pipe itself, the nuts and cones of its own ends, and the old pipe it replaces. The fittings it goes to
count from where its straights end. A union nut that is not its own wants room for a spanner's head, and every nut a
window for the handle.

Source: `docs/methods/routes.md`; clearance and the sizes of spanners by ``figures/fit_up.csv``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from trialfit.finding import Figure
from trialfit.fitup.hand_spanner import Spanners, spanner_for
from trialfit.fitup.obstacles import Around, Near, Obstacle
from trialfit.fitup.order.loose import Grip
from trialfit.fitup.order.spanner import spanner_solids
from trialfit.fitup.pipe import Surroundings
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.route_records import NutBack
from trialfit.fitup.scene import Scene, Thing
from trialfit.fitup.spanner_swing import swing_on
from trialfit.job.records import Joint, PipeEntry
from trialfit.job.shop import Shop
from trialfit.parts.records import Part
from trialfit.parts.solids import Capsule, Hexagon, distance_mm
from trialfit.tables.rules import rule

# An old pipe with an end this near to a face of the new one is the one it replaces.
_REPLACES_MM = 20.0
_ENDS_WITH = ("union nut", "union cone")


@dataclass(frozen=True)
class Ends:
    """What belongs to the two ends of a pipe.

    Parameters
    ----------
    start, end
        The parts whose ports it goes to.
    own
        Its own nuts and cones.
    """

    start: str
    end: str
    own: frozenset[str]


def ends_of(name: str, entry: PipeEntry, parts: Iterable[Part], joints: Iterable[Joint]) -> Ends:
    """Say what belongs to the two ends of a pipe.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        What the job says of it.
    parts
        The job's parts.
    joints
        The job's joints.

    Returns
    -------
    Ends
        Nuts and cones that are joined to its ends or to the ports it goes to.
    """
    kinds = {part.name: part.kind for part in parts}
    ports = {entry.start.port, entry.end.port, f"{name}.start", f"{name}.end"}
    own: set[str] = set()
    for joint in joints:
        for port, other in ((joint.a, joint.b), (joint.b, joint.a)):
            part = other.rpartition(".")[0]
            if port in ports and kinds.get(part) in _ENDS_WITH:
                own.add(part)
    return Ends(entry.start.port.rpartition(".")[0], entry.end.port.rpartition(".")[0], frozenset(own))


def surroundings_of(
    name: str,
    entry: PipeEntry,
    faces: tuple[EndFace, EndFace],
    scene: Scene,
    parts: Iterable[Part],
    joints: Iterable[Joint],
    shop: Shop,
    there: Spanners = Spanners(),  # noqa: B008  nothing changes it
    backs: Iterable[NutBack] = (),
) -> Surroundings:
    """Say what a pipe must stay clear of.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        What the job says of it.
    faces
        Its start and its end face.
    scene
        All that stands on the engine.
    parts
        The job's parts.
    joints
        The job's joints.
    shop
        The workshop: its clearance.
    there
        The spanners there are.
    backs
        The pipe's own nuts, slid back.

    Returns
    -------
    Surroundings
        Obstacles, spanners, and what nothing can be said of.
    """
    parts, joints = tuple(parts), tuple(joints)
    ends = ends_of(name, entry, parts, joints)
    wanted_mm, assumed = clearance_mm(entry, shop)
    lagging_mm = 0.0 if entry.lagging is None else float(entry.lagging.to("mm"))
    faces_mm = np.array([face.position_mm for face in faces])
    others = [thing for thing in scene.things if _stands_by(thing, name, entry, ends, faces_mm)]
    obstacles = [each for thing in others for each in _obstacles(thing, wanted_mm, lagging_mm, ends)]
    nuts = {part.name for part in parts if part.kind == "union nut"}
    grips = list(_grips(scene, nuts, there))
    heads = [_head(each) for each in grips if each.thing not in ends.own]
    # What slides on the pipe stands in the way of a spanner on its neighbour.
    swept = Scene((*others, *(thing for thing in scene.things if thing.name in ends.own)))
    let_in = (float(entry.start.straight.to("mm")), float(entry.end.straight.to("mm")))
    swings = tuple(swing_on(each, swept) for each in grips)
    return Surroundings(
        around=Around((*obstacles, *heads), float(entry.tube.od.to("mm")) / 2, let_in),
        swings=tuple(swing for swing in swings if swing.has_window),
        wanted=Figure(wanted_mm, "mm", None, 1),
        assumed=assumed,
        unknown=_unknown(scene, parts, ends),
        no_swing=tuple(swing.nut for swing in swings if not swing.has_window),
        nuts=tuple(_slid_back(scene, faces, ends, backs, others)),
        taken=tuple(words for each in grips if (words := each.spanner.taken(each.thing))),
    )


def clearance_mm(entry: PipeEntry, shop: Shop) -> tuple[float, bool]:
    """The clearance a pipe is to keep.

    Parameters
    ----------
    entry
        What the job says of it.
    shop
        The workshop.

    Returns
    -------
    tuple
        The clearance [mm], and whether it is assumed.
    """
    said = entry.clearance if entry.clearance is not None else shop.clearance
    return (rule("pipe", "clearance").low or 0.0, True) if said is None else (float(said.to("mm")), False)


def _stands_by(thing: Thing, name: str, entry: PipeEntry, ends: Ends, faces_mm: Array) -> bool:
    if thing.name == name and thing.kind == "pipe":
        return False
    if thing.name in ends.own:
        return False
    if thing.kind == "old pipe":
        return thing.name != entry.like and not _is_replaced(thing, faces_mm)
    return True


def _is_replaced(thing: Thing, faces_mm: Array) -> bool:
    rods = [piece.solid for piece in thing.pieces if isinstance(piece.solid, Capsule)]
    if not rods:
        return False
    ends = np.array([rods[0].start_mm, rods[-1].end_mm])
    apart = np.linalg.norm(ends[:, None] - faces_mm[None], axis=2)
    return bool((apart < _REPLACES_MM).any())


def _obstacles(thing: Thing, wanted_mm: float, lagging_mm: float, ends: Ends) -> Iterator[Obstacle]:
    near: Near = "start" if thing.name == ends.start else "end" if thing.name == ends.end else ""
    origin = None if thing.placement is None else thing.placement.shift_mm
    # Where room is kept all round, which way it points is no longer in doubt.
    known = thing.covariance if thing.settled is None else thing.settled
    for piece in thing.room:
        words = "" if len(thing.pieces) == 1 or thing.kind in ("pipe", "old pipe") else piece.name
        yield Obstacle(
            thing.name, words, piece.solid, wanted_mm, lagging_mm, near, known if origin is not None else None, origin,
            thing.may_point_by(piece),
        )  # fmt: skip


def _grips(scene: Scene, nuts: set[str], there: Spanners) -> Iterator[Grip]:
    """A spanner on each nut that has a place."""
    for thing in scene.things:
        piece = next((each for each in thing.pieces if isinstance(each.solid, Hexagon)), None)
        if thing.name in nuts and piece is not None and isinstance(piece.solid, Hexagon):
            along = piece.solid.end_mm - piece.solid.start_mm
            middle = (piece.solid.start_mm + piece.solid.end_mm) / 2
            held = spanner_for(piece.solid.flats_mm, there)
            yield Grip(thing.name, piece.name, middle, along / np.linalg.norm(along), held)


def _head(grip: Grip) -> Obstacle:
    """The room a spanner's head takes up round a nut."""
    head, _ = spanner_solids(grip)
    return Obstacle(f"the room for a spanner on {grip.thing}", "", head, 0.0)


def _slid_back(
    scene: Scene, faces: tuple[EndFace, EndFace], ends: Ends, backs: Iterable[NutBack], others: list[Thing]
) -> Iterator[str]:
    """What a nut meets when it is slid back off its thread."""
    fittings = {"start": (ends.start, faces[0]), "end": (ends.end, faces[1])}
    for back in backs:
        thing, (fitting, face) = scene.thing(back.nut), fittings[back.end]
        pieces = thing.pieces if thing else ()
        hexagon = next((each.solid for each in pieces if isinstance(each.solid, Hexagon)), None)
        if hexagon is None:
            continue
        half = float(np.linalg.norm(hexagon.end_mm - hexagon.start_mm)) / 2
        middle = (hexagon.start_mm + hexagon.end_mm) / 2
        line = middle + np.linspace(0.0, back.slid_mm + half, 40)[:, None] * face.direction
        for other in others:
            if other.name == fitting:
                continue
            inside = max(
                (
                    hexagon.flats_mm / 3**0.5 - float(distance_mm(piece.solid, line).min()) for piece in other.room
                ), default=0.0,
            )  # fmt: skip
            if inside > 0:
                yield f"{back.nut}, slid back off its thread, stands {inside:.1f} mm inside {other.name}"


def _unknown(scene: Scene, parts: tuple[Part, ...], ends: Ends) -> tuple[str, ...]:
    placed = {thing.name for thing in scene.things if thing.pieces}
    pipes = {part.name for part in parts if part.kind == "pipe"}
    return tuple(part.name for part in parts if part.name not in placed | pipes | ends.own | {ends.start, ends.end})
