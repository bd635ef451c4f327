"""First places of parts, one resting on another, near enough for the adjustment to go on from.

Source: directions by Wahba's problem, solved by singular values; the rest is chaining of placements.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from math import pi

import numpy as np

from trialfit.fitup.place_rolls import Clock, TurnedBy
from trialfit.fitup.place_ties import AxisSurveyed, Joined, PointOnAxis, PointOnFace, Tie
from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross, square_to, turned
from trialfit.parts.envelope import PortPlace
from trialfit.parts.placement import Placement

_ROLLS = 12
_APART = 1e-6
# Over this much a tie, something is far from closing; and how often each part is swung round in turn.
_CLOSED = 50.0
# What the survey may have added to a tie's own error, as far as a first place is concerned. [mm and rad]
_ROUGH = {"mm": 0.3, "rad": 0.03}
_SWEEPS = 4
# Points nearer than this give no line, and directions with less of an angle between them no roll.
_SPREAD_MM = 1.0
_LEAST_SINE = 0.2


def first_places(
    ties: Sequence[Tie], figures: Mapping[str, Array], parts: Sequence[str], round_ones: Set[str]
) -> dict[str, Placement]:
    """Place every part that something ties to a surveyed point, straight or through other parts.

    Parameters
    ----------
    ties
        What ties them.
    figures
        (3,) each surveyed point and axis, by name. [mm, -]
    parts
        The parts, in the job's order.
    round_ones
        Those whose roll about their own axis is all one.

    Returns
    -------
    dict
        Those that could be placed; rolls that nothing fixes are as they come.
    """
    of_part = {part: [tie for tie in ties if part in tie.parts] for part in parts}
    places: dict[str, Placement] = {}
    under: dict[str, str] = {}
    rolls_free: list[str] = []
    known = {part: _pairs(part, of_part[part], figures, places) for part in parts}
    while known:
        part = max(known, key=lambda each: _knowing(known[each], each in round_ones))
        pairs = known.pop(part)
        if not pairs.points:
            break
        if pairs.under:
            under[part] = pairs.under
        place = _placed(part, pairs)
        if pairs.rank < 2 and part not in round_ones:
            rolls_free.append(part)
            place = _rolled(part, place, of_part[part], figures, places)
        places[part] = place
        for other in {each for tie in of_part[part] for each in tie.parts} & set(known):
            known[other] = _pairs(other, of_part[other], figures, places)
    return _swung(places, under, rolls_free, ties, figures)


def _swung(
    places: dict[str, Placement],
    under: Mapping[str, str],
    rolls_free: Sequence[str],
    ties: Sequence[Tie],
    figures: Mapping[str, Array],
) -> dict[str, Placement]:
    """Where joints close a loop, swing each part with all that hangs on it round its joint until it nearly closes."""
    tied = [tie for tie in ties if all(part in places for part in tie.parts)]
    if not rolls_free or _cost(tied, places, figures) < _CLOSED * len(tied):
        return places
    for _ in range(_SWEEPS):
        moved = False
        for part in rolls_free:
            hung = _hanging(part, under)
            # What lies wholly in what is swung, or wholly outside, is not changed by it.
            across = [tie for tie in tied if not hung.isdisjoint(tie.parts) and not _inside(tie, hung)]
            least = _cost(across, places, figures)
            for end in [end for tie in tied if isinstance(tie, Joined) for end in _ends(tie) if end.port.part == part]:
                for k in range(1, _ROLLS):
                    tried = _turned_about(places, hung, end, 2 * pi * k / _ROLLS)
                    cost = _cost(across, tried, figures)
                    if cost < least * (1 - _APART):
                        places, least, moved = tried, cost, True
        if not moved:
            break
    return places


def _inside(tie: Tie, hung: set[str]) -> bool:
    return isinstance(tie, Joined | TurnedBy) and hung.issuperset(tie.parts)


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

    def all_ways(self) -> list[tuple[Array, Array]]:
        """The directions, and the lines between points."""
        found = list(self.ways)
        for own, there in self.points[1:]:
            one, other = own - self.points[0][0], there - self.points[0][1]
            if np.linalg.norm(one) > _SPREAD_MM and np.linalg.norm(other) > _SPREAD_MM:
                found.append((one / np.linalg.norm(one), other / np.linalg.norm(other)))
        return found

    @property
    def rank(self) -> int:
        """0 where nothing tells which way it points, 1 where its roll about one direction is free, else 2."""
        ways = [own for own, _ in self.all_ways()]
        if not ways:
            return 0
        return 2 if any(float(np.linalg.norm(cross(ways[0], way))) > _LEAST_SINE for way in ways[1:]) else 1


def _knowing(pairs: _Pairs, is_round: bool) -> tuple[int, int, int]:
    """How much is known of a part, for who comes first; a roll that is all one wants no knowing."""
    if not pairs.points:
        return 0, 0, 0
    rank = pairs.rank
    level = 3 if rank == 2 or (rank == 1 and is_round) else rank + 1
    return level, len(pairs.ways), len(pairs.points)


def _pairs(part: str, ties: Sequence[Tie], figures: Mapping[str, Array], places: Mapping[str, Placement]) -> _Pairs:
    pairs = _Pairs()
    for tie in ties:
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


def _placed(part: str, pairs: _Pairs) -> Placement:
    own_points, there = (np.array([pair[k] for pair in pairs.points]) for k in (0, 1))
    ways = pairs.all_ways()
    if not ways:
        return Placement(part, "job", np.eye(3), there[0] - own_points[0])
    if pairs.rank < 2:
        ways.append((square_to(ways[0][0]), square_to(ways[0][1])))
    turn = _wahba(np.array([own for own, _ in ways]), np.array([seen for _, seen in ways]))
    return Placement(part, "job", turn, (there - own_points @ turn.T).mean(axis=0))


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
    tied = [tie for tie in ties if all(each == part or each in places for each in tie.parts)]
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
