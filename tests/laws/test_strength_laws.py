"""Laws: more metal is never weaker, more friction never yields at less, nothing depends on a sign or a unit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trialfit.errors import Refusal
from trialfit.finding import Band
from trialfit.strength.metal_state import metal_state
from trialfit.strength.records import Duty, Tail
from trialfit.strength.section import Ring, threaded_ring, without
from trialfit.strength.strip import basic_shear_areas
from trialfit.strength.tail import tail_strength
from trialfit.strength.tightening import Screwing, torque_at_nm, twist_off_torque_nm
from trialfit.tables.designations import find_thread
from trialfit.tables.metals import metals
from trialfit.tables.threads import Thread, threads

PARALLEL = [thread for thread in threads() if not thread.taper]
any_thread = st.sampled_from(PARALLEL)
share = st.floats(0.0, 0.97)
friction = st.floats(0.0, 0.5)


def _torque(thread: Thread, bore_mm: float, mu: float, bearing: float = 1.3, pull_n: float = 0.0) -> float:
    screwing = Screwing(thread, bearing * thread.major_mm, 75.0, thread.major_mm)
    return torque_at_nm(threaded_ring(thread, bore_mm), screwing, mu, 300.0, pull_n)


@given(any_thread, share, share, friction)
def test_more_wall_is_never_weaker(thread: Thread, one: float, other: float, mu: float) -> None:
    thick, thin = sorted((one * thread.core_mm, other * thread.core_mm))
    assert _torque(thread, thick, mu) >= _torque(thread, thin, mu) * (1 - 1e-12)


@given(any_thread, share, friction, friction)
def test_more_friction_never_yields_at_less_torque(thread: Thread, bore: float, one: float, other: float) -> None:
    slippery, dry = sorted((one, other))
    # Exact for a plain torque; a bent spanner keeps it too, for its side pull grows with the torque alone.
    assert _torque(thread, bore * thread.core_mm, dry) >= _torque(thread, bore * thread.core_mm, slippery) * (1 - 1e-12)


@given(any_thread, share, friction, st.floats(0, 200), st.floats(0, 200))
def test_more_pressure_never_leaves_more_torque(
    thread: Thread, bore: float, mu: float, one: float, other: float
) -> None:
    less, more = sorted((one, other))
    bore_mm = bore * thread.core_mm
    assert _torque(thread, bore_mm, mu, pull_n=more) <= _torque(thread, bore_mm, mu, pull_n=less) * (1 + 1e-12)


@given(any_thread, st.floats(0.0, 0.9), st.floats(0.0, 0.99), st.floats(0.0, 0.99))
def test_more_lost_is_never_stronger_and_outside_costs_more_than_inside(
    thread: Thread, bore: float, one: float, other: float
) -> None:
    ring = threaded_ring(thread, bore * thread.core_mm)
    less, more = sorted((one, other))
    for side in ("inside", "outside"):
        kept = without(ring, less, "inside" if side == "inside" else "outside")
        left = without(ring, more, "inside" if side == "inside" else "outside")
        assert left.bending_mm3 <= kept.bending_mm3 * (1 + 1e-9)
        assert left.torsion_plastic_mm3 <= kept.torsion_plastic_mm3 * (1 + 1e-9)
    inside, outside = without(ring, more, "inside"), without(ring, more, "outside")
    assert outside.torsion_plastic_mm3 <= inside.torsion_plastic_mm3 * (1 + 1e-9)


@given(any_thread, st.floats(0.0, 0.6), st.floats(0.0, 0.15))
def test_an_offset_bore_is_never_stronger_and_its_side_does_not_matter(
    thread: Thread, bore: float, offset: float
) -> None:
    bore_mm, offset_mm = bore * thread.core_mm, offset * thread.core_mm
    offside, other = threaded_ring(thread, bore_mm, offset_mm), threaded_ring(thread, bore_mm, -offset_mm)
    assert offside == other
    assert offside.area_mm2 <= threaded_ring(thread, bore_mm).area_mm2


@given(st.floats(1.0, 30.0), st.floats(0.0, 0.99), st.floats(0.1, 10.0))
def test_strength_grows_with_the_cube_of_size(outside: float, bore: float, scale: float) -> None:
    small, large = Ring(outside, bore * outside), Ring(scale * outside, scale * bore * outside)
    assert twist_off_torque_nm(large, 300.0) == pytest.approx(scale**3 * twist_off_torque_nm(small, 300.0), rel=1e-9)
    assert large.bending_plastic_mm3 == pytest.approx(scale**3 * small.bending_plastic_mm3, rel=1e-9)


@given(st.floats(1.0, 30.0), st.floats(0.0, 0.999))
def test_the_yielded_section_carries_at_least_first_yield(outside: float, bore: float) -> None:
    ring = Ring(outside, bore * outside)
    # Solid bar: 16/(3 pi) = 1.70 in bending, 4/3 in torsion; thin tube: 4/pi = 1.27, and 1. Between them, always.
    assert 4 / 3.14159266 - 1e-6 <= ring.bending_plastic_mm3 / ring.bending_mm3 <= 16 / (3 * 3.14159265) + 1e-6
    assert 1 - 1e-9 <= ring.torsion_plastic_mm3 / ring.torsion_mm3 <= 4 / 3 + 1e-9


@settings(max_examples=60)
@given(any_thread, st.floats(0.0, 0.95), st.sampled_from(list(metals())), st.booleans())
def test_bands_rise_and_breaking_follows_yielding(thread: Thread, bore: float, metal: str, soft: bool) -> None:
    tail = Tail(thread, bore * thread.core_mm, metal_state(metals()[metal], soft))
    strength = tail_strength(tail, Duty(0.5, 1.5 * thread.major_mm, 75.0, 6.0, 0.05, 30.0))
    for band in (strength.yield_torque, strength.break_torque, strength.twist_off_torque, strength.break_pull):
        assert band.low <= band.likely <= band.high
    assert strength.yield_torque.likely < strength.break_torque.likely
    assert strength.yield_force is not None
    assert strength.break_force is not None
    assert strength.yield_force.likely < strength.break_force.likely


@given(any_thread, st.floats(0.0, 0.95), st.floats(1.0, 100.0))
def test_force_times_arm_is_one_moment(thread: Thread, bore: float, arm_mm: float) -> None:
    tail = Tail(thread, bore * thread.core_mm, metal_state(metals()["CW614N"], False))
    near, far = (tail_strength(tail, Duty(arm_mm=each)).break_force for each in (arm_mm, 2 * arm_mm))
    assert near is not None
    assert far is not None
    assert near.likely == pytest.approx(2 * far.likely)


def test_torque_is_continuous_as_friction_goes() -> None:
    thread = find_thread("1/4x40")
    duty = Duty(shoulder_mm=10.0)
    tail = Tail(thread, 3.0, metal_state(metals()["CW614N"], False))
    narrow = tail_strength(tail, replace(duty, friction=Band(0.15, 0.15, 0.15, "-"))).yield_torque
    wide = tail_strength(tail, duty).yield_torque
    assert narrow.likely == wide.likely
    assert wide.low < narrow.low
    assert narrow.high < wide.high


@pytest.mark.parametrize("offset_mm", [0.0, 0.1, 0.3])
def test_the_ring_of_least_wall_is_never_stronger_than_the_true_section(offset_mm: float) -> None:
    # The fully yielded torque of a hollow section is twice the shear stress times the heap of sand that stands on it,
    # the hole being a flat as high as the least wall (Nadai; Prager and Hodge). Its bending moment is the stress
    # times the first moment of either half about the line that halves the area.
    core, bore, cells = 5.5, 3.9, 800
    line = (np.arange(cells) + 0.5) / cells * core - core / 2
    x, y = np.meshgrid(line, line)
    from_edge = core / 2 - np.hypot(x, y)
    from_hole = np.hypot(x - offset_mm, y) - bore / 2
    least = (core - bore) / 2 - offset_mm
    heap = np.clip(np.minimum(from_edge, least + np.maximum(from_hole, 0.0)), 0.0, None)
    cell = (core / cells) ** 2
    torsion = 2 * heap.sum() * cell
    metal = (from_edge > 0) & (from_hole > 0)
    halving = np.median(x[metal])
    bending = np.abs(x[metal] - halving).sum() * cell
    ring = Ring(core - 2 * offset_mm, bore)
    assert torsion >= ring.torsion_plastic_mm3 * (1 - 0.001)
    assert bending >= ring.bending_plastic_mm3 * (1 - 0.001)
    if not offset_mm:
        assert torsion == pytest.approx(ring.torsion_plastic_mm3, rel=0.002)
        assert bending == pytest.approx(ring.bending_plastic_mm3, rel=0.002)


@given(any_thread)
def test_a_female_thread_is_never_easier_to_shear_than_its_male_of_the_same_metal(thread: Thread) -> None:
    # It shears at the greater diameter, where its tooth is the wider.
    areas = basic_shear_areas(thread)
    assert areas.female_mm2_per_mm >= areas.male_mm2_per_mm > 0


@given(any_thread, st.floats(1.0, 2.0))
def test_no_metal_no_figure(thread: Thread, over: float) -> None:
    with pytest.raises(Refusal):
        threaded_ring(thread, over * thread.core_mm)
