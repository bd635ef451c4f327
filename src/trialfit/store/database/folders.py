"""Job folders into the workshop's database and out of it, letter by letter."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from trialfit.errors import Fault, Refusal, Refusals
from trialfit.store.database import documents
from trialfit.store.database.pictures import OTHER, check_file_name, keep_picture, picture_path, pictures_of
from trialfit.store.database.records import Holding, NotThere
from trialfit.store.database.trouble import in_plain_words
from trialfit.store.database.workshop import Workshop
from trialfit.store.folder import DOCUMENT, PHOTOGRAPHS, open_folder

_STARTS = ((b"\xff\xd8\xff", "jpeg"), (b"\x89PNG\r\n\x1a\n", "png"))
_HEIC = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1")


@dataclass(frozen=True)
class TakenIn:
    """A job folder that was taken in.

    Parameters
    ----------
    holding
        The revision that holds it.
    photographs
        How many files of its photographs/ there are. [-]
    left
        What stayed where it was, by its name in the folder.
    """

    holding: Holding
    photographs: int
    left: tuple[str, ...]


def take_in(workshop: Workshop, folder: Path, by: str, name: str = "") -> TakenIn:
    """Take a job folder into the database. A folder of a job that is there already becomes its next revision.

    Parameters
    ----------
    workshop
        The workshop.
    folder
        The folder, or its job.toml.
    by
        Who takes it in.
    name
        Name of the job in the workshop; empty takes the folder's.

    Returns
    -------
    TakenIn
        What was taken, and what was left.

    Raises
    ------
    Refusal
        The folder cannot be read, or a photograph is another than the one of that name that is there.
    Refusals
        Every fault in its document.
    """
    opened = open_folder(folder)
    job = name or opened.path.resolve().name
    documents.check_name(job)
    text = _as_it_is(opened.path / DOCUMENT)
    from trialfit.job.read import read_job  # the reader of documents is slow to load

    read_job(text, DOCUMENT, opened.files)
    kept, left = _sorted_out(opened.path)
    _refuse_names(kept)
    there = _held(workshop, job)
    if there is None:
        held = documents.start(workshop, "job", job, text, by)
    else:
        held = documents.save(workshop, "job", job, text, there.revision.number, by)
    for path in kept:
        with in_plain_words(str(path)):
            content = path.read_bytes()
        keep_picture(workshop, job, path.name, content, _kind(content), by)
    return TakenIn(held, len(kept), left)


def give_out(workshop: Workshop, job: str, folder: Path, number: int = 0) -> list[Path]:
    """Write a job as a folder.

    Parameters
    ----------
    workshop
        The workshop.
    job
        The job's name.
    folder
        Where to; it is made, and must be empty if it is there.
    number
        Which revision; 0 for the one that holds. [-]

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    NotThere
        No such job or revision.
    Refusal
        There is something in the folder, or it cannot be written to.
    """
    if number:
        text = documents.revision(workshop, "job", job, number).text
    else:
        text = documents.holding(workshop, "job", job).revision.text
    files = pictures_of(workshop, job)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Refusal(
            f"folder {folder}", "something there already", "a new folder or an empty one",
            "Give another folder; nothing is ever written over.",
        )  # fmt: skip
    with in_plain_words(f"folder {folder}"):
        (folder / PHOTOGRAPHS).mkdir(parents=True, exist_ok=True)
        written = [folder / DOCUMENT]
        written[0].write_bytes(text.encode("utf-8"))
        for picture in files:
            written.append(folder / PHOTOGRAPHS / picture.file)
            written[-1].write_bytes(picture_path(workshop, picture.sha256).read_bytes())
    return written


def _held(workshop: Workshop, job: str) -> Holding | None:
    try:
        return documents.holding(workshop, "job", job)
    except NotThere:
        return None


def _as_it_is(path: Path) -> str:
    """Line ends and all: Python's own reading of text would mend them."""
    with in_plain_words(str(path)):
        return path.read_bytes().decode("utf-8")


def _sorted_out(folder: Path) -> tuple[list[Path], tuple[str, ...]]:
    """The files that belong to the job, and the names of those that do not."""
    kept: list[Path] = []
    left: list[str] = []
    for path in sorted(folder.iterdir()):
        if path.name == PHOTOGRAPHS and path.is_dir():
            for each in sorted(path.iterdir()):
                plain = each.is_file() and not each.is_symlink() and not each.name.startswith(".")
                if plain:
                    kept.append(each)
                else:
                    left.append(f"{PHOTOGRAPHS}/{each.name}")
        elif path.name != DOCUMENT:
            left.append(path.name)
    return kept, tuple(left)


def _refuse_names(kept: list[Path]) -> None:
    faults: list[Fault] = []
    for path in kept:
        try:
            check_file_name(path.name)
        except Refusal as refusal:
            faults += refusal.faults
    if faults:
        raise Refusals(faults)


def _kind(content: bytes) -> str:
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC:
        return "heic"
    return next((kind for start, kind in _STARTS if content.startswith(start)), OTHER)
