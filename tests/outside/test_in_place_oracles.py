"""Outside: places against SciPy's least squares with other unknowns and other rows; overlaps against Manifold's solids.

The adjustment is checked against `scipy.optimize.least_squares` working on rotation vectors (`scipy.spatial`) and on
plain differences of points, none of it shared with the program. Depths of overlap are checked against volumes of
intersection and least gaps of facetted solids by Manifold.
"""

from __future__ import annotations

from typing import Any

import manifold3d
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from stood import Points, mm, stood
from trialfit.fitup.apart import overlap_mm, sunk_mm
from trialfit.parts.solids import Box, Capsule, Cylinder, Hexagon, Solid

Array = NDArray[np.float64]
SEGMENTS = 96

# A check valve in its bush, as the backhead has one: bush face, cap and union surveyed, with errors that go together.
POINTS: Points = {
    "bush": (139.0, 155.2, 76.6), "cap": (137.7, 141.5, 91.9), "union": (137.0, 142.9, 58.4),
    "deep": (141.5, 185.0, 76.2),
}  # fmt: skip
VALVE_AT = {"inlet": (0.0, 0.0, -17.8), "cap": (0.0, 0.0, 15.4), "outlet": (19.0, 0.0, 0.0)}
DEPTH, DEPTH_K2, SLACK_K2, LEAN_K2, AT_K2 = 6.0, 0.3, 0.2, 0.8, 0.1


def _spread() -> Array:
    made = np.random.default_rng(5).normal(size=(12, 12)) * 0.06
    return made @ made.T + 0.01 * np.eye(12)


def _found() -> Any:
    bush = {"thread": {"thread": "5/16x32", "gender": "female", "face": "bush", "axis_from": "deep"}}
    ports: dict[str, Any] = {
        name: {"at": mm(*at), "at_pm": f"{AT_K2} mm", "face": {"inlet": "union", "cap": "cap"}.get(name)}
        for name, at in VALVE_AT.items()
    }
    ports["outlet"] = {"at": mm(19, 0, 0), "at_pm": f"{AT_K2} mm", "thread": "5/16x32", "gender": "male"}
    joint = {
        "a": "valve.outlet", "b": "bush.thread", "hidden": {"value": f"{DEPTH} mm", "pm": f"{DEPTH_K2} mm"},
        "slack": f"{SLACK_K2} mm", "lean": f"{LEAN_K2} deg",
    }  # fmt: skip
    parts = {"bush": {"kind": "bush", "ports": bush}, "valve": {"kind": "check valve", "ports": ports}}
    return stood(POINTS, parts, [joint], covariance=_spread())


def _rows(unknowns: Array) -> Array:
    """All that is known, each over its own sigma: unknowns are the four points, the valve's pose, the bush's turn.

    The bush's face is its own origin and has no error of its own: it stands at the point.
    """
    points = unknowns[:12].reshape(4, 3)
    shift, valve, bush = unknowns[12:15], *(Rotation.from_rotvec(unknowns[k : k + 3]).as_matrix() for k in (15, 18))
    white = np.linalg.inv(np.linalg.cholesky(_spread()))
    rows = [white @ (points.ravel() - np.array(list(POINTS.values())).ravel())]
    for name, point in (("inlet", 2), ("cap", 1)):
        rows.append((points[point] - shift - valve @ np.array(VALVE_AT[name])) / (AT_K2 / 2))
    rows.append(np.cross(bush[:, 2], points[3] - points[0]) / (0.2 / 2))
    end, way = shift + valve @ np.array(VALVE_AT["outlet"]), valve[:, 0]
    rows.append(np.cross(way, points[0] - end) / (np.hypot(SLACK_K2, AT_K2) / 2))
    rows.append(np.atleast_1d((-way @ (points[0] - end) - DEPTH) / (np.hypot(DEPTH_K2, AT_K2) / 2)))
    rows.append(np.cross(way, bush[:, 2]) / (np.radians(LEAN_K2) / 2))
    return np.concatenate(rows)


def test_places_and_their_spread_are_those_of_an_independent_adjustment() -> None:
    """Cross products in place of two coordinates across an axis: three rows of rank two, the same sum of squares.

    The bush's roll is free and has no part in the valve's figures. The first place given to SciPy is well off. The
    program takes slopes at the surveyed figures where SciPy moves those too: 0.005 mm, with k = 2 of 0.3 mm, allows for
    that.
    """
    found = _found()
    place = found.adjusted.places["valve"]
    bush = Rotation.from_matrix(found.adjusted.places["bush"].turn).as_rotvec()
    typed = np.array(list(POINTS.values())).ravel()
    turn = Rotation.from_matrix(place.turn).as_rotvec()
    start = np.concatenate([typed, place.shift_mm + 0.3, turn + 0.02, bush])
    solved = least_squares(_rows, start, method="lm", xtol=1e-14, ftol=1e-14, gtol=1e-14, max_nfev=20000)
    base = solved.x
    assert place.shift_mm == pytest.approx(base[12:15], abs=5e-3)
    assert place.turn == pytest.approx(Rotation.from_rotvec(base[15:18]).as_matrix(), abs=5e-4)
    assert found.adjusted.chi_square == pytest.approx(2 * solved.cost, rel=1e-2)

    # The same spread, by steps of shift and of a turn put before the one found.
    def stepped(step: Array) -> Array:
        moved = base + step
        for k in (15, 18):
            moved[k : k + 3] = (
                Rotation.from_rotvec(step[k : k + 3]) * Rotation.from_rotvec(base[k : k + 3])
            ).as_rotvec()
        return _rows(moved)

    slopes = np.column_stack([(stepped(step) - stepped(-step)) / 2e-6 for step in 1e-6 * np.eye(21)])
    spread = np.linalg.pinv(slopes.T @ slopes, rcond=1e-11)[12:18, 12:18]
    assert found.adjusted.covariance["valve"] == pytest.approx(spread, rel=2e-2, abs=1e-6)


