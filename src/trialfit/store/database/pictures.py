"""Photographs as files named by the hash of what is in them; the database says what a job calls them."""

from __future__ import annotations

import os
import unicodedata
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from tempfile import NamedTemporaryFile

from sqlalchemy import Connection, insert, select
from sqlalchemy.exc import IntegrityError

from trialfit.errors import Refusal
from trialfit.job.nearest import did_you_mean
from trialfit.store.database.document_rows import need_document
from trialfit.store.database.records import NotThere, Taken
from trialfit.store.database.schema import job_pictures, pictures
from trialfit.store.database.trouble import Trouble, disk_trouble
from trialfit.store.database.workshop import PHOTOGRAPHS, Workshop

COPIES = "copies"
SCREEN_PX = 1600  # long side of the copy that a page shows first
OTHER = "other"
_ENDINGS = {"jpeg": (".jpg", ".jpeg"), "png": (".png",), "heic": (".heic", ".heif")}
_LONGEST_NAME = 120
_SIGNS = " ._-()+,&'"


@dataclass(frozen=True)
class Picture:
    """A photograph of a job.

    Parameters
    ----------
    file
        What the job calls the file.
    sha256
        Hash of what is in it, by which it is kept.
    kind
        ``jpeg``, ``png``, ``heic``; ``other`` for a file that came with a folder and is no photograph.
    size_bytes
        Its size. [-]
    added_at, added_by
        When, in UTC, and by whom.
    """

    file: str
    sha256: str
    kind: str
    size_bytes: int
    added_at: str
    added_by: str


def add_picture(workshop: Workshop, job: str, file: str, content: bytes, by: str) -> Picture:
    """Take a photograph into a job.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.
    file
        What the job is to call it.
    content
        The file's bytes; looked at, never trusted by name.
    by
        Who adds it.

    Returns
    -------
    Picture
        As kept. The same file sent again is the same photograph.

    Raises
    ------
    Refusal
        No photograph, cut short, too large, a name that is no file's name, or another photograph of that name.
    NotThere
        No such job.
    """
    file = unicodedata.normalize("NFC", file)
    check_file_name(file)
    with workshop.reading() as connection:  # before the work of looking at it
        need_document(connection, "job", job)
    from trialfit.store.photograph_files import check_photograph  # the libraries behind it are slow to load

    kind = check_photograph(content, file)
    if not file.lower().endswith(_ENDINGS[kind]):
        raise Refusal(
            f"photograph {file}", f"what is in truth a {kind.upper()}", f"a name that ends in {_ENDINGS[kind][0]}",
            f"Name it {Path(file).stem}{_ENDINGS[kind][0]}.", file,
        )  # fmt: skip
    return keep_picture(workshop, job, file, content, kind, by)


def keep_picture(workshop: Workshop, job: str, file: str, content: bytes, kind: str, by: str) -> Picture:
    """Keep a file under a job's name for it, without asking what it is.

    Parameters
    ----------
    workshop, job, file, content, by
        As in `add_picture`.
    kind
        As in `Picture`.

    Returns
    -------
    Picture
        As kept.

    Raises
    ------
    Refusal
        Another file of that name is there, or the disk is full.
    """
    digest = sha256(content).hexdigest()
    _write(workshop, digest, content)
    for _ in range(2):
        try:
            return _named(workshop, job, file, digest, len(content), kind, by)
        except Trouble as trouble:
            # On a server another bench may send the same at the same moment: the file first, then its name in the job.
            if not isinstance(trouble.__cause__, IntegrityError):
                raise
    return _named(workshop, job, file, digest, len(content), kind, by)


def _named(workshop: Workshop, job: str, file: str, digest: str, size_bytes: int, kind: str, by: str) -> Picture:
    with workshop.writing() as connection:
        document_id = need_document(connection, "job", job)
        for there in _pictures(connection, document_id):
            if there.file.casefold() != file.casefold():
                continue
            if (there.file, there.sha256) == (file, digest):
                return there
            raise Taken(
                f"photograph {file}", f"another photograph than the {there.file} that is there",
                "a name no photograph of the job has",
                "Give it another name; photographs are never written over.", file,
            )  # fmt: skip
        now = workshop.now
        known = connection.execute(select(pictures.c.kind).where(pictures.c.sha256 == digest)).scalar()
        if known is None:
            row = {"sha256": digest, "kind": kind, "size_bytes": size_bytes, "added_at": now}
            connection.execute(insert(pictures).values(row))
        link = {"document_id": document_id, "file": file, "sha256": digest, "added_at": now, "added_by": by[:80]}
        connection.execute(insert(job_pictures).values(link))
        return Picture(file, digest, known or kind, size_bytes, now, by[:80])


def pictures_of(workshop: Workshop, job: str) -> tuple[Picture, ...]:
    """List a job's photographs.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.

    Returns
    -------
    tuple of Picture
        In the order of their file names.

    Raises
    ------
    NotThere
        No such job.
    """
    with workshop.reading() as connection:
        return _pictures(connection, need_document(connection, "job", job))


