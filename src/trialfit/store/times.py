"""The file of times beside the shop file: read, and written so that a crash leaves the old one or the new one."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from trialfit.errors import Refusal
from trialfit.job.read import read_times
from trialfit.job.times_file import TimesFile
from trialfit.job.write import write_times
from trialfit.store.folder import text_in


def read_times_file(path: Path) -> TimesFile:
    """Read the times taken at the bench.

    Parameters
    ----------
    path
        The file; one that is not there yet has none.

    Returns
    -------
    TimesFile
        Times and running clocks.

    Raises
    ------
    Refusals
        Every fault in it.
    """
    return read_times(text_in(path), path.name) if path.is_file() else TimesFile.model_validate({})


def write_times_file(path: Path, times: TimesFile) -> None:
    """Write the times taken at the bench.

    Parameters
    ----------
    path
        The file.
    times
        What is to stand in it.

    Raises
    ------
    Refusal
        It cannot be written.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=".times-", dir=path.parent)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(write_times(times))
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except OSError as error:
        raise Refusal(
            f"file {path}", error.strerror or "an error", "a file that can be written", "Name another with --times."
        ) from None
