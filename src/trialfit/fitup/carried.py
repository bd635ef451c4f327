"""What is not known of two faces, carried through to the figures worked out from them.

Source: first-order propagation of covariance, JCGM 100:2008 section 5.2 and JCGM 102:2011 section 6.2; derivatives by
central differences.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from trialfit.fitup.many_faces import as_rows
from trialfit.fitup.records import Array, EndFace

# One step along each coordinate: far above rounding, far below any curvature.
STEP_MM = 1e-3
STEP_RAD = 1e-5

Figures = Callable[[EndFace, EndFace], Array]
FiguresOfMany = Callable[[Array], Array]


def spread_of(
    figures: Figures,
    start: EndFace,
    end: EndFace,
    covariance: Array,
    is_turn: Array,
    step: float = 1.0,
) -> Array:
    """Joint covariance of figures that are worked out from two faces.

    Parameters
    ----------
    figures
        Works out the n figures from the start and the end face.
    start, end
        The two faces.
    covariance
        (12, 12) joint covariance of start position, start direction, end position, end direction. [mm2, mm, 1]
    is_turn
        (n,) which of the figures is an angle in degrees that comes round again at 360. [-]
    step
        Multiplies the steps of the central differences. [-]

    Returns
    -------
    Array
        (n, n) covariance. [products of the figures' units]
    """
    jacobian = slopes_by_faces(figures, start, end, is_turn, step)
    return np.asarray(jacobian @ covariance @ jacobian.T)


def slopes_by_faces(figures: Figures, start: EndFace, end: EndFace, is_turn: Array, step: float = 1.0) -> Array:
    """How figures that are worked out from two faces move with them.

    Parameters
    ----------
    figures
        Works out the n figures from the start and the end face.
    start, end
        The two faces.
    is_turn
        (n,) which of the figures is an angle in degrees that comes round again at 360. [-]
    step
        Multiplies the steps of the central differences. [-]

    Returns
    -------
    Array
        (n, 12) derivative by start position, start direction, end position, end direction. [figure's unit by mm or 1]
    """
    slopes = []
    for place in range(12):
        size = step * (STEP_MM if place % 6 < 3 else STEP_RAD)
        shift = np.zeros(12)
        shift[place] = size
        difference = figures(*_moved(start, end, shift)) - figures(*_moved(start, end, -shift))
        difference = np.where(is_turn, (difference + 180.0) % 360.0 - 180.0, difference)
        slopes.append(difference / (2 * size))
    return np.array(slopes).T


def slopes_at_once(figures: FiguresOfMany, start: EndFace, end: EndFace, is_turn: Array) -> Array:
    """As `slopes_by_faces`, for figures that are worked out for many pairs of faces at once.

    Parameters
    ----------
    figures
        Works out (m, n) figures from (m, 4, 3) start position, start direction, end position, end direction.
    start, end
        The two faces.
    is_turn
        (n,) which of the figures is an angle in degrees that comes round again at 360. [-]

    Returns
    -------
    Array
        (n, 12) derivative by start position, start direction, end position, end direction. [figure's unit by mm or 1]
    """
    sizes = np.repeat([STEP_MM, STEP_RAD, STEP_MM, STEP_RAD], 3)
    shifts = np.concatenate([np.diag(sizes), -np.diag(sizes)]).reshape(24, 4, 3)
    faces = as_rows(start, end) + shifts
    faces[:, [1, 3]] /= np.linalg.norm(faces[:, [1, 3]], axis=2, keepdims=True)
    found = figures(faces)
    difference = found[:12] - found[12:]
    difference = np.where(is_turn, (difference + 180.0) % 360.0 - 180.0, difference)
    return np.asarray((difference / (2 * sizes[:, None])).T)


def _moved(start: EndFace, end: EndFace, shift: Array) -> tuple[EndFace, EndFace]:
    """Both faces moved by (12,) small amounts, their directions kept at unit length."""
    faces = []
    for face, part in ((start, shift[:6]), (end, shift[6:])):
        direction = face.direction + part[3:]
        faces.append(
            replace(
                face, position_mm=face.position_mm + part[:3], direction=direction / float(np.linalg.norm(direction))
            )
        )
    return faces[0], faces[1]
