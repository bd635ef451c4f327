"""Documents: revisions that are only ever added, a cursor that undo and redo move, and no writer over another's work.

Undo goes to the revision the present one was made from; redo to the newest one made from the present one. So redo
after undo comes back, and after a save there is nothing to redo.
"""

from __future__ import annotations

import re

from sqlalchemy import insert, select, update
from sqlalchemy.exc import IntegrityError

from trialfit.errors import Refusal
from trialfit.store.database.closed_rows import refuse_closed
from trialfit.store.database.document_rows import (
    add_revision,
    find_document,
    held_id_of,
    holding_of,
    inserted_id,
    need_document,
    newest_of,
    note_step,
    revision_of,
    revision_row,
    taken_before,
)
from trialfit.store.database.line_rows import keep_line
from trialfit.store.database.records import Conflict, Holding, Kind, NotThere, Revision, RevisionLine, Taken
from trialfit.store.database.schema import cursors, documents, revisions
from trialfit.store.database.workshop import Workshop

SHOP = "shop"
_NAME = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,78}[A-Za-z0-9_-])?")
_KEY = re.compile(r"[\x21-\x7e]{1,80}")
# What some systems keep for devices, whatever the ending.
_KEPT = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)


def start(workshop: Workshop, kind: Kind, name: str, text: str, by: str, key: str = "") -> Holding:
    """Start a document with its first revision.

    Parameters
    ----------
    workshop
        The workshop.
    kind
        A job, or the shop.
    name
        Its name in the workshop; a folder's name.
    text
        The document.
    by
        Who starts it.
    key
        Name of this request, the same when it is sent again; empty for none.

    Returns
    -------
    Holding
        Its first revision.

    Raises
    ------
    Refusal
        The name is no folder's name, or there is a document of that name.
    """
    check_name(name, kind)
    _check_key(key)
    try:
        with workshop.writing() as connection:
            document_id = find_document(connection, kind, name)
            if document_id is None:
                made = insert(documents).values(kind=kind, name=name, started_at=workshop.now)
                document_id = inserted_id(connection, made)
                revision_id = add_revision(connection, workshop, document_id, None, 1, text, by)
                connection.execute(insert(cursors).values(document_id=document_id, revision_id=revision_id))
                note_step(connection, workshop, document_id, key, "start", 0, text, revision_id, by)
                keep_line(connection, kind, document_id, text)
            elif not (key and taken_before(connection, document_id, kind, name, key, "start", 0, text)):
                raise _there_already(kind, name)
            return holding_of(connection, document_id, kind, name)
    except Refusal as refusal:
        if isinstance(refusal.__cause__, IntegrityError):  # two began it at the same moment on a server
            raise _there_already(kind, name) from refusal
        raise


def save(workshop: Workshop, kind: Kind, name: str, text: str, base: int, by: str, key: str = "") -> Holding:
    """Save a document over the revision it was made from.

    Parameters
    ----------
    workshop
        The workshop.
    kind, name
        Which document.
    text
        The whole document.
    base
        Number of the revision it was made from. [-]
    by
        Who saves it.
    key
        Name of this request, the same when it is sent again; empty for none.

    Returns
    -------
    Holding
        The revision that holds it. The same text again makes no new revision.

    Raises
    ------
    Conflict
        Another revision holds now.
    NotThere
        No such document.
    Refusal
        The key has been used for something else.
    """
    return _step(workshop, kind, name, "save", base, by, key, text)


def undo(workshop: Workshop, kind: Kind, name: str, base: int, by: str, key: str = "") -> Holding:
    """Go back to the revision that the present one was made from.

    Parameters
    ----------
    workshop, kind, name, by, key
        As in `save`.
    base
        Number of the revision to be undone. [-]

    Returns
    -------
    Holding
        The revision that holds now.

    Raises
    ------
    Refusal
        As `save`; or there is nothing to undo.
    """
    return _step(workshop, kind, name, "undo", base, by, key, "")


def redo(workshop: Workshop, kind: Kind, name: str, base: int, by: str, key: str = "") -> Holding:
    """Take back the last undo.

    Parameters
    ----------
    workshop, kind, name, by, key
        As in `save`.
    base
        Number of the revision that holds. [-]

    Returns
    -------
    Holding
        The revision that holds now.

    Raises
    ------
    Refusal
        As `save`; or there is nothing to redo.
    """
    return _step(workshop, kind, name, "redo", base, by, key, "")


def holding(workshop: Workshop, kind: Kind, name: str) -> Holding:
    """Give the revision that holds now.

    Parameters
    ----------
    workshop
        The workshop.
    kind, name
        Which document.

    Returns
    -------
    Holding
        It, and where undo and redo would lead.

    Raises
    ------
    NotThere
        No such document.
    """
    with workshop.reading() as connection:
        return holding_of(connection, need_document(connection, kind, name), kind, name)


