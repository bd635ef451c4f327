"""The centre line of a bent tube, piece by piece: where it runs, and how it moves with its vertices.

Beyond its ends a bend is continued by its legs, a leg by itself. Slopes leave out whatever runs along the centre line:
an edge does not move when the place looked at slides along it.

Source: an arc that touches two straight lines, by plane geometry; slopes by hand, held against numeric differences
in `tests/unit/`.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.outlines import Outlined, Outlines, leg_directions
from trialfit.survey.vectors import cross, dot, length

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

_LEAST_SINE = 1e-3


@dataclass(frozen=True)
class Pieces:
    """The piece of a tube under each of n marks: a leg, or a bend with its two legs.

    Parameters
    ----------
    vertex
        (n,) the piece's first vertex; a leg runs to the next, a bend lies about the next. [-]
    bent
        (n,) whether it is a bend.
    before, after
        (n, 3) directions of the leg and, for a bend, of the leg behind it. [-]
    before_mm, after_mm
        (n,) lengths of those legs from vertex to vertex. [mm]
    corner_mm
        (n, 3) where a leg starts; where the legs of a bend would cross. [mm]
    radius_mm
        (n,) centre-line radius of the bend; 1 for legs. [mm]
    sine, cosine
        (n,) of the angle between the two legs; 1 and 0 for legs. [-]
    """

    vertex: Indices
    bent: Flags
    before: Array
    after: Array
    before_mm: Array
    after_mm: Array
    corner_mm: Array
    radius_mm: Array
    sine: Array
    cosine: Array

    @property
    def sound(self) -> bool:
        """Whether every bend has legs that cross."""
        return bool((self.sine > _LEAST_SINE).all())

    @cached_property
    def length_mm(self) -> Array:
        """(n,) length of the piece: of a leg from vertex to vertex, of a bend along its arc. [mm]"""
        turn = np.arctan2(self.sine, self.cosine)
        return np.where(self.bent, self.radius_mm * turn, self.before_mm)

    @cached_property
    def tangent_mm(self) -> Array:
        """(n,) from a bend's corner to where its arc begins. [mm]"""
        return self.radius_mm * self.sine / (1.0 + self.cosine)

    def some(self, rows: Indices) -> Pieces:
        """Only the pieces of some of the marks."""
        return Pieces(**{each.name: getattr(self, each.name)[rows] for each in fields(self)})


def pieces_of(outlines: Outlines, outlined: Outlined, tube: Indices, piece: Indices) -> Pieces:
    """Look up the pieces under some marks.

    Parameters
    ----------
    outlines
        What was observed.
    outlined
        The tubes as they are taken to be.
    tube, piece
        (n,) tube and piece of each mark. [-]

    Returns
    -------
    Pieces
        One a mark.
    """
    directions, lengths = leg_directions(outlines, outlined.vertices_mm)
    leg = outlines.first_leg[tube] + piece // 2
    bent = piece % 2 == 1
    behind = np.where(bent, leg + 1, leg)
    before, after = directions[leg], directions[behind]
    vertex = outlines.leg_vertex[leg]
    crossed = length(cross(before, after))
    return Pieces(
        vertex,
        bent,
        before,
        after,
        lengths[leg],
        lengths[behind],
        outlined.vertices_mm[np.where(bent, vertex + 1, vertex)],
        np.where(bent, outlined.bend_radius_mm[tube], 1.0),
        np.where(bent, crossed, 1.0),
        np.where(bent, dot(before, after), 0.0),
    )


