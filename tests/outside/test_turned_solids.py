"""Outside: volumes of turned parts against trimesh solids: cylinders, cones, prisms and manifold's booleans.

The solids share nothing with the program's profile: each feature is put together here from sizes written twice. A round
is a prism of 720 sides, made so wide that its section has the circle's area; where rounds cross each other that is no
longer exact, and the tolerance of 1 in 5000 is for this. Threads are turned ring by ring, tooth by tooth.
"""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest
from scipy import integrate

from loaded import Loaded
from trialfit.making.turned.features import Across
from trialfit.making.turned.profile import Piece
from trialfit.making.turned.solid import across_volume_mm3, volume_mm3
from turned_jobs import part

trimesh = Loaded("trimesh")

SIDES = 720
# Radius of a polygon whose area is that of the unit circle.
FAT = sqrt(2.0 * pi / SIDES / sin(2.0 * pi / SIDES))


def _round(left: float, right: float, start: float, end: float) -> Any:
    """A cylinder or a frustum along z, by diameters."""
    rows = [(0.0, start), (FAT * left / 2.0, start), (FAT * right / 2.0, end), (0.0, end)]
    return _turned(rows)


def _turned(rows: list[tuple[float, float]]) -> Any:
    return trimesh.creation.revolve(np.array(rows), sections=SIDES)


def _hexagon(flats: float, start: float, end: float) -> Any:
    corner = flats / sqrt(3.0)
    prism = trimesh.creation.cylinder(radius=corner, height=end - start, sections=6)
    prism.apply_translation([0.0, 0.0, (start + end) / 2.0])
    return prism


def _across(hole: float, at: float, length: float, both: bool) -> Any:
    bar = trimesh.creation.cylinder(radius=FAT * hole / 2.0, height=length, sections=SIDES)
    bar.apply_transform([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])
    bar.apply_translation([0.0, 0.0 if both else -length / 2.0, at])
    return bar


def _of(*solids: Any) -> Any:
    return trimesh.boolean.union(solids)


def _less(solid: Any, *holes: Any) -> float:
    return float(trimesh.boolean.difference([solid, *holes]).volume)


def _teeth(major: float, core: float, pitch: float, angle: float, effective: float, count: int) -> Any:
    """So many pitches of thread, turned ring by ring, from z = 0: crest, flank, root, flank."""
    fall = 2.0 / tan(radians(angle / 2.0))
    half_crest = pitch / 4.0 - (major - effective) / fall
    half_root = pitch / 4.0 - (effective - core) / fall
    rows = [(0.0, 0.0)]
    for tooth in range(count):
        z = tooth * pitch
        corners = (
            (half_crest, major),
            (pitch / 2 - half_root, core),
            (pitch / 2 + half_root, core),
            (pitch - half_crest, major),
        )
        rows += [(FAT * major / 2.0, z)] if tooth == 0 else []
        rows += [(FAT * size / 2.0, z + along) for along, size in corners]
    end = count * pitch
    return _turned([*rows, (FAT * major / 2.0, end), (0.0, end)])


def test_tail_with_hexagon_cone_mouth_socket_and_cross_hole() -> None:
    # 1/4x40 by hand: pitch 0.635, core 6.35 - 1.280654 x 0.635 = 5.53678, effective half way. 12 pitches are 7.62 mm.
    thread = _teeth(6.35, 5.536785, 0.635, 55.0, 5.943393, 12)
    thread.apply_translation([0.0, 0.0, 10.0])
    solid = _of(_round(6.5, 6.5, 0.0, 4.0), _hexagon(10.0, 4.0, 10.0), thread)
    mouth = (4.8 - 3.96875) / 2.0 / tan(radians(30.0))
    expected = _less(
        solid,
        _round(3.96875, 3.96875, -1.0, 19.0),
        _round(4.86, 4.86, -1.0, 3.5),
        _round(4.8 - 2.0 * (mouth + 1.0) * tan(radians(30.0)), 4.8, 17.62 - mouth - 1.0, 17.62),
        # In the job the hole goes through the middle of a flat; trimesh's prism has a corner on x and a flat on y.
        _across(2.0, 7.0, 20.0, both=False),
    )
    made = part(
        outside=[
            {"spigot": "6.5 mm", "long": "4 mm"},
            {"hexagon": "10 mm", "long": "6 mm"},
            {"thread": "1/4x40", "long": "7.62 mm"},
        ],
        from_left=[{"bore": "5/32 in", "through": True}, {"counterbore": "4.86 mm", "deep": "3.5 mm"}],
        from_right=[{"cone": "60 deg", "mouth": "4.8 mm"}],
        cross_holes=[{"hole": "2 mm", "at": "7 mm", "walls": "one"}],
    )
    assert volume_mm3(made) == pytest.approx(expected, rel=2e-4)


