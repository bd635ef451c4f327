"""Photographs that were sent twice: the same file, the same pixels, or a copy saved again.

Source: plain comparison; the threshold is explained beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.survey.photograph import Grey, Photograph


@dataclass(frozen=True)
class SamePicture:
    """Two photographs of a job that are one and the same.

    Parameters
    ----------
    first, second
        Their names.
    how
        What they share: ``the same file``, ``the same pixels``, ``the same shot, saved again``.
    """

    first: str
    second: str
    how: str

    def __str__(self) -> str:
        """Say it as a sentence."""
        return f"{self.first} and {self.second} are {self.how}; the second adds nothing and counts its errors twice."


def same_picture_twice(photographs: Sequence[Photograph]) -> list[SamePicture]:
    """Find photographs that were sent twice.

    Parameters
    ----------
    photographs
        All the photographs of the job.

    Returns
    -------
    list of SamePicture
        Each pair once. A copy shrunk or saved again counts; two shots from the same place do not.
    """
    small = [_thumbnail(photograph.grey) for photograph in photographs]
    pairs = []
    for j, second in enumerate(photographs):
        for i, first in enumerate(photographs[:j]):
            how = _sameness(first, second, small[i], small[j])
            if how:
                pairs.append(SamePicture(first.name, second.name, how))
                break
    return pairs


def _thumbnail(grey: Grey) -> NDArray[np.float64]:
    return cv2.resize(grey, (96, 96), interpolation=cv2.INTER_AREA).astype(float)


def _sameness(first: Photograph, second: Photograph, small: NDArray[np.float64], other: NDArray[np.float64]) -> str:
    if first.digest == second.digest:
        return "the same file"
    if abs(first.width_px / first.height_px * second.height_px / second.width_px - 1.0) > 0.01:
        return ""
    # Saving again moves the mean of a thumbnail's cell by well under a grey level; another shot by many.
    if float(np.sqrt(np.mean((small - other) ** 2))) > 1.0:
        return ""
    if first.grey.shape == second.grey.shape and np.array_equal(first.grey, second.grey):
        return "the same pixels"
    return "the same shot, saved again"
