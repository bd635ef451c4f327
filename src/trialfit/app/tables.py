"""A document as tables and lists, read once for every page and call that shows it."""

from __future__ import annotations

from typing import Any

from trialfit.app.desk import Desk
from trialfit.job.change import parsed
from trialfit.store.database.records import Revision


def tables_of(desk: Desk, revision: Revision) -> dict[str, Any]:
    """Give a revision as tables and lists.

    Parameters
    ----------
    desk
        The desk.
    revision
        The revision.

    Returns
    -------
    dict
        The same one for everybody: it is read, and never written.

    Raises
    ------
    Refusal
        It is no TOML.
    """
    found: dict[str, Any] = desk.jobs.get(("parsed", revision.sha256), lambda: parsed(revision.text))
    return found
