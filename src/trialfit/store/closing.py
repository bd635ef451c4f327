"""Closing a job folder: the record of its revision beside it, and the archive as one file."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence
from datetime import date
from hashlib import sha256
from pathlib import Path

from trialfit import __version__
from trialfit.errors import Refusal
from trialfit.job.closing import Closed, closed_of, closed_text, hold_to, read_closed
from trialfit.store.folder import DOCUMENT, PHOTOGRAPHS, JobFolder
from trialfit.tables.edition import tables_edition

CLOSED = "closed"


def close_folder(folder: JobFolder, day: date) -> Closed:
    """Close the revision a job folder stands at, or hold it to what was closed.

    Parameters
    ----------
    folder
        The job folder.
    day
        The day.

    Returns
    -------
    Closed
        The record; that of the first time, where it was closed before and nothing has changed.

    Raises
    ------
    Refusal
        It was closed before and has been changed since, or the record cannot be written.
    """
    now = closed_of(folder.job, *_read(folder), day, __version__, tables_edition())
    file = _file(folder)
    if file.is_file():
        before = read_closed(file.read_text("utf-8"), file.name)
        hold_to(before, now)
        return before
    try:
        file.parent.mkdir(exist_ok=True)
        file.write_text(closed_text(now), "utf-8")
    except OSError as error:
        raise Refusal(
            f"folder {file.parent}", error.strerror or "an error", "a folder that can be written to",
            "See who may write there.",
        ) from None  # fmt: skip
    return now


def changed_since_closed(folder: JobFolder) -> str:
    """Say whether a folder was changed after its revision was closed.

    Parameters
    ----------
    folder
        The job folder.

    Returns
    -------
    str
        The refusal's words, or empty.
    """
    file = _file(folder)
    if not file.is_file():
        return ""
    before = read_closed(file.read_text("utf-8"), file.name)
    try:
        hold_to(before, closed_of(folder.job, *_read(folder), date.fromisoformat(before.day), "", ""))
    except Refusal as refusal:
        return str(refusal)
    return ""


def hold_folder(folder: JobFolder, records: Sequence[Closed]) -> None:
    """Refuse a job folder in which something was changed after it was closed.

    Parameters
    ----------
    folder
        The job folder.
    records
        The records of its closed revisions.

    Raises
    ------
    Refusal
        The document bears the number of one of them and is another, or a photograph of one of them is another or gone.
    """
    for record in records:
        if record.revision == folder.job.job.revision:
            hold_to(record, closed_of(folder.job, *_read(folder), date.fromisoformat(record.day), "", ""))
        for name, digest in record.photographs.items():
            path = folder.path / PHOTOGRAPHS / name
            if not path.is_file() or sha256(path.read_bytes()).hexdigest() != digest:
                raise Refusal(
                    f"photograph {name} of closed revision {record.revision}",
                    "another than was closed" if path.is_file() else "nothing there", "the photograph as it was closed",
                    "Put back the one of the workshop's archive.", f"{CLOSED}/revision-{record.revision}.json",
                )  # fmt: skip


def archived(folder: JobFolder) -> dict[str, bytes]:
    """Give a job folder's own files by their names in the archive.

    Parameters
    ----------
    folder
        The job folder.

    Returns
    -------
    dict
        The document and its photographs.
    """
    document, photographs = _read(folder)
    return {DOCUMENT: document, **{f"{PHOTOGRAPHS}/{name}": content for name, content in photographs.items()}}


def zipped(files: Mapping[str, bytes], day: date) -> bytes:
    """Pack files into one. The same files give the same bytes.

    Parameters
    ----------
    files
        Contents by name.
    day
        The date they are stamped with.

    Returns
    -------
    bytes
        A ZIP file.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            entry = zipfile.ZipInfo(name, (max(day.year, 1980), day.month, day.day, 0, 0, 0))
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            archive.writestr(entry, content)
    return out.getvalue()


def _file(folder: JobFolder) -> Path:
    return folder.path / CLOSED / f"revision-{folder.job.job.revision}.json"


def _read(folder: JobFolder) -> tuple[bytes, dict[str, bytes]]:
    photographs = {path.name: path.read_bytes() for path in folder.photographs.values()}
    return (folder.path / DOCUMENT).read_bytes(), photographs
