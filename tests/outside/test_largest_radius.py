"""Outside: the largest radius that goes round a corner, against plane geometry worked out by hand.

Two legs turn by a and meet at V. What stands inside the turn has its corner K at c from both legs, so on the line
that halves them, c / cos(a / 2) from V. The arc's centre O is on the same line, R / cos(a / 2) from V. With
q = 1 / cos(a / 2) the arc passes K at R - q (R - c), and that is to be no less than s, the tube's radius with the room
wanted:

    R <= (q c - s) / (q - 1).
"""

from __future__ import annotations

from math import cos, floor, radians, sin

import numpy as np
import pytest

from trialfit.errors import Refusal
from trialfit.fitup.corners import Bender
from trialfit.fitup.obstacles import Around, Obstacle
from trialfit.fitup.records import EndFace
from trialfit.fitup.route import way_among
from trialfit.fitup.smaller_radius import Smaller, largest_smaller
from trialfit.fitup.sought import Asked, sought
from trialfit.parts.solids import Box, Cylinder, Solid

ALLOWED = ((0.3, 0.3), (0.3, 0.3))
TUBE_RADIUS_MM, WANTED_MM = 2.38, 2.0
# A gap of up to 0.03 mm over what is wanted may be passed over (docs/methods/routes.md).
DOUBT_MM = 0.03


def faces(turn_deg: float) -> tuple[EndFace, EndFace]:
    """Both 80 mm from the corner, which is the origin; the first leg runs along x."""
    way = np.array([cos(radians(turn_deg)), sin(radians(turn_deg)), 0.0])
    start = EndFace("a", np.array([-80.0, 0, 0]), np.array([1.0, 0, 0]), 14.0, 0.0)
    return start, EndFace("b", 80.0 * way, -way, 14.0, 0.0)


def inside(c_mm: float, turn_deg: float) -> tuple[float, float]:
    """K: c to the left of the first leg, and on the line that halves the two."""
    return -c_mm * np.tan(radians(turn_deg) / 2), c_mm


def block(c_mm: float) -> Solid:
    """All of x < -c, y > c, as far as either leg goes: its corner K and both its sides are c from the legs."""
    return Box(np.array([-c_mm - 40, c_mm + 40, 0.0]), np.eye(3), np.array([40.0, 40, 60]))


def post(c_mm: float, turn_deg: float, radius_mm: float) -> Solid:
    x, y = inside(c_mm, turn_deg)
    return Cylinder(np.array([x, y, -60.0]), np.array([x, y, 60.0]), radius_mm)


def found(solid: Solid, turn_deg: float, asked_mm: float) -> Smaller | None:
    start, end = faces(turn_deg)
    around = Around((Obstacle("block", "", solid, WANTED_MM),), TUBE_RADIUS_MM)

    def goes(bender: Bender) -> bool:
        return sought(Asked(start, end, bender, 1, ALLOWED), around).path is not None

    return largest_smaller(goes, Bender(asked_mm, 10.0), 2 * TUBE_RADIUS_MM)


def by_hand_mm(c_mm: float, turn_deg: float, s_mm: float) -> float:
    q = 1 / cos(radians(turn_deg) / 2)
    return (q * c_mm - s_mm) / (q - 1)


@pytest.mark.parametrize("c_mm", [6.0, 6.4, 7.018, 9.0])
def test_round_the_corner_of_a_block(c_mm: float) -> None:
    """At c = 7.018: (1.41421 x 7.018 - 4.38) / 0.41421 = 13.386, so 13.3 goes and 13.4 does not."""
    smaller, most_mm = found(block(c_mm), 90.0, 30.0), by_hand_mm(c_mm, 90.0, TUBE_RADIUS_MM + WANTED_MM)
    assert smaller is not None
    assert most_mm - DOUBT_MM / (2**0.5 - 1) - 0.1 < smaller.bender.radius_mm <= most_mm
    if c_mm == 7.018:
        assert floor(10 * most_mm) / 10 == 13.3
        assert smaller.words == "with a bend radius of 13.3 mm"


@pytest.mark.parametrize(("turn_deg", "c_mm", "asked_mm"), [(60.0, 6.2, 25.0), (90.0, 7.5, 25.0), (120.0, 11.0, 25.0)])
def test_round_a_post_whatever_the_turn(turn_deg: float, c_mm: float, asked_mm: float) -> None:
    """A post of 1 mm radius at K: s is 1 mm more. A turn of 60 deg: (1.1547 x 6.2 - 5.38) / 0.1547 = 11.50."""
    smaller, most_mm = found(post(c_mm, turn_deg, 1.0), turn_deg, asked_mm), by_hand_mm(c_mm, turn_deg, 5.38)
    assert smaller is not None
    slack_mm = DOUBT_MM / (1 / cos(radians(turn_deg) / 2) - 1)
    assert most_mm - slack_mm - 0.1 < smaller.bender.radius_mm <= most_mm < asked_mm


def test_a_block_that_no_radius_of_two_diameters_clears_has_none() -> None:
    """At c = 5: (7.071 - 4.38) / 0.41421 = 6.50, under the 9.52 mm that is least."""
    assert by_hand_mm(5.0, 90.0, 4.38) < 4 * TUBE_RADIUS_MM
    assert found(block(5.0), 90.0, 30.0) is None


def test_the_refusal_names_it() -> None:
    """With no room at all wanted 18.2 mm would still go, (9.925 - 2.38) / 0.41421, so 25 mm is refused outright."""
    start, end = faces(90.0)
    around = Around((Obstacle("block", "", block(7.018), WANTED_MM),), TUBE_RADIUS_MM)

    def remedy(formers: tuple[Bender, ...] | None) -> str:
        with pytest.raises(Refusal) as refused:
            way_among(start, end, Bender(25.0, 10.0), 1, ALLOWED, around, formers=formers)
        return refused.value.fault.remedy

    assert remedy(None).startswith("With a bend radius of 13.3 mm there is one; ")
    # Of formers of 15, 12.7 and 9.5 mm the second is the largest under 13.386.
    formers = tuple(Bender(radius, 10.0) for radius in (9.5, 25.0, 12.7, 15.0))
    assert remedy(formers).startswith("With the shop's former of 12.7 mm radius there is one; ")
    assert remedy(formers[1:2]).startswith(
        "With a bend radius of 13.3 mm, for which the shop has no former, there is one; "
    )
