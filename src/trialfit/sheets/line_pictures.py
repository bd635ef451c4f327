"""Small pictures of the pieces that came, for whoever has the parcel open before him: grey, and told by their edges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job

_WIDE_MM, _HIGH_MM = 42.0, 24.0
_PX_PER_MM = 10.0
# Of its own span of greys a print keeps what lies between these shares, spread from near black to white.
_DARKEST, _LIGHTEST = 1.0, 99.0
_BLACK, _WHITE = 20.0, 255.0


@dataclass(frozen=True)
class LinePicture:
    """A photograph, as small as it stands beside a line.

    Parameters
    ----------
    file
        The name the template calls it by.
    size_mm
        Width and height on the paper. [mm]
    jpeg
        The picture.
    """

    file: str
    size_mm: tuple[float, float]
    jpeg: bytes


def line_pictures(job: Job, pictures: Mapping[str, NDArray[np.uint8]]) -> dict[str, LinePicture]:
    """Make the picture of every photograph that a line of the parcel names.

    Parameters
    ----------
    job
        The job.
    pictures
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue. [-]

    Returns
    -------
    dict
        By the photograph's name, those that are there; cut to what a comparison before and after shows of it.
    """
    lines = job.parcel.lines.values() if job.parcel else ()
    named = dict.fromkeys(line.photograph for line in lines if line.photograph in pictures)
    return {
        name: _small(f"piece-{number}.jpg", _shown(job, name, pictures[name]))
        for number, name in enumerate(named)
        if name is not None
    }


def _shown(job: Job, name: str, picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """What is worth showing of a photograph: its card and its bench would leave a small piece too small to see."""
    for pair in job.before_and_after.values():
        for side in (pair.before, pair.after):
            if side.photograph == name:
                one, other = side.show
                left, right = sorted(max(0, round(each[0])) for each in (one, other))
                top, bottom = sorted(max(0, round(each[1])) for each in (one, other))
                cut = picture[top:bottom, left:right]
                return cut if cut.size else picture
    return picture


def _small(file: str, picture: NDArray[np.uint8]) -> LinePicture:
    grey = picture if picture.ndim == 2 else np.asarray(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    high, wide = grey.shape
    scale = min(_WIDE_MM / wide, _HIGH_MM / high)
    size_mm = wide * scale, high * scale
    shape = tuple(max(1, min(of, round(each * _PX_PER_MM))) for each, of in zip(size_mm, (wide, high), strict=True))
    small = np.asarray(cv2.resize(grey, shape, interpolation=cv2.INTER_AREA), dtype=np.float64)
    dark, light = np.percentile(small, (_DARKEST, _LIGHTEST))
    spread = _BLACK + (small - dark) * (_WHITE - _BLACK) / max(light - dark, 1.0)
    _, content = cv2.imencode(".jpg", np.clip(spread, 0.0, 255.0).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, 88])
    return LinePicture(file, size_mm, content.tobytes())
