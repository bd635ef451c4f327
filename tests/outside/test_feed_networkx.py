"""Outside: pressures and what a pump does in random circuits, against networkx walking every simple path."""

from __future__ import annotations

from hypothesis import given, settings

from feed_jobs import circuits, walked
from trialfit.feed.faults import faults_of
from trialfit.feed.outcome import Outcome, outcome_of
from trialfit.feed.records import Circuit
from trialfit.feed.settings import all_settings


def _pushed(outcome: Outcome, place: int, n: int) -> set[str]:
    told = {"boiler": outcome.boiler, "tank": outcome.tank, "air": outcome.air}
    return {name for name, states in told.items() if states[place] >> n & 1}


@given(circuits())
@settings(max_examples=60, deadline=None)
def test_every_state_is_as_its_paths_are(circuit: Circuit) -> None:
    settings_ = all_settings(circuit)
    faults = faults_of(circuit)
    outcome = outcome_of(circuit, settings_, [(), *((fault,) for fault in faults)])
    for f, fault in enumerate([None, *faults]):
        for s, setting in enumerate(settings_):
            if (f * 7 + s) % 5 and f:  # every fifth of the faulty states: paths are slow to walk
                continue
            n = f * len(settings_) + s
            path = walked(circuit, setting, fault)
            for place in range(len(circuit.nodes)):
                assert _pushed(outcome, place, n) == path.pushes[place]
                assert bool(outcome.boiler_weeps[place] >> n & 1) == ("boiler" in path.weeps[place])
                assert bool(outcome.to_boiler[place] >> n & 1) == ("boiler" in path.relieves[place])
                assert bool(outcome.to_nothing[place] >> n & 1) == bool(path.relieves[place] & {"tank", "air"})
            driven = outcome.driven["pump"]
            assert {key: bool(getattr(driven, key) >> n & 1) for key in path.pump} == path.pump
