"""Recover: on small random scenes every order is tried: there is one if and only if the search finds one, and none has
fewer turns of the engine."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest

from loose_scenes import random_elbows
from trialfit.fitup.order.loose import Loose, Stand, Way
from trialfit.fitup.order.search import Reader, take_off
from trialfit.fitup.order.table import Table, tables_of

SIDES = ("left", "right", "top")


def _with_sides(stand: Stand, random: np.random.Generator) -> Stand:
    def way(each: Way) -> Way:
        chosen = tuple(str(side) for side in random.permutation(SIDES)[: random.integers(0, 3)])
        return replace(each, sides=chosen)

    def loose(each: Loose) -> Loose:
        return replace(each, ways=tuple(way(one) for one in each.ways))

    return Stand(stand.scene, tuple(loose(each) for each in stand.loose))


def _fewest_turns(stand: Stand, table: Table, wanted: set[str]) -> int | None:
    """Every order of everything; the fewest turns among those that get all that is wanted off."""
    reader = Reader(stand, table)
    best: int | None = None
    for order in permutations(reader.names):
        there, sides = set(reader.names), [frozenset(SIDES)]
        for name in order:
            entry = reader.entry(name, 0)
            if not reader.free(entry, there):
                break
            there.discard(name)
            sides.append(frozenset(reader.ways(name)[0].sides) or frozenset(SIDES))
            if not there & wanted:
                break
        if not there & wanted:
            turns = _turns(sides)
            best = turns if best is None else min(best, turns)
    return best


def _turns(sides: list[frozenset[str]]) -> int:
    """Stay where one is for as long as some side serves all since."""
    count, here = 0, sides[0]
    for each in sides[1:]:
        both = here & each
        count += not both
        here = both or each
    return count


@pytest.mark.parametrize("seed", range(5))
def test_an_order_is_found_if_there_is_one_and_has_the_fewest_turns(seed: int) -> None:
    random = np.random.default_rng(100 + seed)
    stands = [
        _with_sides(random_elbows(random, int(random.integers(3, 7)), float(random.uniform(22, 45))), random)
        for _ in range(14)
    ]
    found_some = found_none = 0
    for stand, table in zip(stands, tables_of(stands), strict=True):
        names = [each.name for each in stand.loose]
        wanted = {str(name) for name in random.permutation(names)[: random.integers(1, 3)]}
        found = take_off(stand, table, wanted)
        fewest = _fewest_turns(stand, table, wanted)
        assert (fewest is None) == bool(found.left)
        if fewest is None:
            found_none += 1
        else:
            found_some += 1
            assert found.turns == fewest
            assert wanted <= {name for move in found.moves for name in (move.name, *move.rides)}
    assert found_some >= 2
    assert found_none >= 1
