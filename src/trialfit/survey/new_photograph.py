"""What one more photograph would tell: its marks and card corners, where it was taken from eliminated.

Source: elimination by Schur complement (Brown 1958); the new photograph's own focal length and centre are believed
beforehand as those of all others are (`problem.Priors`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted
from trialfit.survey.gain import Telling
from trialfit.survey.layout import BREATHING, CAMERA_WIDTH, POSE
from trialfit.survey.problem import FREE, HELD, card_points
from trialfit.survey.project import LENS_SIZE
from trialfit.survey.rays import sighted, slopes_of
from trialfit.survey.stands import Stands

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_OWN = POSE + BREATHING
_CARD = slice(_OWN + LENS_SIZE, CAMERA_WIDTH)


def of_photographs(adjusted: Adjusted, stands: Stands, sigma_px: float) -> Telling:
    """Further photographs, each by itself.

    Parameters
    ----------
    adjusted
        The survey.
    stands
        The photographs, each with enough in it to place it.
    sigma_px
        One standard deviation of a mark. [px]

    Returns
    -------
    Telling
        One a photograph, over lens, card and every point that shows in any of them.
    """
    used = np.flatnonzero(stands.points.any(axis=0))
    count, n = len(stands.points), len(used)
    normal, cross, blocks = _marks(stands, used, sigma_px)
    normal = normal + _corners(stands, adjusted.layout.problem.card_sigma_px)
    normal[:, :_OWN, :_OWN] += _belief(adjusted)
    shared = CAMERA_WIDTH - _OWN
    size = shared + 3 * n
    weight = np.zeros((count, size, size))
    weight[:, :shared, :shared] = normal[:, _OWN:, _OWN:]
    between = cross.transpose(0, 2, 1, 3).reshape(count, CAMERA_WIDTH, 3 * n)
    weight[:, :shared, shared:] = between[:, _OWN:]
    weight[:, shared:, :shared] = between[:, _OWN:].transpose(0, 2, 1)
    at = shared + np.arange(3 * n).reshape(n, 3)
    weight[:, at[:, :, None], at[:, None, :]] = blocks
    own = np.concatenate([normal[:, :_OWN, _OWN:], between[:, :_OWN]], axis=2)
    weight -= own.transpose(0, 2, 1) @ _solved(normal[:, :_OWN, :_OWN], own)
    return Telling(_columns(adjusted, stands, used), weight)


def _marks(stands: Stands, used: Indices, sigma_px: float) -> tuple[Array, Array, Array]:
    """(s, 22, 22) weights of pose, breathing, lens and card; (s, n, 22, 3) between those and points; (s, n, 3, 3)."""
    count, n = len(stands.points), len(used)
    photograph = np.repeat(np.arange(count), n)
    points = np.tile(stands.state.points_mm[used], (count, 1))
    rays = sighted(stands.problem, stands.state, photograph, points)
    by_camera, by_point = slopes_of(rays, stands.state, photograph)
    weight = (stands.points[:, used].ravel() / sigma_px)[:, None, None]
    by_camera = np.where(weight > 0, by_camera, 0.0) * weight
    by_point = np.where(weight > 0, by_point, 0.0) * weight
    across = by_camera.transpose(0, 2, 1)
    rows = by_camera.reshape(count, 2 * n, CAMERA_WIDTH)
    cross = (across @ by_point).reshape(count, n, CAMERA_WIDTH, 3)
    blocks = (by_point.transpose(0, 2, 1) @ by_point).reshape(count, n, 3, 3)
    return rows.transpose(0, 2, 1) @ rows, cross, blocks


def _corners(stands: Stands, sigma_px: float) -> Array:
    count, k = stands.corners.shape
    corners, by_card = card_points(stands.problem, stands.state.card)
    photograph = np.repeat(np.arange(count), k)
    rays = sighted(stands.problem, stands.state, photograph, np.tile(corners, (count, 1)))
    by_camera, by_point = slopes_of(rays, stands.state, photograph)
    by_camera[:, :, _CARD] = by_point @ np.tile(by_card, (count, 1, 1))
    weight = (stands.corners.ravel() / sigma_px)[:, None, None]
    rows = (np.where(weight > 0, by_camera, 0.0) * weight).reshape(count, 2 * k, CAMERA_WIDTH)
    return np.asarray(rows.transpose(0, 2, 1) @ rows)


def _belief(adjusted: Adjusted) -> Array:
    priors = adjusted.layout.problem.priors
    sigma = np.array([FREE] * POSE + [priors.breathing_focal] + [priors.breathing_centre_px] * 2)
    # A photograph whose refocusing is held to nothing is given a belief too firm to move.
    return np.diag(1.0 / np.where(sigma == HELD, 1e-9, sigma) ** 2)


def _solved(own: Array, right: Array) -> Array:
    per = 1.0 / np.sqrt(np.einsum("sii->si", own))
    scaled = own * per[:, :, None] * per[:, None, :]
    return np.asarray(per[:, :, None] * np.linalg.solve(scaled, per[:, :, None] * right))


def _columns(adjusted: Adjusted, stands: Stands, used: Indices) -> Indices:
    layout = adjusted.layout
    lens = int(stands.problem.lens_of_photograph[0])
    like = int(np.flatnonzero(layout.problem.lens_of_photograph == lens)[0])
    camera = layout.camera_columns[like, _OWN:]
    camera = np.where(camera == layout.active_count, layout.unknown_count, camera)
    return np.concatenate([camera, layout.point_columns[used].ravel()])[None]
