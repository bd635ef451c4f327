"""Unit: threads, drills, walls and metals by the names people write; refusals in full."""

from __future__ import annotations

import pytest

from trialfit.errors import Refusal
from trialfit.finding import Basis
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import (
    clearance_drills,
    find_drill,
    nearest_drills,
    percent_of_thread,
    printed_tapping_drills,
    tapping_drills,
)
from trialfit.tables.gauges import swg_mm, wall_mm
from trialfit.tables.metals import find_metal
from trialfit.tables.threads import same_threads


@pytest.mark.parametrize(
    ("written", "designation"),
    [
        ("1/4x40", "1/4x40"),
        ("1/4 x 40", "1/4x40"),
        ("1/4 × 40", "1/4x40"),
        ("¼ x 40", "1/4x40"),
        ('1/4" x 40', "1/4x40"),
        ("1/4 in x 40 tpi", "1/4x40"),
        ("1/4 40 tpi", "1/4x40"),
        ("1/4-40 ME", "1/4x40"),
        ("0.25x40", "1/4x40"),
        ("3/8x26", "3/8x26 brass"),
        ("3/8 brass", "3/8x26 brass"),
        ("1/2x26", "1/2x26"),
        ("1/16 BSW", "1/16x60"),
        ("1/4 BSF", "1/4 BSF"),
        ("1/4-26 bsf", "1/4 BSF"),
        ("1/4 Whitworth", "1/4 BSW"),
        ("1/4-20 UNC", "1/4-20 UNC"),
        ("1/4-28", "1/4-28 UNF"),
        ("10-32", "10-32 UNF"),
        ("#10-32", "10-32 UNF"),
        ("No 10-32", "10-32 UNF"),
        ("5-40", "5-40 UNC"),
        ("2BA", "2BA"),
        ("2 BA", "2BA"),
        ("No. 2 B.A.", "2BA"),
        ("M8", "M8x1.25"),
        ("m8", "M8x1.25"),
        ("M8x1", "M8x1"),
        ("M 8 x 1.0", "M8x1"),
        ("M8-0.75", "M8x0.75"),
        ("G1/8", "G1/8"),
        ("1/8 BSPP", "G1/8"),
        ("R 1/8", "R1/8"),
        ("Rc1/8", "R1/8"),
        ("1/8 BSPT", "R1/8"),
    ],
)
def test_ways_of_writing_a_thread(written: str, designation: str) -> None:
    assert find_thread(written).designation == designation


A_THREAD = "wanted a thread of the tables, such as 1/4x40, 2BA, M8x1, G1/8 or 1/4-20 UNC."


@pytest.mark.parametrize(
    ("written", "refusal"),
    [
        ("1/4-20", "thread: got 1/4-20, wanted one thread. It may be 1/4 BSW or 1/4-20 UNC; write which."),
        ("1/8 BSP", "thread: got 1/8 BSP, wanted one thread. It may be G1/8 or R1/8; write which."),
        ("1/4 ME", "thread: got 1/4 ME, wanted one thread. It may be 1/4x40 or 1/4x32; write which."),
        ("1/4x42", f"thread: got 1/4x42, {A_THREAD} The nearest known are 1/4x40, 1/4x32 and 1/4-28 UNF."),
        ("M9", f"thread: got M9, {A_THREAD} The nearest known are M8x1.25, M10x1.5 and M8x0.75."),
        ("M8x1.3", f"thread: got M8x1.3, {A_THREAD} The nearest known are M8x1.25, M8x1 and M8x0.75."),
        ("12 BA", f"thread: got 12 BA, {A_THREAD} The nearest known are 10BA, 9BA and 8BA."),
        ("G1", f"thread: got G1, {A_THREAD} The nearest known are G1/8, G1/4 and G1/2."),
        ("1/4 x 40 xyz", f"thread: got 1/4 x 40 xyz, {A_THREAD} The nearest known is 1/4x40."),
        ("a nut", f"thread: got a nut, {A_THREAD} Write diameter and threads per inch, or the series and its number."),
        ("", f"thread: got nothing, {A_THREAD} Write diameter and threads per inch, or the series and its number."),
    ],
)
def test_threads_refused_in_full(written: str, refusal: str) -> None:
    with pytest.raises(Refusal) as caught:
        find_thread(written)
    assert str(caught.value) == refusal


