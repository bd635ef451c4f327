"""Pipes as simple solids: rods for the straight lengths, short rods for the bends.

Source: geometry; a bend of centre-line radius R cut into chords of angle t bulges R (1 - cos(t/2)) beyond them.
"""

from __future__ import annotations

from math import ceil, radians, tan

import numpy as np

from trialfit.fitup.records import Array, PipePlan
from trialfit.fitup.scene import Piece, Thing
from trialfit.fitup.vectors import angle_between_deg, cross, turned
from trialfit.parts.solids import Capsule
from trialfit.survey.outline_records import SurveyedTube

_CHORD_DEG = 10.0


def pipe_thing(pipe: PipePlan, what: str, rests_on: tuple[str, ...]) -> Thing:
    """Put a pipe to be made in its place.

    Parameters
    ----------
    pipe
        The pipe, laid out.
    what
        Which one, in words.
    rests_on
        What it rests on.

    Returns
    -------
    Thing
        Its ends reach into their sockets.
    """
    line = pipe.vertices_mm.copy()
    line[0] -= pipe.start.enters_mm * pipe.start.direction
    line[-1] -= pipe.end.enters_mm * pipe.end.direction
    pieces = rods(line, pipe.radius_mm, pipe.tube.od_mm / 2)
    return Thing(pipe.name, what, "pipe", pieces, None, None, rests_on)


def old_pipe_thing(tube: SurveyedTube, what: str) -> Thing:
    """Put a surveyed pipe in its place.

    Parameters
    ----------
    tube
        The tube, as surveyed; without a known bend radius its corners are left sharp.
    what
        Which one, in words.

    Returns
    -------
    Thing
        As far as it was marked.
    """
    pieces = rods(np.array(tube.vertices_mm), tube.bend_radius_mm or 0.0, tube.od_mm / 2)
    return Thing(tube.name, what, "old pipe", pieces)


def rods(vertices_mm: Array, bend_radius_mm: float, radius_mm: float) -> tuple[Piece, ...]:
    """Cut a rounded line into rods.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) its ends and corners. [mm]
    bend_radius_mm
        Centre-line radius of its bends; 0 for sharp corners. [mm]
    radius_mm
        Radius of the tube. [mm]

    Returns
    -------
    tuple of Piece
        ``leg1``, ``bend1.1``, ``bend1.2`` ... in order; in bends a hair thicker, so that all of the arc is inside.
    """
    pieces: list[Piece] = []
    here = vertices_mm[0]
    for k in range(1, len(vertices_mm) - 1):
        before, after = vertices_mm[k] - vertices_mm[k - 1], vertices_mm[k + 1] - vertices_mm[k]
        angle = angle_between_deg(before, after)
        into = before / np.linalg.norm(before)
        tangent = bend_radius_mm * tan(radians(angle / 2))
        starts = vertices_mm[k] - tangent * into
        pieces.append(Piece(f"leg{k}", Capsule(here, starts, radius_mm)))
        here = starts
        if tangent > 0:
            for n, there in enumerate(_arc(starts, into, after, bend_radius_mm, angle), 1):
                bulge = bend_radius_mm * (1 - np.cos(radians(angle / _steps(angle) / 2)))
                pieces.append(Piece(f"bend{k}.{n}", Capsule(here, there, radius_mm + float(bulge))))
                here = there
    pieces.append(Piece(f"leg{len(vertices_mm) - 1}", Capsule(here, vertices_mm[-1], radius_mm)))
    return tuple(pieces)


def _steps(angle_deg: float) -> int:
    return max(1, ceil(angle_deg / _CHORD_DEG))


def _arc(starts: Array, into: Array, after: Array, radius_mm: float, angle_deg: float) -> list[Array]:
    axis = cross(into, after)
    axis = axis / np.linalg.norm(axis)
    middle = starts + radius_mm * cross(axis, into)
    steps = _steps(angle_deg)
    return [middle + turned(starts - middle, axis, radians(angle_deg * n / steps)) for n in range(1, steps + 1)]
