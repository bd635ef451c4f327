"""Laws: taking away never blocks, fitting is removal backwards, and size, place and turn of the whole do not matter."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from loose_scenes import random_elbows
from trialfit.fitup.order.loose import Loose, Stand, Way
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.order.search import Reader, take_off
from trialfit.fitup.order.table import table_of, tables_of
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.parts.placement import Array, Placement
from trialfit.parts.solids import Capsule, Cylinder, HalfSpace, Solid, placed

SEEDS = st.integers(0, 10_000)


@settings(max_examples=6, deadline=None)
@given(SEEDS)
def test_what_can_come_off_still_can_when_more_is_gone(seed: int) -> None:
    random = np.random.default_rng(seed)
    stand = random_elbows(random, 6, 40.0)
    reader = Reader(stand, table_of(stand))
    there = set(reader.names)
    for name in reader.names:
        if reader.free(reader.entry(name, 0), there):
            for other in set(reader.names) - {name}:
                assert reader.free(reader.entry(name, 0), there - {other})


@settings(max_examples=5, deadline=None)
@given(SEEDS)
def test_put_back_in_reverse_each_finds_its_way_free(seed: int) -> None:
    """Those fitted already are those that had not come off yet: each goes in past the things it came out by."""
    random = np.random.default_rng(seed)
    stand = random_elbows(random, 6, 55.0)
    table = table_of(stand)
    names = {each.name for each in stand.loose}
    found = take_off(stand, table, names)
    if found.left:
        return
    fitted: set[str] = set()
    reader = Reader(stand, table)
    for move in reversed(found.moves):
        fitted |= {move.name, *move.rides}
        assert reader.free(reader.entry(move.name, move.way), fitted)
    assert fitted == names


@settings(max_examples=5, deadline=None)
@given(SEEDS, st.floats(0, 6.28), st.floats(-200, 200))
def test_turned_and_shifted_as_a_whole_nothing_changes(seed: int, angle: float, shift: float) -> None:
    random = np.random.default_rng(seed)
    stand = random_elbows(random, 5, 40.0)
    axis = np.array([0.6, 0.0, 0.8])
    turn = Motion("turn", np.array([3.0, -2.0, 1.0]), axis, shift, float(np.degrees(angle))).moved(1.0, "job")
    here, there = tables_of([stand, _everything(stand, turn)])
    for one, other in zip(here.entries, there.entries, strict=True):
        assert {(s.mover, s.struck) for s in one.strikes} == {(s.mover, s.struck) for s in other.strikes}
        at = {(s.mover, s.struck): (s.phase, s.share) for s in other.strikes}
        for strike in one.strikes:
            phase, share = at[strike.mover, strike.struck]
            assert phase == strike.phase
            assert abs(share - strike.share) < 0.02


@settings(max_examples=5, deadline=None)
@given(SEEDS, st.sampled_from([2.0, 5.0]))
def test_everything_larger_strikes_at_the_same_place(seed: int, times: float) -> None:
    """Only what counts as touching, 0.02 mm, does not grow along; so shares agree to what that is of a turn."""
    random = np.random.default_rng(seed)
    stand = random_elbows(random, 5, 40.0)
    here, there = tables_of([stand, _larger(stand, times)])
    for one, other in zip(here.entries, there.entries, strict=True):
        deep = {(s.mover, s.struck): s for s in other.strikes}
        for strike in one.strikes:
            if (strike.mover, strike.struck) in deep:
                assert abs(deep[strike.mover, strike.struck].share - strike.share) < 0.02
        # A graze within 0.03 mm may part from its fellow; anything else may not.
        assert len({(s.mover, s.struck) for s in one.strikes} ^ set(deep)) <= 1


def _everything(stand: Stand, turn: Placement) -> Stand:
    def motion(each: Motion) -> Motion:
        return replace(each, on_mm=turn.points_mm(each.on_mm), along=turn.directions(each.along))

    return _each(stand, lambda solid: placed(solid, turn), motion)


def _larger(stand: Stand, times: float) -> Stand:
    def solid(each: Solid) -> Solid:
        if isinstance(each, Capsule | Cylinder):
            return replace(
                each, start_mm=times * each.start_mm, end_mm=times * each.end_mm, radius_mm=times * each.radius_mm
            )
        assert isinstance(each, HalfSpace)
        return replace(each, on_mm=_times(each.on_mm, times))

    def motion(each: Motion) -> Motion:
        return replace(each, on_mm=_times(each.on_mm, times), travel_mm=times * each.travel_mm)

    return _each(stand, solid, motion)


def _times(at: Array, times: float) -> Array:
    return np.asarray(times * at)


def _each(stand: Stand, solid: object, motion: object) -> Stand:
    assert callable(solid) and callable(motion)

    def thing(each: Thing) -> Thing:
        return replace(each, pieces=tuple(Piece(one.name, solid(one.solid)) for one in each.pieces))

    def way(each: Way) -> Way:
        return replace(each, phases=tuple(replace(one, motion=motion(one.motion)) for one in each.phases))

    def loose(each: Loose) -> Loose:
        return replace(each, ways=tuple(way(one) for one in each.ways))

    return Stand(Scene(tuple(thing(each) for each in stand.scene.things)), tuple(loose(each) for each in stand.loose))
