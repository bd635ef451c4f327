"""What the list of jobs shows and is searched by."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from trialfit.errors import Refusal
from trialfit.store.database.workshop import Workshop

_FIELDS = {"owner": "owner", "engine": "engine", "part": "parts", "thread": "threads"}
_AWAY = {"with": "", "without": " and documents.away_at is null", "only": " and documents.away_at is not null"}
Away = Literal["with", "without", "only"]

# Each job's line with the revision that holds of it. As text, for `Workshop.rows`: the first page reads it.
_HELD = """
    from job_lines
    join documents on documents.id = job_lines.document_id
    join cursors on cursors.document_id = documents.id
    join revisions on revisions.id = cursors.revision_id
    where true{conditions}
    order by revisions.saved_at desc, revisions.id desc
"""
_WILD = re.compile("[/%_]")
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
    sought = tuple(_sought(words))
    conditions = "".join(
        f" and job_lines.{column}_folded like :sought{number} escape '/'" for number, (column, _) in enumerate(sought)
    )
    rows = workshop.rows(
        "select documents.name, documents.away_at, revisions.number, revisions.saved_at, job_lines.owner, "
        "job_lines.engine, job_lines.day, job_lines.story, job_lines.parts, job_lines.threads"
        f"{_HELD.format(conditions=conditions + _AWAY[away])} limit :most",
        most=most, **{f"sought{number}": _anywhere(text) for number, (_, text) in enumerate(sought)},
    )  # fmt: skip
    return tuple(
        JobLine(
            row["name"], row["owner"], row["engine"], row["day"], row["story"], _split(row["parts"]),
            _split(row["threads"]), row["number"], row["saved_at"], row["away_at"] or "",
        )
        for row in rows
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
    asked = _HELD.format(conditions=" and job_lines.words_folded like :written escape '/'")
    rows = workshop.rows(f"select documents.name, revisions.text{asked}", written=_anywhere(folded(written)))
    return tuple(row["name"] for row in rows if _written_name(row["text"]) == written)


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


def designation(written: str) -> str:
    """Give the designation of a thread however it is written.

    Parameters
    ----------
    written
        As somebody wrote it.

    Returns
    -------
    str
        Empty where it is no thread that is known.
    """
    from trialfit.tables.designations import find_thread  # the list of jobs need not wait for the tables

    try:
        return find_thread(written).designation
    except Refusal:
        return ""


def _sought(words: str) -> Iterator[tuple[str, str]]:
    """The column to look in and what is to stand there, of each word."""
    for field, quoted, plain in _TERM.findall(words.replace("\0", " ")):
        text = quoted or plain
        column = _FIELDS.get(field.lower(), "")
        if field and not column:
            text = f"{field}:{text}"
        text = folded(text)
        if not text:
            continue
        if column == "threads" and (known := designation(text)):
            text = f"\n{folded(known)}\n"
        yield column or "words", text


def _anywhere(text: str) -> str:
    """A pattern of LIKE for a text anywhere."""
    return "%" + _WILD.sub(r"/\g<0>", text) + "%"


def _written_name(text: str) -> str:
    from trialfit.job.written import table, tables_in  # nor for what reads a document

    return str(table(tables_in(text), "job").get("name", ""))


def _split(kept: str) -> tuple[str, ...]:
    return tuple(kept.split("\n")) if kept else ()
