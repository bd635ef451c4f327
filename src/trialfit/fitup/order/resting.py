"""What touches at rest: joints by intention, things that lean on each other, and faults of what was put in.

Source: depth of overlap as the shortest way out of each other over many directions; never too little.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trialfit.fitup.order.apart import Forms, Places, apart, forms
from trialfit.fitup.order.loose import Stand
from trialfit.fitup.order.sweep import TOUCH_MM
from trialfit.parts.placement import Array

# Unfixed pieces that overlap by no more than this only lean on each other, as far as a survey can tell. [mm]
LEANS_MM = 0.5
_WAYS_OUT = 96
_NARROWER = (0.15, 0.07, 0.03, 0.015, 0.007, 0.003)


@dataclass(frozen=True, eq=False)
class Overlap:
    """Two things that touch at rest and are not fixed together.

    Parameters
    ----------
    one, other
        The things.
    pieces
        Their pieces that touch.
    deep_mm
        How deep, at least roughly; 0 for mere touching. [mm]
    """

    one: str
    other: str
    pieces: tuple[str, str]
    deep_mm: float


@dataclass(frozen=True, eq=False)
class Resting:
    """All that touches at rest in one stand.

    Parameters
    ----------
    deep_mm
        How deep, by thing, piece, other thing, other piece; both ways round. [mm]
    fixed
        Pairs of things that are fixed together; both ways round.
    overlaps
        What touches and is not fixed together.
    """

    deep_mm: Mapping[tuple[str, str, str, str], float]
    fixed: frozenset[tuple[str, str]]
    overlaps: tuple[Overlap, ...]

    def meant(self, one: str, other: str) -> bool:
        """Whether two things touch by intention.

        Parameters
        ----------
        one, other
            The things.

        Returns
        -------
        bool
            True where a joint holds them together.
        """
        return (one, other) in self.fixed


def resting(stand: Stand) -> Resting:
    """Find what touches at rest.

    Parameters
    ----------
    stand
        Everything in place.

    Returns
    -------
    Resting
        Pieces of what comes off in one do not count against each other.
    """
    owners = stand.owners
    fixed = {(thing, mate) for each in stand.loose for thing in each.things for mate in each.mates}
    fixed |= {(mate, thing) for thing, mate in fixed}
    pieces = [(thing, piece) for thing in stand.scene.things for piece in thing.pieces]
    every = forms(piece.solid for _, piece in pieces)
    first, second = _near_pairs(every)
    deep: dict[tuple[str, str, str, str], float] = {}
    worst: dict[tuple[str, str], Overlap] = {}
    kept = [
        k for k, (a, b) in enumerate(zip(first.tolist(), second.tolist(), strict=True))
        if _counts(owners, pieces[a][0].name, pieces[b][0].name)
    ]  # fmt: skip
    first, second = first[kept], second[kept]
    # A half space can only stand second.
    swapped = every.flat[first]
    first, second = np.where(swapped, second, first), np.where(swapped, first, second)
    one, other = every.chosen(first), every.chosen(second)
    found = apart(one, other, TOUCH_MM, TOUCH_MM)
    for k in np.flatnonzero(found.most_mm <= TOUCH_MM):
        (a, piece), (b, against) = pieces[first[k]], pieces[second[k]]
        how = deep_mm(one.chosen(np.array([k])), other.chosen(np.array([k])))
        deep[a.name, piece.name, b.name, against.name] = deep[b.name, against.name, a.name, piece.name] = how
        if (a.name, b.name) not in fixed and ((a.name, b.name) not in worst or how > worst[a.name, b.name].deep_mm):
            worst[a.name, b.name] = Overlap(a.name, b.name, (piece.name, against.name), how)
    return Resting(deep, frozenset(fixed), tuple(worst.values()))


def deep_mm(one: Forms, other: Forms) -> float:
    """How deep one solid stands in another: the shortest way out of each other.

    Parameters
    ----------
    one, other
        One solid each. [mm]

    Returns
    -------
    float
        Never too little; narrowed down from the best of many directions. [mm]
    """
    if other.flat[0]:
        return max(0.0, float(_way_out(one, other, other.axis)[0]))
    between = one.middle_mm - other.middle_mm
    size = float(np.linalg.norm(between))
    ways = np.vstack([_directions(), _own_ways(one), _own_ways(other), between / size if size > 0 else between[:0]])
    deep = _way_out(one, other, ways)
    best, least = ways[np.argmin(deep)], float(deep.min())
    for spread in _NARROWER:
        ways = best + spread * _directions()
        ways /= np.linalg.norm(ways, axis=1)[:, None]
        deep = _way_out(one, other, ways)
        if deep.min() < least:
            best, least = ways[np.argmin(deep)], float(deep.min())
    return max(0.0, least)


def _way_out(one: Forms, other: Forms, ways: Array) -> Array:
    """How far the first has to go in each direction until a plane square to it stands between the two."""
    many = np.zeros(len(ways), dtype=np.intp)
    one, other = one.chosen(many), other.chosen(many)
    far = other.middle_mm if other.flat[0] else other.farthest_mm(ways)
    near = np.sum((one.farthest_mm(-ways) - far) * ways, axis=1)
    return np.asarray(one.ball_mm + other.ball_mm - near)


def _counts(owners: Mapping[str, str], one: str, other: str) -> bool:
    mine, theirs = owners.get(one), owners.get(other)
    return one != other and mine != theirs


def _near_pairs(every: Forms) -> tuple[Places, Places]:
    """Pairs whose balls meet; a half space meets what reaches its plane."""
    first, second = np.triu_indices(len(every), 1)
    between = every.middle_mm[second] - every.middle_mm[first]
    reach = np.where(every.flat, 0.0, every.reach_mm())
    room = np.linalg.norm(between, axis=1) - reach[first] - reach[second]
    for flat, solid, sign in ((first, second, 1.0), (second, first, -1.0)):
        high = sign * np.sum(between * every.axis[flat], axis=1) - reach[solid]
        room = np.where(every.flat[flat], high, room)
    near = (room <= TOUCH_MM) & ~(every.flat[first] & every.flat[second])
    return first[near], second[near]


def _own_ways(one: Forms) -> Array:
    """The directions of its own edges and axis, either way: mostly the shortest way out is one of them."""
    edges = np.vstack([one.edges_mm[0], one.axis])
    size = np.linalg.norm(edges, axis=1)
    ways = edges[size > 0] / size[size > 0][:, None]
    return np.vstack([ways, -ways])


def _directions() -> Array:
    """Directions spread evenly over the sphere, by the golden angle."""
    k = np.arange(_WAYS_OUT) + 0.5
    height, angle = 1 - 2 * k / _WAYS_OUT, np.pi * (1 + 5**0.5) * k
    across = np.sqrt(1 - height**2)
    return np.column_stack([across * np.cos(angle), across * np.sin(angle), height])
