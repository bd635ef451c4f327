"""A check valve screwed into a bush on a wall, whose lower end nobody surveyed, for tests of such ends."""

from __future__ import annotations

from typing import Any

import numpy as np

from stood import Array, Points, job_with, mm, survey_of_points
from trialfit.fitup.ends_in_place import EndsInPlace, ends_in_place
from trialfit.fitup.in_place import without_pipes
from trialfit.job.records import Job
from trialfit.parts.build import build_parts
from trialfit.survey.records import Survey

OUTLET, INLET, CAP = np.array([20.0, 0, 0]), np.array([0.0, 0, -15]), np.array([0.0, 0, 10])
# The bush looks towards -y; twelve is straight up and far off; the union the pipe comes from looks up.
WALL: Points = {
    "face": (0, 0, 0),
    "back": (0, 40, 0),
    "up": (0, 0, 400),
    "union": (70, -40, -90),
    "under": (70, -40, -130),
}


def valve(**inlet: Any) -> dict[str, Any]:
    """The valve: screwed in by its outlet, its inlet looking the other way from its cap."""
    return {
        "kind": "check valve",
        "ports": {
            "outlet": {"thread": "5/16x32", "gender": "male", "at": mm(*OUTLET), "at_pm": "0.1 mm"},
            "inlet": {"at": mm(*INLET), "at_pm": "0.1 mm", **inlet},
            "cap": {"at": mm(*CAP), "at_pm": "0.1 mm"},
        },
    }


def screwed(depth: dict[str, Any]) -> dict[str, Any]:
    """Its joint, so much of it hidden or so many turns in."""
    return {"a": "valve.outlet", "b": "bush.thread", "slack": "0.2 mm", "lean": "1 deg", **depth}


def clocked(thread: str = "5/16x32", **more: Any) -> dict[str, Any]:
    """Its inlet looks away from the point at twelve."""
    entry = {"thread": thread, "wanted": "180 deg", "twelve": "up", "twelve_at": "up", "port": "valve.inlet"}
    return {"valve": entry | more}


def job_of(points: Points, depth: dict[str, Any], clocking: dict[str, Any], ends: tuple[str, str], fitting: Any) -> Job:
    """The job with a pipe between two ends."""
    bush = {"thread": "5/16x32", "gender": "female", "face": "face", "axis_from": "back"}
    union = {"thread": "5/16x32", "gender": "male", "face": "union", "axis_from": "under"}
    parts = {
        "bush": {"kind": "bush", "ports": {"thread": bush}},
        "valve": fitting,
        "union": {"kind": "union body", "ports": {"face": union}},
    }
    start, end = ({"port": port, "straight": "8 mm", "enters": "3 mm"} for port in ends)
    pipe = {"tube": {"od": "5/32 in", "wall": "22 swg"}, "file_allowance": "0.5 mm", "start": start, "end": end}
    return job_with(points, parts, [screwed(depth)], clocking=clocking, pipes={"feed": pipe})


def ended(
    points: Points,
    depth: dict[str, Any],
    clocking: dict[str, Any] | None = None,
    spread: Array | None = None,
    ends: tuple[str, str] = ("union.face", "valve.inlet"),
    fitting: dict[str, Any] | None = None,
) -> tuple[Job, Survey, EndsInPlace]:
    """The job, its survey, each coordinate known to 0.1 mm unless told, and the ends of its pipe."""
    job = job_of(points, depth, clocked() if clocking is None else clocking, ends, fitting or valve())
    survey, parts = survey_of_points(points, 0.1, spread), build_parts(job)
    return job, survey, ends_in_place(job, parts, survey, without_pipes(job, parts, survey))
