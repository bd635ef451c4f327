"""What becomes of a pipe with no bend and with one, and why there is none: nothing round it counted.

Source: `docs/methods/fitup.md`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.bends import bend_table
from trialfit.fitup.corners import BEND_MOST_DEG, Bender, crossing, misses
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.two_bends import SHORT_MM, most_to_spare_mm


@dataclass(frozen=True)
class Path:
    """A way from one face to the other that can be bent.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]
    straights_mm
        k + 1 straights left when the corners are rounded, in order. [mm]
    misses_deg
        Angles by which its ends miss the axes of the start and end face. [deg]
    """

    vertices_mm: Array
    straights_mm: tuple[float, ...]
    misses_deg: tuple[float, float]


def path_of(start: EndFace, end: EndFace, bender: Bender, vertices_mm: Array) -> Path:
    """A way from its corners.

    Parameters
    ----------
    start, end
        The two faces.
    bender
        Its radius.
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]

    Returns
    -------
    Path
        With the straights left and the angles it misses by.
    """
    straights = bend_table(vertices_mm, bender.radius_mm).straights_mm
    return Path(vertices_mm, straights, misses(start, end, vertices_mm))


def no_bend(start: EndFace, end: EndFace, bender: Bender, allowed_deg: tuple[float, float]) -> Path | str:
    """The straight pipe, or why there is none.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    allowed_deg
        What it may miss the start's and the end's axis by. [deg]

    Returns
    -------
    Path or str
        The reason is a clause.
    """
    path = path_of(start, end, bender, np.array([start.position_mm, end.position_mm]))
    if _too_far_off(path.misses_deg, allowed_deg):
        return f"no bend: the faces are out of line by {_pair(path.misses_deg)} deg"
    wanted = start.straight_mm + end.straight_mm
    if path.straights_mm[0] < wanted - SHORT_MM:
        return f"no bend: the faces are {path.straights_mm[0]:.1f} mm apart and their straights want {wanted:.1f} mm"
    return path


def one_bend(start: EndFace, end: EndFace, bender: Bender, allowed_deg: tuple[float, float]) -> Path | str:
    """The pipe with one bend, or why there is none.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    allowed_deg
        What it may miss the start's and the end's axis by. [deg]

    Returns
    -------
    Path or str
        The reason is a clause.
    """
    meet = crossing(start, end)
    if meet is None:
        return "one bend: the axes are parallel"
    for face, out in zip((start, end), meet.out_mm, strict=True):
        if out <= 0:
            return f"one bend: the axes pass {meet.gap_mm:.1f} mm apart, and {-out:.1f} mm behind {face.name}"
    path = path_of(start, end, bender, np.array([start.position_mm, meet.corner_mm, end.position_mm]))
    angle = bend_table(path.vertices_mm, bender.radius_mm).lines[0].angle_deg
    if angle > BEND_MOST_DEG:
        return f"one bend: it would be of {angle:.0f} deg, and {BEND_MOST_DEG:.0f} is the most that is laid out"
    if _too_far_off(path.misses_deg, allowed_deg):
        return f"one bend: the axes pass {meet.gap_mm:.1f} mm apart, {_pair(path.misses_deg)} deg at the unions"
    for face, straight in zip((start, end), path.straights_mm, strict=True):
        if straight < face.straight_mm - SHORT_MM:
            return (
                f"one bend: it leaves {straight:.1f} mm straight at {face.name} and {face.straight_mm:.1f} mm is wanted"
            )
    return path


def _too_far_off(misses_deg: tuple[float, float], allowed_deg: tuple[float, float]) -> bool:
    return any(miss > allowed for miss, allowed in zip(misses_deg, allowed_deg, strict=True))


def _pair(angles_deg: tuple[float, float]) -> str:
    return f"{angles_deg[0]:.1f} and {angles_deg[1]:.1f}"


def short_of_straight(start: EndFace, end: EndFace, bender: Bender) -> str:
    """Why there is no pipe with two bends.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.

    Returns
    -------
    str
        A clause.
    """
    short = -most_to_spare_mm(start, end, bender)
    return (
        f"two bends: however the corners are laid, {short:.1f} mm short of the straights wanted with bends of "
        f"{BEND_MOST_DEG:.0f} deg at most"
    )
