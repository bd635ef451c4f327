"""Where one stands before an engine: front, left and right, up, as the owner sees them, from where he stood before.

Up is out of the card, which lies flat beside the engine; only where the photographs were held so that this cannot be
is it the card's other way that was most nearly up in them. Front is where the photograph called front was taken from,
else the mean of all.

Source: geometry; that a card lies flat unless the photographs say otherwise by 70 deg is assumed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.problem import State

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_NOT_FLAT_DEG = 70.0
_FRONT = "front"


@dataclass(frozen=True)
class Bearing:
    """A place to stand, seen from the engine.

    Parameters
    ----------
    azimuth_deg
        Round from straight in front; to the right of one who faces the engine is positive. [deg]
    height_deg
        Above level. [deg]
    distance_mm
        From the middle of the engine's points. [mm]
    """

    azimuth_deg: float
    height_deg: float
    distance_mm: float


@dataclass(frozen=True)
class Ground:
    """The engine as one stands before it.

    Parameters
    ----------
    aim_mm
        (3,) middle of its points in the job frame. [mm]
    right, front, up
        (3,) unit vectors in the job frame: to the right of one who faces it, from it towards him, and up. [-]
    """

    aim_mm: Array
    right: Array
    front: Array
    up: Array

    def bearing(self, eye_mm: Array) -> Bearing:
        """Say where an eye is, as seen from the engine."""
        away = eye_mm - self.aim_mm
        right, front, up = float(away @ self.right), float(away @ self.front), float(away @ self.up)
        level = hypot(right, front)
        return Bearing(degrees(atan2(right, front)), degrees(atan2(up, level)), hypot(level, up))

    def eye_mm(self, bearing: Bearing) -> Array:
        """(3,) place of an eye in the job frame. [mm]"""
        turn, height = radians(bearing.azimuth_deg), radians(bearing.height_deg)
        level = sin(turn) * self.right + cos(turn) * self.front
        return np.asarray(self.aim_mm + bearing.distance_mm * (cos(height) * level + sin(height) * self.up))


def ground_of(state: State, photographs: tuple[str, ...], points: Indices) -> Ground:
    """Find front and up of an engine from where its photographs were taken.

    Parameters
    ----------
    state
        Its adjusted survey.
    photographs
        Names of the photographs, in the survey's order.
    points
        (n,) the points to aim at. [-]

    Returns
    -------
    Ground
        The engine as one stands before it.
    """
    aim = state.points_mm[points].mean(axis=0)
    eyes = eyes_mm(state)
    up = _up(-state.rotations[:, 1])
    level = _levelled(eyes - aim, up)
    called = [k for k, name in enumerate(photographs) if name.lower().startswith(_FRONT)]
    front = level[called[0]] if called else level.sum(axis=0)
    if not np.linalg.norm(front) > 1e-6:
        front = _levelled(np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0]]), up).sum(axis=0)
    front = front / np.linalg.norm(front)
    return Ground(aim, np.cross(up, front), front, up)


def eyes_mm(state: State) -> Array:
    """Where photographs were taken from.

    Parameters
    ----------
    state
        An adjusted survey.

    Returns
    -------
    Array
        (m, 3) one a photograph. [mm]
    """
    return np.asarray(-(state.rotations.transpose(0, 2, 1) @ state.translations_mm[:, :, None])[:, :, 0])


def looking(eyes: Array, at: Array, up: Array) -> tuple[Array, Array]:
    """Cameras held level that look at something.

    Parameters
    ----------
    eyes
        (s, 3) where they are. [mm]
    at
        (s, 3) what is in the middle of each picture. [mm]
    up
        (3,) unit vector; none may look along it. [-]

    Returns
    -------
    tuple
        (s, 3, 3) rotations [-] and (s, 3) translations [mm], job frame to camera (x right, y down, z forward).
    """
    forward = (at - eyes) / np.linalg.norm(at - eyes, axis=1)[:, None]
    right = np.cross(forward, up)
    right /= np.linalg.norm(right, axis=1)[:, None]
    rotations = np.stack([right, np.cross(forward, right), forward], axis=1)
    return rotations, -(rotations @ eyes[:, :, None])[:, :, 0]


def _up(ups: Array) -> Array:
    """Unit vector up, from the upward direction of each picture as it was held."""
    mean = ups.sum(axis=0)
    out_of_card = np.array([0.0, 0.0, 1.0])
    size = float(np.linalg.norm(mean))
    if size < 1e-6 or degrees(atan2(hypot(mean[0], mean[1]), mean[2])) <= _NOT_FLAT_DEG:
        return out_of_card
    axis = int(np.abs(mean).argmax())
    up = np.zeros(3)
    up[axis] = np.sign(mean[axis])
    return up


def _levelled(away: Array, up: Array) -> Array:
    level = away - (away @ up)[:, None] * up
    return np.asarray(level / np.maximum(np.linalg.norm(level, axis=1), 1e-9)[:, None])
