"""What is closed holds: a document that bears the number of a closed revision is that revision, or is refused."""

from __future__ import annotations

import json
import tomllib
from typing import Any

from sqlalchemy import Connection, select

from trialfit.errors import Refusal
from trialfit.store.database.document_rows import need_document
from trialfit.store.database.schema import closings, revisions
from trialfit.store.database.workshop import Workshop


def refuse_closed(connection: Connection, document_id: int, name: str, text: str) -> None:
    """Refuse a document that says it is a revision which is closed, and is not that one.

    Parameters
    ----------
    connection
        In the transaction that would make it hold.
    document_id
        Which document. [-]
    name
        The job's name.
    text
        The document.

    Raises
    ------
    Refusal
        It bears the number of a closed revision.
    """
    rows = connection.execute(
        select(closings.c.issue, closings.c.record, revisions.c.text)
        .join(revisions, closings.c.revision_id == revisions.c.id)
        .where(closings.c.document_id == document_id)
    ).all()
    if not rows:
        return
    issue = _issue(text)
    for row in rows:
        if row.issue == issue and row.text != text:
            day = json.loads(row.record)["day"]
            raise Refusal(
                f"job {name}, revision {issue}", f"a change, though it was closed on {day}",
                "a closed revision as it was",
                f"A correction is a new revision: begin revision {max(each.issue for each in rows) + 1} first.",
            )  # fmt: skip


def closed_days(workshop: Workshop, name: str) -> dict[int, str]:
    """Say which revisions of a job are closed.

    Parameters
    ----------
    workshop
        The workshop.
    name
        The job's name in it.

    Returns
    -------
    dict
        The day of closing by the number that the sheets bear.

    Raises
    ------
    NotThere
        No such job.
    """
    with workshop.reading() as connection:
        document_id = need_document(connection, "job", name)
        there = closings.c.document_id == document_id
        rows = connection.execute(select(closings.c.issue, closings.c.record).where(there))
        return {row.issue: json.loads(row.record)["day"] for row in rows}


def _issue(text: str) -> int:
    """The revision a document says it is; one that cannot be read is judged when it can."""
    try:
        card: Any = tomllib.loads(text.removeprefix("\ufeff")).get("job", {})
    except tomllib.TOMLDecodeError:
        return 0
    found = card.get("revision", 1) if isinstance(card, dict) else 1
    return found if isinstance(found, int) else 0
