"""Writing what the list of jobs shows and is searched by, within the transaction that changes a job."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from sqlalchemy import Connection, delete, insert

from trialfit.job.written import table, tables_in
from trialfit.store.database.lines import designation, folded
from trialfit.store.database.schema import job_lines


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


def _line_of(text: str) -> dict[str, str]:
    document = tables_in(text)  # one that cannot be read is kept all the same, and found by its words
    card, engine = table(document, "job"), table(document, "engine")
    parts = list(dict.fromkeys(_parts(document)))
    threads = list(dict.fromkeys(_threads(document)))
    named = {
        "owner": str(card.get("owner", "")),
        "engine": str(engine.get("name", "")),
        "day": str(card["date"]) if isinstance(card.get("date"), date) else "",
        "story": " ".join(str(card.get("story", "")).split()),
    }
    words = " ".join(_words(document)) if document else text
    spelt = [each for thread in threads for each in (thread, designation(thread) or thread)]
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
        for name, entry in table(document, section).items():
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
