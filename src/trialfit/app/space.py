"""What stands in space, and the steps in which it is put there."""

from __future__ import annotations

from typing import Any

import numpy as np

from trialfit.app.desk import Desk
from trialfit.app.working import looked_at, worked_out
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
        ``stations`` as the plan has them; ``sizes`` of the photographs in px; ``steps`` of the order of fitting, empty
        where there is none.

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
        "things": [_thing(thing) for thing in made.scene.things],
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
        "steps": steps_of(made),
    }


def steps_of(made: Plan) -> list[dict[str, Any]]:
    """Give the steps of the order of fitting.

    Parameters
    ----------
    made
        The job worked out.

    Returns
    -------
    list of dict
        ``words``, the ``things`` that move, and their ``way`` in the job frame; empty where no order was worked out.
    """
    return [
        {
            "words": " ".join(part for part in (getattr(step, "words", ""), getattr(step, "why", "")) if part),
            "things": list(getattr(step, "things", ())),
            "way": plain(getattr(step, "way", None)),
        }
        for order in getattr(made, "fittings", ())
        for step in getattr(order, "steps", ())
    ]


def _thing(thing: Thing) -> dict[str, Any]:
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