def test_one_thread_under_two_names() -> None:
    """BS 84 form throughout: 1/8 BSW has 40 tpi as 1/8x40 has; 1/4 BSF has 26 tpi as the brass thread has."""
    assert [t.designation for t in same_threads(find_thread("1/8x40"))] == ["1/8 BSW"]
    assert find_thread("1/4 BSF").is_same_as(find_thread("1/4x26 brass"))
    assert not find_thread("1/4 BSW").is_same_as(find_thread("1/4-20 UNC"))  # 55 against 60 deg
    assert not find_thread("G1/8").is_same_as(find_thread("R1/8"))  # the one is parallel


def test_percentages_of_a_quarter_by_forty() -> None:
    """1/4x40: 6.35 - 5.8 = 0.55 mm. Whitworth 2 x 0.640327 x 0.635 = 0.813216; US 1.299038 x 0.635 = 0.824889."""
    percent = percent_of_thread(find_thread("1/4x40"), 5.8)
    assert percent.of_form_pct == pytest.approx(100 * 0.55 / 0.813216, abs=0.001)
    assert percent.of_us_pct == pytest.approx(100 * 0.55 / 0.824889, abs=0.001)
    assert percent.of_iso_pct == pytest.approx(percent.of_us_pct * 1.2, abs=1e-9)  # 1.5 H over 1.25 H


def test_tapping_drills_lie_in_the_share_asked_for() -> None:
    """1/4x40 at 60 to 85 % of 0.8132 mm: holes of 5.659 to 5.862 mm. On the stand: 5.7 mm, #1 (5.791), 5.8 mm."""
    assert [t.drill.name for t in tapping_drills(find_thread("1/4x40"))] == ["5.7 mm", "#1", "5.8 mm"]
    assert tapping_drills(find_thread("R1/8")) == ()


def test_common_tapping_size_is_shown_and_labelled() -> None:
    """7/32 in is 5.55625 mm: (6.35 - 5.55625) / 0.813216 = 97.6 %."""
    common = printed_tapping_drills(find_thread("1/4x40"))[0]
    assert common.drill.name == "7/32 in"
    assert common.percent.of_form_pct == pytest.approx(97.6, abs=0.05)
    assert common.basis is Basis.MEMORY


def test_clearance_by_print_and_by_rule() -> None:
    """M8 by ISO 273: 8.4, 9 and 10 mm. 9/32x40 by rule: 7.14375 x 1.015 = 7.251, so 7.3 mm; x 1.04 = 7.4295: 7.5 mm."""
    assert [(c.fit, c.drill.name) for c in clearance_drills(find_thread("M8"))] == [
        ("close", "8.4 mm"), ("normal", "9 mm"), ("free", "10 mm"),
    ]  # fmt: skip
    by_rule = clearance_drills(find_thread("9/32x40"))
    assert [(c.fit, c.drill.name) for c in by_rule if c.drill.series == "metric"] == [
        ("close", "7.3 mm"), ("free", "7.5 mm"),
    ]  # fmt: skip
    assert all(c.basis is Basis.PRACTICE for c in by_rule)


@pytest.mark.parametrize(
    ("written", "name", "diameter_mm"),
    [
        ("#43", "#43", 2.2606),  # 0.089 x 25.4
        ("No 7", "#7", 5.1054),  # 0.201 x 25.4
        ("no. 7", "#7", 5.1054),
        ("F", "F", 6.5278),  # 0.257 x 25.4
        ("letter f", "F", 6.5278),
        ("7/32 in", "7/32 in", 5.55625),
        ("5.6mm", "5.6 mm", 5.6),
        ("5.57mm", "5.57mm", 5.57),
    ],
)
def test_drills_by_name(written: str, name: str, diameter_mm: float) -> None:
    drill = find_drill(written)
    assert drill.name == name
    assert drill.diameter_mm == pytest.approx(diameter_mm, abs=1e-9)


def test_nearest_drills_on_either_side() -> None:
    sides = {n.series: (n.under and n.under.name, n.over and n.over.name) for n in nearest_drills(5.57)}
    assert sides == {
        "metric": ("5.5 mm", "5.6 mm"),
        "fraction": ("7/32 in", "15/64 in"),
        "number": ("#3", "#2"),
        "letter": (None, "A"),
    }
    exact = nearest_drills(5.6)[0]
    assert exact.under is exact.over is find_drill("5.6 mm")


