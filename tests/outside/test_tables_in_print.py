"""Outside: figures of the tables that were remembered once, each held against the page it was then found on.

Typed from the pages, in their own units, and not from the tables; each page is found by the words beside its key in
``figures/sources.csv``. Taper pipe threads: S-WIKIBSP, pipe thread sizes. BA hexagons: S-BAWIKI, 1.75 times the major
diameter, and an older text of the same page, which prints that diameter to 0.0001 in. Seats: S-SAESEAT and S-SEATS.
Solders: S-SOLDREF, but Sn96Ag4, ASTM 96TS, S-SOLDWIKI. Water tests: S-PACODE, 34 Pa. Code section 3a.115 (a)(1).
"""

from __future__ import annotations

import pytest

from trialfit.finding import Basis
from trialfit.tables.designations import find_thread
from trialfit.tables.fittings import union_cones
from trialfit.tables.hexagons import hexagons_of
from trialfit.tables.joining import solders
from trialfit.tables.metals import find_metal
from trialfit.tables.rules import rule
from trialfit.tables.seals import seals
from trialfit.tables.threads import gauge_lengths_mm, gauge_lengths_rest_on
from trialfit.units import inches


@pytest.mark.parametrize(
    ("name", "major_mm", "gauge_mm"),
    [
        ("R1/16", 7.723, 4.0),
        ("R1/8", 9.728, 4.0),
        ("R1/4", 13.157, 6.0),
        ("R3/8", 16.662, 6.4),
        ("R1/2", 20.955, 8.2),
    ],
)
def test_taper_pipe_threads(name: str, major_mm: float, gauge_mm: float) -> None:
    assert find_thread(name).major_mm == pytest.approx(major_mm, abs=0.0005)
    assert gauge_lengths_mm()[name] == pytest.approx(gauge_mm, abs=0.05)
    assert not gauge_lengths_rest_on()[name].must_be_shown


# Major diameters as printed, in inches; 1.75 times them, to half a thousandth, and a rounding of the diameter.
MAJORS_IN = (0.2362, 0.2087, 0.1850, 0.1614, 0.1417, 0.1260, 0.1102, 0.0984, 0.0866, 0.0748, 0.0669)


@pytest.mark.parametrize(("number", "major_in"), list(enumerate(MAJORS_IN)))
def test_ba_hexagons(number: int, major_in: float) -> None:
    found = hexagons_of(find_thread(f"{number}BA"))
    assert found and all(not each.basis.must_be_shown for each in found)
    for each in found:
        assert inches(each.across_flats_mm) == pytest.approx(1.75 * major_in, abs=0.0005 + 1.75 * 0.00005)


@pytest.mark.parametrize(("name", "seat_deg"), [("37 deg flare", 37), ("45 deg flare", 45)])
def test_flares_are_named_by_half_their_angle(name: str, seat_deg: int) -> None:
    assert [each.included_deg for each in union_cones() if each.name == name] == [2 * seat_deg]


def test_the_cone_of_british_pipe_unions_is_named_by_the_whole_angle() -> None:
    assert [each.included_deg for each in union_cones() if each.name == "BSPP"] == [60]


@pytest.mark.parametrize(
    ("name", "solidus_c", "liquidus_c"), [("Sn96Ag4", 221, 229), ("Sn97Cu3", 227, 300), ("Sn99Cu1", 227, 227)]
)
def test_solders_without_lead(name: str, solidus_c: float, liquidus_c: float) -> None:
    found = [each for each in solders() if each.name == name]
    assert (solidus_c, liquidus_c) in [(each.solidus_c, each.liquidus_c) for each in found]
    # Authorities part over the liquidus alone: what begins to melt does so at the printed solidus.
    assert {each.solidus_c for each in found} == {solidus_c}
    assert found[0].basis is Basis.HANDBOOK


def test_density_of_soft_solder() -> None:
    """60 % of tin 8.50, 63 % 8.40; Sn97Cu3 7.32, Sn96.5Ag3.5 7.37 g/cm³."""
    found = rule("solder used", "density of soft solder")
    assert found.low == found.high == pytest.approx(8.50, abs=0.005)
    assert "7.3 to 7.4" in found.text


def test_water_tests_in_the_field() -> None:
    assert rule("US", "water test in the field").high == 1.5
    assert rule("US", "water test of a locomotive's boiler in the field").high == 1.25


def test_limits_of_washers_are_on_the_safe_side_of_print() -> None:
    """Nitrile 100 °C at the least; vegetable fibre 250 °F; soft copper anneals from 370, is baked to 450 °C."""
    assert rule("gasket", "bonded seal with nitrile").high == 100 == seals()["NBR"].dry_low_c
    fibre = rule("gasket", "fibre washer")
    assert fibre.low is not None and fibre.low < (250 - 32) / 1.8
    assert fibre.high == pytest.approx((250 - 32) / 1.8, abs=0.5)
    copper, anneal = rule("gasket", "annealed copper washer").high, find_metal("CW024A").anneal
    assert copper is not None and anneal is not None and copper < anneal.low == 370


def test_the_paste_is_not_held_to_more_than_its_polymer() -> None:
    """PTFE 260 °C continuous, seal charts."""
    taken, paste = (rule("jointing compound", name).high for name in ("where nobody read the tin", "PTFE paste"))
    assert (taken, paste) == (130, 260)
