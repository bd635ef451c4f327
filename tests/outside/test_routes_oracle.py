"""Outside: routes among obstacles against every pair of corners on a dense grid, and gaps against python-fcl."""

from __future__ import annotations

from itertools import pairwise

import fcl
import numpy as np
import pytest

from route_scenes import (
    ALLOWED,
    BENDER,
    TUBE_RADIUS_MM,
    WANTED_MM,
    RouteScene,
    faces,
    own_distance_mm,
    scene,
    unit,
)
from trialfit.errors import Refusal
from trialfit.fitup.clearing import closest
from trialfit.fitup.families import two_bends_of
from trialfit.fitup.records import Array
from trialfit.fitup.route import way_among
from trialfit.fitup.seek import seek
from trialfit.fitup.sought import Asked, sought
from trialfit.fitup.ways import ways_of
from trialfit.parts.solids import Box, Capsule, Cylinder, Solid

RADIUS_MM = BENDER.radius_mm
# Pairs of corners every 3 mm, out to where a way is twice the straight distance. Between samples of a centre line
# 3 mm apart a gap may be 0.1 mm less than at them.
STEP_MM, OUT_MM, BETWEEN_MM = 3.0, 120.0, 0.1
NEAR_MM = 0.4


def centre_line(corners: Array) -> Array:
    """Points of a rounded path, straights and arcs laid out from the arcs' centres; none where straights fall short."""
    legs = np.diff(corners, axis=0)
    long = np.linalg.norm(legs, axis=1)
    ways = legs / long[:, None]
    angles = [float(np.arccos(np.clip(a @ b, -1, 1))) for a, b in pairwise(ways)]
    tangents = [0.0, *(RADIUS_MM * np.tan(angle / 2) for angle in angles), 0.0]
    points = []
    for k, corner in enumerate(corners[:-1]):
        begin, finish = corner + tangents[k] * ways[k], corners[k + 1] - tangents[k + 1] * ways[k]
        points.append(begin + np.linspace(0, 1, 32)[:, None] * (finish - begin))
        if k + 1 < len(corners) - 1:
            inward = unit(ways[k + 1] - (ways[k + 1] @ ways[k]) * ways[k])
            turn = np.linspace(0, angles[k], 16)[:, None]
            points.append(finish + RADIUS_MM * (np.sin(turn) * ways[k] + (1 - np.cos(turn)) * inward))
    return np.concatenate(points)


def gap_mm(solids: list[Solid], points: Array) -> float:
    return min(float(own_distance_mm(each, points).min()) for each in solids) - TUBE_RADIUS_MM


def grid_shortest_mm(drawn: RouteScene, solids: list[Solid], below_mm: float) -> float:
    """Length of the shortest pair of corners on the grid that clears by sampling, if any is shorter than `below_mm`."""
    out = np.arange(14.0, OUT_MM, STEP_MM)
    first, last = (each.ravel() for each in np.meshgrid(out, out))
    one = drawn.start.position_mm + first[:, None] * drawn.start.direction
    two = drawn.end.position_mm + last[:, None] * drawn.end.direction
    middle = two - one
    long = np.linalg.norm(middle, axis=1)
    along = middle / long[:, None]
    turns = [np.arccos(np.clip(along @ way, -1, 1)) for way in (drawn.start.direction, -drawn.end.direction)]
    tangents = [RADIUS_MM * np.tan(turn / 2) for turn in turns]
    length = first + last + long - 2 * tangents[0] - 2 * tangents[1] + RADIUS_MM * (turns[0] + turns[1])
    sound = (first - tangents[0] >= 14) & (last - tangents[1] >= 14) & (long - sum(tangents) >= BENDER.grip_mm)
    sound &= (np.maximum(*turns) <= np.radians(150)) & (length < below_mm)
    # A few places on the middle leg first, of all at once: most that are blocked show it there.
    places = one[sound][:, None] + np.linspace(0.2, 0.8, 7)[:, None] * middle[sound][:, None]
    rough = np.min([own_distance_mm(each, places.reshape(-1, 3)) for each in solids], axis=0) - TUBE_RADIUS_MM
    left = np.flatnonzero(sound)[rough.reshape(-1, 7).min(axis=1) >= WANTED_MM]
    for k in left[np.argsort(length[left])]:
        corners = np.array([drawn.start.position_mm, one[k], two[k], drawn.end.position_mm])
        if gap_mm(solids, centre_line(corners)) >= WANTED_MM + BETWEEN_MM:
            return float(length[k])
    return float("inf")


@pytest.mark.parametrize("seed", range(24))
def test_no_way_on_a_dense_grid_is_missed_or_shorter(seed: int) -> None:
    """Both ways round: what is found clears by the test's own distances, and the grid has nothing shorter."""
    drawn = scene(seed)
    solids = [each.solid for each in drawn.around.obstacles]
    found = seek(two_bends_of(drawn.start, drawn.end, BENDER), RADIUS_MM, drawn.around)
    if found.vertices_mm is not None:
        assert gap_mm(solids, centre_line(found.vertices_mm)) >= WANTED_MM - 1e-9
    assert grid_shortest_mm(drawn, solids, found.length_mm - NEAR_MM) == float("inf")


