"""Where the faces of ports are, and how sure that is, from surveyed points.

Source: first-order propagation of covariance, JCGM 100:2008 section 5.2.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np

from trialfit.errors import Refusal
from trialfit.parts.records import Array, FaceAt, Port

# Two points nearer to each other than this many of their standard deviations give no direction to speak of.
_LEAST_BASE_SIGMAS = 4.0
# The same for a direction that was surveyed itself. [rad]
MOST_LEAN_SIGMA = 1.0 / _LEAST_BASE_SIGMAS


class Surveyed(Protocol):
    """Anything that gives named points and axes with their joint covariance, as a survey does."""

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        """Give several points, or axes, together.

        Parameters
        ----------
        names
            Names of m points or axes.

        Returns
        -------
        tuple
            (m, 3) positions [mm], of an axis its direction [-]; and (3m, 3m) covariance [mm2, mm, 1].
        """
        ...


def two_faces(survey: Surveyed, a: Port, b: Port) -> tuple[FaceAt, FaceAt, Array]:
    """Find the faces of two ports, with what is not known of both together.

    Parameters
    ----------
    survey
        The surveyed points.
    a, b
        The two ports; they may share points.

    Returns
    -------
    tuple
        Face of `a`, face of `b`, and (12, 12) joint covariance of position and direction of `a`, then of `b`
        [mm2, mm, 1].

    Raises
    ------
    Refusal
        A port without a face, or with neither a point behind it nor an axis; a point or axis the survey does not
        have; two points so near each other that they give no direction; an axis that may lean anywhere.
    """
    faces, slopes, names = faces_with_slopes(survey, a, b)
    _, covariance = survey.joint(names)
    return faces[0], faces[1], np.asarray(slopes @ covariance @ slopes.T)


def faces_with_slopes(survey: Surveyed, a: Port, b: Port) -> tuple[tuple[FaceAt, FaceAt], Array, list[str]]:
    """Find the faces of two ports, with how they move when the points they rest on move.

    Parameters
    ----------
    survey
        The surveyed points.
    a, b
        The two ports; they may share points.

    Returns
    -------
    tuple
        Both faces; (12, 12) derivative of position and direction of `a`, then of `b`, by the four points [-, 1/mm], or
        axes in place of the points behind [-]; their names.

    Raises
    ------
    Refusal
        As `two_faces`.
    """
    names = [name for port in (a, b) for name in _points(port)]
    positions, covariance = survey.joint(names)
    faces, blocks = [], np.zeros((12, 12))
    for place, port in enumerate((a, b)):
        rows = slice(6 * place, 6 * place + 6)
        face, block = _face(port, positions[2 * place : 2 * place + 2], covariance[rows, rows])
        faces.append(face)
        blocks[rows, rows] = block
    return (faces[0], faces[1]), blocks, names


def _points(port: Port) -> tuple[str, str]:
    what = f"port {port.full_name}"
    if port.face is None:
        raise Refusal(
            what, "no face", "a surveyed point in the middle of its face",
            "Add face = ... with the point's name, and mark it in the photographs; or add the joint that holds "
            f"{port.part}, and say where in it the port is: at = ....",
        )  # fmt: skip
    if port.axis_of is not None:
        return port.face, port.axis_of
    if port.axis_from is None:
        raise Refusal(
            what, "a face without a direction", "a second surveyed point, behind the face on its axis",
            "Add axis_from = ... with a point on the same axis, the further back the better.",
        )  # fmt: skip
    return port.face, port.axis_from


def _face(port: Port, positions: Array, covariance: Array) -> tuple[FaceAt, Array]:
    """A face, and (6, 6) derivative of its position and direction by its point and the point behind, or the axis."""
    if port.axis_of is not None:
        return _face_on_axis(port, positions, covariance)
    axis = positions[0] - positions[1]
    base = float(np.linalg.norm(axis))
    apart = np.hstack([np.eye(3), -np.eye(3)])
    sigma = float(np.linalg.eigvalsh(apart @ covariance @ apart.T)[-1]) ** 0.5
    if base <= _LEAST_BASE_SIGMAS * sigma or base == 0:
        raise Refusal(
            f"port {port.full_name}, direction",
            f"{port.face} and {port.axis_from} {base:.1f} mm apart, known to ± {2 * sigma:.1f} mm",
            f"at least {_LEAST_BASE_SIGMAS * sigma:.1f} mm between them",
            "Name a point further back on the same axis, or measure the distance between the two with a caliper.",
        )
    direction = axis / base
    across = (np.eye(3) - np.outer(direction, direction)) / base
    slopes = np.block([[np.eye(3), np.zeros((3, 3))], [across, -across]])
    return FaceAt(port.full_name, positions[0], direction, base), slopes


def _face_on_axis(port: Port, positions: Array, covariance: Array) -> tuple[FaceAt, Array]:
    sigma = float(np.linalg.eigvalsh(covariance[3:, 3:])[-1]) ** 0.5
    if sigma > MOST_LEAN_SIGMA:
        raise Refusal(
            f"port {port.full_name}, direction",
            f"the axis of {port.axis_of}, known to ± {np.degrees(2 * sigma):.0f} deg",
            f"an axis known to ± {np.degrees(2 * MOST_LEAN_SIGMA):.0f} deg or better",
            "Mark it in one more photograph from well to one side.",
        )
    sense = -1.0 if port.axis_against else 1.0
    slopes = np.diag([1.0, 1.0, 1.0, sense, sense, sense])
    return FaceAt(port.full_name, positions[0], sense * positions[1], 0.0), slopes