def centre_at(pieces: Pieces, along_mm: Array) -> tuple[Array, Array, Array]:
    """Where the centre line runs.

    Parameters
    ----------
    pieces
        The pieces.
    along_mm
        (n,) from a leg's first vertex, or from where a bend's arc begins. [mm]

    Returns
    -------
    tuple
        (n, 3) places [mm], (n, 3) directions of the centre line there [-], (n, 3) unit vectors away from a bend's
        centre over its radius, nought on straight pieces [1/mm].
    """
    bent, radius = pieces.bent, pieces.radius_mm[:, None]
    inward = (pieces.after - pieces.cosine[:, None] * pieces.before) / np.maximum(pieces.sine, 1e-12)[:, None]
    turn = np.where(bent, np.clip(along_mm, 0.0, pieces.length_mm) / pieces.radius_mm, 0.0)[:, None]
    tangent = np.cos(turn) * pieces.before + np.sin(turn) * inward
    outward = np.sin(turn) * pieces.before - np.cos(turn) * inward
    first = pieces.corner_mm - np.where(bent, pieces.tangent_mm, 0.0)[:, None] * pieces.before
    arc = first + radius * (inward + outward)
    over = np.where(bent, along_mm - np.clip(along_mm, 0.0, pieces.length_mm), along_mm)[:, None]
    on_arc = (bent & (over[:, 0] == 0.0))[:, None]
    place = np.where(bent[:, None], arc, first) + over * tangent
    return place, tangent, np.where(on_arc, outward / radius, 0.0)


def pulled_back(pieces: Pieces, along_mm: Array, slope: Array) -> tuple[Array, Array]:
    """Slopes by places on the centre line, as slopes by vertices and bend radius.

    Parameters
    ----------
    pieces
        The pieces.
    along_mm
        (n,) where on them. [mm]
    slope
        (n, 3) slope by each place, nought along the centre line. [-]

    Returns
    -------
    tuple
        (n, 3, 3) slope by the piece's first vertex and the two behind it; (n,) by the bend radius. [-]
    """
    share = _shares(pieces, along_mm)
    by_vertex = share[:, :, None] * slope[:, None, :]
    by_radius = np.zeros(len(along_mm))
    on_arc = pieces.bent & (along_mm >= 0.0) & (along_mm <= pieces.length_mm)
    if on_arc.any():
        by_vertex[on_arc], by_radius[on_arc] = _on_arc(pieces, along_mm, slope, np.flatnonzero(on_arc))
    return by_vertex, by_radius


def _shares(pieces: Pieces, along_mm: Array) -> Array:
    """(n, 3) how much a place on a straight line follows each of three vertices."""
    out = np.zeros((len(along_mm), 3))
    leg = along_mm / pieces.before_mm
    early = (pieces.tangent_mm - along_mm) / pieces.before_mm
    late = (pieces.tangent_mm + along_mm - pieces.length_mm) / pieces.after_mm
    begins = pieces.bent & (along_mm < 0.0)
    out[:, 0] = np.where(pieces.bent, np.where(begins, early, 0.0), 1.0 - leg)
    out[:, 2] = np.where(pieces.bent & ~begins, late, 0.0)
    out[:, 1] = 1.0 - out[:, 0] - out[:, 2]
    return out


def _on_arc(pieces: Pieces, along_mm: Array, slope: Array, rows: Indices) -> tuple[Array, Array]:
    """The slopes on arcs: the centre of the arc moves, its plane turns, its radius grows."""
    d, e, s = pieces.before[rows], pieces.after[rows], pieces.sine[rows][:, None]
    w, radius = slope[rows], pieces.radius_mm[rows][:, None]
    outward = centre_at(pieces, along_mm)[2][rows] * radius
    axis = cross(d, e) / s
    apart = dot(w, e - d)[:, None] / s
    lean = dot(w, axis)[:, None]
    by_before = -w - apart * cross(e, axis) - lean * cross(e, outward)
    by_after = w - apart * cross(axis, d) - lean * cross(outward, d)
    first = _square(d, by_before * radius / s) / pieces.before_mm[rows][:, None]
    last = _square(e, by_after * radius / s) / pieces.after_mm[rows][:, None]
    by_radius = apart[:, 0] + dot(w, outward)
    return np.stack([-first, w + first - last, last], axis=1), by_radius


def _square(direction: Array, slope: Array) -> Array:
    """The part of a slope across a direction."""
    return np.asarray(slope - dot(slope, direction)[:, None] * direction)
