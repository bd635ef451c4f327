"""Outside: sums of the bench against published masses of tube, hexagon tables and sines from a book."""

from __future__ import annotations

import pytest

from trialfit.parts.measuring import Taken, across_corners_mm, cone_by_balls, tube_by_weight

_POUND_A_FOOT_G_MM = 453.59237 / 304.8

# Copper Tube Handbook, tables of dimensions (types K and L), typed from memory: outside diameter and wall in inches,
# nominal weight in pounds a foot. C12200 weighs 0.323 lb/in3, 8940 kg/m3.
_PUBLISHED = {
    "type L 1/4": (0.375, 0.030, 0.126),
    "type K 1/4": (0.375, 0.035, 0.145),
    "type L 3/8": (0.500, 0.035, 0.198),
    "type L 1/2": (0.625, 0.040, 0.285),
}
# Stockholders' tables of EN 1057 tube, from memory: outside diameter, wall [mm], kilograms a metre. They reckon with
# 8.9 grams a cubic centimetre.
_EN_1057 = {"22 x 0.9": (22.0, 0.9, 0.531), "28 x 0.9": (28.0, 0.9, 0.682)}


@pytest.mark.parametrize("name", _PUBLISHED)
def test_wall_by_weight_of_american_tube(name: str) -> None:
    od_in, wall_in, pounds = _PUBLISHED[name]
    per_mm = _POUND_A_FOOT_G_MM
    mass = Taken(100 * pounds * per_mm, 100 * 0.0005 * per_mm)
    found = tube_by_weight(mass, Taken(100.0), Taken(od_in * 25.4), Taken(8940.0))
    # Half the last digit of the printed weight, and nothing else.
    assert found.wall.k2 is not None
    assert found.wall.value == pytest.approx(wall_in * 25.4, abs=found.wall.k2)
    assert found.bore.value + 2 * found.wall.value == pytest.approx(od_in * 25.4)


@pytest.mark.parametrize("name", _EN_1057)
def test_wall_by_weight_of_european_tube(name: str) -> None:
    od_mm, wall_mm, kg_m = _EN_1057[name]
    found = tube_by_weight(Taken(1000 * kg_m, 0.5), Taken(1000.0), Taken(od_mm), Taken(8900.0))
    # Half a gram of the printed weight is 0.0009 mm of wall.
    assert found.wall.value == pytest.approx(wall_mm, abs=0.001)


@pytest.mark.parametrize(
    ("flats_mm", "corners_mm"),
    # ISO 4014 and 4032: least width across corners, made for the least across flats: e = 1.13 s min.
    [(9.78, 11.05), (12.73, 14.38), (15.73, 17.77)],
)
def test_corners_of_standard_hexagons(flats_mm: float, corners_mm: float) -> None:
    """The standard allows the corners to be 2 % off, for chamfer: e is 1.13 and a sharp hexagon 1.1547 across flats."""
    assert across_corners_mm(flats_mm) * 1.13 / 1.1547 == pytest.approx(corners_mm, abs=0.01)


@pytest.mark.parametrize(("included_deg", "sine"), [(60, 0.5), (90, 0.70711), (24, 0.20791)])
def test_two_balls_in_a_known_cone(included_deg: float, sine: float) -> None:
    """Balls of 6 and 4 mm; the top of each lies R (1 + 1/sin a) from the point, with the sine from a table."""
    point_deep_mm = 20.0
    tops = [point_deep_mm - radius * (1 + 1 / sine) for radius in (3.0, 2.0)]
    found = cone_by_balls(Taken(6.0), Taken(4.0), Taken(tops[0]), Taken(tops[1]))
    assert found.value == pytest.approx(included_deg, abs=0.001)