def test_nut_with_chamfered_hexagon_and_female_thread() -> None:
    # Chamfers of 0.5 at 45 deg from the corners of a 12 mm hexagon: cones that meet the corners 0.5 from each face.
    corner = 12.0 / sqrt(3.0)
    near, far = 2.0 * (corner - 0.5), 2.0 * (corner + 12.0)
    cones = trimesh.boolean.intersection([_round(near, far, 0.0, 12.5), _round(far, near, -2.5, 10.0)])
    hexagon = trimesh.boolean.intersection([_hexagon(12.0, 0.0, 10.0), cones])
    # M8x1 in a hole of 7 mm: flanks of 60 deg between 8 and 7, effective 8 - 0.649519. Six full turns from the right.
    thread = _teeth(8.0, 7.0, 1.0, 60.0, 7.350481, 6)
    thread.apply_translation([0.0, 0.0, 4.0])
    point = 7.0 / 2.0 / tan(radians(59.0))
    holes = (_round(7.0, 7.0, 2.5, 10.5), _round(0.0, 7.0, 2.5 - point, 2.5), _round(3.0, 3.0, -1.0, 5.0), thread)
    made = part(
        outside=[{"chamfer": "0.5 mm"}, {"hexagon": "12 mm", "long": "10 mm"}, {"chamfer": "0.5 mm"}],
        from_left=[{"bore": "3 mm", "through": True}],
        from_right=[{"thread": "M8x1", "deep": "6 mm", "drill": "7 mm", "drilled": "7.5 mm"}],
    )
    assert volume_mm3(made) == pytest.approx(_less(hexagon, *holes), rel=2e-4)


def test_cone_with_two_cross_holes_through_both_walls() -> None:
    solid = _of(_round(9.0, 9.0, 0.0, 12.0), _round(9.0, 5.0, 12.0, 12.0 + 2.0 * sqrt(3.0)))
    expected = _less(
        solid, _round(4.0, 4.0, -1.0, 20.0), _across(2.5, 4.0, 30.0, both=True), _across(3.0, 12.5, 30.0, both=True)
    )
    made = part(
        outside=[{"plain": "9 mm", "long": "12 mm"}, {"taper": "9 mm", "to": "5 mm", "angle": "60 deg"}],
        from_left=[{"bore": "4 mm", "through": True}],
        cross_holes=[
            {"hole": "2.5 mm", "at": "4 mm", "walls": "both"},
            {"hole": "3 mm", "at": "12.5 mm", "walls": "both"},
        ],
    )
    assert volume_mm3(made) == pytest.approx(expected, rel=2e-4)


def test_two_equal_rounds_crossing_hold_sixteen_thirds_of_the_radius_cubed() -> None:
    # Archimedes, The Method, proposition 15. The rims of equal rounds meet in a kink, where 24 Gauss points give 6e-6.
    bar = (Piece(0.0, 20.0, 3.0, 3.0, "bar"),)
    assert across_volume_mm3(Across(6.0, 10.0, True), bar, ()) == pytest.approx(16.0 / 3.0 * 27.0, rel=1e-5)


@pytest.mark.parametrize("hole", [0.5, 2.0, 4.5])
def test_a_cross_hole_in_a_tube_against_adaptive_integration(hole: float) -> None:
    # Area of the tube's wall over each point of the hole's circle, by scipy's dblquad in polar coordinates of the hole.
    tube, bore = (Piece(0.0, 20.0, 4.0, 4.0, "tube"),), (Piece(0.0, 20.0, 2.5, 2.5, "bore"),)

    def wall(radius: float, turn: float) -> float:
        x = radius * cos(turn)
        return radius * (sqrt(16.0 - x * x) - sqrt(max(6.25 - x * x, 0.0)))

    expected, _ = integrate.dblquad(wall, 0.0, 2.0 * pi, 0.0, hole / 2.0, epsabs=1e-9)
    assert across_volume_mm3(Across(hole, 10.0, False), tube, bore) == pytest.approx(expected, rel=1e-5)
