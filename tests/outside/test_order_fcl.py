"""Outside: distances and first touches against the collision library python-fcl.

The library's own distance, taken step by step as far as nothing can have moved further (conservative advancement),
gives the first touch without a time step. A touch is called at 0.02 mm and never beyond 0.03 mm; so it has to lie
between the places where fcl, whose distances are good to 1e-3 mm, first finds 0.031 and 0.019 mm, give or take 0.05 mm
of movement.
"""

from __future__ import annotations

from typing import Any

import fcl
import numpy as np
import pytest

from trialfit.fitup.order.apart import apart, forms
from trialfit.fitup.order.motion import Motion, helices
from trialfit.fitup.order.sweep import sweep
from trialfit.parts.placement import Array
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Hexagon, Solid

N = 240


def test_distances_are_fcls() -> None:
    random = np.random.default_rng(11)
    ours, theirs = zip(*[_pair_of(random, 25.0) for _ in range(2 * 600)], strict=True)
    one, other = forms(ours[:600]), forms(ours[600:])
    found = apart(one, other)
    distances = np.array([_distance(a, b) for a, b in zip(theirs[:600], theirs[600:], strict=True)])
    free = distances > 0
    assert 400 < free.sum() < 600
    assert np.all(found.least_mm <= found.most_mm + 1e-9)
    assert np.max(np.abs(found.most_mm - distances)[free]) < 2e-3
    assert np.max(np.abs(found.least_mm - distances)[free]) < 2e-3
    # Where fcl has them overlap, no plane can stand between them.
    assert np.all(found.least_mm[~free] <= 0)


def test_first_touches_are_fcls() -> None:
    random = np.random.default_rng(12)
    rows = [(*_pair_of(random, 18.0), *_pair_of(random, 18.0), _motion(random)) for _ in range(N)]
    moving, still = forms(row[0] for row in rows), forms(row[2] for row in rows)
    found = sweep(moving, helices(row[4] for row in rows), still)
    touched = 0
    for k, (_, mover, _, stander, motion) in enumerate(rows):
        reach = float(moving.chosen(np.array([k])).off_axis_mm(motion.on_mm[None], motion.along[None])[0])
        soonest, latest = (_first_within(mover, stander, motion, reach, near) for near in (0.031, 0.019))
        fine = 0.05 / float(np.hypot(np.radians(motion.turn_deg) * reach, motion.travel_mm))
        assert found.share[k] >= soonest - fine, k
        assert found.share[k] <= latest + fine, k
        touched += bool(np.isfinite(latest))
    assert 60 < touched < 200


def test_half_spaces_are_exact() -> None:
    random = np.random.default_rng(13)
    plane = HalfSpace(np.array([0.0, 0.0, -20.0]), np.array([0.0, 0.6, 0.8]))
    ours, theirs = zip(*[_pair_of(random, 30.0) for _ in range(200)], strict=True)
    found = apart(forms(ours), forms([plane] * 200))
    wall = (fcl.Halfspace(plane.out, float(plane.out @ plane.on_mm)), fcl.Transform())
    hits = np.array([_hits(each, wall) for each in theirs])
    clear = np.abs(found.most_mm) > 1e-6
    assert np.array_equal((found.most_mm <= 0)[clear], hits[clear])
    assert 20 < hits.sum() < 180


_Theirs = tuple[Any, Any]


def _pair_of(random: np.random.Generator, spread_mm: float) -> tuple[Solid, _Theirs]:
    """The same solid in this program's terms and in the library's."""
    turn, at = _turn(random), random.uniform(-spread_mm, spread_mm, 3)
    half, radius = float(random.uniform(1, 12)), float(random.uniform(0.5, 8))
    ends = at - half * turn[:, 2], at + half * turn[:, 2]
    match random.integers(4):
        case 0:
            return Capsule(*ends, radius), (fcl.Capsule(radius, 2 * half), fcl.Transform(turn, at))
        case 1:
            return Cylinder(*ends, radius), (fcl.Cylinder(radius, 2 * half), fcl.Transform(turn, at))
        case 2:
            halves = random.uniform(1, 10, 3)
            return Box(at, turn.T.copy(), halves), (fcl.Box(*(2 * halves)), fcl.Transform(turn, at))
        case _:
            return Hexagon(*ends, 2 * radius, turn[:, 0]), (_prism(half, radius), fcl.Transform(turn, at))


