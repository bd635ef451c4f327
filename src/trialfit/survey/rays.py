"""Rays from photographs to points at one state of the survey, and their slopes by everything they depend on.

Source: the chain rule on `project.py`; held against numeric differences in `tests/unit/`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.layout import BREATHING, CAMERA_WIDTH, POSE
from trialfit.survey.problem import Problem, State
from trialfit.survey.project import LENS_SIZE, Rays, project

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

NEAREST_MM = 1.0
_LENS = slice(POSE + BREATHING, POSE + BREATHING + LENS_SIZE)


def sighted(problem: Problem, state: State, photograph: Indices, points_mm: Array) -> Rays:
    """Project points, each into its own photograph.

    Parameters
    ----------
    problem
        With the lenses as noted.
    state
        Where the cameras are taken to be.
    photograph
        (n,) which photograph. [-]
    points_mm
        (n, 3) points in the job frame. [mm]

    Returns
    -------
    Rays
        Pixels and derivatives.
    """
    lens = problem.lens_of_photograph[photograph]
    breathing, lenses = state.breathing[photograph], state.lenses[lens]
    focal = problem.focal_start_px[lens] * np.exp(lenses[:, 0]) * (1.0 + breathing[:, 0])
    centre = problem.centre_start_px[lens] + lenses[:, 1:3] + breathing[:, 1:]
    turns, shifts = state.rotations[photograph], state.translations_mm[photograph]
    return project(points_mm, turns, shifts, focal, centre, lenses[:, 3:])


def slopes_of(rays: Rays, state: State, photograph: Indices) -> tuple[Array, Array]:
    """How projected points move with the camera, and with the points.

    Parameters
    ----------
    rays
        The points, projected.
    state
        Where the cameras are taken to be.
    photograph
        (n,) which photograph. [-]

    Returns
    -------
    tuple
        (n, 2, 22) derivative by pose, breathing, lens and card, nought by the card [px]; (n, 2, 3) by the point in
        the job frame [px/mm].
    """
    by_camera = np.zeros((len(photograph), 2, CAMERA_WIDTH))
    x, y, z = rays.turned.T
    c = rays.by_camera
    by_camera[:, :, 0] = c[:, :, 2] * y[:, None] - c[:, :, 1] * z[:, None]
    by_camera[:, :, 1] = c[:, :, 0] * z[:, None] - c[:, :, 2] * x[:, None]
    by_camera[:, :, 2] = c[:, :, 1] * x[:, None] - c[:, :, 0] * y[:, None]
    by_camera[:, :, 3:6] = c
    by_camera[:, :, 6] = rays.by_lens[:, :, 0] / (1.0 + state.breathing[photograph, 0])[:, None]
    by_camera[:, 0, 7] = by_camera[:, 1, 8] = 1.0
    by_camera[:, :, _LENS] = rays.by_lens
    return by_camera, c @ state.rotations[photograph]
