"""New things drawn over the owner's own photograph by its surveyed camera, so that one sees whether it is right.

What is new is drawn as if nothing stood before it: a pipe that would pass through something is seen doing so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.parts.placement import Array
from trialfit.sheets.seen.corridor import aside_k2_px
from trialfit.sheets.seen.eye import Eye
from trialfit.sheets.seen.meshes import Mesh
from trialfit.sheets.seen.raster import NOTHING, raster

Colour = NDArray[np.uint8]

_FILL = np.array([255.0, 214.0, 0.0])
_SHARE = 0.55
_DASH_PX = 9


@dataclass(frozen=True, eq=False)
class Corridor:
    """A pipe's centre line with what is not known of it.

    Parameters
    ----------
    line_mm
        (n, 3) points along it. [mm]
    spread_mm2
        (n, 3, 3) covariance of each. [mm2]
    radius_mm
        Half its outside diameter. [mm]
    """

    line_mm: Array
    spread_mm2: Array
    radius_mm: float


def drawn_over(
    photograph: NDArray[np.uint8],
    eye: Eye,
    meshes: Sequence[Mesh],
    corridors: Sequence[Corridor] = (),
    marked_mm: Sequence[tuple[str, Array]] = (),
    arrows: Sequence[Mesh] = (),
) -> Colour:
    """Draw new things over a photograph.

    Parameters
    ----------
    photograph
        (height, width) grey or (height, width, 3) red, green, blue. [-]
    eye
        Its camera; its picture has that size.
    meshes
        Skins of what is new, in the job frame.
    corridors
        Pipes whose k = 2 is drawn as dashed lines on either side.
    marked_mm
        Letters to be set beside points, each with (3,) its point. [mm]
    arrows
        Skins of arrows, drawn black with a white edge over everything.

    Returns
    -------
    NDArray
        (height, width, 3) red, green, blue. [-]
    """
    base = photograph if photograph.ndim == 3 else np.repeat(photograph[:, :, None], 3, axis=2)
    buffer = raster(list(meshes), eye)
    mask = buffer.which != NOTHING
    facing = np.abs(buffer.normals[mask] @ eye.turn[2].astype(np.float32))
    out = np.array(base)
    out[mask] = (base[mask] * (1.0 - _SHARE) + _SHARE * _FILL * (0.55 + 0.45 * facing)[:, None]).astype(np.uint8)
    thick = max(2, round(max(eye.size_px) / 600))
    out = _outlined(out, buffer.which, thick)
    for corridor in corridors:
        _dashed(out, corridor, eye, thick)
    if arrows:
        _arrowed(out, raster(list(arrows), eye, both_sides=True).which != NOTHING, thick)
    for letter, point in marked_mm:
        _lettered(out, letter, point, eye, thick)
    return out


def scaled_photograph(photograph: NDArray[np.uint8], eye: Eye, long_side_px: int) -> tuple[NDArray[np.uint8], Eye]:
    """A photograph and its camera made smaller.

    Parameters
    ----------
    photograph
        (height, width) or (height, width, 3). [-]
    eye
        Its camera.
    long_side_px
        Longest side wanted; never enlarged. [px]

    Returns
    -------
    tuple
        The smaller photograph, and the camera that sees it so.
    """
    high, wide = photograph.shape[:2]
    times = min(1.0, long_side_px / max(high, wide))
    if times == 1.0:
        return photograph, eye
    smaller = eye.enlarged(times)
    small = cv2.resize(photograph, smaller.size_px, interpolation=cv2.INTER_AREA)
    return np.asarray(small, dtype=np.uint8), smaller


def cut_round(
    photograph: NDArray[np.uint8], eye: Eye, points_mm: Array, margin: float = 0.45, shape: float = 1.55
) -> tuple[NDArray[np.uint8], Eye]:
    """The part of a photograph that shows some points, with what is round them.

    Parameters
    ----------
    photograph
        (height, width) or (height, width, 3). [-]
    eye
        Its camera.
    points_mm
        (n, 3) what must be in it. [mm]
    margin
        How much more on each side, in sizes of what must be in it. [-]
    shape
        Width over height. [-]

    Returns
    -------
    tuple
        The part, and the camera that sees it so.
    """
    high, wide = photograph.shape[:2]
    px, _ = eye.seen(points_mm)
    px = px[np.isfinite(px).all(axis=1)]
    low, top = px.min(axis=0), px.max(axis=0)
    size = np.maximum((top - low) * (1 + 2 * margin), 40.0)
    size = np.array([max(size[0], shape * size[1]), max(size[1], size[0] / shape)])
    size = np.minimum(np.floor(size), [wide, high])
    corner = np.clip(np.round((low + top) / 2 - size / 2), 0, [wide - size[0], high - size[1]])
    left, upper, across, down = (int(each) for each in (*corner, *size))
    part = photograph[upper : upper + down, left : left + across]
    return part, eye.enlarged(1.0, left, upper).cut((across, down))


def share_in_sight(points_mm: Array, eye: Eye) -> float:
    """How many of some points fall into a picture.

    Parameters
    ----------
    points_mm
        (n, 3) points. [mm]
    eye
        The camera.

    Returns
    -------
    float
        From 0, none, to 1. [-]
    """
    px, _ = eye.seen(points_mm)
    with np.errstate(invalid="ignore"):
        inside = ((px >= 0) & (px <= np.array(eye.size_px) - 1)).all(axis=1)
    return float(inside.mean())


def _outlined(out: Colour, which: NDArray[np.int32], thick: int) -> Colour:
    edge = np.zeros(which.shape, dtype=np.uint8)
    edge[:, :-1] |= which[:, 1:] != which[:, :-1]
    edge[:-1] |= which[1:] != which[:-1]
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * thick - 1, 2 * thick - 1))
    out[cv2.dilate(edge, kernel) > 0] = 0
    return out


def _dashed(out: Colour, corridor: Corridor, eye: Eye, thick: int) -> None:
    px, across, k2_px = aside_k2_px(corridor.line_mm, corridor.spread_mm2, eye)
    _, depth = eye.seen(corridor.line_mm)
    aside = corridor.radius_mm * eye.focal_px / depth + k2_px
    for sign in (-1.0, 1.0):
        line = px + sign * aside[:, None] * across
        line = line[np.isfinite(line).all(axis=1)]
        if len(line) < 2:
            continue
        at = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
        dash = _DASH_PX * thick
        for begin in np.arange(0.0, at[-1], 2 * dash):
            share = np.linspace(begin, min(begin + dash, at[-1]), 5)
            piece = np.column_stack([np.interp(share, at, line[:, k]) for k in range(2)])
            points = [np.round(piece * 16).astype(np.int32)]
            cv2.polylines(out, points, False, (255, 255, 255), thick + 1, cv2.LINE_AA, 4)


def _arrowed(out: Colour, mask: NDArray[np.bool_], thick: int) -> None:
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * thick + 3, 2 * thick + 3))
    out[cv2.dilate(mask.astype(np.uint8), kernel) > 0] = 255
    out[mask] = 0


def _lettered(out: Colour, letter: str, point: Array, eye: Eye, thick: int) -> None:
    px, _ = eye.seen(point[None])
    if not np.isfinite(px).all():
        return
    centre = (round(float(px[0, 0])), round(float(px[0, 1])))
    half, away = 6 * thick, 16 * thick
    for colour, wide in (((255, 255, 255), thick + 2), ((0, 0, 0), thick)):
        cv2.drawMarker(out, centre, colour, cv2.MARKER_CROSS, 2 * half, wide)
    wide = out.shape[1]
    disc = (
        centre[0] + (away if centre[0] + 2 * away < wide else -away),
        centre[1] - (away if centre[1] > 2 * away else -away),
    )
    cv2.circle(out, disc, 11 * thick, (0, 0, 0), -1, cv2.LINE_AA)
    cv2.circle(out, disc, 10 * thick, (255, 255, 255), -1, cv2.LINE_AA)
    size, face = 0.5 * thick, cv2.FONT_HERSHEY_SIMPLEX
    (across, tall), _ = cv2.getTextSize(letter, face, size, thick)
    cv2.putText(out, letter, (disc[0] - across // 2, disc[1] + tall // 2), face, size, (0, 0, 0), thick, cv2.LINE_AA)
