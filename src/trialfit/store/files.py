"""Files a command writes: all of them, or a refusal that says why."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryFile

from trialfit.errors import Refusal


def write_files(folder: Path, contents: Mapping[str, bytes]) -> list[Path]:
    """Write files into a folder, which is made if it is not there.

    Parameters
    ----------
    folder
        The folder.
    contents
        What goes in, by file name.

    Returns
    -------
    list of Path
        The files, in the order given.

    Raises
    ------
    Refusal
        The folder cannot be written to.
    """
    made_ready(folder)
    try:
        for name, content in contents.items():
            (folder / name).write_bytes(content)
    except OSError as error:
        raise _cannot_write(folder, error) from None
    return [folder / name for name in contents]


def made_ready(folder: Path) -> None:
    """Make a folder that files will go into, so that whoever asked for another is told before the work.

    Parameters
    ----------
    folder
        The folder; it may be there.

    Raises
    ------
    Refusal
        It cannot be made, or not be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise _cannot_write(folder, error) from None


def _cannot_write(folder: Path, error: OSError) -> Refusal:
    return Refusal(
        f"folder {folder}", error.strerror or "an error", "a folder that can be written to",
        "Give another folder with --out.",
    )  # fmt: skip
