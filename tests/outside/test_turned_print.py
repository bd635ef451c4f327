"""Outside: figures of turned parts against handbooks and standards.

Sources, each from memory unless it says otherwise:
- points of drills: shop handbooks give 0.300, 0.207 and 0.500 diameters for 118, 135 and 90 deg (also seen in a web
  table of drill points with a worked 1/2 in, 118 deg point of 0.150 in);
- hexagons: handbook tables of squares and hexagons, distance across corners 1.1547 x across flats;
- turns a minute: 12/pi x ft/min / in; the usual table has 382 for 100 ft/min on 1 in, 764 on 1/2 in;
- net section modulus of a round bar with a cross hole: pi D3/32 - d D2/6, stress concentration handbooks;
- O-ring housings: a published table of static radial housings to ISO 3601-2, seen on a seal merchant's page, and the
  1.78 mm row of the tables (`S-BDW`);
- flanks of threads: 55 deg of BS 84, 47.5 deg of BS 93, 60 deg of ISO 68-1.
"""

from __future__ import annotations

from math import pi, radians, tan

import numpy as np
import pytest

from trialfit.finding import Answer
from trialfit.making.turned.across import net_shares
from trialfit.making.turned.cuts import cone_cuts
from trialfit.making.turned.rings import groove_mm, outside_fit, ring_limits
from trialfit.making.turned.seats import seat_fits
from trialfit.making.turned.shapes import cone_depth_mm, corners_mm, point_length_mm, thread_mean_mm
from trialfit.making.turned.speeds import speed
from trialfit.tables.cutting import turns_per_min
from trialfit.tables.designations import find_thread
from trialfit.tables.metals import find_metal
from trialfit.tables.rules import rule
from turned_jobs import bench, part


@pytest.mark.parametrize(("angle", "share"), [(118.0, 0.300), (135.0, 0.207), (90.0, 0.500)])
def test_point_of_a_drill(angle: float, share: float) -> None:
    assert point_length_mm(1.0, angle) == pytest.approx(share, abs=5e-4)


def test_point_of_a_half_inch_drill_as_worked() -> None:
    assert point_length_mm(0.5) == pytest.approx(0.150, abs=5e-4)


@pytest.mark.parametrize(
    ("flats", "corners"), [(0.25, 0.2886), (0.375, 0.4330), (0.5, 0.5773), (0.75, 0.8660), (1.0, 1.1547)]
)
def test_hexagon_across_corners(flats: float, corners: float) -> None:
    # Half a last digit, and another half because the table cuts off rather than rounds (0.28868, 0.57735).
    assert corners_mm(flats) == pytest.approx(corners, abs=1e-4)


@pytest.mark.parametrize(("inches", "turns"), [(1.0, 382), (0.5, 764), (0.25, 1528), (0.125, 3056)])
def test_turns_a_minute_of_100_feet(inches: float, turns: int) -> None:
    assert turns_per_min(100 * 0.3048, inches * 25.4) == pytest.approx(turns, abs=0.5)
    assert turns_per_min(100 * 0.3048, inches * 25.4) == pytest.approx(12.0 / pi * 100.0 / inches)


def test_brass_on_a_small_lathe_turns_as_printed() -> None:
    # 300 ft/min is the low end printed for brass on a small lathe; drilling brass 200 ft/min.
    brass = find_metal("CW614N")
    assert speed("turning", 25.4, brass, bench()).wanted_rpm == pytest.approx(12.0 / pi * 300.0)
    assert speed("drilling", 25.4 / 4.0, brass, bench()).wanted_rpm == pytest.approx(12.0 / pi * 200.0 * 4.0)


@pytest.mark.parametrize(
    ("mouth", "angle", "wider"), [(6.0, "60 deg", 0.115), (6.0, "90 deg", 0.200), (6.0, "118 deg", 0.333)]
)
def test_a_tenth_deeper_makes_a_mouth_so_much_wider(mouth: float, angle: str, wider: float) -> None:
    # 0.2 tan(half angle): 0.2 x 0.57735, 0.2 x 1, 0.2 x 1.66428.
    made = part(outside=[{"plain": "10 mm", "long": "9 mm"}], from_left=[{"cone": angle, "mouth": f"{mouth} mm"}])
    (cut,) = cone_cuts(made)
    assert 0.1 * cut.wider_per_deeper == pytest.approx(wider, abs=5e-4)
    assert cut.deep_mm == pytest.approx(cone_depth_mm(mouth, 0.0, float(angle.split()[0])))


