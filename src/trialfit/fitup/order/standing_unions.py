"""The unions a pipe to be made goes to, and what stands where once one of them is moved along it.

A union that stands in a run, with a pipe to be made at either side, is slid along both. Any other stays where it is,
for what carries it is on the engine: a distance piece, screwed on it and with the same thread and seat at its far end,
brings its face out along the pipe.

Source: none; geometry.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from trialfit.fitup.in_place import InPlace
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Piece, Pivot, Scene, Thing
from trialfit.job.records import Job
from trialfit.parts.place import Surveyed
from trialfit.parts.placement import Array, Placement
from trialfit.parts.records import Port
from trialfit.parts.solids import Cylinder, HalfSpace, Hexagon, farthest_mm, placed
from trialfit.tables.rules import rule

DISTANCE_PIECE = "distance piece"
# Cosine of the angle between the two ways out of a union in a run.
_IN_LINE = -0.99
_SLIDES_ON = ("union nut", "union cone")
_UNIONS = ("union body", "adaptor")
# A distance piece of a union without a nut: across over the tube's outside diameter (assumed).
_ACROSS_OVER_OD = 2.2


@dataclass(frozen=True, eq=False)
class StandingUnion:
    """A union that a pipe to be made goes to.

    Parameters
    ----------
    name
        Its name.
    port, pipe
        The port, and the pipe that goes to it.
    face_mm, out
        (3,) middle of the port's face [mm], and unit vector out of it, the way the pipe leaves it [-].
    far_port, far_pipe
        The port at its other side and the pipe that goes to that; empty where it is the end of a run.
    slides
        The nuts and cones on its ports, which go where it goes.
    least_mm
        The least it can be moved by. [mm]
    across_mm
        Diameter of a distance piece for it. [mm]
    """

    name: str
    port: str
    pipe: str
    face_mm: Array
    out: Array
    far_port: str
    far_pipe: str
    slides: tuple[str, ...]
    least_mm: float
    across_mm: float

    @property
    def in_a_run(self) -> bool:
        """Whether a pipe to be made goes to either side of it."""
        return bool(self.far_pipe)

    @property
    def pipes(self) -> tuple[str, ...]:
        """The pipes that are laid out anew where it is moved."""
        return (self.pipe, self.far_pipe) if self.far_pipe else (self.pipe,)


@dataclass(frozen=True, eq=False)
class ShiftedPoints:
    """A survey with some of its points moved.

    Parameters
    ----------
    survey
        The survey.
    by_mm
        (3,) by the point's name, how far it is moved. [mm]
    """

    survey: Surveyed
    by_mm: Mapping[str, Array]

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        """Give several points, or axes, together.

        Parameters
        ----------
        names
            Names of m points or axes.

        Returns
        -------
        tuple
            (m, 3) positions, moved [mm], of an axis its direction [-]; and (3m, 3m) covariance [mm2, mm, 1], as it was.
        """
        positions, covariance = self.survey.joint(names)
        moved = [at + self.by_mm.get(name, 0.0) for name, at in zip(names, positions, strict=True)]
        return np.array(moved, dtype=np.float64), covariance


def standing_unions(
    job: Job, placed_now: InPlace, pipes: Iterable[PipePlan], stuck: Iterable[str]
) -> tuple[StandingUnion, ...]:
    """Find the unions that stuck pipes go to.

    Parameters
    ----------
    job
        The job document.
    placed_now
        What stands where.
    pipes
        The pipes that were laid out.
    stuck
        The things that hold each other in.

    Returns
    -------
    tuple of StandingUnion
        Those that have a place, one for both its pipes.
    """
    laid = tuple(pipes)
    found: dict[str, StandingUnion] = {}
    for pipe in laid:
        for face, end in ((pipe.start, "start"), (pipe.end, "end")):
            name = face.name.rpartition(".")[0]
            thing = placed_now.scene.thing(name)
            if pipe.name not in stuck or thing is None or not thing.pieces or name in found:
                continue
            far_port, far_pipe = (
                _far_side(laid, pipe, face.name, face.direction) if _in_the_run(job, name) else ("", "")
            )
            slides = _slides(job, face.name, f"{pipe.name}.{end}")
            if far_pipe:
                slides += _slides(job, far_port, f"{far_pipe}.start", f"{far_pipe}.end")
            least, across = (0.0, 0.0) if far_pipe else _piece_sizes_mm(placed_now.scene, slides, face.direction, pipe)
            found[name] = StandingUnion(
                name, face.name, pipe.name, face.position_mm, face.direction, far_port, far_pipe,
                tuple(dict.fromkeys(slides)), least, across,
            )  # fmt: skip
    return tuple(found.values())


def with_union_moved(placed_now: InPlace, union: StandingUnion, by_mm: float) -> Scene:
    """Put a union elsewhere along its pipe.

    Parameters
    ----------
    placed_now
        What stands where.
    union
        The union.
    by_mm
        How far, the way its pipe leaves it. [mm]

    Returns
    -------
    Scene
        Without the pipes that have to be laid out anew.
    """
    shift = by_mm * union.out
    things = []
    for thing in placed_now.scene.things:
        if thing.name in union.pipes and thing.kind == "pipe":
            continue
        if thing.name in union.slides or (thing.name == union.name and union.in_a_run):
            things.append(_shifted(thing, shift))
        elif thing.name == union.name:
            solid = Cylinder(union.face_mm, union.face_mm + shift, union.across_mm / 2)
            things.append(replace(thing, pieces=(*thing.pieces, Piece(DISTANCE_PIECE, solid))))
        else:
            things.append(thing)
    return Scene(tuple(things))


def points_moved(survey: Surveyed, ports: Iterable[Port], union: StandingUnion, by_mm: float) -> ShiftedPoints:
    """Move the points that a union's ports are given by.

    Parameters
    ----------
    survey
        The surveyed points.
    ports
        The ports of a pipe's ends.
    union
        The union.
    by_mm
        How far, the way its pipe leaves it. [mm]

    Returns
    -------
    ShiftedPoints
        The survey, as sure as before.
    """
    mine = [port for port in ports if port.full_name in (union.port, union.far_port)]
    names = [name for port in mine for name in (port.face, port.axis_from) if name is not None]
    return ShiftedPoints(survey, dict.fromkeys(names, by_mm * union.out))


def _in_the_run(job: Job, name: str) -> bool:
    """Whether a part is but a union, and joined to nothing that is not a pipe's."""
    if job.parts[name].kind not in _UNIONS:
        return False
    for joint in job.joints:
        ends = [each.rpartition(".")[0] for each in (joint.a, joint.b)]
        others = [each for each in ends if each != name and each in job.parts] if name in ends else []
        if any(job.parts[each].kind not in _SLIDES_ON for each in others):
            return False
    return True


