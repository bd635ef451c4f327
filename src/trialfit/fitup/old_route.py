"""A new pipe that follows an old one: its corners kept, but for the first and the last, which go onto the new axes.

The old corners are where the survey has them. The first new corner goes to the place on the start's axis nearest to the
old one, the last likewise; where that leaves too little straight at a face, it goes out until there is enough.

Source: `docs/methods/routes.md`.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from trialfit.errors import Refusal
from trialfit.finding import Figure
from trialfit.fitup.attempts import Path, path_of
from trialfit.fitup.bends import bend_table
from trialfit.fitup.corners import BEND_MOST_DEG, Bender, crossing, with_straights
from trialfit.fitup.families import tangent_to_bend
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.route_records import OldRoute
from trialfit.fitup.ways import ways_of

_SHORT_MM = 1e-6
# The most a pipe of one bend may miss an axis by (assumed, as in `trialfit.fitup.pipe`).
_MISS_MOST_DEG = 1.0


@dataclass(frozen=True, eq=False)
class OldTube:
    """An old pipe as the survey has it.

    Parameters
    ----------
    name
        Its name in the job.
    vertices_mm
        (k + 2, 3) where its straight lengths would cross, from start to end; the first and last merely say how far it
        was marked. [mm]
    k2_mm
        (k + 2, 3) two standard deviations of each. [mm]
    radius_mm
        Centre-line radius of its bends; None where the survey does not tell. [mm]
    """

    name: str
    vertices_mm: Array
    k2_mm: Array
    radius_mm: float | None


def followed(start: EndFace, end: EndFace, bender: Bender, old: OldTube, what: str = "pipe") -> tuple[Path, OldRoute]:
    """Lay a pipe out along an old one.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    old
        The old pipe.
    what
        The pipe it is about, for the refusal.

    Returns
    -------
    tuple
        The way, and how it follows the old one.

    Raises
    ------
    Refusal
        The old pipe is straight and the new faces are not in line; or its corners do not leave the straights this
        bender and these unions need, and the refusal says which.
    """
    forward = _ends_apart(old.vertices_mm, start, end) <= _ends_apart(old.vertices_mm[::-1], start, end)
    corners = old.vertices_mm if forward else old.vertices_mm[::-1]
    k2_mm = old.k2_mm if forward else old.k2_mm[::-1]
    if len(corners) < 3:
        raise Refusal(
            f"{what}, like {old.name}", "an old pipe without a bend", "an old pipe with one bend or more",
            "Take out the line like = ...; between faces in line the shortest way is a straight pipe anyhow.",
        )  # fmt: skip
    vertices = _adapted(start, end, bender, corners[1:-1])
    path = path_of(start, end, bender, vertices)
    _refuse_short(start, end, bender, path, old.name, what)
    return path, _departs(path.vertices_mm, bender.radius_mm, corners, k2_mm, old, not forward)


def _ends_apart(vertices: Array, start: EndFace, end: EndFace) -> float:
    ends = vertices[[0, -1]] - np.array([start.position_mm, end.position_mm])
    return float(np.linalg.norm(ends, axis=1).sum())


def _adapted(start: EndFace, end: EndFace, bender: Bender, corners: Array) -> Array:
    """Corners of the new pipe, faces included."""
    if len(corners) == 1:
        meet = crossing(start, end)
        return np.array([start.position_mm, corners[0] if meet is None else meet.corner_mm, end.position_mm])
    if len(corners) == 2:
        out = [_out(face, corner) for face, corner in zip((start, end), corners, strict=True)]
        on = [face.position_mm + far * face.direction for face, far in zip((start, end), out, strict=True)]
        vertices = np.array([start.position_mm, *on, end.position_mm])
        straights = bend_table(vertices, bender.radius_mm).straights_mm
        wanted = max(straights[0], start.straight_mm), max(straights[-1], end.straight_mm)
        if wanted == (straights[0], straights[-1]):
            return vertices
        out = list(with_straights(start, end, bender.radius_mm, wanted, (max(out[0], 1.0), max(out[1], 1.0))))
        on = [face.position_mm + far * face.direction for face, far in zip((start, end), out, strict=True)]
        return np.array([start.position_mm, *on, end.position_mm])
    first = _corner(start, bender, corners[0], corners[1])
    last = _corner(end, bender, corners[-1], corners[-2])
    return np.array([start.position_mm, first, *corners[1:-1], last, end.position_mm])


def _corner(face: EndFace, bender: Bender, corner: Array, following: Array) -> Array:
    """Corner on a face's axis: nearest to the old one, but with the straight the face wants."""
    at = face.position_mm + _out(face, corner) * face.direction
    straight = float(bend_table(np.array([face.position_mm, at, following]), bender.radius_mm).straights_mm[0])
    if straight >= face.straight_mm and _out(face, corner) > 0:
        return at
    wanted = np.array([face.straight_mm])
    _, tangent = tangent_to_bend(face, wanted, following[None], bender.radius_mm)
    return np.asarray(face.position_mm + (face.straight_mm + float(tangent[0])) * face.direction)


