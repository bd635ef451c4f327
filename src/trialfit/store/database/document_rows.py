"""Rows behind the documents: found, added, and read as records."""

from __future__ import annotations

from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, Insert, Row, Select, func, insert, select

from trialfit.job.nearest import did_you_mean
from trialfit.store.database.records import Holding, Kind, NotThere, Revision, Taken
from trialfit.store.database.schema import cursors, documents, revisions, steps
from trialfit.store.database.workshop import Workshop


def find_document(connection: Connection, kind: Kind, name: str) -> int | None:
    """Find a document, or None.

    Parameters
    ----------
    connection
        To the database.
    kind, name
        Which document.

    Returns
    -------
    int or None
        Its number in the database; None where it is not there. [-]
    """
    found: int | None = connection.execute(_id_of(kind, name)).scalar()
    return found


def need_document(connection: Connection, kind: Kind, name: str, lock: bool = False) -> int:
    """Find a document.

    Parameters
    ----------
    connection
        To the database.
    kind, name
        Which document.
    lock
        Whether others have to wait until this transaction ends.

    Returns
    -------
    int
        Its number in the database. [-]

    Raises
    ------
    NotThere
        No such document.
    """
    wanted = _id_of(kind, name)
    found: int | None = connection.execute(wanted.with_for_update() if lock else wanted).scalar()
    if found is None:
        known = connection.execute(select(documents.c.name).where(documents.c.kind == kind)).scalars().all()
        remedy = did_you_mean(name, known, "Look at the list of jobs." if kind == "job" else "Start it first.")
        raise NotThere(f"{kind} {name[:100]}", "nothing of that name", f"the name of a {kind} that is there", remedy)
    return found


def _id_of(kind: Kind, name: str) -> Select[int]:
    return select(documents.c.id).where(documents.c.kind == kind, documents.c.name == name)


def holding_of(connection: Connection, document_id: int, kind: Kind, name: str) -> Holding:
    """Give the revision that holds, and where undo and redo would lead.

    Parameters
    ----------
    connection
        To the database.
    document_id, kind, name
        Which document. [-]

    Returns
    -------
    Holding
        It.
    """
    row = connection.execute(select(revisions).where(revisions.c.id == held_id_of(connection, document_id))).one()
    found = revision_of(connection, row, kind, name)
    made_of_it = select(func.max(revisions.c.number)).where(revisions.c.parent_id == row.id)
    redo_to = connection.execute(made_of_it).scalar() or 0
    return Holding(found, found.parent, int(redo_to), newest_of(connection, document_id))


def held_id_of(connection: Connection, document_id: int) -> int:
    """Give where the cursor is.

    Parameters
    ----------
    connection
        To the database.
    document_id
        Which document. [-]

    Returns
    -------
    int
        Number of the revision in the database. [-]
    """
    held = select(cursors.c.revision_id).where(cursors.c.document_id == document_id)
    return int(connection.execute(held).scalar_one())


def newest_of(connection: Connection, document_id: int) -> int:
    """Give the highest number saved so far.

    Parameters
    ----------
    connection
        To the database.
    document_id
        Which document. [-]

    Returns
    -------
    int
        It. [-]
    """
    highest = select(func.max(revisions.c.number)).where(revisions.c.document_id == document_id)
    return int(connection.execute(highest).scalar_one())


def revision_row(connection: Connection, document_id: int, number: int) -> Row[Any] | None:
    """Find a revision by its number.

    Parameters
    ----------
    connection
        To the database.
    document_id
        Of which document. [-]
    number
        Counted from 1. [-]

    Returns
    -------
    Row or None
        None where there is none.
    """
    wanted = select(revisions).where(revisions.c.document_id == document_id, revisions.c.number == number)
    return connection.execute(wanted).first()


def revision_of(connection: Connection, row: Row[Any], kind: Kind, name: str) -> Revision:
    """Turn a row into a revision.

    Parameters
    ----------
    connection
        To the database.
    row
        Of the table of revisions.
    kind, name
        Of which document.

    Returns
    -------
    Revision
        It.
    """
    parent = 0
    if row.parent_id is not None:
        parent = connection.execute(select(revisions.c.number).where(revisions.c.id == row.parent_id)).scalar_one()
    return Revision(kind, name, row.number, parent, row.text, row.sha256, row.saved_at, row.saved_by)


def add_revision(
    connection: Connection, workshop: Workshop, document_id: int, parent_id: int | None, number: int, text: str, by: str
) -> int:
    """Add a revision.

    Parameters
    ----------
    connection
        In the transaction that makes it hold.
    workshop
        For its clock.
    document_id
        Of which document. [-]
    parent_id
        The revision it was made from; None for the first. [-]
    number
        Its number. [-]
    text
        The document.
    by
        Who saves it.

    Returns
    -------
    int
        Its number in the database. [-]
    """
    added = insert(revisions).values(
        document_id=document_id, number=number, parent_id=parent_id, text=text, sha256=text_hash(text),
        saved_at=workshop.now, saved_by=by[:80],
    )  # fmt: skip
    return inserted_id(connection, added)


def inserted_id(connection: Connection, row: Insert) -> int:
    """Put a row in.

    Parameters
    ----------
    connection
        In a transaction.
    row
        The row.

    Returns
    -------
    int
        Its number in the database. [-]
    """
    key = connection.execute(row).inserted_primary_key
    assert key is not None
    return int(key[0])


def taken_before(
    connection: Connection, document_id: int, kind: str, name: str, key: str, step: str, base: int, text: str
) -> bool:
    """Say whether this very request was answered before.

    Parameters
    ----------
    connection
        To the database.
    document_id, kind, name
        Which document. [-]
    key
        The request's key.
    step, base, text
        What it asks for: a key may stand for one thing only.

    Returns
    -------
    bool
        Whether it was.

    Raises
    ------
    Taken
        The key stands for another change.
    """
    row = connection.execute(
        select(steps.c.kind, steps.c.base, steps.c.sha256).where(steps.c.document_id == document_id, steps.c.key == key)
    ).first()
    if row is None:
        return False
    if (row.kind, row.base, row.sha256) != (step, base, text_hash(text)):
        raise Taken(
            f"{kind} {name}", f"key {key}, which stands for another change", "a key of its own for each change",
            "Send it again under a new key.",
        )  # fmt: skip
    return True


def note_step(
    connection: Connection, workshop: Workshop, document_id: int, key: str, kind: str, base: int, text: str,
    revision_id: int, by: str,
) -> None:  # fmt: skip
    """Write down that a cursor was moved, and by which request.

    Parameters
    ----------
    connection
        In the transaction that moves it.
    workshop
        For its clock.
    document_id
        Which document. [-]
    key
        The request's key; empty for none.
    kind, base, text
        What was asked for.
    revision_id
        Where the cursor went. [-]
    by
        Who asked.
    """
    connection.execute(
        insert(steps).values(
            document_id=document_id, key=key or None, kind=kind, base=base, sha256=text_hash(text),
            revision_id=revision_id, taken_at=workshop.now, taken_by=by[:80],
        )
    )  # fmt: skip


def text_hash(text: str) -> str:
    """Give the hash by which a text is known again.

    Parameters
    ----------
    text
        The text.

    Returns
    -------
    str
        SHA-256, in hexadecimal.
    """
    return sha256(text.encode("utf-8")).hexdigest()
