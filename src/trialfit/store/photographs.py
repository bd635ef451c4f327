"""Photograph files to records. Files are read and never written.

Pixels are those of the upright original whatever the file's orientation flag says. HEIC turns its own pixels upright.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

from trialfit.errors import Fault, Refusal, Refusals
from trialfit.store.camera_facts import camera_facts
from trialfit.store.photograph_files import DECODING, ORIENTATION, content_of, cut_short, opened_photograph, quiet
from trialfit.survey.photograph import Grey, Photograph

PANORAMA = 2.5  # long side over short side; no phone's single shot is as long as this

_TURNS = {
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0),
    6: lambda a: a.transpose(1, 0)[:, ::-1],
    7: lambda a: a[::-1, ::-1].transpose(1, 0),
    8: lambda a: a.transpose(1, 0)[::-1],
}
"""Exif orientation: what turns the stored rows upright (CIPA DC-008, tag Orientation)."""

_QUARTER_TURNS = {6: 1, 3: 2, 8: 3}


def read_photograph(path: Path, name: str = "") -> Photograph:
    """Read one photograph.

    Parameters
    ----------
    path
        The file.
    name
        Its name in the job; the file's name without its ending if empty.

    Returns
    -------
    Photograph
        Upright grey values and what the file says of its lens.

    Raises
    ------
    Refusal
        Not there, not a photograph, cut short, too small, or too large to be one.
    """
    with quiet():
        return _read(path, name or path.stem)


def read_photographs(
    paths: Mapping[str, Path], threads: int | None = None, on_each: Callable[[str], None] | None = None
) -> tuple[Photograph, ...]:
    """Read several photographs at once.

    Parameters
    ----------
    paths
        The files by the photographs' names in the job.
    threads
        How many to read at a time; None takes one a processor. [-]
    on_each
        Told the name of each photograph when it has been read, for a progress bar.

    Returns
    -------
    tuple of Photograph
        In the order of `paths`.

    Raises
    ------
    Refusals
        All the photographs that could not be read, at once.
    """
    faults: list[Fault] = []

    def one(name: str) -> Photograph | tuple[Fault, ...]:
        try:
            return _read(paths[name], name)
        except Refusal as refusal:
            return tuple(refusal.faults)
        finally:
            if on_each is not None:
                on_each(name)

    read: list[Photograph] = []
    with quiet(), ThreadPoolExecutor(max_workers=threads or os.cpu_count()) as pool:
        for outcome in pool.map(one, paths):
            if isinstance(outcome, Photograph):
                read.append(outcome)
            else:
                faults.extend(outcome)
    if faults:
        raise Refusals(faults)
    return tuple(read)


def read_colour(path: Path) -> NDArray[np.uint8]:
    """Read a photograph in colour, for drawing on.

    Parameters
    ----------
    path
        The file.

    Returns
    -------
    ndarray
        (height, width, 3) red, green, blue of the upright original. [-]

    Raises
    ------
    Refusal
        As `read_photograph`.
    """
    with quiet():
        picture = opened_photograph(path, content_of(path, path.stem), path.stem)
        try:
            return np.asarray(ImageOps.exif_transpose(picture).convert("RGB"))
        except DECODING as error:
            raise cut_short(path, path.stem) from error


def _read(path: Path, name: str) -> Photograph:
    content = content_of(path, name)
    picture = opened_photograph(path, content, name)
    try:
        exif = picture.getexif()
        grey = _grey(picture)
    except DECODING as error:
        raise cut_short(path, name) from error
    heic = picture.format == "HEIF"  # already upright; the plug-in keeps the flag it took out
    orientation = int((picture.info.get("original_orientation") if heic else exif.get(ORIENTATION)) or 1)
    turn = None if heic else _TURNS.get(orientation)
    grey = np.ascontiguousarray(turn(grey) if turn else grey)
    grey.flags.writeable = False
    height, width = grey.shape
    facts = camera_facts(exif, width, height)
    remarks = list(facts.remarks)
    if max(width, height) > PANORAMA * min(width, height):
        remarks.append(
            f"It is {width} x {height} px: a panorama is put together from several shots, which no one lens fits. "
            "Ask for single photographs instead."
        )
    return Photograph(
        name=name,
        file=path.name,
        width_px=width,
        height_px=height,
        grey=grey,
        focal_px=facts.focal_px,
        focal_k2_px=facts.focal_k2_px,
        focal_note=facts.note,
        zoom=facts.zoom,
        phone=facts.phone,
        remarks=tuple(remarks),
        digest=hashlib.sha256(content).hexdigest(),
        quarter_turns=_QUARTER_TURNS.get(orientation, 0),
    )


def _grey(picture: Image.Image) -> Grey:
    if picture.format in ("JPEG", "MPO"):
        picture.draft("L", picture.size)  # the luma alone, which the file holds anyway
    if picture.mode.startswith("I"):  # 16-bit PNG
        return (np.asarray(picture).astype(np.uint32) >> 8).astype(np.uint8)
    return np.asarray(picture.convert("L"), dtype=np.uint8)
