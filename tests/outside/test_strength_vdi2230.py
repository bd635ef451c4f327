"""Outside: tightening of solid screws against VDI 2230, stripping against H28, twisting against ISO 898-7."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from trialfit.strength.section import Ring, threaded_ring
from trialfit.strength.strip import LEAST_SHARE, basic_shear_areas, shear_areas
from trialfit.strength.tightening import Screwing, preload_at_n, torque_at_nm, twist_off_torque_nm
from trialfit.tables.designations import find_thread
from trialfit.tables.threads import Thread

# VDI 2230 part 1, edition 2003, tightening of metric fine threads, as reprinted on page 685 of a fastener catalogue
# (mastik.pt, "Approximate values for metric fine threads"): 90 % of proof stress; preload in kN, torque in N·m.
# Proof stress by ISO 898-1: 8.8 to M16 640, above 660; 10.9 940; 12.9 1100 MPa.
VDI = """
M8x1    0.10  20.7 30.4 35.6   22.8 33.5 39.2
M8x1    0.12  20.2 29.7 34.7   26.1 38.3 44.9
M8x1    0.14  19.7 28.9 33.9   29.2 42.8 50.1
M10x1.25 0.10 32.4 47.5 55.6   44 65 76
M10x1.25 0.12 31.6 46.4 54.3   51 75 87
M10x1.25 0.14 30.8 45.2 52.9   57 83 98
M12x1.25 0.10 49.1 72.1 84.4   79 116 135
M12x1.25 0.12 48.0 70.5 82.5   90 133 155
M12x1.25 0.14 46.8 68.7 80.4   101 149 174
M14x1.5 0.10  66.4 97.5 114.1  124 182 213
M14x1.5 0.12  64.8 95.2 111.4  142 209 244
M14x1.5 0.14  63.2 92.9 108.7  159 234 274
M16x1.5 0.10  89.6 131.6 154.0 189 278 325
M16x1.5 0.12  87.6 128.7 150.6 218 320 374
M16x1.5 0.14  85.5 125.5 146.9 244 359 420
"""
PROOF_MPA = (640.0, 940.0, 1100.0)
# Washer face of hexagon bolts (ISO 4014 grade A, d_w min) and ISO 273 medium hole: the bearing the tables are made for.
WASHER_AND_HOLE_MM = {"M8x1": (11.63, 9.0), "M10x1.25": (14.63, 11.0), "M12x1.25": (16.63, 13.5)}
WASHER_AND_HOLE_MM |= {"M14x1.5": (19.64, 15.5), "M16x1.5": (22.49, 17.5)}


def _rows() -> list[tuple[str, float, float, float, float]]:
    found = []
    for line in VDI.strip().splitlines():
        name, friction, *figures = line.split()
        for proof, preload, torque in zip(PROOF_MPA, figures[:3], figures[3:], strict=True):
            found.append((name, float(friction), proof, float(preload), float(torque)))
    return found


def _iso(name: str) -> Thread:
    """A metric thread by ISO 724 (d2 = d - 0.649519 P) and ISO 898-1 (d3 = d - 1.226869 P), to M16."""
    major, pitch = (float(each) for each in name.removeprefix("M").split("x"))
    return replace(
        find_thread("M8x1"), designation=name, major_mm=major, pitch_mm=pitch, tpi=25.4 / pitch,
        effective_mm=major - 0.649519 * pitch, core_mm=major - 1.226869 * pitch,
        core_internal_mm=major - 1.082532 * pitch,
    )  # fmt: skip


def test_the_tables_own_m8x1_is_that_of_iso_724() -> None:
    ours, iso = find_thread("M8x1"), _iso("M8x1")
    assert (ours.effective_mm, ours.core_mm) == pytest.approx((iso.effective_mm, iso.core_mm), abs=1e-5)


@pytest.mark.parametrize(("name", "friction", "proof_mpa", "preload_kn", "torque_nm"), _rows())
def test_tightening_of_fine_threads_as_vdi_2230_prints_it(
    name: str, friction: float, proof_mpa: float, preload_kn: float, torque_nm: float
) -> None:
    thread = _iso(name)
    washer, hole = WASHER_AND_HOLE_MM[name]
    ring = threaded_ring(thread, 0.0, at="stress")
    screwing = Screwing(thread, bearing_mm=(washer + hole) / 2)
    preload = preload_at_n(ring, screwing, friction, 0.9 * proof_mpa) / 1000
    torque = torque_at_nm(ring, screwing, friction, 0.9 * proof_mpa)
    # The table rounds preloads down to a tenth of a kN (28.98 is printed 28.9): within that, and 0.1 % either way.
    assert -0.001 * preload_kn <= preload - preload_kn <= 0.1 + 0.001 * preload_kn
    # Torque to 1 %, or half its last digit: the head's bearing face is known to no better than its tolerance.
    assert torque == pytest.approx(torque_nm, abs=max(0.5 if torque_nm >= 44 else 0.05, 0.01 * torque_nm))


# ASME B1.1 tolerances (formulas of its section 5, from memory): class 2A pitch diameter 0.0015 D^(1/3) + 0.0015
# Le^(1/2) + 0.015 P^(2/3) with Le = D, allowance 0.3 of it, major diameter 0.060 P^(2/3); class 2B pitch diameter 1.3
# times 2A. Printed: FED-STD-H28 internal stripping areas, in2 per inch of engagement, as reprinted in a fastener
# house's "Fastener Technical Reference" sheet, table 3358 (scribd.com/document/219093147).
STRIPPING = [
    (0.190, 24, 0.401), (0.190, 32, 0.389), (0.25, 20, 0.539), (0.25, 28, 0.521), (0.3125, 18, 0.682),
    (0.3125, 24, 0.663), (0.375, 16, 0.828), (0.375, 24, 0.800), (0.4375, 14, 0.981), (0.5, 13, 1.12), (0.5, 20, 1.08),
]  # fmt: skip


def _weakest_pair_in(major: float, tpi: int) -> tuple[float, float, float, float]:
    """Least male major and effective, greatest female effective of classes 2A and 2B, with the 2A pitch tolerance."""
    pitch = 1 / tpi
    tolerance = 0.0015 * major ** (1 / 3) + 0.0015 * major**0.5 + 0.015 * pitch ** (2 / 3)
    allowance = 0.3 * tolerance
    effective = major - 0.649519 * pitch
    return (
        major - allowance - 0.060 * pitch ** (2 / 3), effective - allowance - tolerance, effective + 1.3 * tolerance,
        pitch,
    )  # fmt: skip


@pytest.mark.parametrize(("major_in", "tpi", "printed"), STRIPPING)
def test_stripping_of_the_female_thread_as_h28_prints_it(major_in: float, tpi: int, printed: float) -> None:
    male_major, male_effective, female_effective, pitch = _weakest_pair_in(major_in, tpi)
    areas = shear_areas(pitch, 60.0, male_major, male_effective, major_in - 1.082532 * pitch, female_effective)
    # All in inches here, so that the areas come out in in2 per inch. To 0.6 %: the table starts from diameters
    # rounded to 0.0001 in, and two of its fine and coarse rows stand 0.4 and 0.5 % above what the formula of today's
    # limits gives.
    assert areas.female_mm2_per_mm == pytest.approx(printed, rel=0.006)


def test_one_printed_stripping_area_is_a_misprint() -> None:
    # The same sheet prints 0.908 for 7/16-20. Its neighbours of 20 tpi, 1/4 and 1/2 in, agree, and area over diameter
    # must rise slowly with diameter: 0.539/0.25 = 2.156, 1.08/0.5 = 2.16, but 0.908/0.4375 = 2.075. Likely 0.948.
    male_major, male_effective, female_effective, pitch = _weakest_pair_in(0.4375, 20)
    area = shear_areas(pitch, 60.0, male_major, male_effective, 0.38, female_effective).female_mm2_per_mm
    assert area == pytest.approx(0.948, abs=0.0015)
    assert area / 0.908 - 1 > 0.04


def test_stripping_of_quarter_inch_by_20_over_one_diameter() -> None:
    # 0.092 and 0.135 in2 (male, female) are current for 1/4-20 over an engagement of one diameter, 0.25 in: a quarter
    # of H28's 0.368 and 0.539 in2 per inch. The male figure needs the greatest 2B core, 0.207 in (ASME B1.1 table 2).
    male_major, male_effective, female_effective, pitch = _weakest_pair_in(0.25, 20)
    areas = shear_areas(pitch, 60.0, male_major, male_effective, 0.207, female_effective)
    assert 0.25 * areas.male_mm2_per_mm == pytest.approx(0.092, abs=0.0005)
    assert 0.25 * areas.female_mm2_per_mm == pytest.approx(0.135, abs=0.0005)


def test_the_weakest_pair_keeps_the_share_that_is_reckoned_with() -> None:
    male_major, male_effective, female_effective, pitch = _weakest_pair_in(0.25, 20)
    basic = basic_shear_areas(find_thread("1/4-20 UNC"))
    weak = shear_areas(pitch, 60.0, male_major, male_effective, 0.207, female_effective)
    female = weak.female_mm2_per_mm * 25.4 / basic.female_mm2_per_mm
    male = weak.male_mm2_per_mm * 25.4 / basic.male_mm2_per_mm
    assert min(male, female) == pytest.approx(LEAST_SHARE, abs=0.01)


# ISO 898-7:1992 table 2, least breaking torques of the torsion test, N·m: from memory. (Its formula, M_B = tau_B W_p
# with W_p = pi/16 d3min^3, was seen at scribd.com/document/583324497; tau_B = 0.84 R_m for class 8.8 in an open
# repository's notes on metric bolt strength, which give 0.815, 0.79 and 0.75 for 9.8, 10.9 and 12.9.)
@pytest.mark.parametrize(("name", "printed_nm"), [("M6x1", 13.0), ("M8x1.25", 33.0), ("M8x1", 38.0), ("M10x1.5", 66.0)])
def test_a_screw_twists_off_where_iso_898_7_says(name: str, printed_nm: float) -> None:
    # The standard takes 0.84 of R_m over the least core and the elastic modulus; here 1/sqrt 3 over the basic core and
    # the fully yielded section. The two meet within 3 %, which is what is asserted.
    ring = threaded_ring(_iso(name), 0.0, at="core")
    assert twist_off_torque_nm(ring, 800.0) == pytest.approx(printed_nm, rel=0.03)


def test_moduli_of_a_thin_tube_tend_to_the_textbook_limits() -> None:
    # Any strength of materials: a thin tube of mean diameter d and wall t has area pi d t, bending modulus pi d2 t/4,
    # torsion modulus pi d2 t/2 (Bredt: 2 x enclosed area x wall), plastic bending modulus d2 t.
    mean, wall = 10.0, 0.001
    ring = Ring(mean + wall, mean - wall)
    assert ring.area_mm2 == pytest.approx(pi * mean * wall, rel=1e-9)
    assert ring.bending_mm3 == pytest.approx(pi * mean**2 * wall / 4, rel=2e-4)
    assert ring.torsion_mm3 == pytest.approx(pi * mean**2 * wall / 2, rel=2e-4)
    assert ring.torsion_plastic_mm3 == pytest.approx(pi * mean**2 * wall / 2, rel=1e-6)
    assert ring.bending_plastic_mm3 == pytest.approx(mean**2 * wall, rel=1e-6)
