"""Photographs of a job folder, read and searched for the card, with a progress bar on anything slow."""

from __future__ import annotations

from dataclasses import dataclass

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

from trialfit.store.folder import JobFolder
from trialfit.store.photographs import read_photographs
from trialfit.survey.card import board_of
from trialfit.survey.detect import find_cards
from trialfit.survey.gather import Sighted
from trialfit.survey.same_picture import SamePicture, same_picture_twice


@dataclass(frozen=True)
class Looked:
    """What was found by looking at a job's photographs.

    Parameters
    ----------
    sighted
        Photographs and cards; of a picture sent twice only the first.
    twice
        The pictures sent twice.
    """

    sighted: Sighted
    twice: tuple[SamePicture, ...]


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
        twice = tuple(same_picture_twice(photographs))
        second = {same.second for same in twice}
        kept = [photograph for photograph in photographs if photograph.name not in second]
        if folder.job.card is None:
            return Looked(Sighted({p.name: p for p in kept}, {}), twice)
        searching = progress.add_task("Looking for the card", total=len(kept))
        board = board_of(folder.job.card)
        cards = find_cards(kept, board, on_each=lambda _: progress.advance(searching))
    return Looked(Sighted({p.name: p for p in kept}, {card.photograph: card for card in cards}), twice)
