"""Files a command writes: all of them, or a refusal that says why."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

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
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in contents.items():
            (folder / name).write_bytes(content)
    except OSError as error:
        raise Refusal(
            f"folder {folder}", error.strerror or "an error", "a folder that can be written to",
            "Give another folder with --out.",
        ) from None  # fmt: skip
    return [folder / name for name in contents]
