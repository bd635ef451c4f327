"""Copies of photographs for a screen: each made once, however many ask, and beforehand where that can be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from trialfit.app.desk import Desk
from trialfit.errors import Refusal
from trialfit.store.database.pictures import OTHER, Picture, copy_path, picture_of, pictures_of

SCREEN_PX = 1600
# As many as lie side by side on the photograph page.
_SHOWN_FIRST = 2


def copy_of(desk: Desk, picture: Picture, long_side_px: int) -> Path:
    """Give a smaller copy of a photograph.

    Parameters
    ----------
    desk
        The desk.
    picture
        The photograph.
    long_side_px
        Its long side at most. [px]

    Returns
    -------
    Path
        The file.

    Raises
    ------
    Refusal
        The photograph is damaged or not there; the disk is full.
    """

    def make() -> Path:
        return copy_path(desk.workshop, picture, long_side_px)

    kept = desk.copies.get((picture.sha256, long_side_px), make)
    return kept if kept.is_file() else make()


def shown_first(document: dict[str, Any]) -> tuple[str, ...]:
    """Say which photographs the page shows first.

    Parameters
    ----------
    document
        The job document as plain tables.

    Returns
    -------
    tuple of str
        Their file names.
    """
    entries = document.get("photographs")
    files = (
        [each.get("file") for each in entries.values() if isinstance(each, dict)] if isinstance(entries, dict) else []
    )
    return tuple(file for file in files if isinstance(file, str))[:_SHOWN_FIRST]


def make_ready(desk: Desk, job: str, file: str = "") -> None:
    """Make the copies for a screen that are not there yet; what cannot be made is refused to whoever asks for it.

    Parameters
    ----------
    desk
        The desk.
    job
        The job's name.
    file
        One photograph alone; empty for all of the job's.
    """
    try:
        for picture in (picture_of(desk.workshop, job, file),) if file else pictures_of(desk.workshop, job):
            if picture.kind != OTHER:
                copy_of(desk, picture, SCREEN_PX)
    except Refusal:
        return