@pytest.mark.parametrize(
    ("written", "refusal"),
    [
        (
            "#99",
            "drill: got #99, wanted a number drill from #80 to #1. "
            "Write a name on the drill stand, or a diameter with its unit.",
        ),
        (
            "3",
            "drill: got 3 without a unit, wanted a drill such as 5.6 mm, 7/32 in, #43 or F. "
            "Put the unit behind the number: 3 mm.",
        ),
        ("0 mm", "drill: got 0 mm, wanted a diameter greater than nought. Write the diameter of the drill or hole."),
    ],
)  # fmt: skip
def test_drills_refused_in_full(written: str, refusal: str) -> None:
    with pytest.raises(Refusal) as caught:
        find_drill(written)
    assert str(caught.value) == refusal


@pytest.mark.parametrize(
    ("written", "thickness_mm"),
    [
        ("22 swg", 0.7112),
        ("22SWG", 0.7112),
        ("22 s.w.g.", 0.7112),
        ("0.7 mm", 0.7),
        ("0.028 in", 0.7112),
        ("28 thou", 0.7112),
    ],
)  # fmt: skip
def test_walls_either_way(written: str, thickness_mm: float) -> None:
    """22 swg is 0.028 in: 0.028 x 25.4 = 0.7112 mm."""
    assert wall_mm(written) == pytest.approx(thickness_mm, abs=1e-12)


def test_gauges() -> None:
    assert swg_mm(16) == pytest.approx(1.6256, abs=1e-12)  # 0.064 x 25.4


A_WALL = "wanted a wall such as 22 swg, 0.7 mm or 0.028 in."


@pytest.mark.parametrize(
    ("written", "refusal"),
    [
        (
            "22",
            f"wall: got 22 without a unit, {A_WALL} "
            "Put the unit behind the number: 22 swg, or the thickness with mm or in.",
        ),
        ("9 swg", "wall: got 9 swg, wanted a gauge from 10 to 36 swg. Measure the wall and give it as a length."),
        (
            "22.5 swg",
            "wall: got 22.5 swg, wanted a whole gauge such as 22 swg. Measure the wall and give it as a length.",
        ),
        ("80 psi", f"wall: got 80 psi, a pressure, {A_WALL} Give the length here, for instance 5.6 mm or 3/16 in."),
        ("0 mm", "wall: got 0 mm, wanted a wall thicker than nought. Measure the wall again."),
    ],
)  # fmt: skip
def test_walls_refused_in_full(written: str, refusal: str) -> None:
    with pytest.raises(Refusal) as caught:
        wall_mm(written)
    assert str(caught.value) == refusal


def test_metals_by_any_name() -> None:
    assert find_metal("CZ121").key == find_metal("cw614n").key == "CW614N"
    assert find_metal("LG2").key == find_metal("gunmetal").key == "CC491K"
    copper = find_metal("copper")
    assert (copper.key, copper.density_kg_m3, copper.proof.likely) == ("CW024A", 8940.0, 45.0)


def test_a_range_and_a_least_value_are_told_apart() -> None:
    """CW614N proof is printed 220 to 350 MPa; PB102 only as at least 380 MPa."""
    brass, bronze = find_metal("CW614N"), find_metal("PB102")
    assert (brass.proof.low, brass.proof.high) == (220.0, 350.0)
    assert "proof stress: 220 to 350 MPa is printed; the middle as likely is assumed" in brass.assumed
    assert (bronze.proof.low, bronze.proof.high) == (380.0, 380.0)
    assert "proof stress: only a least value, 380 MPa, is printed; the metal may be stronger" in bronze.assumed
    steel = find_metal("MS070M20")
    assert [(s.condition, s.proof.likely) for s in steel.strengths] == [("cold drawn", 440.0), ("normalised", 215.0)]


def test_metals_refused_in_full() -> None:
    with pytest.raises(Refusal) as caught:
        find_metal("CW614", "pipe, metal")
    assert str(caught.value) == "pipe, metal: got CW614, wanted a metal of the tables. Did you mean CW614N?"
    with pytest.raises(Refusal) as caught:
        find_metal("brass")
    assert str(caught.value) == (
        "metal: got brass, wanted a metal of the tables. "
        "Write which: CW614N (free-cutting brass), CW612N (brass for hot stamping)."
    )
