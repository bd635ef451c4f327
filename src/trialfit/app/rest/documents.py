"""Documents as the calls give and take them. The job's own reader checks them, every fault at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from typing import Any

from pydantic import Field

from trialfit.app.answers import DocumentSaid, FaultSaid, Said
from trialfit.app.desk import Desk
from trialfit.app.tables import tables_of
from trialfit.errors import Refusal, Refusals
from trialfit.job.change import Change
from trialfit.store.database.pictures import pictures_of
from trialfit.store.database.records import Holding, Kind, NotThere


class Saving(Said):
    """A document to be saved, as text or as tables."""

    base: int = Field(ge=0, le=2**31 - 1, description="The revision it was made from.")
    text: str | None = Field(None, description="The document as TOML; kept letter by letter, notes too.")
    document: dict[str, Any] | None = Field(None, description="Or as tables and lists.")


class OneChange(Said):
    """One key set, or taken out."""

    path: tuple[str | int, ...] = Field(
        min_length=1,
        max_length=12,
        description="Keys from the top of the document; places in a list are counted from 0.",
        examples=[["marks", "front", "cap.face"]],
    )
    value: Any = Field(None, description="What is to stand there; null takes the key out.", examples=[[1521.9, 852.8]])


class Changing(Said):
    """Changes to a document, key by key: all of them, or none."""

    base: int = Field(ge=0, le=2**31 - 1, description="The revision they are made to.")
    changes: tuple[OneChange, ...] = Field(min_length=1, max_length=2000, description="In order.")


class Stepping(Said):
    """Undo or redo."""

    base: int = Field(ge=0, le=2**31 - 1, description="The revision that holds, as you know it.")


def said(desk: Desk, found: Holding) -> DocumentSaid:
    """Give a document with its faults.

    Parameters
    ----------
    desk
        The desk.
    found
        The revision that holds.

    Returns
    -------
    DocumentSaid
        For the answer.
    """
    revision = found.revision
    document: dict[str, Any] | None = None
    faults: tuple[FaultSaid, ...] = ()
    try:
        _read(desk, revision.kind, revision.name, revision.text, revision.sha256)
        document = _days_as_text(tables_of(desk, revision))
    except Refusal as refusal:
        faults = tuple(FaultSaid(**vars(fault)) for fault in refusal.faults)
    return DocumentSaid(
        name=revision.name,
        revision=revision.number,
        parent=revision.parent,
        text=revision.text,
        sha256=revision.sha256,
        saved_at=revision.saved_at,
        saved_by=revision.saved_by,
        undo_to=found.undo_to,
        redo_to=found.redo_to,
        newest=found.newest,
        document=document,
        faults=faults,
    )


def text_of(desk: Desk, kind: Kind, name: str, text: str | None, document: dict[str, Any] | None) -> str:
    """Give the text of a document that was sent as text or as tables.

    Parameters
    ----------
    desk
        The desk.
    kind, name
        Which document.
    text, document
        One of the two.

    Returns
    -------
    str
        Sound TOML.

    Raises
    ------
    Refusal
        Neither or both were sent.
    Refusals
        Every fault in it.
    """
    if (text is None) == (document is None):
        raise Refusal(
            "what was sent", "neither text nor document" if text is None else "both text and document",
            "one of the two", "Send the document either as text or as tables.",
        )  # fmt: skip
    if text is not None:
        _read(desk, kind, name, text)
        return text
    assert document is not None
    return _written(desk, kind, name, document)


def changed_text(desk: Desk, kind: Kind, name: str, changing: Changing) -> str:
    """Give the text of a document after changes to it.

    Parameters
    ----------
    desk
        The desk.
    kind, name
        Which document.
    changing
        The changes.

    Returns
    -------
    str
        Sound TOML; notes and everything that was not changed stand as they stood, where that can be done.

    Raises
    ------
    Refusals
        Every fault in what comes of it.
    """
    from trialfit.job.in_place import changed_in_place
    from trialfit.store.database.documents import revision

    base = revision(desk.workshop, kind, name, changing.base).text
    changes = [Change(each.path, each.value) for each in changing.changes]
    text, document = changed_in_place(base, changes)
    if not text:
        return _written(desk, kind, name, document)
    _read_unseen(desk, kind, name, text)
    return text


def _written(desk: Desk, kind: Kind, name: str, document: dict[str, Any]) -> str:
    import tomli_w

    from trialfit.job.write import write_job, write_shop

    try:
        text = tomli_w.dumps(document)
    except (TypeError, ValueError) as error:
        raise Refusal(
            "the document", f"something TOML cannot hold ({error})", "texts, numbers, days, lists and tables",
            "Leave out what is not known; null has no place in it.",
        ) from None  # fmt: skip
    read = _read_unseen(desk, kind, name, text)
    return write_shop(read) if kind == "shop" else write_job(read)


def _read_unseen(desk: Desk, kind: Kind, name: str, text: str) -> Any:
    """Faults without the lines of a text that nobody has seen."""
    try:
        return _read(desk, kind, name, text)
    except Refusal as refusal:
        raise Refusals(replace(fault, line=0) for fault in refusal.faults) from None


def _days_as_text(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _days_as_text(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_days_as_text(each) for each in value]
    return value.isoformat() if isinstance(value, date | time) else value


def _read(desk: Desk, kind: Kind, name: str, text: str, digest: str = "") -> Any:
    from trialfit.job.read import read_job, read_shop

    if kind == "shop":
        return read_shop(text)
    try:
        files = tuple(picture.file for picture in pictures_of(desk.workshop, name))
    except NotThere:
        files = ()
    if not digest:
        return read_job(text, pictures=files)
    # Kept where the survey and the plan look for it too.
    return desk.jobs.get((digest, files), lambda: read_job(text, pictures=files))
