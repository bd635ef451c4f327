"""What stands in space, and the steps in which it is put there."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from trialfit.app.desk import Desk
from trialfit.app.working import looked_at, worked_out
from trialfit.fitup.order.records import FittingStep
from trialfit.fitup.scene import Thing
from trialfit.plan import Plan
from trialfit.store.plain import plain
from trialfit.survey.records import Survey


def things_of(desk: Desk, name: str) -> dict[str, Any]:
    """Give what stands in space.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.

    Returns
    -------
    dict
        ``things`` with their solids; ``points`` with the axes of their ellipsoids; ``pipes``, ``tubes``, ``rims`` and
        ``stations`` as the plan has them; ``sizes`` of the photographs in px; ``orders`` of taking off and putting on
        with their steps, empty where there is none.

    Raises
    ------
    Refusal
        The document has faults.
    """
    worked = worked_out(desk, name)
    made, survey = worked.plan, worked.plan.survey
    photographs = looked_at(desk, name, made.job).sighted.photographs
    return {
        "revision": worked.revision.number,
        "things": [drawn(thing) for thing in _all_things(made)],
        "there": [thing.name for thing in made.scene.things],
        "points": _points(survey) if survey else [],
        "pipes": [
            {
                "name": pipe.name,
                "vertices_mm": plain(pipe.vertices_mm),
                "radius_mm": pipe.radius_mm,
                "od_mm": pipe.tube.od_mm,
            }
            for pipe in made.pipes
        ],
        "tubes": plain(survey.tubes) if survey else [],
        "rims": plain(survey.rims) if survey else [],
        "stations": plain(survey.stations) if survey else [],
        "sizes": {key: [each.width_px, each.height_px] for key, each in photographs.items()},
        "orders": _orders(made),
    }


def _orders(made: Plan) -> list[dict[str, Any]]:
    """Taking off and putting on, where there is an order: each step in words, and where all that moves is meanwhile."""
    return [
        {
            "do": order.do,
            "there": [thing.name for thing in order.scene.things],
            "steps": [_step(s) for s in order.steps],
        }
        for order in (made.removal, made.fitting)
        if order is not None and order.steps
    ]


def _step(step: FittingStep) -> dict[str, Any]:
    name = step.what or step.part
    how = "; ".join(step.motions)
    said = [f"{name[0].upper()}{name[1:]} {'comes off' if step.do == 'off' else 'goes on'}{': ' if how else ''}{how}."]
    said += [spanner.words for spanner in step.spanners] + list(step.cautions)
    poses = [
        {
            name: [*np.round(np.column_stack([pose.turn, pose.shift_mm]), 5).ravel().tolist()]
            for name, pose in each.items()
        }
        for each in step.poses()
    ]
    return {"words": " ".join(said), "things": list(step.things), "poses": poses}


def _all_things(made: Plan) -> Iterable[Thing]:
    """Those of the finished job, then what stands only before the work."""
    found = {thing.name: thing for thing in made.scene.things}
    for order in (made.fitting, made.removal):
        for thing in order.scene.things if order is not None else ():
            found.setdefault(thing.name, thing)
    return found.values()


def drawn(thing: Thing) -> dict[str, Any]:
    """Give a thing with its solids, to be drawn.

    Parameters
    ----------
    thing
        What stands in space.

    Returns
    -------
    dict
        Its ``name``, ``what``, ``kind`` and ``solids``.
    """
    solids = [
        {"piece": piece.name, "is": type(piece.solid).__name__.lower(), **plain(vars(piece.solid))}
        for piece in thing.pieces
    ]
    return {"name": thing.name, "what": thing.what, "kind": thing.kind, "solids": solids}


def _points(survey: Survey) -> list[dict[str, Any]]:
    """Each with the three half axes of where it lies, k = 2."""
    said: list[dict[str, Any]] = []
    for place, point in enumerate(survey.points):
        rows = slice(3 * place, 3 * place + 3)
        values, ways = np.linalg.eigh(survey.covariance_mm2[rows, rows])
        halves = 2 * np.sqrt(np.maximum(values, 0.0))
        at = {"name": point.name, "at_mm": list(point.position_mm)}
        said.append({**at, "halves_mm": halves.tolist(), "ways": ways.T.tolist()})
    return said
