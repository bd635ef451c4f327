"""The path of a pipe between two faces: the fewest bends, and with those the shortest.

Source: `docs/methods/fitup.md`, which gives the proof that a two-bend pipe is shortest with the least straight at both
ends, and what happens where that leaves too little between the bends.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from math import ceil, floor

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.bends import bend_table
from trialfit.fitup.corners import (
    BEND_MOST_DEG,
    Bender,
    crossing,
    misses,
)
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.two_bends import SHORT_MM, most_to_spare_mm, shortest_two_bends

# A centre line this many times the distance between the faces goes a long way round: then two bends are tried even
# where one would do (assumed).
LONG_WAY = 2.5
_SAME_PLACE_MM = 0.01

Allowed = tuple[tuple[float, float], tuple[float, float]]


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


def shortest(
    start: EndFace, end: EndFace, bender: Bender, bends_most: int, allowed_deg: Allowed, what: str = "pipe"
) -> Path:
    """Find the path with the fewest bends, and with those the shortest.

    One bend that goes a long way round gives way to two that go a shorter one.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    bends_most
        The most bends allowed; paths of more than two are not sought.
    allowed_deg
        What a pipe without a bend, and one with a single bend, may miss the start's and the end's axis by. [deg]
    what
        The pipe it is about, for the refusal.

    Returns
    -------
    Path
        From face to face.

    Raises
    ------
    Refusal
        The faces are in one place, or there is no such path; then the remedy says which figure must change, to what.
    """
    if float(np.linalg.norm(end.position_mm - start.position_mm)) < _SAME_PLACE_MM:
        raise Refusal(
            f"{what} from {start.name} to {end.name}",
            "two faces in one place",
            "faces apart from each other",
            "Look at which points the two ports are given by.",
        )
    found = _sought(start, end, bender, bends_most, allowed_deg)
    if isinstance(found, Path):
        return found
    raise Refusal(
        f"{what} from {start.name} to {end.name}",
        "; ".join(found),
        f"a way with at most {min(bends_most, 2)} bends of radius {bender.radius_mm:.1f} mm, "
        f"{start.straight_mm:.1f} mm straight at {start.name}, {end.straight_mm:.1f} mm at {end.name} "
        f"and {bender.grip_mm:.1f} mm between bends",
        _remedy(start, end, bender, bends_most, allowed_deg),
    )


def _sought(start: EndFace, end: EndFace, bender: Bender, bends_most: int, allowed_deg: Allowed) -> Path | list[str]:
    """The path, or why there is none with no bend, with one, and with two."""
    reasons = []
    long_one: Path | None = None
    for bends, attempt in enumerate((_straight, _one_bend)[: bends_most + 1]):
        found = attempt(start, end, bender, allowed_deg[bends])
        if isinstance(found, Path):
            if bends_most < 2 or not _long_way(found, bender):
                return found
            long_one = found
        else:
            reasons.append(found)
    if bends_most < 2:
        return reasons
    vertices = shortest_two_bends(start, end, bender)
    if vertices is None:
        return long_one or [*reasons, _short_of_straight(start, end, bender)]
    # The corners lie on the axes by construction; what is computed otherwise is rounding.
    two = replace(_path(start, end, bender, vertices), misses_deg=(0.0, 0.0))
    return two if long_one is None or _length_mm(two, bender) < _length_mm(long_one, bender) else long_one


def _length_mm(path: Path, bender: Bender) -> float:
    return bend_table(path.vertices_mm, bender.radius_mm).centre_line_mm


def _long_way(path: Path, bender: Bender) -> bool:
    apart = float(np.linalg.norm(path.vertices_mm[-1] - path.vertices_mm[0]))
    return _length_mm(path, bender) > LONG_WAY * apart


def _path(start: EndFace, end: EndFace, bender: Bender, vertices: Array) -> Path:
    return Path(vertices, bend_table(vertices, bender.radius_mm).straights_mm, misses(start, end, vertices))


def _straight(start: EndFace, end: EndFace, bender: Bender, allowed_deg: tuple[float, float]) -> Path | str:
    path = _path(start, end, bender, np.array([start.position_mm, end.position_mm]))
    if _too_far_off(path.misses_deg, allowed_deg):
        return f"no bend: the faces are out of line by {_pair(path.misses_deg)} deg"
    wanted = start.straight_mm + end.straight_mm
    if path.straights_mm[0] < wanted - SHORT_MM:
        return f"no bend: the faces are {path.straights_mm[0]:.1f} mm apart and their straights want {wanted:.1f} mm"
    return path


def _one_bend(start: EndFace, end: EndFace, bender: Bender, allowed_deg: tuple[float, float]) -> Path | str:
    meet = crossing(start, end)
    if meet is None:
        return "one bend: the axes are parallel"
    for face, out in zip((start, end), meet.out_mm, strict=True):
        if out <= 0:
            return f"one bend: the axes pass {meet.gap_mm:.1f} mm apart, and {-out:.1f} mm behind {face.name}"
    path = _path(start, end, bender, np.array([start.position_mm, meet.corner_mm, end.position_mm]))
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


def _short_of_straight(start: EndFace, end: EndFace, bender: Bender) -> str:
    short = -most_to_spare_mm(start, end, bender)
    return (
        f"two bends: however the corners are laid, {short:.1f} mm short of the straights wanted with bends of "
        f"{BEND_MOST_DEG:.0f} deg at most"
    )


def _remedy(start: EndFace, end: EndFace, bender: Bender, bends_most: int, allowed_deg: Allowed) -> str:
    """Say which figure alone, brought down to what, would do; a figure that must fall under half is not offered."""
    now = (bender.radius_mm, bender.grip_mm, start.straight_mm, end.straight_mm)
    names = ("a bend radius of {}", "{} between bends", "{} straight at " + start.name, "{} straight at " + end.name)

    def fits(place: int, value: float) -> bool:
        radius, grip, first, last = (value if k == place else figure for k, figure in enumerate(now))
        ends = replace(start, straight_mm=first), replace(end, straight_mm=last)
        return isinstance(_sought(*ends, Bender(radius, grip), bends_most, allowed_deg), Path)

    most = [_most_that_fits(partial(fits, place), now[place]) for place in range(4)]
    ways = [name.format(f"{value:.1f} mm") for name, value in zip(names, most, strict=True) if value is not None]
    if bends_most < 2 and isinstance(_sought(start, end, bender, 2, allowed_deg), Path):
        ways.insert(0, "two bends")
    if ways:
        return f"Any one of these alone would do: {', or '.join(ways)}."
    return "No one figure cures it: bring the unions farther apart, or turn one of them."


def _most_that_fits(fits: Callable[[float], bool], now: float) -> float | None:
    """The largest tenth of a millimetre, from half of what it is now, that fits; less of any figure fits no worse."""
    low, high = ceil(now * 5), floor(now * 10)
    if high <= 0 or low > high or not fits(low / 10):
        return None
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits(middle / 10) else (low, middle - 1)
    return low / 10
