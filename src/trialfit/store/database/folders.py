"""Job folders into the workshop's database and out of it, letter by letter, with times and closed revisions."""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from trialfit.errors import Fault, Refusal, Refusals
from trialfit.store.closed_files import ClosedFiles, read_closed_files, write_closed_files
from trialfit.store.closing import CLOSED, hold_folder
from trialfit.store.database import documents
from trialfit.store.database.carried_closings import closings_given, keep_closing, need_unchanged
from trialfit.store.database.carried_times import take_times, times_given
from trialfit.store.database.pictures import OTHER, check_file_name, keep_picture, picture_path, pictures_of
from trialfit.store.database.records import Holding, NotThere
from trialfit.store.database.trouble import in_plain_words
from trialfit.store.database.workshop import Workshop
from trialfit.store.folder import DOCUMENT, PHOTOGRAPHS, TIMES, open_folder, read_opened
from trialfit.store.times import read_times_file, write_times_file

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
    times
        How many times taken at the bench were new. [-]
    closed
        How many closed revisions were new. [-]
    """

    holding: Holding
    photographs: int
    left: tuple[str, ...]
    times: int = 0
    closed: int = 0


@dataclass(frozen=True)
class _Closed:
    """Closed revisions of a folder, the texts they need, and the records whose documents are nowhere."""

    given: list[ClosedFiles] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)


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
        The folder cannot be read, a photograph is another than the one of that name that is there, or a closed
        revision was changed.
    Refusals
        Every fault in its document, or in its times.
    """
    opened = open_folder(folder)
    job = name or opened.path.resolve().name
    documents.check_name(job)
    text = _as_it_is(opened.path / DOCUMENT)
    read = read_opened(opened)
    kept, left = _sorted_out(opened.path)
    _refuse_names(kept)
    times = read_times_file(opened.path / TIMES)
    closed_files, strays = read_closed_files(opened.path)
    hold_folder(read, [each.record for each in closed_files])
    closed = _closed_of(workshop, job, text, closed_files)
    held = _holding(workshop, job, [*closed.texts, text], by)
    for path in kept:
        with in_plain_words(str(path)):
            content = path.read_bytes()
        keep_picture(workshop, job, path.name, content, _kind(content), by)
    new = sum([keep_closing(workshop, job, each, by) for each in closed.given])
    taken = take_times(workshop, job, (read.job.job.name, job), times, by)
    left = (*left, *strays, *closed.left, *(f"{TIMES}: {why}" for why in taken.left))
    return TakenIn(held, len(kept), left, taken.new, new)


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
    times, closed = times_given(workshop, job), closings_given(workshop, job, number)
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
        written += write_closed_files(folder, closed)
    if times.times or times.running or times.struck:
        write_times_file(folder / TIMES, times)
        written.append(folder / TIMES)
    return written


def _holding(workshop: Workshop, job: str, texts: list[str], by: str) -> Holding:
    """Save one text after the other; a job that is not there starts with the first."""
    held = _held(workshop, job) or documents.start(workshop, "job", job, texts[0], by)
    for text in texts:
        held = documents.save(workshop, "job", job, text, held.revision.number, by)
    return held


def _held(workshop: Workshop, job: str) -> Holding | None:
    try:
        return documents.holding(workshop, "job", job)
    except NotThere:
        return None


def _closed_of(workshop: Workshop, job: str, text: str, given: tuple[ClosedFiles, ...]) -> _Closed:
    """Sort closed revisions: each needs its document, from the folder or among the revisions that are there."""
    found = _Closed()
    known = {sha256(text.encode("utf-8")).hexdigest()}
    if _held(workshop, job) is not None:
        need_unchanged(workshop, job, list(given))
        known |= {line.sha256 for line in documents.history(workshop, "job", job)}
    for each in given:
        number = each.record.revision
        if each.record.document in known or DOCUMENT in each.made:
            found.given.append(each)
        else:
            found.left.append(f"{CLOSED}/revision-{number}.json: its document is not in {CLOSED}/revision-{number}/")
        if each.record.document not in known and DOCUMENT in each.made:
            found.texts.append(each.made[DOCUMENT].decode("utf-8"))
    return found


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
        elif not ((path.is_file() and path.name in (DOCUMENT, TIMES)) or (path.is_dir() and path.name == CLOSED)):
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
