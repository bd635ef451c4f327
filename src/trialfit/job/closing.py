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


_KINDS: Mapping[str, type] = {
    "job": str, "revision": int, "day": str, "program": str, "tables": str, "document": str, "photographs": dict,
}  # fmt: skip
_CALLED = {str: "text", int: "whole number", dict: "list of names"}


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
        found = json.loads(text)
    except json.JSONDecodeError as error:
        raise _no_record("something that cannot be read", file, error.lineno) from None
    if not isinstance(found, dict):
        raise _no_record("something else", file, 1)
    for name, kind in _KINDS.items():
        if not isinstance(found.get(name), kind) or isinstance(found[name], bool):
            got = f"{name} that is no {_CALLED[kind]}" if name in found else f"no {name}"
            raise _no_record(got, file, _line_of(name, text))
    if not all(isinstance(each, str) for each in found["photographs"].values()):
        raise _no_record("photographs without their hashes", file, _line_of("photographs", text))
    try:
        date.fromisoformat(found["day"])
    except ValueError:
        raise _no_record(f'day "{found["day"][:40]}"', file, _line_of("day", text)) from None
    return Closed(**{name: found[name] for name in _KINDS})


def _no_record(got: str, file: str, line: int) -> Refusal:
    remedy = "Put back the one of the workshop's archive."
    return Refusal("record of a closed revision", got, "the file as it was written", remedy, file, line)


def _line_of(name: str, text: str) -> int:
    before, found, _ = text.partition(f'"{name}"')
    return before.count("\n") + 1 if found else 1
