"""Closed revisions in a job folder: the record of each, and beside it what went out with it, as plain files."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import Any

from trialfit.errors import Refusal
from trialfit.job.closing import Closed, read_closed
from trialfit.store.closing import CLOSED
from trialfit.store.folder import DOCUMENT, PHOTOGRAPHS, text_in

MANIFEST = "manifest.json"
_RECORD = re.compile(r"revision-([1-9]\d{0,8})\.json")


@dataclass(frozen=True)
class ClosedFiles:
    """A closed revision as a job folder has it.

    Parameters
    ----------
    record
        What was closed.
    closed_at, closed_by
        When, in UTC, and from which screen; empty where it was closed in the folder itself.
    made
        Document, plan and sheets as they went out, by their names in the archive; empty where the record is alone.
    """

    record: Closed
    closed_at: str
    closed_by: str
    made: Mapping[str, bytes]


def write_closed_files(folder: Path, closed: Iterable[ClosedFiles]) -> list[Path]:
    """Write closed revisions into a job folder.

    Parameters
    ----------
    folder
        The folder.
    closed
        The revisions.

    Returns
    -------
    list of Path
        The files written.
    """
    written: list[Path] = []
    for each in closed:
        place = folder / CLOSED / f"revision-{each.record.revision}"
        record = {**asdict(each.record), "closed_at": each.closed_at, "closed_by": each.closed_by}
        files = {place.with_suffix(".json"): (json.dumps(record, indent=2, ensure_ascii=False) + "\n").encode()}
        files |= {place / name: content for name, content in each.made.items() if _stays_inside(name)}
        for path, content in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
            written.append(path)
    return written


def read_closed_files(folder: Path) -> tuple[tuple[ClosedFiles, ...], tuple[str, ...]]:
    """Read the closed revisions of a job folder, and hold what went out with them to its hashes.

    Parameters
    ----------
    folder
        The folder.

    Returns
    -------
    tuple
        The revisions, the earliest first; and the names of files in the same place that belong to none.

    Raises
    ------
    Refusal
        A record cannot be read, or what went out with it was changed or is not there; file and line are named.
    """
    if not (folder / CLOSED).is_dir():
        return (), ()
    found: list[ClosedFiles] = []
    left: list[str] = []
    names = sorted(each.name for each in (folder / CLOSED).iterdir())
    records = [name for name in names if _RECORD.fullmatch(name) and (folder / CLOSED / name).is_file()]
    for name in sorted(records, key=_number):
        called = f"{CLOSED}/{name}"
        text = text_in(folder / CLOSED / name, called)
        record = read_closed(text, called)
        if record.revision != _number(name):
            line = text[: text.index('"revision"')].count("\n") + 1
            raise Refusal(
                "record of a closed revision", f"revision {record.revision}",
                f"revision {_number(name)}, as it is named",
                "Give the file the name it had.", called, line,
            )  # fmt: skip
        made, strays = _what_went_out(folder, record)
        left += strays
        said = json.loads(text)
        at, by = (str(said.get(key, ""))[:longest] for key, longest in (("closed_at", 32), ("closed_by", 80)))
        found.append(ClosedFiles(record, at, by, made))
    known = {*records, *(name.removesuffix(".json") for name in records)}
    return tuple(found), (*(f"{CLOSED}/{name}" for name in names if name not in known), *left)


def _number(name: str) -> int:
    matched = _RECORD.fullmatch(name)
    assert matched is not None
    return int(matched[1])


def _what_went_out(folder: Path, record: Closed) -> tuple[dict[str, bytes], list[str]]:
    inside = f"{CLOSED}/revision-{record.revision}"
    place = folder / inside
    if not place.is_dir():
        return {}, []
    there = {
        path.relative_to(place).as_posix(): path
        for path in sorted(place.rglob("*"))
        if path.is_file() and not path.is_symlink()
    }
    # An archive that was unpacked here has the photographs once more: the job's own are held to the record already.
    files = {name: path for name, path in there.items() if not name.startswith(f"{PHOTOGRAPHS}/")}
    listed = _listed(files, record, inside)
    wanted = {**listed, DOCUMENT: record.document}
    for name, digest in wanted.items():
        if name not in files or sha256(files[name].read_bytes()).hexdigest() != digest:
            raise Refusal(
                f"{record.job}, revision {record.revision}, as it was closed",
                "another file than was closed" if name in files else "nothing there", "the file as it was closed",
                "Put back the one of the workshop's archive.", f"{inside}/{name}", int(name in files),
            )  # fmt: skip
    text_in(files[DOCUMENT], f"{inside}/{DOCUMENT}")
    order = [*listed, MANIFEST] if listed else sorted(files)
    strays = [f"{inside}/{name}" for name in files if name not in order]
    return {name: files[name].read_bytes() for name in order}, strays


def _listed(files: Mapping[str, Path], record: Closed, inside: str) -> dict[str, str]:
    """The hash of each file that went out, by its name, in the order of the archive."""
    if MANIFEST not in files:
        return {}
    called = f"{inside}/{MANIFEST}"
    try:
        manifest: Any = json.loads(text_in(files[MANIFEST], called))
        rows = {str(each["file"]): str(each["sha256"]) for each in manifest["files"]}
        same = manifest["closed"] == asdict(record)
    except json.JSONDecodeError as error:
        raise _no_list("something that cannot be read", called, error.lineno) from None
    except (KeyError, TypeError):
        raise _no_list("something else", called, 1) from None
    if not same:
        raise _no_list("the list of another closing", called, 1)
    return {name: digest for name, digest in rows.items() if not name.startswith(f"{PHOTOGRAPHS}/")}


def _no_list(got: str, file: str, line: int) -> Refusal:
    return Refusal(
        "list of what was closed", got, "the file as it was written", "Put back the one of the workshop's archive.",
        file, line,
    )  # fmt: skip


def _stays_inside(name: str) -> bool:
    path = PurePosixPath(name)
    return not path.is_absolute() and ".." not in path.parts and "\\" not in name