def _far_side(pipes: tuple[PipePlan, ...], pipe: PipePlan, port: str, out: Array) -> tuple[str, str]:
    """The port right opposite, and the other pipe that goes to it."""
    part = port.rpartition(".")[0]
    for other in pipes:
        for face in (other.start, other.end):
            mine = face.name.rpartition(".")[0] == part and face.name != port
            if other.name != pipe.name and mine and float(face.direction @ out) < _IN_LINE:
                return face.name, other.name
    return "", ""


def _slides(job: Job, *ports: str) -> tuple[str, ...]:
    """Nuts and cones joined to some ports."""
    found = []
    for joint in job.joints:
        for here, there in ((joint.a, joint.b), (joint.b, joint.a)):
            part = there.rpartition(".")[0]
            if here in ports and part in job.parts and job.parts[part].kind in _SLIDES_ON:
                found.append(part)
    return tuple(found)


def _piece_sizes_mm(scene: Scene, slides: tuple[str, ...], out: Array, pipe: PipePlan) -> tuple[float, float]:
    """The least length of a distance piece, and how thick it is: a nut's length, and as much again for its own thread.

    Without a nut that has a place, half of what a union in a run takes.
    """
    nuts = [
        piece.solid for name in slides if (thing := scene.thing(name)) is not None
        for piece in thing.pieces if isinstance(piece.solid, Hexagon)
    ]  # fmt: skip
    if not nuts:
        return (rule("extra union", "straight").low or 0.0) / 2, _ACROSS_OVER_OD * pipe.tube.od_mm
    long = max(float((farthest_mm(each, np.array([out, -out])) @ out) @ np.array([1.0, -1.0])) for each in nuts)
    return float(ceil(2 * long)), max(each.flats_mm for each in nuts)


def _shifted(thing: Thing, shift_mm: Array) -> Thing:
    by = Placement(thing.name, "job", np.eye(3), shift_mm)
    pieces = tuple(
        replace(piece, solid=piece.solid if isinstance(piece.solid, HalfSpace) else placed(piece.solid, by))
        for piece in thing.pieces
    )
    stands = thing.placement and replace(thing.placement, shift_mm=thing.placement.shift_mm + shift_mm)
    pivots = tuple(Pivot(each.on_mm + shift_mm, each.axis) for each in thing.pivots)
    return replace(thing, pieces=pieces, placement=stands, pivots=pivots)
