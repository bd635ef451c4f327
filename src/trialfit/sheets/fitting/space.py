"""What the turning view of the owner's page shows: the things of a scene, and how they move step by step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import asin, atan2
from typing import Any

import numpy as np

from trialfit.parts.placement import Array
from trialfit.sheets.seen.eye import where_one_stands
from trialfit.sheets.seen.meshes import Mesh
from trialfit.sheets.seen.motion import Motion
from trialfit.sheets.seen.steps import SeenStep, Stage

# How far the eye stands off, in sizes of what is not the engine itself; the view is 40 deg high.
_APART = 2.1


def space_record(stage: Stage, steps: Sequence[SeenStep], told: Mapping[int, str]) -> dict[str, Any]:
    """Write the turning view as plain values for its script.

    Parameters
    ----------
    stage
        The things.
    steps
        The steps.
    told
        What each step is called, by its number.

    Returns
    -------
    dict
        Things with corners in hundredths of a millimetre, z up; where the eye begins; the steps.
    """
    corners = np.concatenate(
        [stage.meshes[name].corners_mm for name, thing in stage.things.items() if thing.kind != "engine"]
        or [mesh.corners_mm for mesh in stage.meshes.values()]
        or [np.zeros((1, 3))]
    )
    middle = (corners.max(axis=0) + corners.min(axis=0)) / 2
    way, up = where_one_stands(stage.survey, middle)
    upright = _upright(up)
    seen_from = upright @ way
    span_mm = max(float(np.linalg.norm(corners.max(axis=0) - corners.min(axis=0))), 1.0)
    last = steps[-1] if steps else None
    return {
        "things": [
            _thing(name, thing.kind, stage.meshes[name], upright, middle) for name, thing in stage.things.items()
        ],
        "view": {
            "around": round(atan2(float(seen_from[0]), -float(seen_from[1])), 4),
            "above": round(asin(max(-1.0, min(1.0, float(seen_from[2])))), 4),
            "far": round(_APART * span_mm, 1),
            "middle": [0, 0, 0],
        },
        "steps": [_step(step, upright, middle, told.get(step.number, "")) for step in steps],
        "atLast": list(stage.things) if last is None or not last.on else [*last.there, *last.moving],
    }


def _thing(name: str, kind: str, mesh: Mesh, upright: Array, middle: Array) -> dict[str, Any]:
    placed = np.round((mesh.corners_mm - middle) @ upright.T * 100.0).astype(int)
    return {"name": name, "kind": kind, "corners": placed.ravel().tolist(), "faces": mesh.faces.ravel().tolist()}


def _step(step: SeenStep, upright: Array, middle: Array, told: str) -> dict[str, Any]:
    return {
        "number": step.number,
        "told": told,
        "parts": list(step.moving),
        "there": list(step.there),
        "on": step.on,
        "motions": [_motion(motion, upright, middle) for motion in step.motions],
    }


def _motion(motion: Motion, upright: Array, middle: Array) -> dict[str, Any]:
    on = None if motion.on_axis_mm is None else np.round(upright @ (motion.on_axis_mm - middle), 3).tolist()
    way = np.round(upright @ motion.way, 6).tolist()
    return {"way": way, "on": on, "turns": round(motion.turns, 4), "far": round(motion.far_mm, 3)}


def _upright(up: Array) -> Array:
    """Rotation that takes what is up to z, and the job's x as near to x as goes."""
    across = np.array([1.0, 0.0, 0.0]) - up[0] * up
    if float(np.linalg.norm(across)) < 1e-3:
        across = np.array([0.0, 1.0, 0.0]) - up[1] * up
    across = across / np.linalg.norm(across)
    return np.array([across, np.cross(up, across), up])
