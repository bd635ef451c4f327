"""How wrong a flat print is, place by place: what is in the plane, and what stands proud of it.

A feature of the plane is printed where its pixel's ray meets the plane as the survey has it. By so much as camera, lens
and plane are out, it is printed beside its true place, counted from the middle of the card as printed or of the points
the plane goes through. To first order that is minus the inverse derivative of pixel by place, times the derivative of
pixel by camera, lens and plane, times their error. A thing that stands proud is printed
further from the eye's foot, where its ray goes on to meet the plane.

Source: propagation of covariance; the radius that holds 95 % of a plane normal error after W. A. Leenhouts, "On the
computation of bi-normal radial error", Navigation 32 (1985), coefficients from memory and held against the integral
itself in `tests/outside/`; similar triangles for what stands proud. `SINGLE_MM` was measured on simulated photographs
(`docs/methods/flat_print.md`).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.survey.flat_plane import FlatPlane
from trialfit.survey.flat_view import FlatView
from trialfit.survey.layout import CAMERA_WIDTH
from trialfit.survey.layout import CARD as CARD_WIDTH
from trialfit.survey.rays import sighted, slopes_of

Array = NDArray[np.float64]

SINGLE_MM = ((50.0, 0.5), (100.0, 0.8), (inf, 2.9))
"""A lone photograph is never called better than this: up to so far from the card's middle, 95 % within so much. [mm]"""

_LEENHOUTS = (1.960790, 0.004071, 0.114276, 0.371625)
_AT_ONCE = 4000
_CARD = slice(CAMERA_WIDTH - CARD_WIDTH, CAMERA_WIDTH)


@dataclass(frozen=True, eq=False)
class Placed:
    """Places of a print with what the photograph shows of them.

    Parameters
    ----------
    px_per_mm
        (n, 2, 2) how the pixel moves with the place. [px/mm]
    covariance_mm2
        (n, 2, 2) of where the print shows them, against where they are. [mm2]
    """

    px_per_mm: Array
    covariance_mm2: Array


def placed(view: FlatView, plane: FlatPlane, places_mm: Array, height_mm: float = 0.0) -> Placed:
    """Find how surely a print shows some places.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    places_mm
        (n, 2) true places in the plane. [mm]
    height_mm
        How far what is seen stands proud of them. [mm]

    Returns
    -------
    Placed
        Derivatives and covariance; of what stands proud, once `proud_offset_mm` is taken off.
    """
    covariance = view.covariance(plane.points)
    parts = [
        _placed(view, plane, places_mm[k : k + _AT_ONCE], height_mm, covariance)
        for k in range(0, max(1, len(places_mm)), _AT_ONCE)
    ]
    px_per_mm, covariance_mm2 = (np.concatenate(each) for each in zip(*parts, strict=True))
    return Placed(px_per_mm, covariance_mm2)


def _placed(
    view: FlatView, plane: FlatPlane, places_mm: Array, height_mm: float, covariance: Array
) -> tuple[Array, Array]:
    """(n, 2, 2) pixel by place; (n, 2, 2) covariance of the place printed."""
    px_per_mm, rows = _rows(view, plane, places_mm, height_mm)
    wide = rows.shape[2]
    moved = (rows.reshape(-1, wide) @ covariance).reshape(rows.shape)
    inverse = np.linalg.inv(px_per_mm)
    return px_per_mm, inverse @ (moved @ rows.transpose(0, 2, 1)) @ inverse.transpose(0, 2, 1)


def length_k2_share(view: FlatView, plane: FlatPlane, ends_mm: Array) -> float:
    """How surely a print shows a length in its plane.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    ends_mm
        (2, 2) the two ends of the length, in the plane. [mm]

    Returns
    -------
    float
        Two standard deviations, as a share of the length: the two ends err together, so that only what stretches the
        length counts. [-]
    """
    shifts = -np.linalg.solve(*_rows(view, plane, ends_mm, 0.0))
    along = ends_mm[1] - ends_mm[0]
    long_mm = float(np.linalg.norm(along))
    slope = along / long_mm @ (shifts[1] - shifts[0])
    return 2.0 * float(np.sqrt(max(slope @ view.covariance(plane.points) @ slope, 0.0))) / long_mm


def _rows(view: FlatView, plane: FlatPlane, places_mm: Array, height_mm: float) -> tuple[Array, Array]:
    """(n, 2, 2) pixel by place; (n, 2, 22 + 3p) how the pixel moves with camera, card and points."""
    by_camera, by_point = _slopes(view, plane.at(places_mm, height_mm))
    by_place = by_point
    if height_mm:
        printed = places_mm + proud_offset_mm(view, plane, places_mm, height_mm)
        _, by_place = _slopes(view, plane.at(printed))
    px_per_mm = by_place @ np.stack([plane.along, plane.up], axis=1)
    by_camera[:, :, _CARD] += by_point @ plane.by_card
    by_plane = by_point @ _by_points(plane, places_mm, height_mm)
    return px_per_mm, np.concatenate([by_camera, by_plane], axis=2)


