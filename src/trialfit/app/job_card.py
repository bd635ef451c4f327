"""What stands on the job card at the head of every page of a job."""

from __future__ import annotations

from typing import Any

from trialfit.app.bags import bags_in
from trialfit.app.copies import photographs_in
from trialfit.app.desk import Desk
from trialfit.app.tables import tables_of
from trialfit.errors import Refusal
from trialfit.job.written import table
from trialfit.store.database.closed_rows import closed_days
from trialfit.store.database.documents import holding
from trialfit.store.database.rack import away_since


def card_of(desk: Desk, job: str) -> dict[str, Any]:
    """Gather what stands on the job card; read as plain tables, so that a document with faults still has one.

    Parameters
    ----------
    desk
        The desk.
    job
        The job's name.

    Returns
    -------
    dict
        For the templates.

    Raises
    ------
    NotThere
        No such job.
    """
    held = holding(desk.workshop, "job", job)
    try:
        document = tables_of(desk, held.revision)
    except Refusal:
        document = {}
    issue = table(document, "job").get("revision", 1)
    return {
        "job": job,
        "held": held,
        "issue": issue,
        "closed_on": closed_days(desk.workshop, job).get(issue, ""),
        "away_at": away_since(desk.workshop, job),
        "owner": _said(document, "job", "owner"),
        "story": _said(document, "job", "story"),
        "day": _said(document, "job", "date"),
        "engine": _said(document, "engine", "name"),
        "pressure": _said(document, "engine", "working_pressure"),
        "written": {key for key, value in document.items() if value},
        "bags": bags_in(document),
        "photographs": photographs_in(document),
    }


def _said(document: dict[str, Any], place: str, key: str) -> str:
    return str(table(document, place).get(key, ""))
