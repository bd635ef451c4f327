"""A backup made while the workshop is at work, and its way back. A backup is a folder that can be read without us.

`workshop.db` (or `workshop.json` of a database on a server), `photographs/` as in the workshop, and `manifest.json`
with the size and SHA-256 of every file. The manifest is written last: a folder without one is no backup.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from sqlalchemy import insert, select, text

from trialfit import __version__
from trialfit.errors import Fault, Refusal, Refusals
from trialfit.store.database.layout import HEAD
from trialfit.store.database.pictures import picture_path
from trialfit.store.database.schema import documents, metadata, pictures, sessions
from trialfit.store.database.trouble import in_plain_words
from trialfit.store.database.workshop import DATABASE, PHOTOGRAPHS, Workshop, open_workshop

MANIFEST = "manifest.json"
TABLES = "workshop.json"
_FORMAT = 1


@dataclass(frozen=True)
class BackedUp:
    """One file of a backup.

    Parameters
    ----------
    file
        Its name in the backup's folder.
    size_bytes
        Its size. [-]
    sha256
        Hash of what is in it.
    """

    file: str
    size_bytes: int
    sha256: str


@dataclass(frozen=True)
class Manifest:
    """What a backup holds.

    Parameters
    ----------
    format
        Version of this layout. [-]
    trialfit
        Version of the program that made it.
    layout
        Layout of the database.
    made_at
        When, in UTC.
    jobs
        How many jobs. [-]
    files
        Every file with its hash.
    """

    format: int
    trialfit: str
    layout: str
    made_at: str
    jobs: int
    files: tuple[BackedUp, ...]


def back_up(workshop: Workshop, into: Path) -> Manifest:
    """Back up a workshop, whoever else is at work in it.

    Parameters
    ----------
    workshop
        The workshop.
    into
        A folder that is not there yet, or empty.

    Returns
    -------
    Manifest
        What the backup holds, each file read back and found as it was meant.

    Raises
    ------
    Refusal
        There is something in the folder, the disk is full, or the database is damaged.
    Refusals
        Every photograph that is not there or not as it was.
    """
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise Refusal(
            f"folder {into}", "something there already", "a new folder or an empty one",
            "Give each backup a folder of its own; nothing is ever written over.",
        )  # fmt: skip
    with in_plain_words(f"folder {into}"):
        (into / PHOTOGRAPHS).mkdir(parents=True, exist_ok=True)
        if workshop.on_server:
            names, jobs = _tables_out(workshop, into / TABLES), _count_in_tables(into / TABLES)
        else:
            names, jobs = _copy_database(workshop.folder / DATABASE, into / DATABASE)
        files = [_listed(into, into / (TABLES if workshop.on_server else DATABASE))]
        faults: list[Fault] = []
        for digest in names:
            copied = into / PHOTOGRAPHS / digest[:2] / digest
            try:
                copied.parent.mkdir(exist_ok=True)
                shutil.copyfile(picture_path(workshop, digest), copied)
                listed = _listed(into, copied)
            except FileNotFoundError:
                faults.append(_lost(digest, "no such file"))
                continue
            if listed.sha256 != digest:
                faults.append(_lost(digest, "a file that has changed"))
            files.append(listed)
        if faults:
            raise Refusals(faults)
        if hasattr(os, "sync"):
            os.sync()  # the manifest says that all of it is there
        manifest = Manifest(_FORMAT, __version__, HEAD, workshop.now, jobs, tuple(files))
        (into / MANIFEST).write_text(json.dumps(asdict(manifest), indent=1) + "\n", encoding="utf-8")
    return manifest


def restore(backup: Path, folder: Path, url: str = "") -> Manifest:
    """Make a workshop of a backup.

    Parameters
    ----------
    backup
        The backup's folder.
    folder
        The workshop's folder; not there yet, or empty.
    url
        Address of an empty PostgreSQL database; empty makes the file in the folder.

    Returns
    -------
    Manifest
        What the backup holds; all of it has been checked before anything is written.

    Raises
    ------
    Refusal
        There is something in the folder, it is no backup, or it is a newer program's.
    Refusals
        Every file that is not there or not as it was.
    """
    manifest = _read_manifest(backup)
    _check_files(backup, manifest)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Refusal(
            f"workshop {folder}", "something there already", "a new folder or an empty one",
            "Restore beside it, look at it there, then put it in the old one's place.",
        )  # fmt: skip
    from_tables = (backup / TABLES).is_file()
    if bool(url) != from_tables:
        raise Refusal(
            f"backup {backup}", "that of a database on a server" if from_tables else "that of a database file",
            "one of the same kind", "Give --database with the address of an empty database." if from_tables else
            "Leave --database out, or give the jobs out as folders and take them in there.",
        )  # fmt: skip
    with in_plain_words(f"folder {folder}"):
        (folder / PHOTOGRAPHS).mkdir(parents=True, exist_ok=True)
        for each in manifest.files:
            if each.file != TABLES:
                target = folder / each.file
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(backup / each.file, target)
    workshop = open_workshop(folder, url)
    try:
        if url:
            _tables_in(workshop, backup / TABLES)
        with workshop.writing() as connection:  # a restored workshop lets nobody in who has not given the passcode
            connection.execute(sessions.delete())
    finally:
        workshop.close()
    return manifest


def _copy_database(database: Path, copy: Path) -> tuple[list[str], int]:
    """By SQLite's own way of copying a database that is being written to, then looked over."""
    with (
        closing(sqlite3.connect(f"{database.resolve().as_uri()}?mode=ro", uri=True)) as live,
        closing(sqlite3.connect(copy)) as made,
    ):
        live.backup(made)  # all at once: its readers do not hold up its writers
        # One file that stands for itself, without the journal the live one has beside it.
        made.execute("PRAGMA journal_mode=DELETE")
        said = [str(row[0]) for row in made.execute("PRAGMA integrity_check")]
        astray = made.execute("PRAGMA foreign_key_check").fetchall()
        if said != ["ok"] or astray:
            raise Refusal(
                f"database {database}", f"damage: {said[0] if said != ['ok'] else 'rows that belong to nothing'}",
                "a sound database", "Keep this file as it is, and restore the last backup.",
            )  # fmt: skip
        names = [str(row[0]) for row in made.execute("SELECT sha256 FROM pictures ORDER BY sha256")]
        return names, int(made.execute("SELECT count(*) FROM documents WHERE kind = 'job'").fetchone()[0])


