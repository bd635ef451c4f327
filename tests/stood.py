"""Small jobs with surveyed points typed outright, for tests of what stands where."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.in_place import InPlace, in_place
from trialfit.job.records import Job
from trialfit.parts.build import build_parts
from trialfit.survey.records import Survey, SurveyedPoint

Array = NDArray[np.float64]
Points = dict[str, tuple[float, float, float]]


def survey_of_points(points: Points, sigma_mm: float = 0.1, covariance: Array | None = None) -> Survey:
    """A survey of points alone, each coordinate known to one sigma unless a whole covariance is given."""
    spread = np.eye(3 * len(points)) * sigma_mm**2 if covariance is None else covariance
    k2 = 2 * np.sqrt(np.diag(spread)).reshape(-1, 3)
    made = tuple(
        SurveyedPoint(name, at, (float(two[0]), float(two[1]), float(two[2])), 3)
        for (name, at), two in zip(points.items(), k2, strict=True)
    )
    return Survey(made, spread, (), (), (), ((1.0, 0.0), (1.0, 0.0)), 0.0, 0, ())


def job_with(points: Points, parts: dict[str, Any], joints: list[dict[str, Any]] | None = None, **more: Any) -> Job:
    """A job with these points, parts and joints."""
    return Job.model_validate(
        {
            "format": 1,
            "job": {"name": "t", "owner": "A. Fenwright", "date": "2026-03-14"},
            "engine": {"name": "Bittern", "working_pressure": "80 psi"},
            "points": {name: {} for name in points},
            "parts": parts,
            "joints": joints or [],
            **more,
        }
    )


def stood(
    points: Points,
    parts: dict[str, Any],
    joints: list[dict[str, Any]] | None = None,
    sigma_mm: float = 0.1,
    covariance: Array | None = None,
    **more: Any,
) -> InPlace:
    """Put such a job in its place."""
    job = job_with(points, parts, joints, **more)
    return in_place(job, build_parts(job), survey_of_points(points, sigma_mm, covariance), ())


def mm(*lengths: float) -> list[str]:
    """Lengths as a job writes them."""
    return [f"{each:g} mm" for each in lengths]