def proud_offset_mm(view: FlatView, plane: FlatPlane, places_mm: Array, height_mm: float) -> Array:
    """Where the print shows what stands proud, from where it stands.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    places_mm
        (n, 2) where it stands. [mm]
    height_mm
        How far it stands proud. [mm]

    Returns
    -------
    Array
        (n, 2) offset away from the foot of the eye: height times the tangent of the angle the ray that meets the
        plane there makes with the plane's normal. [mm]
    """
    foot, high = _eye(view, plane)
    return np.asarray((places_mm - foot) * height_mm / (high - height_mm))


def refuse_if_too_proud(view: FlatView, plane: FlatPlane, height_mm: float) -> None:
    """Refuse a height at which nothing could be printed.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    height_mm
        How far a thing stands proud. [mm]

    Raises
    ------
    Refusal
        It is not above nought, or reaches half way up to the lens or more.
    """
    _, high = _eye(view, plane)
    if not 0.0 < height_mm < high / 2.0:
        raise Refusal(
            "--height", f"{height_mm:g} mm", f"above nought and less than half of the {high:.0f} mm that the lens "
            "stood over the plane", "Give how far most things stand out of the plane, such as 5 mm.",
        )  # fmt: skip


def view_angle_deg(view: FlatView, plane: FlatPlane, places_mm: Array) -> Array:
    """Angle between the line of sight and the plane's normal.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane.
    places_mm
        (n, 2) places in it. [mm]

    Returns
    -------
    Array
        (n,) 0 seen squarely, 90 seen edge-on. [deg]
    """
    foot, high = _eye(view, plane)
    return np.asarray(np.degrees(np.arctan2(np.linalg.norm(places_mm - foot, axis=1), high)))


def radius95_mm(covariance_mm2: Array) -> Array:
    """Radius of the circle that holds 95 % of a plane normal error.

    Parameters
    ----------
    covariance_mm2
        (n, 2, 2) covariances. [mm2]

    Returns
    -------
    Array
        (n,) radii. [mm]
    """
    low, high = np.sqrt(np.maximum(np.linalg.eigvalsh(covariance_mm2), 0.0)).T
    ratio = np.divide(low, high, out=np.zeros_like(low), where=high > 0.0)
    return np.asarray(high * np.polynomial.polynomial.polyval(ratio, _LEENHOUTS))


def band_mm(view: FlatView, plane: FlatPlane, places_mm: Array, height_mm: float = 0.0) -> Array:
    """How far, at most, the print shows a feature from where it is, 95 times in 100.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    places_mm
        (n, 2) places in it. [mm]
    height_mm
        How far the feature stands proud; its offset is to be taken off. [mm]

    Returns
    -------
    Array
        (n,) band; a single photograph's is nowhere less than `SINGLE_MM` says. [mm]
    """
    own = radius95_mm(placed(view, plane, places_mm, height_mm).covariance_mm2)
    return np.maximum(own, floor_mm(view, plane, places_mm))


def floor_mm(view: FlatView, plane: FlatPlane, places_mm: Array) -> Array:
    """The least band a single photograph is given, by its distance from the middle of what placed it.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    places_mm
        (n, 2) places in it. [mm]

    Returns
    -------
    Array
        (n,) least band; nought where the photograph stands in a survey with others. [mm]
    """
    if not view.alone:
        return np.zeros(len(places_mm))
    away = np.linalg.norm(places_mm - plane.middle_mm, axis=1)
    reach = np.array([up_to for up_to, _ in SINGLE_MM[:-1]])
    return np.asarray(np.array([band for _, band in SINGLE_MM])[np.searchsorted(reach, away)])


def _eye(view: FlatView, plane: FlatPlane) -> tuple[Array, float]:
    """Foot of the eye in the plane, and how high it stands over it."""
    eye = view.eye_mm
    return plane.places(eye[None])[0], float((eye - plane.origin_mm) @ plane.normal)


def _slopes(view: FlatView, points_mm: Array) -> tuple[Array, Array]:
    """(n, 2, 22) by camera and lens, (n, 2, 3) by point, in sensor pixels."""
    adjusted = view.solved.snooped.adjusted
    photograph = np.full(len(points_mm), view.place, dtype=np.intp)
    rays = sighted(adjusted.layout.problem, adjusted.state, photograph, points_mm)
    return slopes_of(rays, adjusted.state, photograph)


def _by_points(plane: FlatPlane, places_mm: Array, height_mm: float) -> Array:
    """(n, 3, 3p) how a feature of the plane moves with the points the plane goes through."""
    middle, along, up = plane.by_points
    normal = np.cross(along, plane.up, axis=0) + np.cross(plane.along[:, None], up, axis=0)
    x, y = (places_mm - plane.middle_mm).T[:, :, None, None]
    return np.asarray(middle + x * along + y * up + height_mm * normal)
