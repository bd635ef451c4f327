"""First places of parts, one resting on another, near enough for the adjustment to go on from.

Source: directions by Wahba's problem, solved by singular values; the rest is chaining of placements.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import pi

import numpy as np

from trialfit.fitup.place_ties import AxisSurveyed, Clock, Joined, PointOnAxis, PointOnFace, Tie, TurnedBy
from trialfit.fitup.records import Array
from trialfit.fitup.vectors import square_to, turned
from trialfit.parts.envelope import PortPlace
from trialfit.parts.placement import Placement

_ROLLS = 12
_APART = 1e-6
# Over this much a tie, something is far from closing; and how often each part is swung round in turn.
_CLOSED = 50.0
# What the survey may have added to a tie's own error, as far as a first place is concerned. [mm and rad]
_ROUGH = {"mm": 0.3, "rad": 0.03}
_SWEEPS = 4


def first_places(ties: Sequence[Tie], figures: Mapping[str, Array], parts: Sequence[str]) -> dict[str, Placement]:
    """Place every part that something ties to a surveyed point, straight or through other parts.

    Parameters
    ----------
    ties
        What ties them.
    figures
        (3,) each surveyed point and axis, by name. [mm, -]
    parts
        The parts, in the job's order.

    Returns
    -------
    dict
        Those that could be placed; rolls that nothing fixes are as they come.
    """
    places: dict[str, Placement] = {}
    under: dict[str, str] = {}
    waiting = list(parts)
    while waiting:
        known = {part: _pairs(part, ties, figures, places) for part in waiting}
        part = max(waiting, key=lambda each: _knowing(known[each]))
        if _knowing(known[part]) == (0, 0):
            break
        if known[part].under:
            under[part] = known[part].under
        place, is_turned = _placed(part, known[part])
        places[part] = place if is_turned else _rolled(part, place, ties, figures, places)
        waiting.remove(part)
    return _swung(places, under, ties, figures)


def _swung(
    places: dict[str, Placement], under: Mapping[str, str], ties: Sequence[Tie], figures: Mapping[str, Array]
) -> dict[str, Placement]:
    """Where joints close a loop, swing each part with all that hangs on it round its joint until it nearly closes."""
    tied = [tie for tie in ties if all(part in places for part in tie.parts)]
    least = _cost(tied, places, figures)
    if least < _CLOSED * len(tied):
        return places
    for _ in range(_SWEEPS):
        before = least
        for part in places:
            hung = _hanging(part, under)
            for tie in tied:
                for end in _ends(tie) if isinstance(tie, Joined) and part in tie.parts else ():
                    for k in range(1, _ROLLS):
                        tried = _turned_about(places, hung, end, 2 * pi * k / _ROLLS)
                        cost = _cost(tied, tried, figures)
                        if cost < least * (1 - _APART):
                            places, least = tried, cost
        if least > before * (1 - 1e-3):
            break
    return places


def _hanging(part: str, under: Mapping[str, str]) -> set[str]:
    """A part, and all that was placed from it."""
    hung = {part}
    for other, carrier in under.items():
        if carrier in hung:
            hung.add(other)
    return hung


def _turned_about(
    places: Mapping[str, Placement], moved: set[str], end: PortPlace, turn_rad: float
) -> dict[str, Placement]:
    """Turn some parts about the axis of a port, as it lies now."""
    own = places[end.port.part]
    at, way = own.points_mm(end.at_mm), own.directions(end.direction)
    spin = np.column_stack([turned(column, way, turn_rad) for column in np.eye(3)])
    return {
        part: Placement(part, "job", spin @ place.turn, spin @ (place.shift_mm - at) + at) if part in moved else place
        for part, place in places.items()
    }


class _Pairs:
    """What is known of a part in its own frame and in the job's: points, and directions."""

    def __init__(self) -> None:
        self.points: list[tuple[Array, Array]] = []
        self.ways: list[tuple[Array, Array]] = []
        self.under = ""


def _knowing(pairs: _Pairs) -> tuple[int, int]:
    """How much is known of a part, for who comes first: a direction is worth more than the line between two points."""
    if not pairs.points:
        return 0, 0
    return min(2 * len(pairs.ways) + len(pairs.points) - 1, 4) + 1, len(pairs.points)


