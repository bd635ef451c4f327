"""Laws: more thread never holds less and never taps easier; strength goes as the depth; what is chosen serves."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trialfit.making.drilling import before_a_reamer, what_to_drill
from trialfit.making.strip import strip_strength, tapping_torque
from trialfit.making.wanted_thread import read_wanted
from trialfit.tables.drills import Drill, drills, percent_of_thread
from trialfit.tables.metals import Metal, metals
from trialfit.tables.threads import Thread, threads

_THREADS = st.sampled_from([thread for thread in threads() if not thread.taper])
_METALS = st.sampled_from(list(metals().values()))
_SHARES = st.floats(0.3, 1.0)


@settings(deadline=None)
@given(_THREADS, _METALS, _SHARES, _SHARES, st.floats(0.5, 30.0))
def test_more_thread_holds_no_less_and_taps_no_easier(
    thread: Thread, metal: Metal, one: float, other: float, engaged_mm: float
) -> None:
    depth_mm = thread.major_mm - thread.core_internal_mm
    less_mm, more_mm = (thread.major_mm - share * depth_mm for share in sorted((one, other)))
    less, more = (strip_strength(thread, hole_mm, engaged_mm, metal).pull for hole_mm in (less_mm, more_mm))
    assert more.likely >= less.likely * (1 - 1e-9)
    assert less.low <= less.likely <= less.high
    assert tapping_torque(thread, more_mm, metal).times_usual >= tapping_torque(thread, less_mm, metal).times_usual


@settings(deadline=None)
@given(_THREADS, _METALS, _SHARES, st.floats(0.5, 15.0))
def test_strength_goes_as_the_depth(thread: Thread, metal: Metal, share: float, engaged_mm: float) -> None:
    hole_mm = thread.major_mm - share * (thread.major_mm - thread.core_internal_mm)
    one, two = (strip_strength(thread, hole_mm, times * engaged_mm, metal) for times in (1, 2))
    assert two.pull.likely == pytest.approx(2 * one.pull.likely)
    assert two.match_mm == pytest.approx(one.match_mm)
    at_match = strip_strength(thread, hole_mm, one.match_mm, metal)
    assert at_match.pull.likely == pytest.approx(at_match.core.likely)


@settings(deadline=None)
@given(_THREADS, _METALS, st.sampled_from(["strong", "usual", "easy"]), st.sets(st.sampled_from(drills()), max_size=60))
def test_what_is_chosen_is_owned_and_leaves_what_was_wanted(
    thread: Thread, metal: Metal, want: str, owned: set[Drill]
) -> None:
    wanted = read_wanted(want, thread)
    found = what_to_drill(thread, metal, wanted, sorted(owned, key=lambda drill: drill.diameter_mm), thread.major_mm)
    serve = {drill.name for drill in owned if wanted.takes(percent_of_thread(thread, drill.diameter_mm))}
    assert {choice.drill.name for choice in found.serve} == serve
    assert (found.chosen is None) == (not serve)
    if found.chosen is None:
        assert found.to_buy is None or wanted.takes(percent_of_thread(thread, found.to_buy.diameter_mm))
    else:
        assert found.to_buy is None


@given(st.floats(1.0, 13.0))
def test_a_reamer_is_left_what_it_wants(size_mm: float) -> None:
    found = before_a_reamer(size_mm, drills())
    assert found.chosen is not None
    for drill in found.serve:
        assert found.least_mm - 1e-5 <= size_mm - drill.diameter_mm <= found.most_mm + 1e-5
    assert found.chosen.diameter_mm == max(drill.diameter_mm for drill in found.serve)
