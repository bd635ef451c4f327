"""Laws: how one thread runs into another, against a slow fitting of their profiles, and by what must always hold."""

from __future__ import annotations

from math import radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trialfit.parts.look_alikes import Ends, attempt
from trialfit.parts.thread_ranking import Origin, rank_threads
from trialfit.parts.thread_readings import PitchReading, ThreadReadings
from trialfit.tables.designations import find_thread
from trialfit.tables.threads import Thread, thread_forms, threads

_PARALLEL = tuple(thread for thread in threads() if not thread.taper)


def _sharp_mm(thread: Thread) -> float:
    """Diameter of the apex of the sharp triangle: half its height above the effective diameter on either side."""
    return thread.effective_mm + thread_forms()[thread.form].height_per_pitch * thread.pitch_mm


def _fits(male: Thread, female: Thread, turns: float) -> bool:
    """Slide the male's ridges along the female's grooves; is there a place where none touches over so many turns?

    Ridges and grooves are drawn as what is left of the sharp triangles, at thirty diameters and at forty places along
    the helix. A ridge at z is thick by the distance of the two flanks that meet at the apex.
    """
    shallow, deep = min(male.major_mm, female.major_mm), max(male.core_mm, female.core_internal_mm)
    free = [-1e9, 1e9]
    for k in range(31):
        diameter = deep + (shallow - deep) * k / 30
        ridge = tan(radians(male.angle_deg / 2)) * (_sharp_mm(male) - diameter)
        groove = tan(radians(female.angle_deg / 2)) * (_sharp_mm(female) - diameter)
        for n in range(41):
            turned = turns * n / 40
            middle = turned * (male.pitch_mm - female.pitch_mm)
            # The ridge lies from middle - ridge/2 to middle + ridge/2 and is shifted by s: it must lie in the groove.
            free[0] = max(free[0], -groove / 2 - (middle - ridge / 2))
            free[1] = min(free[1], groove / 2 - (middle + ridge / 2))
    return free[0] <= free[1]


@pytest.mark.parametrize(
    ("male", "female"),
    [("G1/8", "M10x1"), ("3/8x26 brass", "G1/8"), ("M6x0.75", "1/4x40"), ("2BA", "M5x0.8"), ("8-36 UNF", "2BA"),
     ("9/32x26 brass", "M8x1.25")],
)  # fmt: skip
def test_it_binds_after_as_many_turns_as_a_fitting_of_the_profiles_allows(male: str, female: str) -> None:
    tried = attempt(find_thread(male), find_thread(female))
    assert tried.turns is not None
    assert _fits(tried.male, tried.female, 0.99 * tried.turns.low)
    assert not _fits(tried.male, tried.female, 1.01 * tried.turns.low)


@pytest.mark.parametrize("thread", _PARALLEL, ids=lambda thread: thread.designation)
def test_every_thread_runs_on_in_its_own_nut(thread: Thread) -> None:
    own = attempt(thread, thread)
    assert (own.ends, own.turns) == (Ends.RUNS_ON, None)


@settings(deadline=None)
@given(st.sampled_from(_PARALLEL), st.sampled_from(_PARALLEL))
def test_more_clearance_never_binds_sooner(male: Thread, female: Thread) -> None:
    turns = attempt(male, female).turns
    if turns is not None:
        assert 0 <= turns.low <= turns.likely <= turns.high


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from(["male", "female"]),
    st.floats(1.2, 21.0),
    st.floats(0.01, 0.3),
    st.none() | st.floats(0.3, 2.4),
    st.sampled_from(list(Origin)),
)
def test_shares_add_up(gender: str, across_mm: float, pm_mm: float, pitch_mm: float | None, origin: Origin) -> None:
    pitches = () if pitch_mm is None else (PitchReading(pitch_mm, 0.02, 0, "leaf"),)
    found = rank_threads(ThreadReadings("male" if gender == "male" else "female", across_mm, pm_mm, pitches), origin)
    total = sum(each.share for each in found.candidates) + found.none_share
    # At most one in a thousand of each of the other hundred is left out.
    assert 0.9 < total <= 1 + 1e-9
    assert [each.share for each in found.candidates] == sorted((each.share for each in found.candidates), reverse=True)


@settings(deadline=None, max_examples=40)
@given(st.sampled_from(_PARALLEL), st.floats(0.02, 0.2))
def test_a_true_pitch_reading_never_makes_the_true_thread_less_likely(thread: Thread, pm_mm: float) -> None:
    across_mm = thread.major_mm - 0.1 * thread.pitch_mm

    def share(*pitches: PitchReading) -> float:
        found = rank_threads(ThreadReadings("male", across_mm, pm_mm, pitches))
        return sum(each.share for each in found.candidates if each.thread.is_same_as(thread))

    assert share(PitchReading(thread.pitch_mm, 0.01 * thread.pitch_mm, 0, "leaf")) >= share() - 1e-9
