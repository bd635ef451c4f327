"""Planes and circles through surveyed points, with what is not known of them.

Source: least squares by singular values; a circle through points of a plane by the linear equations of its middle;
covariance by central differences, JCGM 100:2008 section 5.2.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.records import Array

_STEP_MM = 1e-3
# Points less far from one line than this, over their spread along it, give no plane worth the name.
_LEAST_SPREAD = 0.05


@dataclass(frozen=True, eq=False)
class Face:
    """A plane face of a body, or the round edge on it.

    Parameters
    ----------
    middle_mm
        (3,) middle of its points; of a circle its own middle. [mm]
    out
        (3,) unit vector to its open side. [-]
    along
        (3,) unit vector in the face, from its first point towards its second. [-]
    radius_mm
        Of the circle; 0 for a plane. [mm]
    covariance
        (6, 6) of its place, small shift [mm] then small turn [rad], at its middle. [mm and rad]
    off_mm
        How far the worst of its points lies off it. [mm]
    worst
        Which one that is, from 0. [-]
    """

    middle_mm: Array
    out: Array
    along: Array
    radius_mm: float
    covariance: Array
    off_mm: float
    worst: int


def plane_face(what: str, points_mm: Array, covariance: Array, open_mm: Array) -> Face:
    """Lay a plane through points.

    Parameters
    ----------
    what
        The body, for a refusal.
    points_mm
        (n, 3) three points or more. [mm]
    covariance
        (3n, 3n) of them. [mm2]
    open_mm
        (3,) a point on the open side. [mm]

    Returns
    -------
    Face
        By least squares.

    Raises
    ------
    Refusal
        The points lie in one line.
    """
    _refuse_line(what, points_mm)

    def laid(points: Array) -> tuple[Array, Array]:
        middle = points.mean(axis=0)
        out = np.linalg.svd(points - middle)[2][2]
        return middle, out * (1.0 if out @ (open_mm - middle) >= 0 else -1.0)

    middle, out = laid(points_mm)
    along = points_mm[1] - points_mm[0]
    along = along - out * (along @ out)
    along /= np.linalg.norm(along)
    spread = _spread(lambda points: laid(points), points_mm, covariance, out)
    off = np.abs((points_mm - middle) @ out)
    return Face(middle, out, along, 0.0, spread, float(off.max()), int(off.argmax()))


def round_face(what: str, points_mm: Array, covariance: Array, open_mm: Array) -> Face:
    """Lay a circle through points of a round edge.

    Parameters
    ----------
    what
        The body, for a refusal.
    points_mm
        (n, 3) three points or more round it. [mm]
    covariance
        (3n, 3n) of them. [mm2]
    open_mm
        (3,) a point on the open side. [mm]

    Returns
    -------
    Face
        Its middle is the circle's.

    Raises
    ------
    Refusal
        The points lie in one line.
    """
    plane = plane_face(what, points_mm, covariance, open_mm)

    def laid(points: Array) -> tuple[Array, Array]:
        middle, _, out = _circle(points, plane.out)
        return middle, out

    middle, radius, out = _circle(points_mm, plane.out)
    rest = points_mm - middle
    flat = rest - np.outer(rest @ out, out)
    off = np.abs(np.linalg.norm(flat, axis=1) - radius)
    spread = _spread(laid, points_mm, covariance, out)
    return Face(middle, out, plane.along, radius, spread, float(off.max()), int(off.argmax()))


def _circle(points: Array, towards: Array) -> tuple[Array, float, Array]:
    centre = points.mean(axis=0)
    first, second, out = np.linalg.svd(points - centre)[2]
    out = out * (1.0 if out @ towards >= 0 else -1.0)
    flat = (points - centre) @ np.column_stack([first, second])
    rows = np.column_stack([2 * flat, np.ones(len(flat))])
    x, y, rest = np.linalg.lstsq(rows, (flat**2).sum(axis=1), rcond=None)[0]
    return centre + x * first + y * second, float(np.sqrt(rest + x * x + y * y)), out


def _spread(laid: Callable[[Array], tuple[Array, Array]], points: Array, covariance: Array, out: Array) -> Array:
    """(6, 6) covariance of a face from that of its points; a turn of its direction is `out` crossed with its change."""
    slopes = np.zeros((6, points.size))
    for column in range(points.size):
        step = np.zeros(points.size)
        step[column] = _STEP_MM
        up, down = (laid(points + sign * step.reshape(points.shape)) for sign in (1.0, -1.0))
        slopes[:3, column] = (up[0] - down[0]) / (2 * _STEP_MM)
        slopes[3:, column] = np.cross(out, (up[1] - down[1]) / (2 * _STEP_MM))
    return np.asarray(slopes @ covariance @ slopes.T)


def _refuse_line(what: str, points: Array) -> None:
    sizes = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if sizes[1] < _LEAST_SPREAD * sizes[0]:
        raise Refusal(
            what, "points that lie in one line", "three points or more spread over its face",
            "Name one more point of the face, well off the line of the others.",
        )  # fmt: skip
