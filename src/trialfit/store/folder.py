"""A job folder: ``job.toml`` and ``photographs/``. Whether a photograph can be looked at is asked elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from trialfit.errors import Refusal
from trialfit.job.nearest import did_you_mean
from trialfit.job.read import read_job, read_shop, read_times
from trialfit.job.records import Job
from trialfit.job.shop import Shop

DOCUMENT = "job.toml"
PHOTOGRAPHS = "photographs"
TIMES = "times.toml"
_PICTURES = {".jpg", ".jpeg", ".png", ".heic", ".heif", ".tif", ".tiff", ".webp", ".bmp", ".dng"}


@dataclass(frozen=True)
class OpenFolder:
    """A job folder that can be read; whether its document is sound has not been asked.

    Parameters
    ----------
    path
        The folder.
    text
        Its job.toml.
    files
        Names of the files in its photographs/, sorted.
    """

    path: Path
    text: str
    files: tuple[str, ...]


@dataclass(frozen=True)
class JobFolder:
    """A job, and where its photographs are.

    Parameters
    ----------
    path
        The folder.
    job
        Its document.
    photographs
        The file of each photograph, by the photograph's name in the job.
    unnamed
        Pictures in photographs/ that the job does not name.
    """

    path: Path
    job: Job
    photographs: Mapping[str, Path]
    unnamed: tuple[str, ...]


def read_folder(path: Path) -> JobFolder:
    """Read a job folder.

    Parameters
    ----------
    path
        The folder, or its job.toml.

    Returns
    -------
    JobFolder
        The job, and where its photographs are.

    Raises
    ------
    Refusal
        The folder cannot be read.
    Refusals
        Every fault in its document, files that are not there included.
    """
    return read_opened(open_folder(path))


def open_folder(path: Path) -> OpenFolder:
    """Open a job folder.

    Parameters
    ----------
    path
        The folder, or its job.toml.

    Returns
    -------
    OpenFolder
        Its text and the names of its files.

    Raises
    ------
    Refusal
        No such folder, no job.toml in it, or a job.toml that is no text.
    """
    folder = path.parent if path.name == DOCUMENT and not path.is_dir() else path
    if not folder.is_dir():
        got = "a file" if folder.exists() else "nothing there"
        remedy = did_you_mean(folder.name, _folders(folder.parent), "Check the name and where you are.")
        raise Refusal(f"job folder {folder}", got, f"a folder with {DOCUMENT} in it", remedy)
    if not (folder / DOCUMENT).is_file():
        remedy = did_you_mean(DOCUMENT, _files(folder), "Copy the job.toml of an example into it and fill it in.")
        raise Refusal(f"job folder {folder}", f"no {DOCUMENT} in it", f"a folder with {DOCUMENT} in it", remedy)
    return OpenFolder(folder, text_in(folder / DOCUMENT), _files(folder / PHOTOGRAPHS))


def read_opened(folder: OpenFolder) -> JobFolder:
    """Read the document of an opened folder.

    Parameters
    ----------
    folder
        As `open_folder` gives it.

    Returns
    -------
    JobFolder
        The job, and where its photographs are.
    """
    job = read_job(folder.text, DOCUMENT, folder.files)
    photographs = {name: folder.path / PHOTOGRAPHS / entry.file for name, entry in job.photographs.items()}
    named = {entry.file for entry in job.photographs.values()}
    unnamed = [file for file in folder.files if Path(file).suffix.lower() in _PICTURES and file not in named]
    return JobFolder(folder.path, job, photographs, tuple(unnamed))


def read_shop_file(path: Path) -> Shop:
    """Read what the workshop owns and has learnt.

    Parameters
    ----------
    path
        The file, usually shop.toml.

    Returns
    -------
    Shop
        The workshop, with the times of a times.toml that lies beside the file.

    Raises
    ------
    Refusal
        The file cannot be read.
    Refusals
        Every fault in it.
    """
    if not path.is_file():
        remedy = did_you_mean(path.name, _files(path.parent), "Check the name and where you are.")
        raise Refusal(str(path), "no such file", "a file such as shop.toml", remedy)
    shop = read_shop(text_in(path), path.name)
    beside = path.parent / TIMES
    if not beside.is_file():
        return shop
    return shop.model_copy(update={"times": (*shop.times, *read_times(text_in(beside), beside.name).times)})


def text_in(path: Path, called: str = "") -> str:
    """Read a text file.

    Parameters
    ----------
    path
        The file.
    called
        What a refusal calls it; empty takes its bare name.

    Returns
    -------
    str
        What stands in it, without a mark of byte order.

    Raises
    ------
    Refusal
        It cannot be read, or is no text in UTF-8; the line is named.
    """
    try:
        written = path.read_bytes()
    except OSError as error:
        raise _unreadable(path, error) from None
    try:
        return written.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        wide = written[:2] in (b"\xff\xfe", b"\xfe\xff")
        raise Refusal(
            "this file",
            "two-byte characters (UTF-16)" if wide else "a character that is not UTF-8",
            "text in UTF-8",
            "Save it again from the editor, choosing the encoding UTF-8.",
            called or path.name,
            0 if wide else written[: error.start].count(b"\n") + 1,
        ) from None


def _files(folder: Path) -> tuple[str, ...]:
    if not folder.is_dir():
        return ()
    try:
        return tuple(sorted(each.name for each in folder.iterdir() if each.is_file()))
    except OSError as error:
        raise _unreadable(folder, error) from None


def _folders(folder: Path) -> tuple[str, ...]:
    try:
        return tuple(sorted(each.name for each in folder.iterdir() if each.is_dir()))
    except OSError:
        return ()


def _unreadable(path: Path, error: OSError) -> Refusal:
    reason = (error.strerror or "an error").lower()
    return Refusal(str(path), f"{reason} from the computer", "something that can be read", "Check who may read it.")