def _out(face: EndFace, corner: Array) -> float:
    return float((corner - face.position_mm) @ face.direction)


def _refuse_short(start: EndFace, end: EndFace, bender: Bender, path: Path, old: str, what: str) -> None:
    count = len(path.straights_mm)
    wants = [start.straight_mm, *[bender.grip_mm] * (count - 2), end.straight_mm]
    names = [f"at {start.name}", *(f"between bends {k} and {k + 1}" for k in range(1, count - 1)), f"at {end.name}"]
    short = [
        f"{straight:.1f} mm straight {name}, where {want:.1f} is wanted"
        for straight, want, name in zip(path.straights_mm, wants, names, strict=True)
        if straight < want - _SHORT_MM
    ]
    angles = [line.angle_deg for line in bend_table(path.vertices_mm, bender.radius_mm).lines]
    short += [
        f"bend {k} of {angle:.0f} deg, where {BEND_MOST_DEG:.0f} is the most that is laid out"
        for k, angle in enumerate(angles, 1)
        if angle > BEND_MOST_DEG
    ]
    if max(path.misses_deg) > _MISS_MOST_DEG:
        first, last = path.misses_deg
        short.append(f"one bend, as the old pipe has, misses the axes of the faces by {first:.1f} and {last:.1f} deg")
    if short:
        raise Refusal(
            f"{what}, like {old}",
            "; ".join(short),
            f"an old way that bends of radius {bender.radius_mm:.1f} mm can follow",
            "Take out the line like = ... for the shortest way that clears, allow a smaller radius or shorter "
            "straights, or mark the old pipe again where its corners look wrong.",
        )


def _departs(
    vertices: Array, radius_mm: float, old_corners: Array, k2_mm: Array, old: OldTube, turned: bool
) -> OldRoute:
    """How far the old centre line lies from the new, where it is farthest."""
    new = ways_of(vertices[None], radius_mm)
    line = new.points_mm(np.zeros(600, dtype=int), np.linspace(0.0, float(new.lengths_mm[0]), 600))
    legs = np.concatenate([np.linspace(a, b, 60, endpoint=False) for a, b in pairwise(old_corners)])
    if old.radius_mm is not None and min(bend_table(old_corners, old.radius_mm).straights_mm) > 0:
        rounded = ways_of(old_corners[None], old.radius_mm)
        places = np.linspace(0.0, float(rounded.lengths_mm[0]), 300)
        legs = rounded.points_mm(np.zeros(300, dtype=int), places)
    # Beyond the faces there is no new pipe for the old one to be away from.
    square = np.sum((legs[:, None] - line[None]) ** 2, axis=2)
    beyond = np.isin(square.argmin(axis=1), (0, len(line) - 1))
    away = np.where(beyond, 0.0, np.sqrt(square.min(axis=1)))
    worst = int(away.argmax())
    corner = int(np.linalg.norm(old_corners - legs[worst], axis=1).argmin())
    number = len(old_corners) - 1 - corner if turned else corner
    ends = {0: "at its first end", len(old_corners) - 1: "at its last end"}
    where = ends.get(number, f"near its corner {number}")
    return OldRoute(old.name, Figure(float(away[worst]), "mm", float(k2_mm[corner].max()), 1), where, turned)
