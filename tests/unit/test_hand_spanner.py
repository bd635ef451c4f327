"""Unit: which spanner is taken for a hexagon, and which of its figures are said to be assumed; sums by hand."""

from __future__ import annotations

import numpy as np
import pytest

from trialfit.fitup.hand_spanner import Spanners, spanner_for, usual_length_mm
from trialfit.fitup.order.loose import Grip
from trialfit.fitup.order.spanner import windows
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.fitup.spanner_swing import sampled, swing_on
from trialfit.fitup.ways import ways_of
from trialfit.job.taking_off import OwnerSpanner
from trialfit.job.tooling import Spanner
from trialfit.parts.solids import Capsule, Cylinder, Hexagon

UP = np.array([0.0, 0.0, 1.0])
FULL = {"across_flats": "10 mm", "length": "110 mm", "thick": "4 mm", "head_across": "21 mm", "handle_across": "9 mm"}


def owners(*sizes: dict[str, str]) -> Spanners:
    return Spanners(tuple(OwnerSpanner.model_validate(each) for each in sizes))


@pytest.mark.parametrize(
    ("given", "assumed"),
    [
        (FULL, ()),
        # 0.45, 2.2 and 0.8 of 10 mm; 130 mm is the table's length of a 10 mm one.
        ({"across_flats": "10 mm", "length": "110 mm"}, ("4.5 mm thick", "head 22 mm wide", "handle 8 mm wide")),
        ({**FULL, "thick": ""}, ("4.5 mm thick",)),
        ({**FULL, "length": ""}, ("130 mm long",)),
    ],
)
def test_only_what_is_not_said_is_said_to_be_assumed(given: dict[str, str], assumed: tuple[str, ...]) -> None:
    spanner = spanner_for(10.0, owners({key: value for key, value in given.items() if value}))
    assert (spanner.whose, spanner.assumed) == ("owner", assumed)
    sizes = ", ".join(assumed)
    assert spanner.taken("nut") == (f"The 10 mm spanner for nut is taken as {sizes}." if assumed else "")


def test_the_tightest_that_goes_on_is_taken_the_owners_before_the_workshops() -> None:
    there = Spanners(
        owners({**FULL, "across_flats": "10.2 mm"}, FULL, {**FULL, "across_flats": "9.5 mm"}).owners,
        (Spanner.model_validate({"across_flats": "8 mm", "length": "115 mm"}),),
    )
    assert spanner_for(9.98, there).flats_mm == 10.0
    assert spanner_for(10.1, there).flats_mm == 10.2
    workshops = spanner_for(8.0, there)
    assert (workshops.whose, workshops.length_mm) == ("workshop", 115.0)
    assert workshops.assumed == ("3.6 mm thick", "head 18 mm wide", "handle 6 mm wide")
    nobodys = spanner_for(13.0, there)
    assert (nobodys.whose, len(nobodys.assumed)) == ("nobody", 4)


def test_usual_lengths_lie_between_those_of_the_table() -> None:
    """8 mm: 115; 10 mm: 130; half way 122.5. Nothing is longer than the longest, 13 mm: 160."""
    assert [usual_length_mm(flats) for flats in (8.0, 9.0, 10.0, 20.0)] == [115.0, 122.5, 130.0, 160.0]


@pytest.mark.parametrize("seed", range(6))
def test_routes_and_the_order_of_fitting_swing_the_same_spanner(seed: int) -> None:
    """Round a nut stand posts and a straight pipe across them: as a pipe laid out and as a thing in its place, both
    say the same of every window."""
    random = np.random.default_rng(seed)
    hexagon = Hexagon(-2.5 * UP, 2.5 * UP, 10.0, np.array([1.0, 0, 0]))
    nut = Thing("nut", "", "part", (Piece("hexagon", hexagon),))
    angles, out = random.uniform(0, 2 * np.pi, 4), random.uniform(30, 90, 4)
    middles = np.column_stack([out * np.cos(angles), out * np.sin(angles), np.zeros(4)])
    posts = [
        Thing(f"post{k}", "", "engine", (Piece("body", Cylinder(at - 9 * UP, at + 9 * UP, 3.0)),))
        for k, at in enumerate(middles)
    ]
    begins, ends = np.array([[random.uniform(20, 80), -90.0, 0.0], [random.uniform(20, 80), 90.0, 0.0]])
    pipe = Thing("pipe", "", "pipe", (Piece("leg1", Capsule(begins, ends, 2.0)),))
    grip = Grip("nut", "hexagon", np.zeros(3), UP, spanner_for(10.0, owners(FULL)))
    (swept,) = windows([(grip, Scene((nut, *posts, pipe)))])
    left = swing_on(grip, Scene((nut, *posts))).left_by(sampled(ways_of(np.array([[begins, ends]]), 12.7), 2.0))
    assert left[0] == any(not window.blockers for window in swept)
