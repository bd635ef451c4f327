"""One photograph as the survey takes it: upright grey values and what is known of its lens.

Source: CIPA DC-008 (Exif), tags FocalLengthIn35mmFilm and DigitalZoomRatio; the 35 mm frame is 36 x 24 mm, so that an
equivalent focal length by the picture's diagonal is held against 43.2666 mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]

DIAGONAL_35MM_MM = hypot(36.0, 24.0)


@dataclass(frozen=True, eq=False)
class Photograph:
    """A decoded photograph. Pixels: x right, y down, the centre of the top left pixel is (0, 0), picture upright.

    Parameters
    ----------
    name
        Its name in the job.
    file
        Name of the file it came from.
    width_px, height_px
        Size of the upright original. [px]
    grey
        (height, width) grey values of the upright original, not to be written to. [-]
    focal_px
        Focal length by what the file says, or None where it does not say or cannot be trusted. [px]
    focal_k2_px
        Two standard deviations of it, or None. [px]
    focal_note
        Where the focal length comes from, or why there is none, as a sentence.
    zoom
        Digital zoom the file states; 1 where it states none. A zoomed photograph does not share the lens of others
        from the same phone. [-]
    phone
        Maker and model the file states, or empty; for telling two phones apart.
    remarks
        What a person should know about this photograph before trusting it, a sentence each.
    digest
        SHA-256 of the file.
    quarter_turns
        Quarter turns clockwise that set the picture upright from how the sensor stored it; the lens belongs to the
        sensor, so upright and sideways photographs share one. [-]
    """

    name: str
    file: str
    width_px: int
    height_px: int
    grey: Grey
    focal_px: float | None
    focal_k2_px: float | None
    focal_note: str
    zoom: float
    phone: str
    remarks: tuple[str, ...]
    digest: str
    quarter_turns: int = 0


def focal_of_equivalent(focal_35mm_mm: float, width_px: int, height_px: int) -> float:
    """Focal length in pixels from the 35 mm equivalent, by the picture's diagonal.

    Parameters
    ----------
    focal_35mm_mm
        Focal length that gives the same field across the diagonal on a 36 x 24 mm frame. [mm]
    width_px, height_px
        Size of the picture. [px]

    Returns
    -------
    float
        Focal length. [px]

    Source
    ------
    CIPA DC-008; similar triangles over the diagonal.
    """
    return focal_35mm_mm / DIAGONAL_35MM_MM * hypot(width_px, height_px)
