"""Unit: the whole text of a refused pipe, on arrangements whose limits are found by hand."""

from __future__ import annotations

import numpy as np
import pytest

from trialfit.errors import Refusal
from trialfit.fitup.corners import Bender
from trialfit.fitup.obstacles import Around
from trialfit.fitup.records import EndFace
from trialfit.fitup.route import shortest, way_among

BENDER = Bender(12.7, 10.0)
ALLOWED = ((0.3, 0.3), (0.3, 0.3))


def face(name: str, at: tuple[float, float, float], way: tuple[float, float, float], straight: float) -> EndFace:
    return EndFace(name, np.array(at), np.array(way), straight, 3.0)


def refusal(start: EndFace, end: EndFace, bends_most: int = 2) -> list[str]:
    """What, got, wanted and remedy."""
    with pytest.raises(Refusal) as refused:
        shortest(start, end, BENDER, bends_most, ALLOWED, "pipe feed")
    fault = refused.value.fault
    return [fault.what, fault.got, fault.wanted, fault.remedy]


def test_a_hairpin_too_narrow_for_the_former() -> None:
    """Two faces side by side, 25.3 mm apart, looking the same way.

    Any two bends add up to 180 deg: 90 + f and 90 - f. The middle leg is 25.3 / cos f and both tangents together are
    12.7 (tan(45 + f/2) + tan(45 - f/2)) = 25.4 / cos f, so -0.1 / cos f is left where 10 is wanted: at best, with
    f = 0, it is 10.1 short. A smaller radius R leaves (25.3 - 2R) / cos f, and at the greatest bend, 150 deg, f is 60
    and 1 / cos f is 2: it fits while 2 (25.3 - 2R) >= 10, R <= 10.15. Shorter straights do nothing; less grip than the
    -0.1 there is cannot be. Three bends swing out first and come round in a wider loop.
    """
    assert refusal(face("a", (0, 0, 0), (1, 0, 0), 14), face("b", (0, 25.3, 0), (1, 0, 0), 14)) == [
        "pipe feed from a to b",
        "no bend: the faces are out of line by 90.0 and 90.0 deg; one bend: the axes are parallel; two bends: however "
        "the corners are laid, 10.1 mm short of the straights wanted with bends of 150 deg at most",
        "a way with at most 2 bends of radius 12.7 mm, 14.0 mm straight at a, 14.0 mm at b and 10.0 mm between bends",
        "Any one of these alone would do: three bends, or a bend radius of 10.1 mm.",
    ]


@pytest.mark.parametrize(
    ("formers", "words"),
    [
        # As above: one of 10 mm leaves 2 (25.3 - 20) = 10.6 and wants 12; one of 9.5 leaves 12.6 and wants 9.
        ([(12.7, 10.0), (10.0, 12.0), (9.5, 9.0)], "the shop's former of 9.5 mm does"),
        ([(12.7, 10.0), (11.0, 10.0)], "the shop has no former for it"),
    ],
)
def test_a_hairpin_on_the_shop_s_own_formers(formers: list[tuple[float, float]], words: str) -> None:
    start, end = face("a", (0, 0, 0), (1, 0, 0), 14), face("b", (0, 25.3, 0), (1, 0, 0), 14)
    own = tuple(Bender(radius, grip) for radius, grip in formers)
    with pytest.raises(Refusal) as refused:
        way_among(start, end, BENDER, 2, ALLOWED, Around((), 2.38), formers=own)
    assert refused.value.fault.remedy == (
        f"Any one of these alone would do: three bends, or a bend radius of 10.1 mm ({words})."
    )


def test_one_bend_whose_corner_is_too_near() -> None:
    """Axes square to each other, the corner 20 mm from a and 40 mm from b: 20 - 12.7 = 7.3 mm straight at a.

    With one bend at most, the straight at a would do at 7.3 mm. A radius would do from 20 - 14 = 6 mm down, less than
    half of 12.7, and is not offered. Both axes are in one plane, and so are any two bends: turning right by 90 deg in
    all they would have to be of less than that each and leave less straight, and turning left by 270 the pipe runs
    through itself. Three bends leave the plane.
    """
    got = refusal(face("a", (0, 0, 0), (1, 0, 0), 14), face("b", (20, 40, 0), (0, -1, 0), 14), bends_most=1)
    assert got[1] == (
        "no bend: the faces are out of line by 63.4 and 26.6 deg; "
        "one bend: it leaves 7.3 mm straight at a and 14.0 mm is wanted"
    )
    # tan 63.4 = 40 / 20
    assert got[3] == "Any one of these alone would do: three bends, or 7.3 mm straight at a."


