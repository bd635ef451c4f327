"""The bodies of the engine in their places: boiler, backhead, tank side, frame plate.

Source: planes and circles through surveyed points in `trialfit.fitup.body_faces`; the rest is typed in the job.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.body_faces import Face, plane_face, round_face
from trialfit.fitup.records import Array
from trialfit.fitup.scene import Piece, Thing
from trialfit.fitup.vectors import cross_matrix, square_to
from trialfit.job.bodies import EngineBodyEntry
from trialfit.parts.build import mm_of
from trialfit.parts.place import Surveyed
from trialfit.parts.placement import Placement
from trialfit.parts.solids import Box, Cylinder, HalfSpace, Solid, placed
from trialfit.units import Quantity

ASSUMED_K2_MM = 1.0


@dataclass(frozen=True, eq=False)
class Body:
    """A body of the engine, in its place.

    Parameters
    ----------
    thing
        As it stands in the scene.
    face
        Its marked face; None where its sizes were typed.
    k2_mm
        Two standard deviations of how far its face may be from where it is said, the way it is least sure of. [mm]
    assumed
        Whether nobody said how sure its typed sizes are.
    uneven_mm
        How far its points may lie off one plane or circle without anything being wrong, k = 2. [mm]
    worst_point
        The point that lies furthest off it; empty where its sizes were typed.
    """

    thing: Thing
    face: Face | None
    k2_mm: float
    assumed: bool
    uneven_mm: float
    worst_point: str = ""


def body_of(name: str, entry: EngineBodyEntry, survey: Surveyed | None) -> Body:
    """Put one body of the engine in its place.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        What the job says of it.
    survey
        Where the points are, or None.

    Returns
    -------
    Body
        Its frame has z out of its face or along its axis.

    Raises
    ------
    Refusal
        A point it rests on is not in the survey, or its points lie in one line.
    """
    pm = ASSUMED_K2_MM if entry.pm is None else float(entry.pm.to("mm"))
    own = np.diag([*[(pm / 2) ** 2] * 3, 0.0, 0.0, 0.0])
    if entry.shape in ("plane", "plate") or entry.rim is not None:
        face, pieces, covariance, uneven = _from_points(name, entry, survey, own)
    else:
        face, uneven = None, 0.0
        pieces, covariance = _typed(name, entry, survey, own)
    placement, solids = pieces
    covariance = np.asarray(covariance)
    shown = tuple(Piece(each, placed(solid, placement)) for each, solid in solids)
    thing = Thing(name, entry.what or name, "engine", shown, placement, covariance)
    k2 = 2 * float(np.linalg.eigvalsh(covariance[:3, :3])[-1]) ** 0.5
    assumed = entry.pm is None and (face is None or entry.behind is not None)
    named = entry.rim or entry.through or ()
    return Body(thing, face, k2, assumed, uneven + pm, named[face.worst] if face is not None else "")


_Placed = tuple[Placement, list[tuple[str, Solid]]]


def _from_points(
    name: str, entry: EngineBodyEntry, survey: Surveyed | None, own: Array
) -> tuple[Face, _Placed, Array, float]:
    named = list(entry.rim or entry.through or ())
    every, joint = _points(name, survey, [*named, entry.seen_from or ""])
    points, covariance = every[:-1], joint[:-3, :-3]
    lay = round_face if entry.rim is not None else plane_face
    face = lay(f"body {name}", points, covariance, every[-1])
    behind = _mm(entry.behind)
    turn = np.column_stack([face.along, np.cross(face.out, face.along), face.out])
    placement = Placement(name, "job", turn, face.middle_mm - behind * face.out)
    lever = np.eye(6)
    lever[:3, 3:] = cross_matrix(behind * face.out)
    spread = lever @ face.covariance @ lever.T
    if entry.behind is not None or entry.pm is not None:
        spread = spread + own * (1.0 if entry.rim is None else 0.0)
    if entry.shape == "plate":
        solids = _plate(entry, placement.turned_round().points_mm(points))
    elif entry.shape == "plane":
        solids = _planes(entry)
    else:
        solids = _barrel(np.zeros(3), np.array([0.0, 0.0, -_mm(entry.long)]), face.radius_mm, entry)
    worst = max(float(np.linalg.eigvalsh(covariance[k : k + 3, k : k + 3])[-1]) for k in range(0, len(covariance), 3))
    return face, (placement, solids), spread, 2 * worst**0.5


def _typed(name: str, entry: EngineBodyEntry, survey: Surveyed | None, own: Array) -> tuple[_Placed, Array]:
    if entry.shape == "box" and entry.corner is not None and entry.size is not None:
        corner, size = np.array(mm_of(entry.corner)), np.array(mm_of(entry.size))
        angle = 0.0 if entry.turned is None else radians(float(entry.turned.to("deg")))
        turn = np.array([[cos(angle), -sin(angle), 0.0], [sin(angle), cos(angle), 0.0], [0.0, 0.0, 1.0]])
        placement = Placement(name, "job", turn, corner)
        return (placement, _boxes(size, entry)), own
    if entry.start is not None and entry.end is not None:
        start, end, spread = np.array(mm_of(entry.start)), np.array(mm_of(entry.end)), own
        long = float(np.linalg.norm(end - start))
        across = 2 * own[0, 0] / long**2 if long > 0 else 0.0
        spread = own + np.diag([0.0, 0.0, 0.0, across, across, across])
    else:
        points, joint = _points(name, survey, [entry.start_at or "", entry.end_at or ""])
        start, end = points
        long = float(np.linalg.norm(end - start))
        tilt = cross_matrix(end - start) / max(long, 1e-9) ** 2
        slopes = np.block([[np.eye(3), np.zeros((3, 3))], [-tilt, tilt]])
        spread = slopes @ joint @ slopes.T
        if entry.pm is not None:
            spread = spread + own
    if long == 0:
        remedy = "Name another point, or measure its other end."
        raise Refusal(f"body {name}", "both ends in one place", "two ends apart", remedy)
    axis = (end - start) / long
    side = square_to(axis)
    placement = Placement(name, "job", np.column_stack([side, np.cross(axis, side), axis]), start)
    far = np.array([0.0, 0.0, long])
    return (placement, _barrel(np.zeros(3), far, _mm(entry.diameter) / 2, entry)), np.asarray(spread)


def _planes(entry: EngineBodyEntry) -> list[tuple[str, Solid]]:
    up = np.array([0.0, 0.0, 1.0])
    solids: list[tuple[str, Solid]] = [("body", HalfSpace(np.zeros(3), up))]
    if entry.lagging is not None:
        solids.append(("lagging", HalfSpace(_mm(entry.lagging) * up, up)))
    return solids


def _plate(entry: EngineBodyEntry, points: Array) -> list[tuple[str, Solid]]:
    thick, beyond = _mm(entry.thick), _mm(entry.beyond)
    low, high = points.min(axis=0) - beyond, points.max(axis=0) + beyond
    middle = np.array([(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, -thick / 2])
    halves = np.array([(high[0] - low[0]) / 2, (high[1] - low[1]) / 2, thick / 2])
    solids: list[tuple[str, Solid]] = [("body", Box(middle, np.eye(3), halves))]
    if entry.lagging is not None:
        over = _mm(entry.lagging)
        lagged = np.array([middle[0], middle[1], over / 2])
        solids.append(("lagging", Box(lagged, np.eye(3), np.array([halves[0], halves[1], over / 2]))))
    return solids


def _boxes(diagonal: Array, entry: EngineBodyEntry) -> list[tuple[str, Solid]]:
    solids: list[tuple[str, Solid]] = [("body", Box(diagonal / 2, np.eye(3), np.abs(diagonal) / 2))]
    if entry.lagging is not None:
        solids.append(("lagging", Box(diagonal / 2, np.eye(3), np.abs(diagonal) / 2 + _mm(entry.lagging))))
    return solids


def _barrel(start: Array, end: Array, radius_mm: float, entry: EngineBodyEntry) -> list[tuple[str, Solid]]:
    solids: list[tuple[str, Solid]] = [("body", Cylinder(start, end, radius_mm))]
    if entry.lagging is not None:
        solids.append(("lagging", Cylinder(start, end, radius_mm + _mm(entry.lagging))))
    return solids


def _points(name: str, survey: Surveyed | None, names: list[str]) -> tuple[Array, Array]:
    if survey is None:
        raise Refusal(
            f"body {name}", "a job without points", "surveyed points to lay it through",
            "Mark its points in two photographs or more, or type its sizes as a box or cylinder.",
        )  # fmt: skip
    return survey.joint(names)


def _mm(length: Quantity | None) -> float:
    return 0.0 if length is None else float(length.to("mm"))