def _mesh(solid: Solid) -> manifold3d.Manifold:
    """The solid out of facets that touch its skin from outside and inside alike."""
    if isinstance(solid, Box):
        made = manifold3d.Manifold.cube(tuple(2 * solid.halves_mm), True)
        return made.transform(np.column_stack([solid.axes.T, solid.middle_mm]))
    assert isinstance(solid, Capsule | Cylinder | Hexagon)
    along = solid.end_mm - solid.start_mm
    long = float(np.linalg.norm(along))
    z = along / long
    x = solid.towards if isinstance(solid, Hexagon) else np.linalg.svd(z[None])[2][1]
    turn = np.column_stack([x, np.cross(z, x), z])
    if isinstance(solid, Capsule):
        balls = [manifold3d.Manifold.sphere(solid.radius_mm, SEGMENTS).translate((0, 0, end)) for end in (0.0, long)]
        made = manifold3d.Manifold.batch_hull(balls)
    elif isinstance(solid, Hexagon):
        made = manifold3d.Manifold.cylinder(long, solid.flats_mm / np.sqrt(3), circular_segments=6).rotate((0, 0, 30))
    else:
        made = manifold3d.Manifold.cylinder(long, solid.radius_mm, circular_segments=SEGMENTS)
    return made.transform(np.column_stack([turn, solid.start_mm]))


def _random_solid(rng: np.random.Generator, kind: int) -> Solid:
    start, way = rng.uniform(-4, 4, 3), rng.normal(size=3)
    end = start + way / np.linalg.norm(way) * rng.uniform(3, 12)
    if kind == 0:
        return Capsule(start, end, rng.uniform(1, 3))
    if kind == 1:
        return Cylinder(start, end, rng.uniform(1, 4))
    axis = (end - start) / np.linalg.norm(end - start)
    side = np.linalg.svd(axis[None])[2][1]
    if kind == 2:
        return Hexagon(start, end, rng.uniform(3, 9), side)
    return Box(start, np.vstack([axis, side, np.cross(axis, side)]), rng.uniform(1, 5, 3))


@pytest.mark.parametrize("seed", range(24))
def test_overlap_is_that_of_facetted_solids(seed: int) -> None:
    """Facets of 96 to the circle lie up to r (1 - cos(pi/96)), 0.002 mm of 4, inside the round.

    0.02 mm allows for two balls' coarser caps and for the search stopping at a few hundredths.
    """
    rng = np.random.default_rng(seed)
    one, other = _random_solid(rng, seed % 4), _random_solid(rng, (seed // 4) % 4)
    if seed % 3 == 0:  # a third of the pairs well apart
        step = rng.normal(size=3)
        moved = _moved(other, 14 * step / np.linalg.norm(step))
        other = moved
    depth = overlap_mm(one, other)
    meshes = _mesh(one), _mesh(other)
    volume = (meshes[0] ^ meshes[1]).volume()
    assert sunk_mm(one, other) == pytest.approx(max(depth, 0.0), abs=1e-6)
    if depth < -0.02:
        assert volume == 0.0
        assert meshes[0].min_gap(meshes[1], 60.0) == pytest.approx(-depth, abs=0.02)
    elif depth > 0.02:
        assert volume > 0.0
        # Nothing shorter clears them, and something hardly longer does.
        ways = rng.normal(size=(25, 3))
        for way in ways / np.linalg.norm(ways, axis=1, keepdims=True):
            shorter = meshes[1].translate(tuple(0.95 * (depth - 0.02) * way))
            assert (meshes[0] ^ shorter).volume() > 0.0


def _moved(solid: Solid, step: Array) -> Solid:
    if isinstance(solid, Box):
        return Box(solid.middle_mm + step, solid.axes, solid.halves_mm)
    assert isinstance(solid, Capsule | Cylinder | Hexagon)
    ends = solid.start_mm + step, solid.end_mm + step
    if isinstance(solid, Hexagon):
        return Hexagon(*ends, solid.flats_mm, solid.towards)
    return type(solid)(*ends, solid.radius_mm)
