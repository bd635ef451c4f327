"""Straightened looks: marks as rays through an ideal lens, and the eyes they come from.

Source: the lens model of `project.py`, undone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.problem import Problem, State
from trialfit.survey.project import straighten

Array = NDArray[np.float64]


def flat_marks(problem: Problem, state: State, photograph: int, px: Array) -> Array:
    """Marks as an ideal lens would show them.

    Parameters
    ----------
    problem
        With the lenses as noted.
    state
        Where cameras and lenses are taken to be.
    photograph
        Which photograph. [-]
    px
        (n, 2) marks. [px]

    Returns
    -------
    Array
        (n, 2) x/z, y/z in the camera's frame. [-]
    """
    lens = int(problem.lens_of_photograph[photograph])
    values, breathing, n = state.lenses[lens], state.breathing[photograph], len(px)
    centre = problem.centre_start_px[lens] + values[1:3] + breathing[1:]
    focal = np.full(n, focal_px(problem, state, photograph))
    return straighten(px, focal, np.tile(centre, (n, 1)), np.tile(values[3:], (n, 1)))


def focal_px(problem: Problem, state: State, photograph: int) -> float:
    """Focal length of one photograph.

    Parameters
    ----------
    problem
        With the lenses as noted.
    state
        Where cameras and lenses are taken to be.
    photograph
        Which photograph. [-]

    Returns
    -------
    float
        Refocusing included. [px]
    """
    lens = int(problem.lens_of_photograph[photograph])
    return float(problem.focal_start_px[lens] * np.exp(state.lenses[lens, 0]) * (1.0 + state.breathing[photograph, 0]))


def eye_mm(state: State, photograph: int) -> Array:
    """Where a photograph was taken from.

    Parameters
    ----------
    state
        Where the cameras are taken to be.
    photograph
        Which photograph. [-]

    Returns
    -------
    Array
        (3,) in the job frame. [mm]
    """
    return np.asarray(-state.rotations[photograph].T @ state.translations_mm[photograph])