def test_the_scenes_try_it() -> None:
    """Some of them have the free way blocked and another way open, some have none."""
    start, end = faces()
    outcomes = []
    for seed in range(12):
        drawn = scene(seed)
        free = sought(Asked(start, end, BENDER, 2, ALLOWED), drawn.around)
        outcomes.append((bool(free.stopped), free.path is not None))
    assert outcomes.count((True, True)) >= 3
    assert outcomes.count((False, True)) >= 2


def test_three_bends_find_no_longer_way_than_two() -> None:
    """A way with three bends can come as near as it likes to one with two; where two find one, so must three."""
    for seed in (10,):
        drawn = scene(seed)
        two = seek(two_bends_of(drawn.start, drawn.end, BENDER), RADIUS_MM, drawn.around)
        asked = Asked(drawn.start, drawn.end, BENDER, 3, ALLOWED)
        try:
            path = way_among(drawn.start, drawn.end, BENDER, 3, ALLOWED, drawn.around).path
        except Refusal:
            assert two.vertices_mm is None
            continue
        assert asked.bends_most == 3
        length = float(ways_of(path.vertices_mm[None], RADIUS_MM).lengths_mm[0])
        assert length <= two.length_mm + NEAR_MM
        assert gap_mm([each.solid for each in drawn.around.obstacles], centre_line(path.vertices_mm)) >= WANTED_MM


@pytest.mark.parametrize("seed", range(6))
def test_gaps_are_those_of_python_fcl(seed: int) -> None:
    """The pipe as rods of 2 deg of arc each, whose chords lie within 12.7 (1 - cos 1 deg) = 0.002 mm of it."""
    drawn = scene(seed)
    path = sought(Asked(drawn.start, drawn.end, BENDER, 2, ALLOWED), drawn.around)
    vertices = scene_free_path(drawn) if path.path is None else path.path.vertices_mm
    touches = closest(ways_of(vertices[None], RADIUS_MM), drawn.around)
    rods = [_rod(a, b, TUBE_RADIUS_MM) for a, b in pairwise(_chords(vertices))]
    compared = 0
    for touch, obstacle in zip(touches, drawn.around.obstacles, strict=True):
        gap = touch.spare_mm + obstacle.needs_mm
        if gap > 0.05:
            body = _body(obstacle.solid)
            apart = min(fcl.distance(rod, body, fcl.DistanceRequest(), fcl.DistanceResult()) for rod in rods)
            assert gap == pytest.approx(apart, abs=0.004)
            compared += 1
    assert compared >= 5


def scene_free_path(drawn: RouteScene) -> Array:
    """The way with nothing round it."""
    found = seek(two_bends_of(drawn.start, drawn.end, BENDER), RADIUS_MM, drawn.around.with_clearance(0.0))
    return drawn.start.position_mm[None] if found.vertices_mm is None else found.vertices_mm


def _chords(vertices: Array) -> Array:
    ways = ways_of(vertices[None], RADIUS_MM)
    at = [0.0]
    for piece, length in enumerate(ways.pieces_mm[0]):
        steps = int(np.ceil(length / RADIUS_MM / np.radians(2.0))) if piece % 2 else 1
        at += [at[-1] + length * (k + 1) / steps for k in range(steps)]
    return ways.points_mm(np.zeros(len(at), dtype=int), np.array(at))


def _upright_to(axis: Array) -> Array:
    """A turn that carries z onto an axis."""
    aside = unit(np.cross(axis, [1.0, 0, 0]) if abs(axis[0]) < 0.9 else np.cross(axis, [0, 1.0, 0]))
    return np.column_stack([aside, np.cross(axis, aside), axis])


def _rod(start: Array, end: Array, radius: float) -> fcl.CollisionObject:
    long = float(np.linalg.norm(end - start))
    return fcl.CollisionObject(
        fcl.Capsule(radius, long), fcl.Transform(_upright_to((end - start) / long), (start + end) / 2)
    )


def _body(solid: Solid) -> fcl.CollisionObject:
    if isinstance(solid, Box):
        return fcl.CollisionObject(
            fcl.Box(*(2 * solid.halves_mm)), fcl.Transform(_proper(solid.axes.T), solid.middle_mm)
        )
    assert isinstance(solid, Capsule | Cylinder)
    if isinstance(solid, Capsule):
        return _rod(solid.start_mm, solid.end_mm, solid.radius_mm)
    along = solid.end_mm - solid.start_mm
    long = float(np.linalg.norm(along))
    place = fcl.Transform(_upright_to(along / long), (solid.start_mm + solid.end_mm) / 2)
    return fcl.CollisionObject(fcl.Cylinder(solid.radius_mm, long), place)


def _proper(turn: Array) -> Array:
    """A turn without the mirror that a box does not mind and the library does."""
    return np.asarray(turn * np.where(np.arange(3) == 2, np.sign(np.linalg.det(turn)), 1.0))