@pytest.mark.parametrize("share", [0.05, 0.10, 0.15, 0.20])
def test_net_modulus_of_a_bar_with_a_cross_hole(share: float) -> None:
    # The printed formula takes the strip for a rectangle as high as the bar. That takes too much: the true strip falls
    # short of it by a share of (d/D)2/2 of what is taken off at most, which is what the tolerance allows.
    printed = 1.0 - (share / 6.0) / (pi / 32.0)
    ours = net_shares(1.0, 0.0, [(share, 0.0), (share, 180.0)])[1]
    assert ours == pytest.approx(printed, abs=(1.0 - printed) * share**2)
    assert ours >= printed


# Section, depth of housing, width: static radial.
HOUSINGS = [(1.78, 1.30, 2.40), (2.62, 2.00, 3.60), (3.53, 2.70, 4.80), (5.33, 4.30, 7.10)]


@pytest.mark.parametrize(("section", "deep", "wide"), HOUSINGS)
def test_published_housings_lie_within_the_limits_used(section: float, deep: float, wide: float) -> None:
    bore = 20.0
    bottom = bore - 2.0 * deep
    line = {
        "groove": f"{bottom} mm", "long": f"{wide} mm",
        "o_ring": f"{section} mm", "ring_bore": f"{bottom - 0.1:.2f} mm", "against": f"{bore} mm",
    }  # fmt: skip
    made = part(outside=[{"plain": "19.9 mm", "long": "5 mm"}, line, {"plain": "19.9 mm", "long": "5 mm"}])
    fit = outside_fit(made.outside[1])
    assert fit is not None
    assert fit.squeeze_pct == pytest.approx(100.0 * (section - deep) / section)
    assert fit.fill_pct == pytest.approx(100.0 * pi / 4.0 * section**2 / (deep * wide))
    assert {limit.answer for limit in ring_limits(fit)} == {Answer.GO}


@pytest.mark.parametrize(("section", "deep", "wide"), HOUSINGS)
def test_the_groove_offered_is_near_the_published_one(section: float, deep: float, wide: float) -> None:
    # It is the middle of the limits on squeeze and fill; print squeezes thin rings more and thick ones less: 7 %.
    ours_deep, ours_wide = groove_mm(section)
    assert ours_deep == pytest.approx(deep, rel=0.07)
    assert ours_wide == pytest.approx(wide, rel=0.07)


def test_the_groove_offered_for_178_is_that_of_the_tables() -> None:
    depth, width = rule("O-ring", "groove depth for 1.78 mm"), rule("O-ring", "groove width for 1.78 mm")
    ours_deep, ours_wide = groove_mm(1.78)
    assert depth.low is not None and depth.high is not None
    assert depth.low <= ours_deep <= depth.high
    assert ours_wide == pytest.approx(width.low, abs=0.01)


def test_rival_rules_for_a_ball_stand_side_by_side() -> None:
    # Ball 7/32 in = 5.556 on 4 mm: 1.389 bores; acos(4 / 5.556) = 43.95 deg; sinks (5.556 - sqrt(5.556^2 - 16)) / 2 =
    # 0.850. Lifts: 1/8 to 1/6 of the ball 0.69 to 0.93, a third of it 1.85, a quarter of the bore 1.00.
    seat = {"bore": "4 mm", "through": True, "ball": "7/32 in"}
    (fit,) = seat_fits(part(outside=[{"plain": "9 mm", "long": "8 mm"}], from_left=[seat]))
    assert (fit.over, fit.tangent_deg, fit.sinks_mm) == pytest.approx((1.389, 43.95, 0.850), abs=5e-3)
    assert {rule.name: rule.gives for rule in fit.rules} == {
        "ball over seat": "1.39 times",
        "tangent angle": "44.0 deg",
        "lift in a pump": "0.69 to 0.93 mm",
        "lift in an injector": "1.85 mm",
        "lift for full area": "1.00 mm",
    }


@pytest.mark.parametrize("name", ["1/4x40", "5/16x32", "M6", "2BA"])
@pytest.mark.parametrize("share", [1.0, 0.6])
def test_a_thread_weighs_as_its_mean_diameter_does(name: str, share: float) -> None:
    """The mean square of the radius over one pitch, counted out on the thread's flanks, cut off at crest and root."""
    thread = find_thread(name)
    inner = thread.major_mm - share * (thread.major_mm - thread.core_mm)
    along = (np.arange(200000) + 0.5) / 200000 * thread.pitch_mm / 2.0
    slope = 1.0 / tan(radians(thread.angle_deg / 2.0))
    # The middle of a flank stands at the effective radius a quarter of a pitch from the crest.
    radius = thread.effective_mm / 2.0 + slope * (thread.pitch_mm / 4.0 - along)
    radius = np.clip(radius, inner / 2.0, thread.major_mm / 2.0)
    assert thread_mean_mm(thread, inner) == pytest.approx(2.0 * float((radius**2).mean()) ** 0.5, rel=1e-6)
