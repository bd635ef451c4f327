"""Which column of the normal equations belongs to which value of the outlines, and what a step in it does.

Directions and a tube's ends move in two ways only, across themselves; the two are chosen anew at every step.

Source: bookkeeping, and the derivative of a unit vector.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.beliefs import HELD
from trialfit.survey.outlines import Outlined, Outlines, leg_directions
from trialfit.survey.vectors import cross, length

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True)
class OutlineColumns:
    """Which column belongs to which value, counted from the first of the outlines' own.

    Parameters
    ----------
    outlines
        What was observed.
    """

    outlines: Outlines

    @cached_property
    def od(self) -> Indices:
        """(t,) columns of the outside diameters; those of how far outside the hand marks come before them."""
        return 2 + np.arange(self.outlines.tube_count)

    @cached_property
    def bend_radius(self) -> Indices:
        """(t,) columns of the bend radii, -1 where held."""
        return self._active(self.outlines.bend_radius_sigma_mm, 2 + self.outlines.tube_count)

    @cached_property
    def rim_radius(self) -> Indices:
        """(r,) columns of the rims' radii, -1 where held."""
        return self._active(self.outlines.rim_radius_sigma_mm, int(self._after_bend_radius))

    @cached_property
    def normal(self) -> Indices:
        """(r, 2) columns of the two ways each rim may lean."""
        rims = self.outlines.rim_count
        return self._after_rim_radius + np.arange(2 * rims, dtype=np.intp).reshape(rims, 2)

    @cached_property
    def vertex(self) -> tuple[Indices, ...]:
        """Columns of each vertex: two for a tube's first and last, which slide along it, three for the others."""
        at = self._after_rim_radius + 2 * self.outlines.rim_count
        columns = []
        for bends in self.outlines.tube_bends.tolist():
            for place in range(bends + 2):
                width = 2 if place in (0, bends + 1) else 3
                columns.append(at + np.arange(width))
                at += width
        return tuple(columns)

    @cached_property
    def count(self) -> int:
        """How many columns there are. [-]"""
        outlines = self.outlines
        if not outlines.axis_count:
            return 0
        vertices = int((3 * outlines.tube_bends + 4).sum())
        return self._after_rim_radius + 2 * outlines.rim_count + vertices

    @property
    def _after_bend_radius(self) -> int:
        return 2 + self.outlines.tube_count + int((self.outlines.bend_radius_sigma_mm != HELD).sum())

    @property
    def _after_rim_radius(self) -> int:
        return self._after_bend_radius + int((self.outlines.rim_radius_sigma_mm != HELD).sum())

    @staticmethod
    def _active(sigma: Array, first: int) -> Indices:
        active = sigma != HELD
        return np.where(active, first + np.cumsum(active) - 1, -1).astype(np.intp)


def across(directions: Array) -> Array:
    """Two directions across each of several, and across each other.

    Parameters
    ----------
    directions
        (n, 3) unit vectors. [-]

    Returns
    -------
    Array
        (n, 3, 2) unit vectors as columns; the same for the same direction. [-]
    """
    least = np.eye(3)[np.abs(directions).argmin(axis=1)]
    first = cross(directions, least)
    first /= length(first)[:, None]
    out = np.empty((len(directions), 3, 2))
    out[:, :, 0], out[:, :, 1] = first, cross(directions, first)
    return out


def moved_outlined(columns: OutlineColumns, outlined: Outlined, step: Array) -> Outlined:
    """Take a step in all values.

    Parameters
    ----------
    columns
        Which column is which.
    outlined
        The values before.
    step
        (s,) the step. [-]

    Returns
    -------
    Outlined
        The values after; normals stay unit vectors.
    """
    outlines = columns.outlines
    padded = np.append(step, 0.0)
    leaning = (across(outlined.normals) @ step[columns.normal][:, :, None])[:, :, 0]
    normals = outlined.normals + leaning
    return Outlined(
        outlined.outside_px + step[:2],
        outlined.vertices_mm + (vertex_slopes(columns, outlined) @ step).reshape(-1, 3),
        outlined.od_mm + step[columns.od],
        outlined.bend_radius_mm + padded[columns.bend_radius],
        normals / np.linalg.norm(normals, axis=1)[:, None] if outlines.rim_count else normals,
        outlined.rim_radius_mm + padded[columns.rim_radius],
    )


def vertex_slopes(columns: OutlineColumns, outlined: Outlined) -> Array:
    """How the vertices move with the columns.

    Parameters
    ----------
    columns
        Which column is which.
    outlined
        The values at which.

    Returns
    -------
    Array
        (3v, s) derivative of all vertices. [mm]
    """
    outlines = columns.outlines
    out = np.zeros((3 * len(outlined.vertices_mm), columns.count))
    if not outlines.tube_count:
        return out
    directions, _ = leg_directions(outlines, outlined.vertices_mm)
    ways = across(directions)
    for vertex, own in enumerate(columns.vertex):
        rows = slice(3 * vertex, 3 * vertex + 3)
        if len(own) == 3:
            out[rows, own] = np.eye(3)
        else:
            tube = int(np.searchsorted(outlines.first_vertex, vertex, side="right")) - 1
            first = vertex == outlines.first_vertex[tube]
            leg = outlines.first_leg[tube] if first else outlines.first_leg[tube + 1] - 1
            out[rows, own] = ways[leg]
    return out


def axis_slopes(columns: OutlineColumns, outlined: Outlined) -> tuple[Array, Array]:
    """Directions of all axes, legs first and then rims, and how they turn with the columns.

    Parameters
    ----------
    columns
        Which column is which.
    outlined
        The values at which.

    Returns
    -------
    tuple
        (axes, 3) unit vectors and (axes, 3, s) their derivative. [-]
    """
    outlines = columns.outlines
    legs = outlines.leg_count
    slopes = np.zeros((outlines.axis_count, 3, columns.count))
    directions = np.zeros((outlines.axis_count, 3))
    directions[legs:] = outlined.normals
    ways = across(outlined.normals)
    for rim in range(outlines.rim_count):
        slopes[legs + rim][:, columns.normal[rim]] = ways[rim]
    if legs:
        runs, lengths = leg_directions(outlines, outlined.vertices_mm)
        directions[:legs] = runs
        vertex = vertex_slopes(columns, outlined).reshape(-1, 3, columns.count)
        apart = vertex[outlines.leg_vertex + 1] - vertex[outlines.leg_vertex]
        square = (np.eye(3) - runs[:, :, None] * runs[:, None, :]) / lengths[:, None, None]
        slopes[:legs] = square @ apart
    return directions, slopes
