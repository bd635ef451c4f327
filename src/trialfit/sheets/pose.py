"""A pipe's centre line, turned so that its shape is seen best."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Posed:
    """A pipe as it lies on the drawing board.

    Parameters
    ----------
    line_mm
        (n, 3) points along the centre line: x to the right, y up, z towards the eye. [mm]
    vertices_mm
        (k + 2, 3) start face, corners, end face, likewise. [mm]
    bends_mm
        (k, 3) the middle of each bend on the centre line, likewise. [mm]
    """

    line_mm: Array
    vertices_mm: Array
    bends_mm: Array

    def scaled(self, scale: float) -> Posed:
        """Give the same pipe at another size.

        Parameters
        ----------
        scale
            What every length is multiplied by. [-]

        Returns
        -------
        Posed
            The pipe at that size.
        """
        return Posed(self.line_mm * scale, self.vertices_mm * scale, self.bends_mm * scale)

    def from_above(self) -> Posed:
        """Give the same pipe as it is seen from above.

        Returns
        -------
        Posed
            What lay towards the eye now points down the page.
        """
        turn = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
        return Posed(self.line_mm @ turn, self.vertices_mm @ turn, self.bends_mm @ turn)


def posed(vertices_mm: Array, radius_mm: float) -> Posed:
    """Turn a pipe so that it lies as flat as it can, its start to the left.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, corners, end face, in any frame. [mm]
    radius_mm
        Centre-line radius of every bend. [mm]

    Returns
    -------
    Posed
        The same pipe in the frame of the drawing board, right-handed, its middle at the origin.
    """
    line, middles = rounded(vertices_mm, radius_mm)
    middle = (line.max(axis=0) + line.min(axis=0)) / 2.0
    _, _, axes = np.linalg.svd(line - line.mean(axis=0))
    along = axes[0] * (1.0 if axes[0] @ (vertices_mm[-1] - vertices_mm[0]) >= 0.0 else -1.0)
    chord = (vertices_mm[0] + vertices_mm[-1]) / 2.0
    up = axes[1] * (1.0 if axes[1] @ (line.mean(axis=0) - chord) >= 0.0 else -1.0)
    frame = np.array([along, up, np.cross(along, up)])
    turned = (line - middle) @ frame.T
    shift = (turned.max(axis=0) + turned.min(axis=0)) / 2.0
    return Posed(
        turned - shift,
        (vertices_mm - middle) @ frame.T - shift,
        (middles - middle) @ frame.T - shift if len(middles) else np.zeros((0, 3)),
    )


def rounded(vertices_mm: Array, radius_mm: float, step_deg: float = 3.0) -> tuple[Array, Array]:
    """Round the corners of a path.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start, corners, end. [mm]
    radius_mm
        Radius of every rounding. [mm]
    step_deg
        Widest turn from one point to the next. [deg]

    Returns
    -------
    tuple
        (n, 3) points along the rounded path [mm] and (k, 3) the middle of each rounding [mm].
    """
    points, middles = [vertices_mm[0]], []
    for before, corner, after in zip(vertices_mm, vertices_mm[1:], vertices_mm[2:], strict=False):
        into = (corner - before) / np.linalg.norm(corner - before)
        out = (after - corner) / np.linalg.norm(after - corner)
        angle = float(np.arctan2(np.linalg.norm(np.cross(into, out)), into @ out))
        if angle < 1e-9:
            continue
        inward = (out - into @ out * into) / np.sin(angle)
        begins = corner - radius_mm * np.tan(angle / 2.0) * into
        turns = np.linspace(0.0, angle, max(2, ceil(np.degrees(angle) / step_deg)) + 1)
        arc = begins + radius_mm * (np.outer(np.sin(turns), into) + np.outer(1.0 - np.cos(turns), inward))
        half = angle / 2.0
        middles.append(begins + radius_mm * (np.sin(half) * into + (1.0 - np.cos(half)) * inward))
        points.extend(arc)
    points.append(vertices_mm[-1])
    return np.array(points), np.array(middles)