def picture_of(workshop: Workshop, job: str, file: str) -> Picture:
    """Find one photograph of a job.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.
    file
        What the job calls it.

    Returns
    -------
    Picture
        It.

    Raises
    ------
    NotThere
        No such job, or no such photograph in it.
    """
    found = {picture.file: picture for picture in pictures_of(workshop, job)}
    if file not in found:
        remedy = did_you_mean(file, found, "Look at the list of its photographs.")
        raise NotThere(f"photograph {file[:100]}", "nothing of that name", f"a photograph of job {job}", remedy)
    return found[file]


def picture_path(workshop: Workshop, digest: str) -> Path:
    """Say where a photograph is kept.

    Parameters
    ----------
    workshop
        The workshop.
    digest
        Its hash.

    Returns
    -------
    Path
        The file.
    """
    return workshop.folder / PHOTOGRAPHS / digest[:2] / digest


def kept_copy(workshop: Workshop, picture: Picture, long_side_px: int) -> Path:
    """Say where a smaller copy of a photograph is kept, whether or not it has been made.

    Parameters
    ----------
    workshop
        The workshop.
    picture
        The photograph.
    long_side_px
        Its long side at most. [px]

    Returns
    -------
    Path
        The file.
    """
    return workshop.folder / COPIES / picture.sha256[:2] / f"{picture.sha256}-{long_side_px}.jpg"


def copy_path(workshop: Workshop, picture: Picture, long_side_px: int) -> Path:
    """Give a smaller, upright JPEG of a photograph, made once and kept.

    Parameters
    ----------
    workshop
        The workshop.
    picture
        The photograph.
    long_side_px
        Its long side at most. [px]

    Returns
    -------
    Path
        The file.

    Raises
    ------
    Refusal
        The photograph is damaged or not there; the disk is full.
    """
    kept = kept_copy(workshop, picture, long_side_px)
    if not kept.is_file():
        from trialfit.store.screen_copies import screen_copy

        small = screen_copy(picture_path(workshop, picture.sha256), long_side_px)
        _write_whole(kept, small, f"copy of photograph {picture.file}", for_good=False)
    return kept


def make_copies(workshop: Workshop, job: str) -> None:
    """Make the copies of a job's photographs that a page shows first; what cannot be made is refused where it is asked.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.

    Raises
    ------
    NotThere
        No such job.
    """

    def make(picture: Picture) -> None:
        with suppress(Refusal):
            copy_path(workshop, picture, SCREEN_PX)

    with ThreadPoolExecutor(max_workers=os.cpu_count()) as hands:
        list(hands.map(make, (each for each in pictures_of(workshop, job) if each.kind != OTHER)))


def check_file_name(file: str) -> None:
    """Refuse what could lead out of a folder, or is no file's name on every machine.

    Parameters
    ----------
    file
        The name.

    Raises
    ------
    Refusal
        It holds a separator or another sign, begins with a dot or a blank, or is too long.
    """
    sound = (
        0 < len(file) <= _LONGEST_NAME
        and file[0] not in " ."
        and file[-1] not in " ."
        and all(sign.isalnum() or sign in _SIGNS for sign in file)
    )
    if not sound:
        raise Refusal(
            "name of a photograph", f'"{file[:100]}"', "a plain file name such as front.jpg",
            "Use letters, digits, blanks, dots, hyphens and underscores, no folder in front.",
        )  # fmt: skip


def _pictures(connection: Connection, document_id: int) -> tuple[Picture, ...]:
    rows = connection.execute(
        select(
            job_pictures.c.file, pictures.c.sha256, pictures.c.kind, pictures.c.size_bytes, job_pictures.c.added_at,
            job_pictures.c.added_by,
        )
        .join(pictures, pictures.c.sha256 == job_pictures.c.sha256)
        .where(job_pictures.c.document_id == document_id)
        .order_by(job_pictures.c.file)
    )  # fmt: skip
    return tuple(Picture(*row) for row in rows)


def _write(workshop: Workshop, digest: str, content: bytes) -> None:
    path = picture_path(workshop, digest)
    if not path.is_file():
        _write_whole(path, content, f"photographs in {workshop.folder}", for_good=True)


def _write_whole(path: Path, content: bytes, what: str, for_good: bool) -> None:
    """The name appears only when all that belongs to it is there, and, if for good, on the disk."""
    unfinished: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with NamedTemporaryFile(dir=path.parent, prefix=".", suffix=".unfinished", delete=False) as file:
            unfinished = Path(file.name)
            file.write(content)
            file.flush()
            if for_good:
                os.fsync(file.fileno())
        unfinished.replace(path)
        if for_good:
            for folder in (path.parent, path.parent.parent):
                _sync_folder(folder)
    except OSError as error:
        if unfinished is not None:
            unfinished.unlink(missing_ok=True)
        raise disk_trouble(what, error) from error


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