def revision(workshop: Workshop, kind: Kind, name: str, number: int) -> Revision:
    """Give one revision.

    Parameters
    ----------
    workshop
        The workshop.
    kind, name
        Which document.
    number
        Which revision. [-]

    Returns
    -------
    Revision
        It.

    Raises
    ------
    NotThere
        No such document, or no such revision of it.
    """
    with workshop.reading() as connection:
        document_id = need_document(connection, kind, name)
        row = revision_row(connection, document_id, number) if 0 < number < 2**31 else None
        if row is None:
            newest = newest_of(connection, document_id)
            raise NotThere(f"{kind} {name}", f"revision {number}", f"one of 1 to {newest}", "Look at its history.")
        return revision_of(connection, row, kind, name)


def history(workshop: Workshop, kind: Kind, name: str) -> tuple[RevisionLine, ...]:
    """List a document's revisions.

    Parameters
    ----------
    workshop
        The workshop.
    kind, name
        Which document.

    Returns
    -------
    tuple of RevisionLine
        The newest first.

    Raises
    ------
    NotThere
        No such document.
    """
    parents = revisions.alias()
    with workshop.reading() as connection:
        document_id = need_document(connection, kind, name)
        rows = connection.execute(
            select(
                revisions.c.number, parents.c.number.label("parent"), revisions.c.sha256, revisions.c.saved_at,
                revisions.c.saved_by,
            )
            .select_from(revisions.outerjoin(parents, revisions.c.parent_id == parents.c.id))
            .where(revisions.c.document_id == document_id)
            .order_by(revisions.c.number.desc())
        )  # fmt: skip
        return tuple(RevisionLine(row.number, row.parent or 0, row.sha256, row.saved_at, row.saved_by) for row in rows)


def check_name(name: str, kind: str = "job") -> None:
    """Refuse a name that could not be a folder's on every machine.

    Parameters
    ----------
    name
        The name.
    kind
        Of what.

    Raises
    ------
    Refusal
        It holds a sign, is too long, or is kept by some systems.
    """
    if not _NAME.fullmatch(name) or _KEPT.fullmatch(name):
        raise Refusal(
            f"name of the {kind}", f'"{name[:100]}"', "up to 80 letters, digits, dots, hyphens and underscores",
            "Write it as a folder's name, such as greylag-feed.",
        )  # fmt: skip


def _step(workshop: Workshop, kind: Kind, name: str, step: str, base: int, by: str, key: str, text: str) -> Holding:
    _check_key(key)
    with workshop.writing() as connection:
        document_id = need_document(connection, kind, name, lock=True)
        if key and taken_before(connection, document_id, kind, name, key, step, base, text):
            return holding_of(connection, document_id, kind, name)
        now = holding_of(connection, document_id, kind, name)
        held = now.revision
        if step == "save" and held.text == text:
            if key:
                note_step(
                    connection, workshop, document_id, key, step, base, text, held_id_of(connection, document_id), by
                )
            return now
        if held.number != base:
            raise Conflict(base, text, held)
        if step == "save":
            refuse_closed(connection, document_id, name, text)
            held_id = held_id_of(connection, document_id)
            target_id = add_revision(connection, workshop, document_id, held_id, now.newest + 1, text, by)
        else:
            row = revision_row(connection, document_id, now.undo_to if step == "undo" else now.redo_to)
            if row is None:
                raise _nowhere(kind, name, step)
            target_id, text = row.id, row.text
            refuse_closed(connection, document_id, name, text)
        connection.execute(update(cursors).where(cursors.c.document_id == document_id).values(revision_id=target_id))
        wanted = text if step == "save" else ""
        note_step(connection, workshop, document_id, key, step, base, wanted, target_id, by)
        keep_line(connection, kind, document_id, text)
        return holding_of(connection, document_id, kind, name)


def _check_key(key: str) -> None:
    if key and not _KEY.fullmatch(key):
        raise Refusal(
            "key of the request", f'"{key[:100]}"', "up to 80 letters, digits and signs without blanks",
            "Give each change a key of its own, such as a random one.",
        )  # fmt: skip


def _there_already(kind: str, name: str) -> Taken:
    return Taken(
        f"name of the {kind}", f'"{name}", which is there already', "a name of its own",
        "Give it another name, or open the one that is there.",
    )  # fmt: skip


def _nowhere(kind: str, name: str, step: str) -> Refusal:
    if step == "undo":
        return Refusal(f"{kind} {name}", "undo at its first revision", "a revision made from another",
                       "There is nothing left to undo.")  # fmt: skip
    return Refusal(f"{kind} {name}", "redo with nothing undone", "an undo just before", "There is nothing to redo.")
