"""Laws: what more room, fewer things, a mirror or a rigid move may and may not do to a route; samples that certify."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from route_scenes import ALLOWED, BENDER, WANTED_MM, RouteScene, around_of, scene
from trialfit.fitup.bends import bend_table, replay, start_pose
from trialfit.fitup.clearing import clear_of_themselves, closest, rough_spare_mm, which_clear
from trialfit.fitup.families import three_bends_of, two_bends_of
from trialfit.fitup.held_shape import shape_of, vertices_of
from trialfit.fitup.obstacles import Around
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.seek import Wish, seek
from trialfit.fitup.sought import Asked, sought
from trialfit.fitup.ways import ways_of
from trialfit.parts.placement import Placement
from trialfit.parts.solids import HalfSpace, Hexagon, distance_mm, placed

RADIUS_MM = BENDER.radius_mm
# A search cuts its cells down to 0.4 mm and then settles; two searches of like scenes agree to less than this.
ALIKE_MM = 0.3


def shortest_mm(drawn: RouteScene) -> float:
    return seek(two_bends_of(drawn.start, drawn.end, BENDER), RADIUS_MM, drawn.around).length_mm


@pytest.mark.parametrize("seed", [1, 2, 7, 10])
def test_more_clearance_never_shortens(seed: int) -> None:
    drawn = scene(seed)
    lengths = [
        shortest_mm(RouteScene(drawn.start, drawn.end, drawn.around.with_clearance(wanted)))
        for wanted in (0.0, WANTED_MM / 2, WANTED_MM)
    ]
    assert all(less <= more + ALIKE_MM for less, more in pairwise(lengths))
    assert np.isfinite(lengths[0])


@pytest.mark.parametrize("seed", [1, 9, 10])
def test_taking_a_thing_away_never_lengthens(seed: int) -> None:
    drawn = scene(seed)
    whole = shortest_mm(drawn)
    for name in [each.name for each in drawn.around.obstacles][::3]:
        assert shortest_mm(RouteScene(drawn.start, drawn.end, drawn.around.without(name))) <= whole + ALIKE_MM


@pytest.mark.parametrize("turn", [np.diag([1.0, -1.0, 1.0]), Rotation.from_euler("xyz", [0.4, -1.1, 2.0]).as_matrix()])
@pytest.mark.parametrize("seed", [1, 10])
def test_a_mirrored_or_turned_scene_has_the_mirrored_or_turned_way(turn: Array, seed: int) -> None:
    drawn = scene(seed)
    here = sought(Asked(drawn.start, drawn.end, BENDER, 2, ALLOWED), drawn.around).path
    place = Placement("a", "b", turn, np.array([5.0, -3.0, 20.0]))
    ends = [
        EndFace(face.name, place.points_mm(face.position_mm), place.directions(face.direction), 14.0, 3.5)
        for face in (drawn.start, drawn.end)
    ]
    around = around_of([placed(each.solid, place) for each in drawn.around.obstacles])
    there = sought(Asked(ends[0], ends[1], BENDER, 2, ALLOWED), around).path
    assert here is not None and there is not None
    # Rounding may tip a search to another cell by the end: to a few hundredths, along a way that hardly lengthens.
    assert there.vertices_mm == pytest.approx(place.points_mm(here.vertices_mm), abs=0.05)


def test_many_at_once_are_the_same_distances_as_one_by_one() -> None:
    drawn = scene(3, 12)
    solids = [each.solid for each in drawn.around.obstacles]
    solids += [
        Hexagon(np.zeros(3), np.array([0, 0, 9.0]), 10.0, np.array([1.0, 0, 0])),
        HalfSpace(np.array([0, 0, -90.0]), np.array([0, 0.6, 0.8])),
    ]
    points = np.random.default_rng(8).uniform(-90, 90, (500, 3))
    one_by_one = np.array([distance_mm(each, points) for each in solids])
    assert around_of(solids).distances_mm(points) == pytest.approx(one_by_one, abs=1e-6)


@pytest.mark.parametrize("bends", [1, 2, 3])
def test_points_along_a_way_are_where_the_replayed_table_gets_to(bends: int) -> None:
    random = np.random.default_rng(bends)
    vertices = np.cumsum(random.normal(size=(bends + 2, 3)) * 60, axis=0)
    table, ways = bend_table(vertices, 5.0), ways_of(vertices[None], 5.0)
    assert ways.lengths_mm[0] == pytest.approx(table.centre_line_mm, abs=1e-9)
    end = replay(table, start_pose(vertices)).position_mm
    assert ways.points_mm(np.zeros(1, dtype=int), ways.lengths_mm)[0] == pytest.approx(end, abs=1e-9)
    # Neighbouring points are as far apart as they are along the pipe, but for the chord of an arc.
    at = np.linspace(0, float(ways.lengths_mm[0]), 4000)
    steps = np.linalg.norm(np.diff(ways.points_mm(np.zeros(len(at), dtype=int), at), axis=0), axis=1)
    assert steps == pytest.approx(np.full(len(steps), at[1]), rel=1e-4)


def test_what_is_certified_clear_is_clear_at_every_sample_and_what_is_thrown_away_is_not() -> None:
    drawn = scene(1)
    family = two_bends_of(drawn.start, drawn.end, BENDER)
    cells = np.random.default_rng(5).uniform(0, 0.7, (400, 2))
    ways = ways_of(family.vertices_mm(cells[family.measure(cells).spare_mm >= 0]), RADIUS_MM)
    clear = which_clear(ways, drawn.around)
    fine, _ = rough_spare_mm(ways, drawn.around, 1500)
    assert fine[clear].min() >= 0
    assert clear[fine > 0.1].all()
    assert 5 < clear.sum() < len(clear) - 5


def test_the_least_gap_found_is_the_least_of_many_samples() -> None:
    drawn = scene(6)
    vertices = two_bends_of(drawn.start, drawn.end, BENDER).vertices_mm(np.array([[0.25, 0.3]]))
    ways = ways_of(vertices, RADIUS_MM)
    at = np.linspace(0, float(ways.lengths_mm[0]), 20001)
    points = ways.points_mm(np.zeros(len(at), dtype=int), at)
    least = drawn.around.each_spare_mm(points, at, at[::-1]).min(axis=1)
    found = [touch.spare_mm for touch in closest(ways, drawn.around)]
    assert found == pytest.approx(least, abs=0.003)


def test_three_bends_leave_every_straight_and_land_on_both_axes() -> None:
    drawn = scene(10)
    family = three_bends_of(drawn.start, drawn.end, BENDER)
    cells = np.random.default_rng(2).uniform(size=(3000, 5))
    measured = family.measure(cells)
    sound = measured.spare_mm >= 0
    ways = ways_of(family.vertices_mm(cells[sound]), RADIUS_MM)
    assert ways.lengths_mm == pytest.approx(measured.length_mm[sound], abs=1e-8)
    straights = ways.pieces_mm[:, 0::2]
    assert straights[:, [0, 3]].min() >= 14 - 1e-9
    assert straights[:, 1:3].min() >= BENDER.grip_mm - 1e-9
    assert np.degrees(ways.pieces_mm[:, 1::2] / RADIUS_MM).max() <= 150 + 1e-6
    first = ways.along[:, 0] @ drawn.start.direction
    last = ways.along[:, -1] @ -drawn.end.direction
    assert min(first.min(), last.min()) > 1 - 1e-9
    assert sound.sum() > 20


def test_a_way_that_does_not_cross_itself_is_one_whose_far_places_stay_apart() -> None:
    """Two loops in one plane: turning left by 270 deg runs back through the first leg; lifted by 20 mm it does not."""
    flat = np.array([[0, 0, 0], [60, 0, 0], [60, 50, 0], [20, 50, 0], [20, -50, 0.0]])
    lifted = flat + np.array([[0, 0, 0], [0, 0, 0], [0, 0, 10], [0, 0, 20], [0, 0, 20]])
    ways = ways_of(np.array([flat, lifted], dtype=np.float64), RADIUS_MM)
    assert clear_of_themselves(ways, 4.76).tolist() == [False, True]


@pytest.mark.parametrize("bends", [1, 2, 3])
def test_what_moves_both_faces_alike_moves_the_held_way_with_them(bends: int) -> None:
    every = np.array([[0, 0, 0], [40, 0, 0], [60, 40, 10], [90, 50, 60], [90, 20, 90.0]])
    vertices = every[[0, 1, *([2, 3][: bends - 1]), 4]]
    legs = np.diff(vertices, axis=0)
    way = legs / np.linalg.norm(legs, axis=1, keepdims=True)
    place = Placement("a", "b", Rotation.from_euler("xyz", [0.01, 0.02, -0.01]).as_matrix(), np.array([0.3, -0.2, 0.1]))
    start = EndFace("a", place.points_mm(vertices[0]), place.directions(way[0]), 5.0, 0.0)
    end = EndFace("b", place.points_mm(vertices[-1]), place.directions(-way[-1]), 5.0, 0.0)
    held = vertices_of(start, end, shape_of(vertices, 5.0))
    assert held == pytest.approx(place.points_mm(vertices), abs=1e-6)


def test_nothing_round_it_three_bends_come_as_near_as_they_like_to_two() -> None:
    """The shortest of two bends is the limit of three with the middle one nought: a law of what is shortest."""
    drawn = scene(10)
    nothing = Around((), 2.38)
    two = seek(two_bends_of(drawn.start, drawn.end, BENDER), RADIUS_MM, nothing).length_mm
    three = seek(three_bends_of(drawn.start, drawn.end, BENDER), RADIUS_MM, nothing, Wish(most_cells=160)).length_mm
    assert three == pytest.approx(two, abs=0.05)
