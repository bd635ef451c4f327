"""What is drawn over the photographs of a job."""

from __future__ import annotations

from typing import Any

from trialfit.app.desk import Desk
from trialfit.app.live import standing, tried
from trialfit.app.rest.documents import Changing
from trialfit.app.space import drawn
from trialfit.app.working import job_at, looked_at


def scene_of(desk: Desk, name: str) -> dict[str, Any]:
    """Survey a job and lay its pipes.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.

    Returns
    -------
    dict
        As a trial without changes, and ``sizes``: each photograph's width and height in px.

    Raises
    ------
    Refusal
        The document has faults.
    """
    found, job = job_at(desk, name)
    sighted = looked_at(desk, name, job).sighted
    made = tried(desk, name, Changing.model_construct(base=found.number, changes=()))
    made["sizes"] = {key: [each.width_px, each.height_px] for key, each in sighted.photographs.items()}
    return made


def standing_in(desk: Desk, name: str) -> dict[str, Any]:
    """Give the solids of what stands on the engine, to be drawn over its photographs.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.

    Returns
    -------
    dict
        ``things`` with their solids.

    Raises
    ------
    Refusal
        The document has faults.
    """
    return {"things": [drawn(thing) for thing in standing(desk, name)]}
