"""Laws: what a pixel shows lies on the skin of its own solid, and no other solid stands before it."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from trialfit.parts.placement import Array
from trialfit.parts.solids import Box, Capsule, Cylinder, Hexagon, Solid, distance_mm
from trialfit.sheets.seen.eye import framed
from trialfit.sheets.seen.meshes import mesh_of
from trialfit.sheets.seen.picture import Shown, Weight, picture_of, share_seen
from trialfit.sheets.seen.raster import NOTHING, raster

# A round of 32 sides lies inside its circle by r (1 - cos(pi / 32)), under 0.5 %; a pixel's own slant comes on top.
_SAG = 0.012


def _solids(numbers: np.random.Generator) -> list[Solid]:
    made: list[Solid] = []
    for kind in range(4):
        at, way, side = numbers.uniform(-12, 12, 3), numbers.normal(size=3), numbers.normal(size=3)
        way = way / np.linalg.norm(way)
        side = side - side @ way * way
        side = side / np.linalg.norm(side)
        far, wide = at + numbers.uniform(4, 14) * way, numbers.uniform(2, 6)
        axes = np.array([way, side, np.cross(way, side)])
        halves = numbers.uniform(2, 6, 3)
        kinds: tuple[Solid, ...] = (
            Capsule(at, far, wide), Cylinder(at, far, wide), Hexagon(at, far, 2 * wide, side), Box(at, axes, halves),
        )  # fmt: skip
        made.append(kinds[kind])
    return made


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_a_pixel_shows_the_nearest_solid_at_its_true_depth(seed: int) -> None:
    """Held against the solids' own signed distance, which knows nothing of triangles."""
    numbers = np.random.default_rng(seed)
    solids = _solids(numbers)
    meshes = [mesh_of(solid) for solid in solids]
    way = numbers.normal(size=3)
    eye = framed(
        np.concatenate([mesh.corners_mm for mesh in meshes]), way / np.linalg.norm(way), np.array([0, 0, 1.0]), (90, 70)
    )
    seen = raster(meshes, eye)
    rows, columns = np.nonzero(seen.which != NOTHING)
    assert len(rows) > 200
    some = numbers.choice(len(rows), 60)
    rows, columns = rows[some], columns[some]
    flat = (np.column_stack([columns, rows]) - eye.centre_px) / eye.focal_px
    rays = np.column_stack([flat, np.ones(len(flat))])
    points = _out(eye.turn, eye.shift_mm, rays * seen.depth_mm[rows, columns][:, None])
    which = seen.which[rows, columns]
    for number, solid in enumerate(solids):
        own = which == number
        assert np.abs(distance_mm(solid, points[own])).max(initial=0.0) < 6 * _SAG + 0.02
        # Nothing solid on the way there, facets allowed for.
        for share in np.linspace(0.2, 0.995, 12):
            before = _out(eye.turn, eye.shift_mm, rays * share * seen.depth_mm[rows, columns][:, None])
            assert (distance_mm(solid, before) > -6 * _SAG - 0.02).all()


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_the_order_in_which_things_are_given_changes_nothing(seed: int) -> None:
    meshes = [mesh_of(solid) for solid in _solids(np.random.default_rng(seed))]
    points = np.concatenate([mesh.corners_mm for mesh in meshes])
    eye = framed(points, np.array([0.0, -1.0, 0.0]), np.array([0, 0, 1.0]), (80, 60))
    one, other = raster(meshes, eye), raster(meshes[::-1], eye)
    assert np.array_equal(one.depth_mm, other.depth_mm)
    assert (one.which == np.where(other.which == NOTHING, NOTHING, 3 - other.which)).mean() > 0.999


def test_what_is_hidden_is_not_seen_and_what_is_strong_is_darker() -> None:
    front, back = (
        Box(np.array([0.0, -20, 0]), np.eye(3), np.array([9.0, 1, 9])),
        Box(np.zeros(3), np.eye(3), np.array([4.0, 1, 4])),
    )
    shown = [Shown("front", mesh_of(front)), Shown("back", mesh_of(back), Weight.STRONG)]
    before, behind = (
        framed(mesh_of(front).corners_mm, np.array([0.0, sign, 0.0]), np.array([0, 0, 1.0]), (100, 100))
        for sign in (-1, 1)
    )
    assert share_seen(shown, "back", before) == 0.0
    assert share_seen(shown, "back", behind) == 1.0
    middle, corner = picture_of(shown, behind)[50, 50], picture_of(shown, behind)[20, 20]
    assert middle < 180 < corner


def _out(turn: Array, shift: Array, camera: Array) -> Array:
    return np.asarray((camera - shift) @ turn)