def test_skew_axes_want_two_bends() -> None:
    """As the box of the bend table, 100 mm on: the axes pass 100 mm apart."""
    start, end = face("a", (0, 0, 0), (1, 0, 0), 14), face("b", (100, 100, 100), (0, 0, -1), 14)
    got = refusal(start, end, bends_most=1)
    # Midway between the axes the corner is 50 mm to the side of both; it lies 100 out: tan 26.6 = 50 / 100.
    assert got[1].endswith("one bend: the axes pass 100.0 mm apart, 26.6 and 26.6 deg at the unions")
    assert got[3] == "Any one of these alone would do: two bends."


def test_faces_in_line_but_too_near_for_their_straights() -> None:
    """25 mm apart with 14 mm wanted at each: 3 mm too near, which 11 mm at either end would cure.

    More bends do not: the two straights would stand in each other, on one axis, whatever comes between.
    """
    got = refusal(face("a", (0, 0, 0), (1, 0, 0), 14), face("b", (25, 0, 0), (-1, 0, 0), 14))
    assert got[1].startswith(
        "no bend: the faces are 25.0 mm apart and their straights want 28.0 mm; "
        "one bend: the axes are parallel; two bends:"
    )
    assert got[3] == "Any one of these alone would do: 11.0 mm straight at a, or 11.0 mm straight at b."


def test_faces_back_to_back_cannot_be_cured_by_a_figure() -> None:
    """Both look away from each other on one axis: with two bends 180 deg at both, which is not laid out from corners.

    With three of 120 deg it goes: corners of a triangle of equal sides, each tangent 12.7 tan 60 = 22 mm, the base
    14 + 22 beyond both faces: 102 mm, of which 58 are left straight. No figure cures two bends.
    """
    got = refusal(face("a", (0, 0, 0), (-1, 0, 0), 14), face("b", (30, 0, 0), (1, 0, 0), 14))
    assert got[3] == "Any one of these alone would do: three bends."


def test_an_axis_that_is_met_behind_a_face() -> None:
    got = refusal(face("a", (0, 0, 0), (1, 0, 0), 14), face("b", (-30, 40, 0), (0, -1, 0), 14), bends_most=1)
    assert "one bend: the axes pass 0.0 mm apart, and 30.0 mm behind a" in got[1]


def test_a_bend_that_doubles_back_is_not_laid_out_from_corners() -> None:
    # Axes 20 deg from parallel, meeting 141.8 mm out on a (50 / tan 20 = 137.4 along x): a bend of 160 deg.
    c, s = np.cos(np.radians(20)), np.sin(np.radians(20))
    got = refusal(face("a", (0, 0, 0), (1, 0, 0), 14), face("b", (0, 50, 0), (c, -s, 0), 14), bends_most=1)
    assert "one bend: it would be of 160 deg, and 150 is the most that is laid out" in got[1]


def test_two_faces_in_one_place() -> None:
    got = refusal(face("a", (5, 5, 5), (1, 0, 0), 14), face("b", (5, 5, 5), (0, 1, 0), 14))
    assert got[1:] == [
        "two faces in one place",
        "faces apart from each other",
        "Look at which points the two ports are given by.",
    ]


def test_one_bend_a_long_way_round_gives_way_to_two() -> None:
    """Faces 60 mm apart, 40 deg from parallel: the axes meet 60 / tan 40 = 71.5 and 60 / sin 40 = 93.3 mm out.

    One bend of 140 deg has a centre line of 71.5 + 93.3 - 2 * 12.7 tan 70 + 12.7 * 2.443 = 126.1 mm, 2.1 times the
    distance, and stays. At 30 deg they meet 103.9 and 120 mm out: 223.9 - 2 * 12.7 tan 75 + 12.7 * 2.618 = 162.4 mm,
    2.7 times the distance. Two bends of about 90 and 60 deg go a shorter way, and are taken.
    """
    for degrees_apart, bends in ((40, 1), (30.001, 2)):
        c, s = np.cos(np.radians(degrees_apart)), np.sin(np.radians(degrees_apart))
        start, end = face("a", (0, 0, 0), (1, 0, 0), 14), face("b", (0, 60, 0), (c, -s, 0), 14)
        path = shortest(start, end, BENDER, 2, ALLOWED)
        assert len(path.vertices_mm) - 2 == bends
