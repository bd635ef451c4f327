"""Documents: revisions that are only ever added, a cursor that undo and redo move, and no writer over another's work.

Undo goes to the revision the present one was made from; redo to the newest one made from the present one. So redo
after undo comes back, and after a save there is nothing to redo.
"""

from __future__ import annotations

import re
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, Insert, Row, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from trialfit.errors import Refusal
from trialfit.job.nearest import did_you_mean
from trialfit.store.database.lines import keep_line
from trialfit.store.database.records import Conflict, Holding, Kind, NotThere, Revision, RevisionLine, Taken
from trialfit.store.database.schema import cursors, documents, revisions, steps
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
            document_id = _document_id(connection, kind, name, must=False)
            if document_id is None:
                made = insert(documents).values(kind=kind, name=name, started_at=workshop.now)
                document_id = _added(connection, made)
                revision_id = _add_revision(connection, workshop, document_id, None, 1, text, by)
                connection.execute(insert(cursors).values(document_id=document_id, revision_id=revision_id))
                _note_step(connection, workshop, document_id, key, "start", 0, text, revision_id, by)
                keep_line(connection, kind, document_id, text)
            elif not (key and _taken_before(connection, document_id, kind, name, key, "start", 0, text)):
                raise _there_already(kind, name)
            return _holding(connection, document_id, kind, name)
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
        return _holding(connection, need_document(connection, kind, name), kind, name)


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
        row = _revision_row(connection, document_id, number) if 0 < number < 2**31 else None
        if row is None:
            newest = _newest(connection, document_id)
            raise NotThere(f"{kind} {name}", f"revision {number}", f"one of 1 to {newest}", "Look at its history.")
        return _revision(connection, row, kind, name)


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


def need_document(connection: Connection, kind: Kind, name: str) -> int:
    """Find a document.

    Parameters
    ----------
    connection
        To the database.
    kind, name
        Which document.

    Returns
    -------
    int
        Its number in the database. [-]

    Raises
    ------
    NotThere
        No such document.
    """
    found = _document_id(connection, kind, name, must=True)
    assert found is not None
    return found


def _document_id(connection: Connection, kind: Kind, name: str, must: bool, lock: bool = False) -> int | None:
    wanted = select(documents.c.id).where(documents.c.kind == kind, documents.c.name == name)
    found = connection.execute(wanted.with_for_update() if lock else wanted).scalar()
    if found is None and must:
        known = connection.execute(select(documents.c.name).where(documents.c.kind == kind)).scalars().all()
        remedy = did_you_mean(name, known, "Look at the list of jobs." if kind == "job" else "Start it first.")
        raise NotThere(f"{kind} {name[:100]}", "nothing of that name", f"the name of a {kind} that is there", remedy)
    return found


def _step(workshop: Workshop, kind: Kind, name: str, step: str, base: int, by: str, key: str, text: str) -> Holding:
    _check_key(key)
    with workshop.writing() as connection:
        document_id = _document_id(connection, kind, name, must=True, lock=True)
        assert document_id is not None
        if key and _taken_before(connection, document_id, kind, name, key, step, base, text):
            return _holding(connection, document_id, kind, name)
        now = _holding(connection, document_id, kind, name)
        held = now.revision
        if step == "save" and held.text == text:
            if key:
                _note_step(
                    connection, workshop, document_id, key, step, base, text, _held_id(connection, document_id), by
                )
            return now
        if held.number != base:
            raise Conflict(base, text, held)
        if step == "save":
            held_id = _held_id(connection, document_id)
            target_id = _add_revision(connection, workshop, document_id, held_id, now.newest + 1, text, by)
        else:
            row = _revision_row(connection, document_id, now.undo_to if step == "undo" else now.redo_to)
            if row is None:
                raise _nowhere(kind, name, step)
            target_id, text = row.id, row.text
        connection.execute(update(cursors).where(cursors.c.document_id == document_id).values(revision_id=target_id))
        wanted = text if step == "save" else ""
        _note_step(connection, workshop, document_id, key, step, base, wanted, target_id, by)
        keep_line(connection, kind, document_id, text)
        return _holding(connection, document_id, kind, name)


def _taken_before(
    connection: Connection, document_id: int, kind: str, name: str, key: str, step: str, base: int, text: str
) -> bool:
    row = connection.execute(
        select(steps.c.kind, steps.c.base, steps.c.sha256).where(steps.c.document_id == document_id, steps.c.key == key)
    ).first()
    if row is None:
        return False
    if (row.kind, row.base, row.sha256) != (step, base, _hash(text)):
        raise Taken(
            f"{kind} {name}", f"key {key}, which stands for another change", "a key of its own for each change",
            "Send it again under a new key.",
        )  # fmt: skip
    return True


def _note_step(
    connection: Connection, workshop: Workshop, document_id: int, key: str, kind: str, base: int, text: str,
    revision_id: int, by: str,
) -> None:  # fmt: skip
    connection.execute(
        insert(steps).values(
            document_id=document_id, key=key or None, kind=kind, base=base, sha256=_hash(text),
            revision_id=revision_id, taken_at=workshop.now, taken_by=by[:80],
        )
    )  # fmt: skip


def _add_revision(
    connection: Connection, workshop: Workshop, document_id: int, parent_id: int | None, number: int, text: str, by: str
) -> int:
    added = insert(revisions).values(
        document_id=document_id, number=number, parent_id=parent_id, text=text, sha256=_hash(text),
        saved_at=workshop.now, saved_by=by[:80],
    )  # fmt: skip
    return _added(connection, added)


def _added(connection: Connection, row: Insert) -> int:
    key = connection.execute(row).inserted_primary_key
    assert key is not None
    return int(key[0])


def _holding(connection: Connection, document_id: int, kind: Kind, name: str) -> Holding:
    row = connection.execute(select(revisions).where(revisions.c.id == _held_id(connection, document_id))).one()
    found = _revision(connection, row, kind, name)
    made_of_it = select(func.max(revisions.c.number)).where(revisions.c.parent_id == row.id)
    redo_to = connection.execute(made_of_it).scalar() or 0
    return Holding(found, found.parent, int(redo_to), _newest(connection, document_id))


def _held_id(connection: Connection, document_id: int) -> int:
    held = select(cursors.c.revision_id).where(cursors.c.document_id == document_id)
    return int(connection.execute(held).scalar_one())


def _newest(connection: Connection, document_id: int) -> int:
    highest = select(func.max(revisions.c.number)).where(revisions.c.document_id == document_id)
    return int(connection.execute(highest).scalar_one())


def _revision_row(connection: Connection, document_id: int, number: int) -> Row[Any] | None:
    wanted = select(revisions).where(revisions.c.document_id == document_id, revisions.c.number == number)
    return connection.execute(wanted).first()


def _revision(connection: Connection, row: Row[Any], kind: Kind, name: str) -> Revision:
    parent = 0
    if row.parent_id is not None:
        parent = connection.execute(select(revisions.c.number).where(revisions.c.id == row.parent_id)).scalar_one()
    return Revision(kind, name, row.number, parent, row.text, row.sha256, row.saved_at, row.saved_by)


def _hash(text: str) -> str:
    return sha256(text.encode("utf-8")).hexdigest()


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
