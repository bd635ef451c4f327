"""Many ways with the same number of bends at once: their pieces, their lengths, and points along them.

Source: plane geometry of a corner rounded with one radius, as in `trialfit.fitup.bends`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.records import Array

_TINY = 1e-12
Flags = NDArray[np.bool_]
Places = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Ways:
    """n ways of k bends each; piece 0, 2, 4 ... is a straight, 1, 3 ... an arc.

    Parameters
    ----------
    vertices_mm
        (n, k + 2, 3) start face, k corners, end face. [mm]
    radius_mm
        Centre-line radius of every bend. [mm]
    pieces_mm
        (n, 2 k + 1) lengths of straights and arcs in turn. [mm]
    begins_mm
        (n, 2 k + 1, 3) where each piece begins. [mm]
    along, inward
        (n, 2 k + 1, 3) unit vectors: the way each piece sets off, and for an arc the way to its centre. [-]
    """

    vertices_mm: Array
    radius_mm: float
    pieces_mm: Array
    begins_mm: Array
    along: Array
    inward: Array

    @property
    def lengths_mm(self) -> Array:
        """(n,) centre lines. [mm]"""
        return np.asarray(self.pieces_mm.sum(axis=1))

    def points_mm(self, which: Places, at_mm: Array) -> Array:
        """Points so far along so many ways.

        Parameters
        ----------
        which
            (p,) numbers of the ways. [-]
        at_mm
            (p,) how far along each, from its start face. [mm]

        Returns
        -------
        Array
            (p, 3) points of the centre lines. [mm]
        """
        upto = np.cumsum(self.pieces_mm, axis=1)[which]
        piece = np.minimum(np.sum(at_mm[:, None] > upto, axis=1), self.pieces_mm.shape[1] - 1)
        rows = np.arange(len(piece))
        rest = at_mm - upto[rows, piece] + self.pieces_mm[which, piece]
        turn = rest / self.radius_mm
        arc = piece % 2 == 1
        ahead = np.where(arc, self.radius_mm * np.sin(turn), rest)
        aside = np.where(arc, 2 * self.radius_mm * np.sin(turn / 2) ** 2, 0.0)
        return np.asarray(
            self.begins_mm[which, piece]
            + ahead[:, None] * self.along[which, piece]
            + aside[:, None] * self.inward[which, piece]
        )

    def taken(self, which: Places | Flags) -> Ways:
        """Some of the ways.

        Parameters
        ----------
        which
            (p,) numbers of the ways, or (n,) true for those wanted. [-]

        Returns
        -------
        Ways
            Those alone.
        """
        return Ways(
            self.vertices_mm[which],
            self.radius_mm,
            self.pieces_mm[which],
            self.begins_mm[which],
            self.along[which],
            self.inward[which],
        )


def ways_of(vertices_mm: Array, radius_mm: float) -> Ways:
    """Round the corners of many paths.

    Parameters
    ----------
    vertices_mm
        (n, k + 2, 3) start face, k corners, end face. [mm]
    radius_mm
        Centre-line radius of every bend. [mm]

    Returns
    -------
    Ways
        A straight comes out negative where two bends would overlap.
    """
    legs = np.diff(vertices_mm, axis=1)
    long = np.linalg.norm(legs, axis=2)
    along = legs / np.maximum(long, _TINY)[:, :, None]
    before, after = along[:, :-1], along[:, 1:]
    total = np.linalg.norm(before + after, axis=2)
    turned = np.linalg.norm(after - before, axis=2)
    half = turned / np.maximum(total, _TINY)
    tangents = radius_mm * half
    straights = long.copy()
    straights[:, :-1] -= tangents
    straights[:, 1:] -= tangents
    n, k = half.shape
    pieces = np.empty((n, 2 * k + 1))
    pieces[:, 0::2] = straights
    pieces[:, 1::2] = 2 * radius_mm * np.arctan(half)
    begins = np.empty((n, 2 * k + 1, 3))
    begins[:, 0] = vertices_mm[:, 0]
    begins[:, 1::2] = vertices_mm[:, 1:-1] - tangents[:, :, None] * before
    begins[:, 2::2] = vertices_mm[:, 1:-1] + tangents[:, :, None] * after
    ways_along = np.empty((n, 2 * k + 1, 3))
    ways_along[:, 0::2], ways_along[:, 1::2] = along, before
    inward = np.zeros((n, 2 * k + 1, 3))
    square = after - np.sum(after * before, axis=2, keepdims=True) * before
    inward[:, 1::2] = square / np.maximum(np.linalg.norm(square, axis=2, keepdims=True), _TINY)
    return Ways(vertices_mm, radius_mm, pieces, begins, ways_along, inward)