def _prism(half_mm: float, flat_mm: float) -> Any:
    """A hexagonal prism by its twelve corners and eight faces; a flat square to x."""
    angles = np.radians(30 + 60 * np.arange(6))
    corners = flat_mm / np.cos(np.pi / 6) * np.column_stack([np.cos(angles), np.sin(angles)])
    points = np.vstack([np.column_stack([corners, np.full(6, z)]) for z in (-half_mm, half_mm)])
    sides = [[4, k, (k + 1) % 6, 6 + (k + 1) % 6, 6 + k] for k in range(6)]
    faces = np.concatenate([*sides, [6, 5, 4, 3, 2, 1, 0], [6, 6, 7, 8, 9, 10, 11]])
    return fcl.Convex(points, 8, faces)


def _turn(random: np.random.Generator) -> Array:
    made, _ = np.linalg.qr(random.normal(size=(3, 3)))
    return np.asarray(made * np.linalg.det(made))


def _motion(random: np.random.Generator) -> Motion:
    along = random.normal(size=3)
    along /= np.linalg.norm(along)
    round_about, screw, straight = (
        (0.0, random.uniform(-360, 360)),
        (random.uniform(3, 10), 360 * random.uniform(1, 5)),
        (random.uniform(5, 60), 0.0),
    )
    travel, turn = (round_about, screw, straight)[random.integers(3)]
    return Motion("pull", random.uniform(-15, 15, 3), along, float(travel), float(turn))


def _distance(one: _Theirs, other: _Theirs) -> float:
    asked = fcl.DistanceRequest(gjk_solver_type=fcl.GJKSolverType.GST_INDEP)
    return float(fcl.distance(fcl.CollisionObject(*one), fcl.CollisionObject(*other), asked, fcl.DistanceResult()))


def _hits(one: _Theirs, other: _Theirs) -> bool:
    objects = fcl.CollisionObject(*one), fcl.CollisionObject(*other)
    return bool(fcl.collide(*objects, fcl.CollisionRequest(), fcl.CollisionResult()))


def _first_within(mover: _Theirs, stander: _Theirs, motion: Motion, reach_mm: float, near_mm: float) -> float:
    """First share of the motion at which they are so near; infinite where they never are."""
    shape, place = mover
    turn, at = np.array(place.getRotation()), np.array(place.getTranslation())
    speed = float(np.hypot(np.radians(motion.turn_deg) * reach_mm, motion.travel_mm))
    share = 0.0
    while share <= 1.0:
        moved = motion.moved(share)
        there = fcl.Transform(moved.turn @ turn, moved.turn @ at + moved.shift_mm)
        distance = _distance((shape, there), stander)
        if distance <= near_mm:
            return share
        share += max(distance - near_mm, 5e-4) / speed
    return float(np.inf)


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_a_screw_moves_a_point_along_a_helix(share: float) -> None:
    """By hand: two turns of 1.5 mm pitch about z through (1, 2): a point 5 mm out goes round and up."""
    motion = Motion("unscrew", np.array([1.0, 2.0, 0.0]), np.array([0.0, 0.0, 1.0]), 3.0, 720.0)
    angle = 4 * np.pi * share
    wanted = [1 + 5 * np.cos(angle), 2 + 5 * np.sin(angle), 3 * share]
    assert motion.moved(share).points_mm(np.array([6.0, 2.0, 0.0])) == pytest.approx(wanted, abs=1e-9)
