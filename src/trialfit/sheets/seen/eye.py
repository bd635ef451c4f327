"""From where a picture is seen: a camera of the survey, or an eye placed for the purpose."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trialfit.parts.placement import Array
from trialfit.survey.project import bend
from trialfit.survey.records import Station, Survey

# Tangent of the angle off the axis past which nothing is drawn, whatever the lens.
_WIDEST = 3.0
# Share of a picture left free all round, and how far its eye stands off, in sizes of what it looks at: the farther, the
# flatter.
_MARGIN, _STANDS_OFF = 0.08, 5.0


@dataclass(frozen=True, eq=False)
class Eye:
    """An eye with the picture it sees.

    Parameters
    ----------
    turn
        (3, 3) turns job-frame vectors into the eye's: x right, y down, z forward. [-]
    shift_mm
        (3,) with it: eye = turn @ job + shift. [mm]
    focal_px
        Focal length. [px]
    centre_px
        (2,) principal point x, y. [px]
    lens
        (5,) k1, k2, p1, p2, k3. [-]
    size_px
        Width and height of the picture. [px]
    """

    turn: Array
    shift_mm: Array
    focal_px: float
    centre_px: Array
    lens: Array
    size_px: tuple[int, int]

    @property
    def stands_mm(self) -> Array:
        """(3,) where it is in the job frame. [mm]"""
        return np.asarray(-self.turn.T @ self.shift_mm)

    def seen(self, points_mm: Array) -> tuple[Array, Array]:
        """Where points fall in the picture.

        Parameters
        ----------
        points_mm
            (n, 3) points in the job frame. [mm]

        Returns
        -------
        tuple
            (n, 2) pixels, not finite for what is behind the eye or far out of the picture; (n,) depth. [px, mm]
        """
        camera = points_mm @ self.turn.T + self.shift_mm
        depth = camera[:, 2]
        with np.errstate(divide="ignore", invalid="ignore"):
            px = bend(camera[:, :2] / depth[:, None], self.lens) * self.focal_px + self.centre_px
        out = np.hypot(camera[:, 0], camera[:, 1]) > _widest(self.lens) * camera[:, 2]
        lost = (depth <= 1.0) | out
        return np.where(lost[:, None], np.nan, px), depth

    def enlarged(self, times: float, left_px: float = 0.0, top_px: float = 0.0) -> Eye:
        """The same eye with a larger or smaller picture, or part of it.

        Parameters
        ----------
        times
            How much larger. [-]
        left_px, top_px
            What is cut off at the left and at the top before that. [px]

        Returns
        -------
        Eye
            Its picture keeps its size in pixels times `times`; use `cut` for another size.
        """
        # The centre of the top left pixel is (0, 0): pixel p covers p - 1/2 to p + 1/2.
        centre = (self.centre_px - np.array([left_px, top_px]) + 0.5) * times - 0.5
        size = round(self.size_px[0] * times), round(self.size_px[1] * times)
        return replace(self, focal_px=self.focal_px * times, centre_px=centre, size_px=size)

    def cut(self, size_px: tuple[int, int]) -> Eye:
        """The same eye with a picture of another size, its top left corner kept.

        Parameters
        ----------
        size_px
            Width and height. [px]

        Returns
        -------
        Eye
            With that picture.
        """
        return replace(self, size_px=size_px)


def _widest(lens: Array) -> float:
    """Tangent of the angle off the axis past which the lens's polynomial folds back into the picture."""
    k1, k2, _, _, k3 = lens
    r2 = np.linspace(0.0, _WIDEST, 151) ** 2
    folds = np.flatnonzero(1.0 + r2 * (3 * k1 + r2 * (5 * k2 + r2 * 7 * k3)) <= 0.0)
    return float(np.sqrt(r2[folds[0]])) if len(folds) else _WIDEST


