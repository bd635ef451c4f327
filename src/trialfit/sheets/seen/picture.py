"""A picture of things: shaded, with their edges drawn, what a step is about strong and the rest light.

Told apart by weight of line and by grey, never by colour, so that a black and white printer loses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.sheets.seen.eye import Eye
from trialfit.sheets.seen.meshes import Mesh
from trialfit.sheets.seen.raster import NOTHING, Buffer, raster, which_seen

Grey = NDArray[np.uint8]

# Pixels a side that each pixel of the finished picture is drawn with.
OVER = 2
_EDGE_COS = 0.86
_STEP_MM = 1.5


class Weight(IntEnum):
    """How strongly a thing is drawn."""

    LIGHT = 0
    PLAIN = 1
    STRONG = 2
    ARROW = 3


# Darkest and lightest grey of each, and the grey of its lines.
_TONES = {
    Weight.LIGHT: (0.80, 1.0, 0.55),
    Weight.PLAIN: (0.62, 0.92, 0.30),
    Weight.STRONG: (0.22, 0.66, 0.0),
    Weight.ARROW: (0.0, 0.0, 0.0),
}
# Thickness of lines in the finished picture. [px]
_LINES_PX = {Weight.LIGHT: 1.0, Weight.PLAIN: 1.5, Weight.STRONG: 3.0}


@dataclass(frozen=True, eq=False)
class Shown:
    """A thing in a picture.

    Parameters
    ----------
    name
        Its name.
    mesh
        Its skin.
    weight
        How strongly it is drawn.
    """

    name: str
    mesh: Mesh
    weight: Weight = Weight.LIGHT


def picture_of(shown: Sequence[Shown], eye: Eye) -> Grey:
    """Draw things.

    Parameters
    ----------
    shown
        What there is; arrows are drawn over everything but what is strong and nearer.
    eye
        From where, and how large the picture is.

    Returns
    -------
    NDArray
        (height, width) grey, white where there is nothing. [-]
    """
    fine = eye.enlarged(OVER)
    things = [each for each in shown if each.weight is not Weight.ARROW]
    buffer = raster([each.mesh for each in things], fine)
    weights = np.array([each.weight for each in things] or [Weight.LIGHT])
    tones = _shaded(buffer, weights, eye)
    tones = _lined(tones, buffer, weights)
    arrows = [each.mesh for each in shown if each.weight is Weight.ARROW]
    if arrows:
        tones = _with_arrows(tones, raster(arrows, fine), buffer, weights)
    small = cv2.resize(tones, eye.size_px, interpolation=cv2.INTER_AREA)
    return np.asarray(np.clip(small * 255.0 + 0.5, 0, 255), dtype=np.uint8)


def share_seen(shown: Sequence[Shown], name: str, eye: Eye) -> float:
    """How much of a thing is not hidden by others.

    Parameters
    ----------
    shown
        What there is.
    name
        Which of them.
    eye
        From where; a small picture will do.

    Returns
    -------
    float
        From 0, hidden, to 1. [-]
    """
    own = [place for place, each in enumerate(shown) if each.name == name]
    whole = int((which_seen([shown[place].mesh for place in own], eye) != NOTHING).sum())
    if not whole:
        return 0.0
    return float(np.isin(which_seen([each.mesh for each in shown], eye), own).sum()) / whole


def png(picture: Grey) -> bytes:
    """Write a picture as a file.

    Parameters
    ----------
    picture
        (height, width) grey, or (height, width, 3) red, green, blue. [-]

    Returns
    -------
    bytes
        PNG; the same picture gives the same bytes.
    """
    ready = picture if picture.ndim == 2 else picture[:, :, ::-1]
    # A photograph hardly shrinks further, however long one tries.
    effort = 6 if picture.ndim == 2 else 2
    _, content = cv2.imencode(".png", ready, [cv2.IMWRITE_PNG_COMPRESSION, effort])
    return content.tobytes()


def jpeg(picture: Grey, quality: int = 82) -> bytes:
    """Write a photograph as a file.

    Parameters
    ----------
    picture
        (height, width) grey, or (height, width, 3) red, green, blue. [-]
    quality
        From 1 to 100. [-]

    Returns
    -------
    bytes
        JPEG; the same picture gives the same bytes.
    """
    ready = picture if picture.ndim == 2 else picture[:, :, ::-1]
    _, content = cv2.imencode(".jpg", ready, [cv2.IMWRITE_JPEG_QUALITY, quality])
    return content.tobytes()


def _shaded(buffer: Buffer, weights: NDArray[np.int64], eye: Eye) -> NDArray[np.float32]:
    right, down, forward = eye.turn
    light = -forward - 0.5 * right - 0.8 * down
    light = (light / np.linalg.norm(light)).astype(np.float32)
    share = np.clip(buffer.normals @ light, 0.0, 1.0)
    levels = np.array([_TONES[Weight(weight)][:2] for weight in weights], dtype=np.float32)
    dark, bright = levels[:, 0][buffer.which], levels[:, 1][buffer.which]
    return np.asarray(np.where(buffer.which == NOTHING, 1.0, dark + (bright - dark) * share), dtype=np.float32)


def _lined(tones: NDArray[np.float32], buffer: Buffer, weights: NDArray[np.int64]) -> NDArray[np.float32]:
    edges = _edges(buffer)
    level = np.where(buffer.which == NOTHING, -1, weights[buffer.which])
    # An outline belongs to the stronger of the two things that meet there.
    around = cv2.dilate(level.astype(np.int16), np.ones((3, 3), np.uint8)).astype(int)
    for weight in (Weight.LIGHT, Weight.PLAIN, Weight.STRONG):
        mask = (edges & (around == weight)).astype(np.uint8)
        if not mask.any():
            continue
        wide = max(1, round(_LINES_PX[weight] * OVER))
        kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (wide, wide))
        tones = np.where(cv2.dilate(mask, kernel) > 0, np.float32(_TONES[weight][2]), tones)
    return tones


def _edges(buffer: Buffer) -> NDArray[np.bool_]:
    found = np.zeros(buffer.which.shape, dtype=bool)
    depth = np.where(np.isfinite(buffer.depth_mm), buffer.depth_mm, 0.0)
    for axis in (0, 1):
        one, two = _pair(axis)
        same = buffer.which[one] == buffer.which[two]
        facing = sum(buffer.normals[one][..., k] * buffer.normals[two][..., k] for k in range(3))
        jump = ~same | ((facing < _EDGE_COS) & (buffer.which[one] != NOTHING))
        found[one] |= jump
        before, middle, after = _three(axis)
        bent = np.abs(depth[before] - 2 * depth[middle] + depth[after]) > _STEP_MM
        found[middle] |= bent & (buffer.which[before] == buffer.which[middle]) & (
            buffer.which[after] == buffer.which[middle]
        )  # fmt: skip
    return found


def _pair(axis: int) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
    whole, near, far = slice(None), slice(None, -1), slice(1, None)
    return ((near, whole), (far, whole)) if axis == 0 else ((whole, near), (whole, far))


def _three(axis: int) -> tuple[tuple[slice, slice], ...]:
    whole, parts = slice(None), (slice(None, -2), slice(1, -1), slice(2, None))
    return tuple((part, whole) if axis == 0 else (whole, part) for part in parts)


def _with_arrows(
    tones: NDArray[np.float32], arrows: Buffer, buffer: Buffer, weights: NDArray[np.int64]
) -> NDArray[np.float32]:
    strong = (buffer.which != NOTHING) & (weights[buffer.which] == Weight.STRONG)
    over = (arrows.which != NOTHING) & ~(strong & (buffer.depth_mm < arrows.depth_mm))
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * OVER + 3, 2 * OVER + 3))
    halo = cv2.dilate(over.astype(np.uint8), kernel) > 0
    return np.asarray(np.where(over, 0.0, np.where(halo, 1.0, tones)), dtype=np.float32)
