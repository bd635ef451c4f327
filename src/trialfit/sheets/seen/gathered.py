"""What of a plan can be seen: pipes new and old, parts and bodies in place, surveyed points."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.ends_in_place import EndsInPlace
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Scene, Thing
from trialfit.parts.build import find_port
from trialfit.parts.place import two_faces
from trialfit.parts.placement import Array
from trialfit.parts.solids import Capsule, HalfSpace
from trialfit.sheets.seen.corridor import centre_line, centre_line_spread
from trialfit.sheets.seen.meshes import Mesh, joined, mesh_of, pipe_mesh
from trialfit.sheets.seen.model import Look, Node
from trialfit.sheets.seen.over import Corridor
from trialfit.survey.outline_records import SurveyedTube
from trialfit.survey.records import Survey

_POINT_MM = 0.8
_LOOKS: dict[str, Look] = {"part": "part", "engine": "engine", "pipe": "new", "old pipe": "old"}


class Laid(Protocol):
    """What pictures take from a plan."""

    @property
    def survey(self) -> Survey | None:
        """What the photographs gave, if there were any."""

    @property
    def pipes(self) -> tuple[PipePlan, ...]:
        """The pipes that could be worked out."""


class LaidBetween(Laid, Protocol):
    """What a pipe's corridor takes from a plan besides."""

    @property
    def ends(self) -> EndsInPlace | None:
        """The faces its pipes go to, if there were any."""


def nodes_of(plan: Laid, scene: Scene | None = None) -> tuple[Node, ...]:
    """Everything that has a place, as named skins.

    Parameters
    ----------
    plan
        The plan.
    scene
        What stands where; without it the pipes and tubes of the plan alone.

    Returns
    -------
    tuple of Node
        The new pipes first, hollow; then what else stands there; old tubes; surveyed points last, as small balls.
    """
    nodes = [Node(f"pipe {pipe.name}", new_pipe_mesh(pipe), "new", "pipe to be made") for pipe in plan.pipes]
    made = {pipe.name for pipe in plan.pipes}
    things = scene.things if scene is not None else ()
    middle, reach_mm = _extent(plan, things)
    for thing in things:
        if thing.kind == "pipe" and thing.name in made:
            continue
        nodes.append(Node(thing.name, thing_mesh(thing, middle, reach_mm), _LOOKS[thing.kind], thing.what))
    survey = plan.survey
    if survey is None:
        return tuple(nodes)
    placed = {thing.name for thing in things}
    nodes += [Node(f"tube {tube.name}", old_tube_mesh(tube), "old") for tube in survey.tubes if tube.name not in placed]
    for point in survey.points:
        at = np.array(point.position_mm)
        nodes.append(Node(f"point {point.name}", mesh_of(Capsule(at, at, _POINT_MM), sides=12), "point"))
    return tuple(nodes)


def new_pipe_mesh(pipe: PipePlan) -> Mesh:
    """Skin of a pipe to be made, hollow, with what goes into its sockets.

    Parameters
    ----------
    pipe
        The pipe.

    Returns
    -------
    Mesh
        In the job frame.
    """
    line = pipe.vertices_mm.copy()
    line[0] -= pipe.start.enters_mm * pipe.start.direction
    line[-1] -= pipe.end.enters_mm * pipe.end.direction
    tube = pipe.tube
    return pipe_mesh(line, pipe.radius_mm, tube.od_mm, max(tube.od_mm - 2 * tube.wall_mm, 0.0))


def old_tube_mesh(tube: SurveyedTube) -> Mesh:
    """Skin of a surveyed tube, solid; its corners sharp where its bend radius is not known.

    Parameters
    ----------
    tube
        The tube.

    Returns
    -------
    Mesh
        In the job frame.
    """
    return pipe_mesh(np.array(tube.vertices_mm), tube.bend_radius_mm or 0.01, tube.od_mm)


def thing_mesh(thing: Thing, around_mm: Array, reach_mm: float) -> Mesh:
    """Skin of a thing in its place.

    Parameters
    ----------
    thing
        The thing.
    around_mm, reach_mm
        (3,) middle of what is shown of bodies without an end, and how far round it they are shown. [mm]

    Returns
    -------
    Mesh
        All its pieces.
    """
    return joined(mesh_of(piece.solid, around_mm, reach_mm) for piece in thing.pieces)


def corridor_of(plan: LaidBetween, pipe: PipePlan) -> Corridor:
    """A pipe's centre line with what is not known of it.

    Parameters
    ----------
    plan
        The plan.
    pipe
        One of its pipes.

    Returns
    -------
    Corridor
        From face to face.

    Raises
    ------
    Refusal
        The plan has no survey, or its faces are not in it.
    """
    if plan.ends is None:
        raise Refusal(
            f"pipe {pipe.name}", "no survey", "surveyed faces at both ends",
            "Mark the faces at its two ends in two photographs or more.",
        )  # fmt: skip
    ports = find_port(plan.ends.parts, pipe.start.name), find_port(plan.ends.parts, pipe.end.name)
    _, _, covariance = two_faces(plan.ends.survey, *ports)
    return Corridor(centre_line(pipe), centre_line_spread(pipe, covariance), pipe.tube.od_mm / 2)


def _extent(plan: Laid, things: Sequence[Thing]) -> tuple[Array, float]:
    """Middle and reach of what has an end. [mm]"""
    ended = [pipe.vertices_mm for pipe in plan.pipes]
    for thing in things:
        solids = [piece.solid for piece in thing.pieces if not isinstance(piece.solid, HalfSpace)]
        ended += [mesh_of(solid, sides=8).corners_mm for solid in solids]
    if not ended and plan.survey is not None and plan.survey.points:
        ended = [np.array([point.position_mm for point in plan.survey.points])]
    if not ended:
        return np.zeros(3), 100.0
    points = np.concatenate(ended)
    low, high = points.min(axis=0), points.max(axis=0)
    return (low + high) / 2, 0.6 * float(np.linalg.norm(high - low))