def eye_of(station: Station, size_px: tuple[int, int]) -> Eye:
    """The eye of a surveyed photograph.

    Parameters
    ----------
    station
        Where it was taken from, and through which lens.
    size_px
        Width and height of the upright photograph. [px]

    Returns
    -------
    Eye
        Sees what the photograph shows.
    """
    return Eye(
        station.rotation,
        station.translation_mm,
        station.focal_px,
        np.array(station.centre_px),
        np.array(station.distortion),
        size_px,
    )


def looking(stands_mm: Array, at_mm: Array, up: Array, focal_px: float, size_px: tuple[int, int]) -> Eye:
    """An eye placed somewhere, looking at something.

    Parameters
    ----------
    stands_mm, at_mm
        (3,) where it is and what it looks at. [mm]
    up
        (3,) the way that is up in its picture, roughly. [-]
    focal_px
        Focal length. [px]
    size_px
        Width and height of the picture. [px]

    Returns
    -------
    Eye
        With a perfect lens, what it looks at in the middle.
    """
    forward = (at_mm - stands_mm) / float(np.linalg.norm(at_mm - stands_mm))
    right = np.cross(forward, up)
    if float(np.linalg.norm(right)) < 1e-6:
        right = np.cross(forward, np.array([0.0, 1.0, 0.0]) if abs(forward[1]) < 0.9 else np.array([1.0, 0.0, 0.0]))
    right = right / float(np.linalg.norm(right))
    turn = np.array([right, np.cross(forward, right), forward])
    centre = (np.array(size_px) - 1.0) / 2.0
    return Eye(turn, -turn @ stands_mm, focal_px, centre, np.zeros(5), size_px)


def framed(points_mm: Array, way: Array, up: Array, size_px: tuple[int, int]) -> Eye:
    """An eye that sees points as large as they go.

    Parameters
    ----------
    points_mm
        (n, 3) what must be in the picture. [mm]
    way
        (3,) unit vector from them towards the eye. [-]
    up
        (3,) the way that is up, roughly. [-]
    size_px
        Width and height of the picture. [px]

    Returns
    -------
    Eye
        With a perfect lens.
    """
    middle = (points_mm.max(axis=0) + points_mm.min(axis=0)) / 2
    span_mm = max(float(np.linalg.norm(points_mm.max(axis=0) - points_mm.min(axis=0))), 1.0)
    stands = middle + _STANDS_OFF * span_mm * way
    rough = looking(stands, middle, up, 1000.0, size_px)
    px, _ = rough.seen(points_mm)
    low, high = px.min(axis=0), px.max(axis=0)
    room = (1.0 - 2.0 * _MARGIN) * np.array(size_px)
    focal = 1000.0 * float(np.min(room / np.maximum(high - low, 1e-6)))
    middle_px = (np.array(size_px) - 1.0) / 2.0
    centre = middle_px - ((low + high) / 2 - rough.centre_px) * focal / 1000.0
    return replace(rough, focal_px=focal, centre_px=centre)


def where_one_stands(survey: Survey | None, at_mm: Array) -> tuple[Array, Array]:
    """From where the owner looked, and what was up.

    Parameters
    ----------
    survey
        The surveyed photographs, or None.
    at_mm
        (3,) what is looked at. [mm]

    Returns
    -------
    tuple
        (3,) unit vector from it towards the middle of where the photographs were taken, a little from above, and (3,)
        what was up in them; without photographs from the front of the job frame, its z up. [-]
    """
    if survey is None or not survey.stations:
        way, up = np.array([0.35, -0.8, 0.45]), np.array([0.0, 0.0, 1.0])
        return way / float(np.linalg.norm(way)), up
    up = -np.mean([station.rotation[1] for station in survey.stations], axis=0)
    up = up / float(np.linalg.norm(up))
    stood = [-station.rotation.T @ station.translation_mm - at_mm for station in survey.stations]
    way = np.mean([each / float(np.linalg.norm(each)) for each in stood], axis=0)
    return way / float(np.linalg.norm(way)), up