def _pairs(part: str, ties: Sequence[Tie], figures: Mapping[str, Array], places: Mapping[str, Placement]) -> _Pairs:
    pairs = _Pairs()
    for tie in ties:
        if part not in tie.parts:
            continue
        if isinstance(tie, PointOnFace):
            pairs.points.append((tie.place.at_mm, figures[tie.point]))
        elif isinstance(tie, PointOnAxis):
            faced = next((each for each in ties if isinstance(each, PointOnFace) and each.place is tie.place), None)
            if faced is not None:
                way = figures[faced.point] - figures[tie.point]
                pairs.ways.append((tie.place.direction, way / np.linalg.norm(way)))
        elif isinstance(tie, AxisSurveyed):
            pairs.ways.append((tie.place.direction, tie.sense * figures[tie.axis]))
        elif isinstance(tie, Joined):
            own, other = (tie.a, tie.b) if tie.parts[0] == part else (tie.b, tie.a)
            under = places.get(other.port.part)
            if under is not None:
                way = under.directions(other.direction)
                pairs.points.append((own.at_mm, under.points_mm(other.at_mm) - tie.made.depth_mm * way))
                pairs.ways.append((own.direction, -way))
                pairs.under = pairs.under or other.port.part
    return pairs


def _placed(part: str, pairs: _Pairs) -> tuple[Placement, bool]:
    """A first place of a part, and whether its roll is known."""
    own_points, there = (np.array([pair[k] for pair in pairs.points]) for k in (0, 1))
    own = list(pairs.ways)
    for k in range(1, len(own_points)):
        one, other = own_points[k] - own_points[0], there[k] - there[0]
        if np.linalg.norm(one) > 1.0 and np.linalg.norm(other) > 1.0:
            own.append((one / np.linalg.norm(one), other / np.linalg.norm(other)))
    seen = [pair[1] for pair in own]
    mine = [pair[0] for pair in own]
    if not mine:
        return Placement(part, "job", np.eye(3), there[0] - own_points[0]), False
    is_turned = bool(np.linalg.matrix_rank(np.array(mine), tol=0.2) > 1)
    if not is_turned:
        mine.append(square_to(mine[0]))
        seen.append(square_to(seen[0]))
    turn = _wahba(np.array(mine), np.array(seen))
    return Placement(part, "job", turn, (there - own_points @ turn.T).mean(axis=0)), is_turned


def _wahba(own: Array, seen: Array) -> Array:
    """The rotation that brings directions nearest to those seen."""
    u, _, vt = np.linalg.svd(seen.T @ own)
    return np.asarray(u @ np.diag([1.0, 1.0, float(np.sign(np.linalg.det(u @ vt)))]) @ vt)


def _rolled(
    part: str,
    place: Placement,
    ties: Sequence[Tie],
    figures: Mapping[str, Array],
    places: Mapping[str, Placement],
) -> Placement:
    """Turn a part about the axis of each of its joints to where everything already placed agrees with it best."""
    tied = [tie for tie in ties if part in tie.parts and all(each == part or each in places for each in tie.parts)]
    if len(tied) < 2:
        return place
    best, least = place, _cost(tied, {**places, part: place}, figures)
    for end in (end for tie in tied for end in _ends(tie) if end.port.part == part):
        for k in range(1, _ROLLS):
            tried = _turned_about({**places, part: place}, {part}, end, 2 * pi * k / _ROLLS)
            cost = _cost(tied, tried, figures)
            if cost < least * (1 - _APART) - _APART:
                best, least = tried[part], cost
    return best


def _ends(tie: Tie) -> tuple[PortPlace, ...]:
    if isinstance(tie, Joined | TurnedBy):
        return (tie.a, tie.b)
    return (tie.axis,) if isinstance(tie, Clock) else (tie.place,)


def _cost(ties: Sequence[Tie], places: Mapping[str, Placement], figures: Mapping[str, Array]) -> float:
    total = 0.0
    for tie in ties:
        rows = tie.rows(places, figures)
        rough = np.array([_ROUGH[unit] for unit in rows.units])
        total += float(np.sum((rows.off / (rows.own_sigma + rough)) ** 2))
    return total