def _tables_out(workshop: Workshop, file: Path) -> list[str]:
    """All tables as one state of the database, as text."""
    with workshop.engine.connect().execution_options(isolation_level="REPEATABLE READ") as connection:
        kept = {
            table.name: [dict(row) for row in connection.execute(select(table).order_by(*table.primary_key)).mappings()]
            for table in metadata.sorted_tables
            if table is not sessions
        }
    file.write_text(json.dumps(kept, ensure_ascii=False) + "\n", encoding="utf-8")
    return sorted(row["sha256"] for row in kept[pictures.name])


def _count_in_tables(file: Path) -> int:
    rows = json.loads(file.read_text(encoding="utf-8"))[documents.name]
    return sum(row["kind"] == "job" for row in rows)


def _tables_in(workshop: Workshop, file: Path) -> None:
    kept: dict[str, list[dict[str, Any]]] = json.loads(file.read_text(encoding="utf-8"))
    with workshop.writing() as connection:
        if connection.execute(select(documents.c.id).limit(1)).first():
            raise Refusal(
                workshop.named, "a workshop with jobs in it", "an empty database", "Make a new database and give that."
            )
        for table in metadata.sorted_tables:
            if rows := kept.get(table.name, []):
                connection.execute(insert(table), rows)
        for table in metadata.sorted_tables:
            if "id" in table.c and table.name != "passcodes":
                # The counters that give the next row its number do not know of rows that were put in.
                name = table.name
                last = f"select coalesce(max(id), 1) from {name}"
                connection.execute(text(f"select setval(pg_get_serial_sequence('{name}', 'id'), ({last}))"))


def _read_manifest(backup: Path) -> Manifest:
    file = backup / MANIFEST
    wanted = f"a folder with {MANIFEST}, as trialfit backup makes it"
    if not file.is_file():
        got = "no manifest in it" if backup.is_dir() else "no such folder"
        raise Refusal(f"backup {backup}", got, wanted, "Check the name; a backup that was broken off has none.")
    try:
        read = json.loads(file.read_text(encoding="utf-8"))
        manifest = Manifest(**{**read, "files": tuple(BackedUp(**each) for each in read["files"])})
    except (ValueError, TypeError, KeyError):
        raise Refusal(f"backup {backup}", "a manifest that cannot be read", wanted, "Take another backup.") from None
    if manifest.format != _FORMAT:
        raise Refusal(
            f"backup {backup}",
            f"format {manifest.format}",
            f"format {_FORMAT}",
            "A newer trialfit made it: run that one.",
        )
    if manifest.layout > HEAD:
        raise Refusal(
            f"backup {backup}", f"layout {manifest.layout}", f"layout {HEAD} or older",
            "A newer trialfit made it: run that one.",
        )  # fmt: skip
    return manifest


def _check_files(backup: Path, manifest: Manifest) -> None:
    faults: list[Fault] = []
    for each in manifest.files:
        path = backup / each.file
        if Path(each.file).is_absolute() or ".." in Path(each.file).parts:
            faults.append(_astray(backup, each.file, "a name that leads out of the folder"))
        elif not path.is_file():
            faults.append(_astray(backup, each.file, "no such file"))
        elif _listed(backup, path) != each:
            faults.append(_astray(backup, each.file, "a file that has changed since"))
    if faults:
        raise Refusals(faults)


def _listed(folder: Path, path: Path) -> BackedUp:
    digest, size = sha256(), 0
    for piece in _pieces(path):
        digest.update(piece)
        size += len(piece)
    return BackedUp(path.relative_to(folder).as_posix(), size, digest.hexdigest())


def _pieces(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while piece := file.read(1 << 20):
            yield piece


def _lost(digest: str, got: str) -> Fault:
    return Fault(
        f"photograph {digest[:12]}", got, "the file that was taken in",
        "Put it back into the workshop's photographs/ from an earlier backup, then back up again.",
    )  # fmt: skip


def _astray(backup: Path, file: str, got: str) -> Fault:
    return Fault(f"backup {backup}, {file}", got, "the file as the manifest has it", "Take another backup.")
