"""Laws: of all radii that may be bent the largest that goes is found, and the next larger one does not go."""

from __future__ import annotations

from dataclasses import replace
from math import floor

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from route_scenes import ALLOWED, BENDER, TUBE_RADIUS_MM, WANTED_MM, around_of, scene
from trialfit.fitup.corners import Bender
from trialfit.fitup.records import EndFace
from trialfit.fitup.smaller_radius import largest_smaller, largest_tenth_mm
from trialfit.fitup.sought import Asked, sought
from trialfit.parts.solids import Box, Solid

tenths = st.integers(40, 400)


@given(limit=tenths, least=tenths, asked=tenths)
def test_where_less_goes_no_worse_the_largest_of_all_is_found(limit: int, least: int, asked: int) -> None:
    """All up to a limit go: the largest is the limit itself, or the tenth under the one asked for."""
    found = largest_tenth_mm(lambda radius_mm: round(10 * radius_mm) <= limit, asked / 10, least / 10)
    best = min(limit, asked - 1)
    assert found == (best / 10 if best >= least else None)


@given(goes=st.sets(tenths), least=tenths, asked=tenths)
def test_whatever_goes_the_one_found_does_and_the_next_does_not(goes: set[int], least: int, asked: int) -> None:
    found = largest_tenth_mm(lambda radius_mm: round(10 * radius_mm) in goes, asked / 10, least / 10)
    if found is not None:
        at = round(10 * found)
        assert at in goes and least <= at < asked
        assert at + 1 not in goes or at + 1 >= asked
    else:
        # A run as long as a step between two looks cannot be missed.
        run = max((asked - least) // 6 + 1, 1)
        assert not any(set(range(low, low + run)) <= goes for low in range(least, asked - run + 1))


@given(radii=st.lists(tenths, max_size=6), limit=tenths, asked=tenths)
def test_formers_are_taken_as_they_are_the_largest_first(radii: list[int], limit: int, asked: int) -> None:
    formers = [Bender(radius / 10, 5.0 + radius / 100) for radius in radii]
    tried: list[float] = []

    def goes(bender: Bender) -> bool:
        tried.append(bender.radius_mm)
        return round(10 * bender.radius_mm) <= limit

    found = largest_smaller(goes, Bender(asked / 10, 9.0), 2.0, formers)
    going = [each for each in formers if round(10 * each.radius_mm) <= min(limit, asked - 1)]
    if going:
        assert found is not None and found.former
        assert found.bender == max(going, key=lambda each: each.radius_mm)
        # Nothing but the shop's own was tried, the largest first.
        assert tried == sorted(tried, reverse=True) and set(tried) <= {each.radius_mm for each in formers}
    elif found is not None:
        assert not found.former and found.bender.grip_mm == 9.0
        assert found.bender.radius_mm == min(floor(limit), asked - 1) / 10


def test_quick_looks_that_miss_the_last_ways_are_made_good_by_thorough_ones() -> None:
    """Quick ones go up to 12.0 mm, thorough ones to 13.4: one after another is tried until one does not go."""
    asked = Bender(20.0, 9.0)
    found = largest_smaller(
        lambda bender: bender.radius_mm < 12.05, asked, 2.0, None, lambda bender: bender.radius_mm < 13.45
    )
    assert found is not None and found.bender.radius_mm == 13.4
    top = largest_smaller(lambda bender: bender.radius_mm < 19.5, asked, 2.0, None, lambda _: True)
    assert top is not None and top.bender.radius_mm == 19.9


corners = st.lists(st.tuples(st.floats(5, 30), st.floats(5, 30)), min_size=2, max_size=4)


@given(corners=corners)
@settings(max_examples=4, deadline=None, derandomize=True)
def test_neither_more_room_wanted_nor_one_block_more_allows_a_larger_radius(corners: list[tuple[float, float]]) -> None:
    """One bend of 90 deg round blocks that fill all of its inside beyond their corners: a larger arc cuts deeper."""
    start = EndFace("a", np.array([-80.0, 0, 0]), np.array([1.0, 0, 0]), 14.0, 0.0)
    end = EndFace("b", np.array([0.0, 80, 0]), np.array([0.0, -1, 0]), 14.0, 0.0)
    blocks: list[Solid] = [
        Box(np.array([-x - 100, y + 100, 0.0]), np.eye(3), np.array([100.0, 100, 60])) for x, y in corners
    ]

    def largest_mm(blocks: list[Solid], wanted_mm: float) -> float:
        around = around_of(blocks, wanted_mm)

        def goes(radius_mm: float) -> bool:
            return sought(Asked(start, end, Bender(radius_mm, 10.0), 1, ALLOWED), around).path is not None

        found = largest_tenth_mm(goes, 50.0, 4 * TUBE_RADIUS_MM)
        assert found is None or (goes(found) and (found + 0.1 >= 50.0 or not goes(found + 0.1)))
        return found or 0.0

    whole = largest_mm(blocks, WANTED_MM)
    assert whole <= largest_mm(blocks[1:], WANTED_MM)
    assert whole <= largest_mm(blocks, 0.0)


def test_asking_whether_there_is_a_way_says_what_asking_for_the_shortest_says() -> None:
    """Among ten random things, and where a plate all round the end lets none through."""
    drawn = scene(1)
    plate = Box(np.array([30.0, 30, -70]), np.eye(3), np.array([3.0, 200, 200]))
    for around in (drawn.around, around_of([plate])):
        asked = Asked(drawn.start, drawn.end, BENDER, 2, ALLOWED)
        shortest, any_way = (sought(each, around).path for each in (asked, replace(asked, any_way=True)))
        assert (shortest is None) == (any_way is None) == (around is not drawn.around)
