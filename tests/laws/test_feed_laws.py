"""Laws: no way back through a check, relief never raises a pressure, more ways never reach less, states do not mix."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from feed_jobs import circuits
from trialfit.feed.diagnosis import entropy
from trialfit.feed.faults import faults_of
from trialfit.feed.held import held_by
from trialfit.feed.outcome import outcome_of
from trialfit.feed.records import AIR, Circuit, Way
from trialfit.feed.settings import all_settings, position_bits, whenever

FEW = settings(max_examples=60, deadline=None)


@given(circuits(), st.data())
@FEW
def test_nothing_comes_back_through_a_check(circuit: Circuit, data: st.DataObject) -> None:
    """What stands before a check, and what can leave after it, is the same whether the check is there or not."""
    checks = [n for n, way in enumerate(circuit.ways) if way.kind == "check"]
    if not checks:
        return
    n = data.draw(st.sampled_from(checks))
    way = circuit.ways[n]
    without = replace(circuit, ways=(*circuit.ways[:n], *circuit.ways[n + 1 :]))
    all_ = all_settings(circuit)
    here, there = outcome_of(circuit, all_), outcome_of(without, all_)
    for key in ("boiler", "tank", "air"):
        assert getattr(here, key)[way.a] == getattr(there, key)[way.a]
    for key in ("to_boiler", "to_nothing"):
        assert getattr(here, key)[way.b] == getattr(there, key)[way.b]


@given(circuits(), st.integers(0, 5))
@FEW
def test_a_relief_never_raises_what_a_place_can_hold(circuit: Circuit, place: int) -> None:
    at = place % len(circuit.nodes)
    relieved = replace(circuit, ways=(*circuit.ways, Way("relief", "relief", "mouth", at, AIR, where="relief")))
    all_ = all_settings(circuit)
    before = held_by(circuit, outcome_of(circuit, all_))
    after = held_by(relieved, outcome_of(relieved, all_))
    for n in range(len(circuit.nodes)):
        assert after.boiler[n] & ~before.boiler[n] == 0
        assert after.more[n] & ~before.more[n] == 0
        assert after.no_relief[n] & ~before.no_relief[n] == 0
    assert after.boiler[at] & ~after.boiler_now[at] == 0


@given(circuits(), st.integers(0, 5), st.integers(0, 5))
@FEW
def test_one_way_more_never_reaches_less(circuit: Circuit, a: int, b: int) -> None:
    count = len(circuit.nodes)
    more = replace(circuit, ways=(*circuit.ways, Way("more", "more", "pipe", a % count, b % count, where="more")))
    all_ = all_settings(circuit)
    before, after = outcome_of(circuit, all_), outcome_of(more, all_)
    for key in ("boiler", "tank", "air", "to_boiler", "to_nothing"):
        for old, new in zip(getattr(before, key), getattr(after, key), strict=True):
            assert old & ~new == 0


@given(circuits())
@FEW
def test_a_stuck_check_lets_through_all_that_a_weeping_one_does(circuit: Circuit) -> None:
    faults = {(each.kind, each.name): each for each in faults_of(circuit)}
    all_ = all_settings(circuit)
    for kind, name in faults:
        if kind == "weeps":
            weeps = outcome_of(circuit, all_, [(faults["weeps", name],)])
            stuck = outcome_of(circuit, all_, [(faults["stuck open", name],)])
            assert list(weeps.boiler_weeps) == list(stuck.boiler)


@given(circuits())
@FEW
def test_states_do_not_mix(circuit: Circuit) -> None:
    """Each setting and fault by itself comes out as it does among all the others."""
    all_ = all_settings(circuit)
    faults = [(), *((each,) for each in faults_of(circuit))]
    together = outcome_of(circuit, all_, faults)
    for f in (0, len(faults) - 1):
        for s in (0, len(all_) - 1):
            alone = outcome_of(circuit, [all_[s]], [faults[f]])
            n = f * len(all_) + s
            for key in ("boiler", "tank", "air", "to_boiler", "to_nothing", "boiler_weeps"):
                assert [each >> n & 1 for each in getattr(together, key)] == list(getattr(alone, key))
            for key in ("on", "feeds", "returns", "locks", "air", "starved", "hot", "spills"):
                assert getattr(together.driven["pump"], key) >> n & 1 == getattr(alone.driven["pump"], key)


@given(circuits(), st.data())
@FEW
def test_when_something_is_so_is_said_exactly(circuit: Circuit, data: st.DataObject) -> None:
    all_ = all_settings(circuit)
    wanted = data.draw(st.integers(0, (1 << len(all_)) - 1))
    bits = position_bits(circuit, all_)
    said = 0
    for cube in whenever(circuit, all_, wanted):
        covered = (1 << len(all_)) - 1
        for each in cube.items():
            covered &= bits[each]
        said |= covered
    assert said == wanted


@given(st.floats(0.0, 1.0))
def test_a_question_is_worth_most_when_it_halves(share: float) -> None:
    assert 0.0 <= entropy(share) <= entropy(0.5) == 1.0
