"""What touches at rest: joints by intention, things that lean on each other, and faults of what was put in.

Source: depth of overlap as the shortest way out of each other over many directions; never too little.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

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
        How deep, by thing, place of its piece among its room, other thing, place of its piece; both ways round. [mm]
    fixed
        Pairs of things that are fixed together; both ways round.
    overlaps
        What touches and is not fixed together, whichever way round each stands.
    """

    deep_mm: Mapping[tuple[str, int, str, int], float]
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
    pieces = [(thing, place, piece) for thing in stand.scene.things for place, piece in enumerate(thing.room)]
    every = forms(piece.solid for *_, piece in pieces)
    first, second = _near_pairs(every)
    deep: dict[tuple[str, int, str, int], float] = {}
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
    touch = np.flatnonzero(apart(one, other, TOUCH_MM, TOUCH_MM).most_mm <= TOUCH_MM)
    for k, how in zip(touch, deep_mm(one.chosen(touch), other.chosen(touch)).tolist(), strict=True):
        (a, own, piece), (b, its, against) = pieces[first[k]], pieces[second[k]]
        deep[a.name, own, b.name, its] = deep[b.name, its, a.name, own] = how
        if (a.name, b.name) in fixed or piece.all_round or against.all_round:
            continue
        if (a.name, b.name) not in worst or how > worst[a.name, b.name].deep_mm:
            worst[a.name, b.name] = Overlap(a.name, b.name, (piece.name, against.name), how)
    return Resting(deep, frozenset(fixed), tuple(worst.values()))


def deep_mm(one: Forms, other: Forms) -> Array:
    """How deep the solids of each pair stand in each other: the shortest way out.

    Parameters
    ----------
    one, other
        n solids each, those of the first no half spaces. [mm]

    Returns
    -------
    Array
        (n,) never too little; narrowed down from the best of many directions. [mm]
    """
    deep, solid = np.zeros(len(one)), np.flatnonzero(~other.flat)
    flat = np.flatnonzero(other.flat)
    deep[flat] = _ways_out(one.chosen(flat), other.chosen(flat), other.axis[flat][:, None])[:, 0]
    one, other = one.chosen(solid), other.chosen(solid)
    spread_evenly, rows = _directions(), np.arange(len(solid))
    everywhere = np.broadcast_to(spread_evenly, (len(solid), *spread_evenly.shape))
    between = _units((one.middle_mm - other.middle_mm)[:, None])
    ways = np.concatenate([everywhere, _own_ways(one), _own_ways(other), between], axis=1)
    best, least = np.zeros((len(solid), 3)), np.full(len(solid), np.inf)
    for spread in (None, *_NARROWER):
        if spread is not None:
            ways = _units(best[:, None] + spread * spread_evenly)
        out = _ways_out(one, other, ways)
        which = np.argmin(out, axis=1)
        better = out[rows, which] < least
        best = np.where(better[:, None], ways[rows, which], best)
        least = np.where(better, out[rows, which], least)
    deep[solid] = least
    return np.maximum(deep, 0.0)


def _ways_out(one: Forms, other: Forms, ways: Array) -> Array:
    """(n, m) how far the first has to go in each of (n, m, 3) directions until a plane stands between the two."""
    many = np.repeat(np.arange(len(one)), ways.shape[1])
    one, other, flatly = one.chosen(many), other.chosen(many), ways.reshape(-1, 3)
    far = np.where(other.flat[:, None], other.middle_mm, other.farthest_mm(flatly))
    near = np.vecdot(one.farthest_mm(-flatly) - far, flatly)
    return np.asarray(one.ball_mm + other.ball_mm - near).reshape(ways.shape[:2])


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
    """(n, 10, 3) the directions of their own edges and axes, either way: mostly the shortest way out is one of them."""
    ways = _units(np.concatenate([one.edges_mm, one.axis[:, None]], axis=1))
    return np.concatenate([ways, -ways], axis=1)


def _units(ways: Array) -> Array:
    """The same of length 1; where there is no direction, one of no account."""
    size = np.linalg.norm(ways, axis=-1, keepdims=True)
    return np.where(size > 0, ways / np.where(size > 0, size, 1.0), [0.0, 0.0, 1.0])


@cache
def _directions() -> Array:
    """Directions spread evenly over the sphere, by the golden angle."""
    k = np.arange(_WAYS_OUT) + 0.5
    height, angle = 1 - 2 * k / _WAYS_OUT, np.pi * (1 + 5**0.5) * k
    across = np.sqrt(1 - height**2)
    return np.column_stack([across * np.cos(angle), across * np.sin(angle), height])
