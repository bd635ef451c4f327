"""Photographs of a job folder, read and searched for the card, with a progress bar on anything slow."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

from trialfit.store.folder import JobFolder
from trialfit.store.photographs import read_colour, read_photographs
from trialfit.survey.looked import Looked, looked_over
from trialfit.survey.looked import in_colour as colour_wanted


def look_at(folder: JobFolder) -> Looked:
    """Read a job's photographs and find the card in each.

    Parameters
    ----------
    folder
        The job folder.

    Returns
    -------
    Looked
        Photographs, cards, and pictures sent twice.

    Raises
    ------
    Refusal
        A photograph cannot be read, or is a mirror image.
    """
    count = len(folder.photographs)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    console = Console(stderr=True)
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as progress:
        reading = progress.add_task("Reading photographs", total=count)
        photographs = read_photographs(folder.photographs, on_each=lambda _: progress.advance(reading))

        def searching(kept: int) -> Callable[[str], None]:
            task = progress.add_task("Looking for the card", total=kept)
            return lambda _: progress.advance(task)

        return looked_over(photographs, folder.job, searching)


def in_colour(folder: JobFolder, looked: Looked) -> dict[str, NDArray[np.uint8]]:
    """Read in colour the photographs that go to the sheets so.

    Parameters
    ----------
    folder
        The job folder.
    looked
        Its photographs, looked over.

    Returns
    -------
    dict
        (height, width, 3) red, green, blue by name. [-]
    """
    return {name: read_colour(folder.photographs[name]) for name in colour_wanted(folder.job, looked)}
