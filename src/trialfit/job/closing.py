"""Closing a job: what its revision was, to the last letter, and what it was worked out with."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from hashlib import sha256

from trialfit.errors import Refusal
from trialfit.job.records import Job


@dataclass(frozen=True)
class Closed:
    """A revision that is closed.

    Parameters
    ----------
    job, revision
        Which job, and which revision of it.
    day
        The day it was closed, year-month-day.
    program
        Version of the program.
    tables
        Edition of the tables.
    document
        SHA-256 of its document.
    photographs
        SHA-256 of each photograph, by its file's name.
    """

    job: str
    revision: int
    day: str
    program: str
    tables: str
    document: str
    photographs: Mapping[str, str]


def closed_of(
    job: Job, document: bytes, photographs: Mapping[str, bytes], day: date, program: str, tables: str
) -> Closed:
    """Close the revision a document stands at.

    Parameters
    ----------
    job
        The job, as read.
    document
        Its document, byte for byte.
    photographs
        Its photographs by their files' names.
    day
        The day.
    program, tables
        Version of the program and edition of the tables.

    Returns
    -------
    Closed
        The record of it.
    """
    digests = {name: sha256(content).hexdigest() for name, content in sorted(photographs.items())}
    whole = sha256(document).hexdigest()
    return Closed(job.job.name, job.job.revision, day.isoformat(), program, tables, whole, digests)


def hold_to(before: Closed, now: Closed) -> None:
    """Refuse a document that was changed after its revision was closed.

    Parameters
    ----------
    before
        As it was closed.
    now
        As it stands.

    Raises
    ------
    Refusal
        Document or photographs are not what was closed.
    """
    changed = [] if now.document == before.document else ["job.toml"]
    names = sorted({*before.photographs, *now.photographs})
    changed += [name for name in names if before.photographs.get(name) != now.photographs.get(name)]
    if changed:
        raise Refusal(
            f"job {before.job}, revision {before.revision}",
            f"{', '.join(changed)} changed since it was closed on {before.day}",
            "a closed revision as it was",
            f"A correction is a new revision: write revision = {before.revision + 1} under [job].",
        )


def closed_text(closed: Closed) -> str:
    """Write the record of a closed revision.

    Parameters
    ----------
    closed
        The record.

    Returns
    -------
    str
        JSON, for the file beside the job.
    """
    return json.dumps(asdict(closed), indent=2, ensure_ascii=False) + "\n"


def read_closed(text: str, file: str) -> Closed:
    """Read the record of a closed revision.

    Parameters
    ----------
    text
        What stands in its file.
    file
        The file's name, for the refusal.

    Returns
    -------
    Closed
        The record.

    Raises
    ------
    Refusal
        It is no such record.
    """
    try:
        return Closed(**json.loads(text))
    except (TypeError, ValueError):
        raise Refusal(
            file, "no record of a closed revision", "the file as it was written",
            "Put back the one of the workshop's archive.",
        ) from None  # fmt: skip
