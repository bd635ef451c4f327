"""Room for a union nut to be slid back on its own pipe, off its thread, before the first bend stops it.

A nut is captive: behind it the bend, before it the cone. Until all of its thread is off, the pipe can neither be taken
out nor put in, so the straight at its end has to hold the nut where it then stands.

Source: geometry. The tube's inside leaves the straight's line by r - sqrt(r^2 - x^2) at x into a bend whose inside has
the radius r, so a hole c wider than the tube goes sqrt(2 r c - c^2) into it without being tilted. How far a nut is
drawn beyond its thread, and its hole over the tube where nobody gave it, are rows of ``figures/fit_up.csv``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import ceil, sqrt
from typing import Literal

import numpy as np

from trialfit.errors import Refusal
from trialfit.finding import Answer, Figure, Finding, Reason
from trialfit.fitup.bends import bend_table
from trialfit.fitup.records import Array, EndFace, PipePlan
from trialfit.fitup.route_records import NutBack, NutRoom
from trialfit.fitup.scene import Scene, Thing
from trialfit.job.records import Joint
from trialfit.parts.build import find_port
from trialfit.parts.made_up import made_up
from trialfit.parts.records import Part
from trialfit.parts.solids import HalfSpace, farthest_mm
from trialfit.tables.rules import rule

_HAIR_MM = 0.05


def clear_mm() -> float:
    """How far beyond its thread a nut is slid.

    Returns
    -------
    float
        By the tables' rule. [mm]
    """
    return rule("union nut", "slid clear").low or 0.0


def nuts_back(
    faces: tuple[EndFace, EndFace], od_mm: float, scene: Scene, parts: Iterable[Part], joints: Iterable[Joint]
) -> tuple[NutBack, ...]:
    """Slide back the nuts at both ends of a pipe.

    Parameters
    ----------
    faces
        Its start and its end face.
    od_mm
        Outside diameter of the tube. [mm]
    scene
        Where everything stands.
    parts
        The job's parts, built.
    joints
        The job's joints.

    Returns
    -------
    tuple of NutBack
        One for each nut that has a place and is screwed on one of the two ports.
    """
    parts = tuple(parts)
    kinds = {part.name: part.kind for part in parts}
    found: list[NutBack] = []
    for joint in joints:
        for port, other in ((joint.a, joint.b), (joint.b, joint.a)):
            face = next((each for each in faces if each.name == port), None)
            nut = other.rpartition(".")[0]
            thing = scene.thing(nut)
            if face is None or kinds.get(nut) != "union nut" or thing is None or not thing.pieces:
                continue
            try:
                made = made_up(joint, find_port(parts, joint.a), find_port(parts, joint.b))
            except Refusal:
                continue
            if made.how != "thread":
                continue
            slid = made.depth_mm + clear_mm()
            end: Literal["start", "end"] = "start" if face is faces[0] else "end"
            reaches = _reaches_mm(thing, face) + slid
            holes = _holes_mm(parts, nut, od_mm)
            found.append(NutBack(nut, end, face.name, made.depth_mm, slid, reaches, holes, made.basis))
    return tuple(found)


def with_room(faces: tuple[EndFace, EndFace], backs: Iterable[NutBack]) -> tuple[EndFace, EndFace]:
    """Ask of each face as much straight as its nut wants to be slid back.

    Parameters
    ----------
    faces
        A pipe's start and end face.
    backs
        Its nuts, slid back.

    Returns
    -------
    tuple of EndFace
        With the straight asked for before, or more.
    """
    told = tuple(backs)
    wants = [max((back.reaches_mm for back in told if back.face == face.name), default=0.0) for face in faces]
    start, end = (
        replace(face, straight_mm=want) if want > face.straight_mm else face
        for face, want in zip(faces, wants, strict=True)
    )
    return start, end


def rooms_of(
    vertices_mm: Array, radius_mm: float, od_mm: float, backs: Iterable[NutBack], asked_mm: tuple[float, float]
) -> tuple[NutRoom, ...]:
    """Say what room a way leaves each nut.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]
    radius_mm
        Centre-line radius of its bends. [mm]
    od_mm
        Outside diameter of the tube. [mm]
    backs
        Its nuts, slid back.
    asked_mm
        The straight the job asks for at the start and at the end. [mm]

    Returns
    -------
    tuple of NutRoom
        One a nut; on a straight pipe each has what the others leave it.
    """
    told = tuple(backs)
    straights = bend_table(vertices_mm, radius_mm).straights_mm
    found = []
    for back in told:
        straight, asked = (straights[0], asked_mm[0]) if back.end == "start" else (straights[-1], asked_mm[1])
        into = (0.0, 0.0)
        if len(straights) == 1:
            straight -= sum(each.reaches_mm for each in told if each.end != back.end)
        else:
            into = (into_bend_mm(back.holes_mm[0], od_mm, radius_mm), into_bend_mm(back.holes_mm[1], od_mm, radius_mm))
        found.append(NutRoom(back, straight, asked, into))
    return tuple(found)


def into_bend_mm(hole_mm: float, od_mm: float, radius_mm: float) -> float:
    """How far into a bend the back of a nut may stand.

    Parameters
    ----------
    hole_mm
        Diameter of its hole. [mm]
    od_mm, radius_mm
        Outside diameter of the tube, and centre-line radius of the bend. [mm]

    Returns
    -------
    float
        Along the straight, from where the bend begins. [mm]

    Valid
    -----
    A nut that is not tilted on the tube: tilted it may go a little farther.
    """
    inside = radius_mm - od_mm / 2
    play = min(max(hole_mm - od_mm, 0.0), inside)
    return sqrt(2 * inside * play - play**2) if inside > 0 else 0.0


def slide_findings(pipe: PipePlan) -> tuple[Finding, ...]:
    """Ask whether a pipe's nuts can be slid back off their threads.

    Parameters
    ----------
    pipe
        The pipe, laid out.

    Returns
    -------
    tuple of Finding
        One, or none where no nut of its ends has a place.
    """
    rooms = pipe.routing.rooms
    if not rooms:
        return ()
    worst = min(rooms, key=lambda room: room.spare_mm)
    answer = Answer.GO
    if round(worst.spare_mm, 1) < 0:
        answer = Answer.STOP if any(_surely_short(room) for room in rooms) else Answer.LOOK
    because = [Reason(_room_words(pipe, room), "", room.back.basis) for room in rooms]
    if any(_left_mm(room) < 0 for room in rooms):
        because += [Reason(words, "", rule("union nut", "hole over tube").basis) for words in _bend_words(pipe, rooms)]
    clear = rule("union nut", "slid clear")
    because.append(Reason(f"A nut counts as clear {clear.low:g} mm beyond its thread.", "", clear.basis))
    figure = Figure(_left_mm(worst), "mm", None, 1)
    do = "" if answer is Answer.GO else _do(pipe, worst)
    question = "Can its nuts be slid back?"
    return (Finding("fitup", pipe.name, question, answer, figure, Figure(0.0, "mm", None, 1), tuple(because), do),)


def short_words(pipe: PipePlan) -> dict[str, str]:
    """Name the nuts that surely cannot be slid off their threads.

    Parameters
    ----------
    pipe
        The pipe, laid out.

    Returns
    -------
    dict
        A clause by the nut's name.
    """
    return {
        room.back.nut: (
            f"{room.back.nut}, slid back off its thread, would stand {room.short_mm:.1f} mm past where the straight of "
            f"{pipe.name} lets it at {room.back.face}"
        )
        for room in pipe.routing.rooms
        if _surely_short(room)
    }


def _surely_short(room: NutRoom) -> bool:
    return round(room.short_mm, 1) > 0


def _reaches_mm(thing: Thing, face: EndFace) -> float:
    """How far from a face the back of a nut stands where it is. [mm]"""
    solids = [piece.solid for piece in thing.pieces if not isinstance(piece.solid, HalfSpace)]
    far = np.vstack([farthest_mm(solid, face.direction[None]) for solid in solids])
    return float(((far - face.position_mm) @ face.direction).max())


def _holes_mm(parts: tuple[Part, ...], nut: str, od_mm: float) -> tuple[float, float]:
    given = next((port.bore_mm for part in parts if part.name == nut for port in part.ports if port.bore_mm), None)
    law = rule("union nut", "hole over tube")
    return (given, given) if given is not None else (od_mm + (law.low or 0.0), od_mm + (law.high or 0.0))


def _room_words(pipe: PipePlan, room: NutRoom) -> str:
    back = room.back
    wants = (
        f"{back.nut} has {back.engaged_mm:.1f} mm of thread on {back.face}; slid clear of it, its back stands "
        f"{back.reaches_mm:.1f} mm from the face"
    )
    there = f"{pipe.name} has {room.straight_mm:.1f} mm of straight for it there"
    if back.reaches_mm > room.asked_mm + _HAIR_MM:
        there += f", {room.asked_mm:.1f} mm having been asked for"
    left = _left_mm(room)
    return f"{wants}; {there}: {-left:.1f} mm short." if left < 0 else f"{wants}, and {there}: {left:.1f} mm to spare."


def _left_mm(room: NutRoom) -> float:
    """Straight left behind it, the bend not counted; nought for a hair less. [mm]"""
    left = room.straight_mm - room.back.reaches_mm
    return 0.0 if abs(left) < _HAIR_MM else left


def _bend_words(pipe: PipePlan, rooms: Iterable[NutRoom]) -> Iterable[str]:
    for room in rooms:
        if _left_mm(room) < 0 and pipe.bends:
            (least, most), (near, far) = room.back.holes_mm, room.into_mm
            hole, into = (f"{least:.2f}", f"{near:.1f}") if least == most else (
                f"{least:.2f} to {most:.2f}", f"{near:.1f} to {far:.1f}"
            )  # fmt: skip
            yield f"With a hole of {hole} mm the back of {room.back.nut} goes {into} mm into the bend."


def _do(pipe: PipePlan, room: NutRoom) -> str:
    back, lacks = room.back, -_left_mm(room)
    wants = ceil(10 * back.reaches_mm) / 10
    ways = [f"ask for {wants:.1f} mm straight at {back.face}", f"shorten {back.nut} by {lacks:.1f} mm"]
    inside = pipe.radius_mm - pipe.tube.od_mm / 2
    if pipe.bends and lacks < inside:
        hole = pipe.tube.od_mm + inside - sqrt(inside**2 - lacks**2)
        ways.append(f"open its hole to {ceil(100 * hole) / 100:.2f} mm")
    return f"{ways[0][0].upper()}{'; or '.join(ways)[1:]}; or bend it on a smaller former."
