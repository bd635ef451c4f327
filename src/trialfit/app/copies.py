"""Copies of photographs for a screen: each made once, however many ask, and beforehand where that can be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from threading import Thread
from typing import Any

from trialfit.app.desk import Desk
from trialfit.app.tables import tables_of
from trialfit.errors import Refusal
from trialfit.job.written import tables
from trialfit.store.database.documents import holding
from trialfit.store.database.lines import list_jobs
from trialfit.store.database.pictures import OTHER, SCREEN_PX, Picture, copy_path, kept_copy, picture_path, pictures_of

# As many as lie side by side on the photograph page.
_SIDE_BY_SIDE = 2
# As many jobs as are likely to be opened next: those of the top rows of the rack.
_LIKELY_NEXT = 12


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
    kept = kept_copy(desk.workshop, picture, long_side_px)
    if kept.is_file():
        return kept
    key = (picture.sha256, long_side_px)
    return desk.copies.get(key, lambda: copy_path(desk.workshop, picture, long_side_px))


def photographs_in(document: dict[str, Any]) -> dict[str, dict[str, str]]:
    """Say which photographs a job's document names.

    Parameters
    ----------
    document
        The job document as plain tables.

    Returns
    -------
    dict
        By their names, in order: ``file``, and ``note`` where there is one.
    """
    return {
        name: {key: entry[key] for key in ("file", "note") if isinstance(entry.get(key), str)}
        for name, entry in tables(document, "photographs").items()
        if isinstance(entry.get("file"), str)
    }


def shown_first(photographs: dict[str, dict[str, str]]) -> tuple[str, ...]:
    """Say which photographs the page shows first.

    Parameters
    ----------
    photographs
        As in `photographs_in`.

    Returns
    -------
    tuple of str
        Their file names.
    """
    return tuple(entry["file"] for entry in photographs.values())[:_SIDE_BY_SIDE]


def sizes_in(desk: Desk, job: str) -> dict[str, tuple[int, int]]:
    """Say how large a job's photographs are, upright: marks are in pixels of the original, whatever copy is shown.

    Parameters
    ----------
    desk
        The desk.
    job
        The job's name.

    Returns
    -------
    dict
        Width and height by the file's name; nothing of what is no sound photograph. [px]
    """
    from trialfit.store.photograph_files import upright_size

    sizes: dict[str, tuple[int, int]] = {}
    for each in pictures_of(desk.workshop, job):
        if each.kind != OTHER:
            with suppress(Refusal):
                path = picture_path(desk.workshop, each.sha256)
                sizes[each.file] = desk.sizes.get(each.sha256, partial(upright_size, path))
    return sizes


def begin(desk: Desk, job: str, files: Sequence[str]) -> None:
    """Begin to make the copies that are not there yet, all at once; whoever asks for one meanwhile waits for this one.

    Parameters
    ----------
    desk
        The desk.
    job
        The job's name.
    files
        File names of the photographs.
    """
    for picture in _without_copy(desk, job, files):
        Thread(target=_made, args=(desk, (picture,)), name="copies", daemon=True).start()


def make_ready(desk: Desk, job: str) -> None:
    """Make the copies of a job's photographs that are not there yet, one after another, those shown first before all.

    Parameters
    ----------
    desk
        The desk.
    job
        The job's name.
    """
    missing = _without_copy(desk, job)
    if missing:
        first = _first_of(desk, job)
        _made(desk, sorted(missing, key=lambda picture: picture.file not in first))


def make_ready_likely(desk: Desk) -> None:
    """Make the copies for the jobs that are likely to be opened next.

    Parameters
    ----------
    desk
        The desk.
    """
    with suppress(Refusal):
        for line in list_jobs(desk.workshop, most=_LIKELY_NEXT, away="without"):
            make_ready(desk, line.name)


def _first_of(desk: Desk, job: str) -> tuple[str, ...]:
    try:
        document = tables_of(desk, holding(desk.workshop, "job", job).revision)
    except Refusal:
        return ()
    return shown_first(photographs_in(document))


def _without_copy(desk: Desk, job: str, files: Sequence[str] | None = None) -> list[Picture]:
    """In the order of the files, all of the job's where none are named; none of a job that went away meanwhile."""
    try:
        there = {picture.file: picture for picture in pictures_of(desk.workshop, job)}
    except Refusal:
        return []
    asked = (there[file] for file in (there if files is None else files) if file in there)
    return [each for each in asked if each.kind != OTHER and not kept_copy(desk.workshop, each, SCREEN_PX).is_file()]


def _made(desk: Desk, pictures: Iterable[Picture]) -> None:
    """What cannot be made is refused to whoever asks for it."""
    for picture in pictures:
        try:
            copy_of(desk, picture, SCREEN_PX)
        except Refusal:
            continue
