"""What the list of jobs shows and is searched by."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from sqlalchemy import ColumnElement, Connection, delete, insert, select

from trialfit.errors import Refusal
from trialfit.store.database.schema import cursors, documents, job_lines, revisions
from trialfit.store.database.workshop import Workshop

_FIELDS = {"owner": "owner", "engine": "engine", "part": "parts", "thread": "threads"}
_AWAY: dict[str, tuple[ColumnElement[bool], ...]] = {
    "with": (), "without": (documents.c.away_at.is_(None),), "only": (documents.c.away_at.is_not(None),),
}  # fmt: skip
Away = Literal["with", "without", "only"]
_TERM = re.compile(r'(?:(\w+):\s*)?(?:"([^"]*)"?|(\S+))')


@dataclass(frozen=True)
class JobLine:
    """One job in the list.

    Parameters
    ----------
    name
        Its name in the workshop.
    owner, engine, day, story
        As its document says.
    parts
        Names of its parts, pipes and turned parts with what they are.
    threads
        The threads it names.
    revision
        The revision that holds. [-]
    saved_at
        When that was saved, in UTC.
    away_at
        Since when it is put away, in UTC; empty where it is on the rack.
    """

    name: str
    owner: str
    engine: str
    day: str
    story: str
    parts: tuple[str, ...]
    threads: tuple[str, ...]
    revision: int
    saved_at: str
    away_at: str


def list_jobs(workshop: Workshop, words: str = "", most: int = 1000, away: Away = "with") -> tuple[JobLine, ...]:
    """List the jobs in which all of some words stand.

    Parameters
    ----------
    workshop
        The workshop.
    words
        What to look for, anywhere in the document; ``owner:``, ``engine:``, ``part:`` or ``thread:`` before a word
        looks there alone. Capitals and accents count for nothing. Empty lists all.
    most
        At most so many. [-]
    away
        Whether those put away come with the others, or are left out, or come alone.

    Returns
    -------
    tuple of JobLine
        Saved last first.
    """
    shown = ("owner", "engine", "day", "story", "parts", "threads")
    wanted = (
        select(
            documents.c.name,
            documents.c.away_at,
            revisions.c.number,
            revisions.c.saved_at,
            *(job_lines.c[name] for name in shown),
        )
        .select_from(
            job_lines.join(documents, job_lines.c.document_id == documents.c.id)
            .join(cursors, cursors.c.document_id == documents.c.id)
            .join(revisions, cursors.c.revision_id == revisions.c.id)
        )
        .where(*_conditions(words), *_AWAY[away])
        .order_by(revisions.c.saved_at.desc(), revisions.c.id.desc())
        .limit(most)
    )
    with workshop.reading() as connection:
        return tuple(
            JobLine(
                row.name, row.owner, row.engine, row.day, row.story, _split(row.parts), _split(row.threads),
                row.number, row.saved_at, row.away_at or "",
            )
            for row in connection.execute(wanted)
        )  # fmt: skip


def jobs_called(workshop: Workshop, written: str) -> tuple[str, ...]:
    """Find jobs by the name that their own documents give them, which is what stands on labels and sheets.

    Parameters
    ----------
    workshop
        The workshop.
    written
        The name under ``[job]``.

    Returns
    -------
    tuple of str
        Their names in the workshop, saved last first.
    """
    holds = job_lines.c.words_folded.contains(folded(written), autoescape=True)
    wanted = (
        select(documents.c.name, revisions.c.text)
        .select_from(
            job_lines.join(documents, job_lines.c.document_id == documents.c.id)
            .join(cursors, cursors.c.document_id == documents.c.id)
            .join(revisions, cursors.c.revision_id == revisions.c.id)
        )
        .where(holds)
        .order_by(revisions.c.saved_at.desc(), revisions.c.id.desc())
    )
    with workshop.reading() as connection:
        rows = connection.execute(wanted).all()
    return tuple(row.name for row in rows if _written_name(row.text) == written)


def keep_line(connection: Connection, kind: str, document_id: int, text: str) -> None:
    """Write anew what the list says of a job.

    Parameters
    ----------
    connection
        In the transaction that changes the job.
    kind
        Of what; only jobs are listed.
    document_id
        Its number in the database. [-]
    text
        The document that holds from now on.
    """
    if kind != "job":
        return
    connection.execute(delete(job_lines).where(job_lines.c.document_id == document_id))
    connection.execute(insert(job_lines).values(document_id=document_id, **_line_of(text)))


def folded(text: str) -> str:
    """Write text as it is searched: small letters, no accents, single blanks.

    Parameters
    ----------
    text
        Any text.

    Returns
    -------
    str
        The same, folded.
    """
    bare = "".join(sign for sign in unicodedata.normalize("NFKD", text) if not unicodedata.combining(sign))
    return " ".join(bare.casefold().split())


def _conditions(words: str) -> Iterator[ColumnElement[bool]]:
    for field, quoted, plain in _TERM.findall(words.replace("\0", " ")):
        text = quoted or plain
        column = _FIELDS.get(field.lower())
        if field and column is None:
            text = f"{field}:{text}"
        text = folded(text)
        if not text:
            continue
        place = job_lines.c[f"{column}_folded" if column else "words_folded"]
        if column == "threads" and (known := _designation(text)):
            yield place.contains(f"\n{folded(known)}\n", autoescape=True)
        else:
            yield place.contains(text, autoescape=True)


def _line_of(text: str) -> dict[str, str]:
    try:
        document = tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError:  # kept all the same, and found by its words
        document = {}
    card, engine = _table(document, "job"), _table(document, "engine")
    parts = list(dict.fromkeys(_parts(document)))
    threads = list(dict.fromkeys(_threads(document)))
    named = {
        "owner": str(card.get("owner", "")),
        "engine": str(engine.get("name", "")),
        "day": str(card["date"]) if isinstance(card.get("date"), date) else "",
        "story": " ".join(str(card.get("story", "")).split()),
    }
    words = " ".join(_words(document)) if document else text
    spelt = [each for thread in threads for each in (thread, _designation(thread) or thread)]
    return {
        **named,
        "parts": "\n".join(parts),
        "threads": "\n".join(threads),
        "owner_folded": folded(named["owner"]),
        "engine_folded": folded(f"{named['engine']} {engine.get('note', '')}"),
        "parts_folded": folded(" ".join(parts)),
        "threads_folded": "\n" + "\n".join(folded(each) for each in spelt) + "\n",
        "words_folded": folded(words),
    }


def _parts(document: dict[str, Any]) -> Iterator[str]:
    for section in ("parts", "pipes", "turned"):
        for name, entry in _table(document, section).items():
            said = [str(entry[key]) for key in ("kind", "what") if isinstance(entry, dict) and entry.get(key)]
            yield " ".join(f"{name}: {', '.join(said)}".split()) if said else name


def _threads(value: Any, key: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for name, each in value.items():
            yield from _threads(each, name)
    elif isinstance(value, list):
        for each in value:
            yield from _threads(each, key)
    elif key == "thread" and isinstance(value, str):
        yield " ".join(value.split())


def _words(value: Any) -> Iterator[str]:
    """Names and texts of a document, without the numbers of its marks."""
    if isinstance(value, dict):
        for name, each in value.items():
            yield str(name)
            yield from _words(each)
    elif isinstance(value, list):
        for each in value:
            yield from _words(each)
    elif isinstance(value, str | date):
        yield str(value)


def _designation(written: str) -> str:
    from trialfit.tables.designations import find_thread  # the list of jobs need not wait for the tables

    try:
        return find_thread(written).designation
    except Refusal:
        return ""


def _written_name(text: str) -> str:
    try:
        return str(_table(tomllib.loads(text.removeprefix("\ufeff")), "job").get("name", ""))
    except tomllib.TOMLDecodeError:
        return ""


def _table(document: dict[str, Any], name: str) -> dict[str, Any]:
    found = document.get(name)
    return found if isinstance(found, dict) else {}


def _split(kept: str) -> tuple[str, ...]:
    return tuple(kept.split("\n")) if kept else ()
