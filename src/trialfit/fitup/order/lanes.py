"""The points of many solids that lie farthest in given directions, written lane by lane.

Three figures of a thousand vectors run along whole rows here, not a thousand times three: much quicker.

Source: support functions of a sum of segments, a disc and a ball.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.parts.placement import Array

_ALONG = 1e-10


@dataclass(frozen=True, eq=False)
class Lanes:
    """n solids without their balls, a lane each.

    Parameters
    ----------
    middle_mm
        (3, n) their middles. [mm]
    edges_mm
        (4, 3, n) half edges, nought where there are fewer. [mm]
    axis
        (3, n) unit axes of their discs. [-]
    disc_mm
        (n,) radii of the discs, nought where there is none. [mm]
    """

    middle_mm: Array
    edges_mm: Array
    axis: Array
    disc_mm: Array

    def chosen(self, which: NDArray[np.intp]) -> Lanes:
        """Some of them.

        Parameters
        ----------
        which
            (m,) places. [-]

        Returns
        -------
        Lanes
            Those.
        """
        return Lanes(
            self.middle_mm.take(which, axis=1), self.edges_mm.take(which, axis=2), self.axis.take(which, axis=1),
            self.disc_mm.take(which),
        )  # fmt: skip

    def farthest_mm(self, directions: Array) -> Array:
        """The point of each that lies farthest in a direction.

        Parameters
        ----------
        directions
            (3, n) any length but nought. [-]

        Returns
        -------
        Array
            (3, n) points. [mm]
        """
        sides = np.einsum("kjn,jn->kn", self.edges_mm, directions)
        point = self.middle_mm + np.einsum("kn,kjn->jn", np.where(sides >= 0, 1.0, -1.0), self.edges_mm)
        return np.asarray(point + self._on_disc(directions)) if self.disc_mm.any() else point

    def _on_disc(self, directions: Array) -> Array:
        across = directions - dots(directions, self.axis) * self.axis
        # What is left of a direction along the axis is rounding, and points anywhere: once more, or none of it.
        across = across - dots(across, self.axis) * self.axis
        size = np.sqrt(dots(across, across))
        counts = size > _ALONG * np.sqrt(dots(directions, directions))
        return np.asarray(across * np.where(counts, self.disc_mm / np.where(counts, size, 1.0), 0.0))


def dots(one: Array, other: Array) -> Array:
    """Products of vectors, lane by lane.

    Parameters
    ----------
    one, other
        (3, n) any. [any]

    Returns
    -------
    Array
        (n,) one a lane. [any]
    """
    return np.asarray(np.einsum("jn,jn->n", one, other))
