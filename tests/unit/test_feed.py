"""Unit: a small feed circuit thought through by hand: what each setting does, each named fault, and what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from feed_jobs import SMALL_CIRCUIT, SMALL_JOINTS, small_job
from trialfit.errors import Refusal, Refusals
from trialfit.feed.build import circuit_of
from trialfit.feed.diagnosis import Symptom, symptom_of, what_is_wrong
from trialfit.feed.faults import faults_of
from trialfit.feed.findings import feed_findings
from trialfit.feed.harm import Fails
from trialfit.feed.held import held_by
from trialfit.feed.outcome import Outcome, outcome_of
from trialfit.feed.records import Circuit
from trialfit.feed.report import feed_report
from trialfit.feed.settings import all_settings, setting_of, whenever
from trialfit.feed.sights import Looked, sights_of
from trialfit.finding import Answer
from trialfit.job.circuit import CircuitEntry, SymptomEntry
from trialfit.job.records import Job
from trialfit.store.folder import read_folder

EXAMPLE = Path(__file__).parents[2] / "examples" / "feed-circuit"
RUN = {"engine": "running"}
FEED = {"engine": "running", "bypass": "shut"}

# With an outside pump's tee instead of the drain; with and without a cap to it.
TEE_JOINTS = SMALL_JOINTS.replace("low_tee.branch - drain.inlet\n", "")
TEE_CIRCUIT = SMALL_CIRCUIT + 'outside = { kind = "outside pump", port = "low_tee.branch" }\n'


def _sound(job: Job) -> tuple[Circuit, Outcome]:
    circuit = circuit_of(job)
    return circuit, outcome_of(circuit, all_settings(circuit))


def _in(circuit: Circuit, states: int, **positions: str) -> bool:
    return bool(states >> all_settings(circuit).index(setting_of(circuit, positions)) & 1)


def _fault(job: Job, words: str) -> Fails:
    report = feed_report(job)
    return next(each for each in report.fails if each.fault.words == words)


def _place(circuit: Circuit, name: str) -> int:
    return [node.name for node in circuit.nodes].index(name)


# A cock of which nothing is said is shut as usual, so that the usual setting here is: bypass shut, drain shut.
def test_parts_and_joints_make_places_and_ways() -> None:
    circuit = circuit_of(small_job())
    # Both ends of suction and of the return, inside and outlet of the pump, two tees, two sides of clack, the drain.
    assert {node.name for node in circuit.nodes} == {
        "start of suction", "inlet of pump", "outlet of pump", "tee", "outlet of bypass", "low tee", "inlet of clack",
        "outlet of clack", "end of back", "inside pump", "outlet of drain",
    }  # fmt: skip
    assert len(circuit.nodes) == 11
    # Five pipes, one check and the pump's two, two cocks, three openings and the drain's open mouth.
    assert len(circuit.ways) == 14
    assert dict(circuit.handles) == {
        "bypass": ("shut", "open"), "drain": ("shut", "open"), "engine": ("standing", "running"),
    }  # fmt: skip


def test_what_the_pump_does_in_each_setting() -> None:
    circuit, outcome = _sound(small_job())
    pump = outcome.driven["pump"]
    all_ = all_settings(circuit)
    assert whenever(circuit, all_, pump.feeds) == ({"bypass": "shut", "drain": "shut", "engine": "running"},)
    assert whenever(circuit, all_, pump.returns) == ({"bypass": "open", "engine": "running"},)
    assert whenever(circuit, all_, pump.spills) == ({"drain": "open", "engine": "running"},)
    assert pump.locks == pump.air == pump.starved == pump.hot == 0


def test_a_pipe_that_has_fed_stays_at_boiler_pressure_until_it_is_opened() -> None:
    circuit, outcome = _sound(small_job())
    held = held_by(circuit, outcome)
    tee = _place(circuit, "tee")
    assert held.boiler_now[tee] == 0
    assert not _in(circuit, held.boiler[tee], bypass="open")
    assert _in(circuit, held.boiler[tee])  # standing, bypass shut: it may have fed before
    assert held.boiler_now[_place(circuit, "outlet of clack")] == outcome.states.every
    assert held.boiler[_place(circuit, "inlet of pump")] == 0
    assert not any(held.more) and not any(held.no_relief)


def test_between_two_shut_cocks_there_is_no_relief() -> None:
    """A stop cock beyond the check valve: the pump locks when it and the bypass are shut, and forces what it likes."""
    joints = SMALL_JOINTS.replace("clack.outlet - bush.thread", "clack.outlet - stop.inlet\nstop.outlet - bush.thread")
    job = small_job({"stop": "cock"}, joints)
    circuit, outcome = _sound(job)
    locks = {"bypass": "shut", "drain": "shut", "stop": "shut", "engine": "running"}
    assert whenever(circuit, all_settings(circuit), outcome.driven["pump"].locks) == (locks,)
    held = held_by(circuit, outcome)
    assert _in(circuit, held.more[_place(circuit, "tee")])  # standing afterwards, everything shut
    # Forced through the check valve it stays before the stop cock, whatever is opened on the pump's side.
    beyond = _place(circuit, "outlet of clack")
    assert _in(circuit, held.more[beyond], bypass="open") and not _in(circuit, held.more[beyond], stop="open")
    said = {each.question: each for each in feed_findings(job)}
    stop = said["Can the pump be driven against nothing but metal?"]
    assert stop.answer is Answer.STOP
    assert stop.because[0].text == (
        "With bypass shut, drain shut, stop shut, engine running: its water has nowhere to go, and nothing relieves it."
    )


def test_a_boiler_check_stuck_open_shows_only_when_something_is_opened() -> None:
    stuck = _fault(small_job(), "clack stuck open")
    assert {harm.kind: harm.when for harm in stuck.harms} == {
        "scald": ({"drain": "open"},),
        "into the tank": ({"bypass": "open"},),
        "at a nut": ({},),
    }
    # Eight settings: all but those with bypass and drain both shut, engine standing or running.
    assert stuck.shows_in == 6
    assert "the boiler empties into the tank" in [harm.words for harm in stuck.harms]


def test_a_boiler_check_blocked_locks_the_pump_with_no_relief() -> None:
    blocked = _fault(small_job(), "clack blocked")
    (lock,) = [harm for harm in blocked.harms if harm.kind == "lock"]
    assert lock.when == ({"bypass": "shut", "drain": "shut", "engine": "running"},)


def test_an_injector_whose_own_check_sticks_scalds_from_the_overflow() -> None:
    job = read_folder(EXAMPLE).job
    stuck = _fault(job, "own check of injector stuck open")
    assert stuck.harms[0].kind == "scald"
    assert stuck.harms[0].words == "boiler water and steam come out at the overflow of injector"
    # While the injector works its jet holds the boiler back; standing, nothing does.
    assert stuck.harms[0].when == ({"steam_cock": "shut"},)


def test_a_second_check_takes_that_scald_away_and_hides_the_fault() -> None:
    parts = {"i": "injector", "wet": "cock", "hot": "cock", "own": "check valve", "bush2": "bush", "bush3": "bush"}
    joints = f"{SMALL_JOINTS}\nbush2.thread - hot.inlet\nhot.outlet - i.steam\nwet.outlet - i.water\n"
    joints += "i.delivery - own.inlet\nown.outlet - bush3.thread"
    text = SMALL_CIRCUIT.replace('["bush"]', '["bush", "bush2", "bush3"]').replace(
        '"back.end"]', '"back.end", "wet.inlet"]'
    )
    job = small_job(parts, joints, text + 'i = { kind = "injector" }\n')
    circuit, outcome = _sound(job)
    working = {"wet": "open", "hot": "open"}
    assert whenever(circuit, all_settings(circuit), outcome.driven["i"].feeds) == (working,)
    assert _fault(job, "own check of i stuck open").shows_in == 0


@pytest.mark.parametrize(
    ("cap", "positions"), [(True, ("cap on", "cap off", "pumping")), (False, ("hose off", "pumping"))]
)
def test_a_hose_taken_off_with_no_cap_means_no_feed(cap: bool, positions: tuple[str, ...]) -> None:
    joints = f"{TEE_JOINTS}\nlid.thread - low_tee.branch" if cap else TEE_JOINTS
    circuit, outcome = _sound(small_job({"lid": "cap"} if cap else {}, joints, TEE_CIRCUIT))
    assert circuit.handles["outside"] == positions
    feeds = outcome.driven["pump"].feeds
    assert _in(circuit, feeds, engine="running") is cap
    assert _in(circuit, outcome.driven["pump"].spills, engine="running", outside=positions[-2])
    assert _in(circuit, outcome.driven["outside"].feeds, outside="pumping")


def test_returns_well_and_will_not_feed_is_explained_by_what_weeps() -> None:
    circuit = circuit_of(small_job())
    seen = [
        SymptomEntry(positions={"engine": "running", "bypass": "open"}, where="pump", seen="returns to the tank"),
        SymptomEntry(positions=FEED, where="pump", seen="does not feed the boiler"),
        SymptomEntry(positions=FEED, where="pump", seen="moves freely"),
    ]
    found = what_is_wrong(circuit, [symptom_of(circuit, each) for each in seen])
    words = {fault.words for each in found.explanations for alike in each.alike for fault in alike}
    assert not found.nothing_wrong and not found.two_at_once
    # By hand: water is lost backwards, or through a cock, only against the boiler; or at a crack beyond the pump, for
    # then some goes to the tank with the bypass open and all runs out with it shut.
    assert words == {
        "suction valve of pump weeps", "suction valve of pump stuck open", "bypass passes when shut",
        "drain passes when shut", "delivery cracked or leaking", "feed cracked or leaking", "riser cracked or leaking",
    }  # fmt: skip
    # The pump's own delivery valve may weep: the boiler's check valve does its work.
    assert found.looks


def test_a_crack_in_the_suction_shows_both_ways() -> None:
    crack = _fault(small_job(), "suction cracked or leaking")
    shown = {(each.looked, each.is_so): each.when for each in crack.shown}
    assert shown[Looked("suction", "wet"), True] == ({},)
    assert shown[Looked("pump", "spits air"), True] == (RUN,)


def test_faults_that_no_setting_shows_are_counted() -> None:
    """The boiler's check does the work of a delivery valve that weeps; stuck open, it draws from what is open."""
    report = feed_report(small_job())
    unseen = [each.fault.words for each in report.fails if not each.shows_in]
    assert unseen == ["delivery valve of pump weeps"]
    finding = feed_findings(small_job(), report)[-1]
    assert str(finding.figure) == f"1 of {len(report.fails)} faults that no setting shows"


def test_settings_without_names_are_each_handle_by_itself() -> None:
    assert [each.words for each in feed_report(small_job()).in_use] == [
        "all as usual", "bypass open", "drain open", "engine running",
    ]  # fmt: skip


@pytest.mark.parametrize("fault", faults_of(circuit_of(read_folder(EXAMPLE).job)), ids=lambda fault: fault.words)
def test_asking_on_ends_at_the_fault_that_is_there(fault: object) -> None:
    """The engine answers truly each question that is asked; nothing is left in the end but the fault, or its like."""
    circuit = circuit_of(read_folder(EXAMPLE).job)
    all_ = all_settings(circuit)
    (this,) = [each for each in faults_of(circuit) if each == fault]
    outcome = outcome_of(circuit, all_, [(), (this,)])
    sights = sights_of(circuit, outcome)
    first = next(
        ((looked, s) for looked, states in sights.items() for s in range(len(all_))
         if outcome.states.settings_of(states, 0) >> s & 1 != outcome.states.settings_of(states, 1) >> s & 1),
        None,
    )  # fmt: skip
    if first is None:
        return  # no setting shows it
    asked = [Symptom(all_[first[1]], first[0], bool(outcome.states.settings_of(sights[first[0]], 1) >> first[1] & 1))]
    for _ in range(12):
        found = what_is_wrong(circuit, asked)
        if not found.looks:
            break
        look = found.looks[0]
        states = outcome.states.settings_of(sights.get(look.looked, 0), 1)  # no leak where nothing is cracked
        asked.append(Symptom(look.setting, look.looked, bool(states >> all_.index(look.setting) & 1)))
    (left,) = found.explanations
    assert (this,) in left.alike
    assert len(asked) <= 10


# ---- what cannot be


def test_nothing_joins_the_tank_to_the_boiler() -> None:
    with pytest.raises(Refusal) as caught:
        circuit_of(small_job(joints=SMALL_JOINTS.replace("feed.end - low_tee.run_a\n", "")))
    assert str(caught.value) == (
        "circuit: got nothing that joins the tank to the boiler, wanted a way to the boiler. "
        "Look for the joint that is left out, or the pipe that is not in the job."
    )


def test_a_check_fitted_backwards_is_named() -> None:
    turned = SMALL_JOINTS.replace("riser.end - clack.inlet\nclack.outlet", "riser.end - clack.outlet\nclack.inlet")
    stops = [each for each in feed_findings(small_job(joints=turned)) if each.answer is Answer.STOP]
    assert [each.question for each in stops] == [
        "Is clack fitted the right way round?",
        "Can the pump feed the boiler with water from the tank?",
        "Can the pump be driven against nothing but metal?",
        "Can the boiler empty into the tank with nothing broken?",
    ]
    assert stops[0].about == "clack"
    assert stops[0].because[0].text == "Its outlet is at outlet of clack. Turned round, the pump would feed."
    assert stops[0].do == (
        "Turn it round, or swap its ports in the job: water enters under the ball and leaves above it."
    )


def test_a_pump_with_two_suctions_is_named() -> None:
    """A pump without valves of its own, and two check valves that both lead into it."""
    joints = SMALL_JOINTS.replace("suction.end - pump.inlet\npump.outlet - delivery.start",
                                  "suction.end - low.inlet\nlow.outlet - pump.inlet\n"
                                  "pump.outlet - high.outlet\nhigh.inlet - delivery.start")  # fmt: skip
    text = SMALL_CIRCUIT.replace('{ kind = "axle pump" }', '{ kind = "axle pump", valves = [] }')
    job = small_job({"low": "check valve", "high": "check valve"}, joints, text)
    (found,) = [each for each in feed_findings(job) if each.question == "Has the pump one suction and one delivery?"]
    assert found.answer is Answer.STOP
    assert [each.text for each in found.because] == ["It has 2 suctions, low and high, and no delivery."]
    assert (found.about, found.do) == (
        "pump", "Look which way the balls lift; turn round the check that should be its delivery.",
    )  # fmt: skip
    assert "high" in [each.about for each in feed_findings(job) if "right way round" in each.question]


def test_a_source_that_no_joint_holds() -> None:
    text = SMALL_CIRCUIT + 'spare = { kind = "hand pump" }\n'
    found = [each for each in feed_findings(small_job({"spare": "pump"}, circuit=text)) if each.about == "spare"]
    assert [(each.question, each.answer) for each in found] == [("Is the spare joined to the circuit?", Answer.STOP)]


BAD = """[circuit.handles.turncock]
plug = "L"
positions = { feed = [["inlet", "left"]], across = [["left", "right"]], odd = [["inlet", "top"]] }
[circuit.handles.bypas]
[circuit.settings.one]
positions = { bypass = "half", enigne = "running" }
"""


def test_slips_in_the_job_are_named_with_their_line() -> None:
    joints = f"{SMALL_JOINTS}\nturncock.left - turncock.right"
    with pytest.raises(Refusals) as caught:
        small_job({"turncock": "three-way cock"}, joints, SMALL_CIRCUIT.replace('"bush"', '"busch"') + BAD)
    said = [(fault.what, fault.got, fault.remedy) for fault in caught.value.faults]
    assert [fault.wanted for fault in caught.value.faults] == [
        "a port of another part", "a part, or a port of a part, that is there",
        "ports that one turn of the plug connects", "a port of this cock: inlet, left, right",
        "the name of a cock among the parts", "a position bypass can take: shut, open", "the name of a handle or drive",
    ]  # fmt: skip
    assert all(fault.line for fault in caught.value.faults)
    assert said == [
        ("joint 12, b", '"turncock.right", of turncock again',
         "A part cannot be joined to itself: name the port of the part it meets."),
        ("circuit, boiler", '"busch"', 'Did you mean "bush"?'),
        ("circuit, handle turncock, positions, across", "left-right with a plug drilled L",
         "The handle cannot take this position. Blow through the cock in each position and write what passes."),
        ("circuit, handle turncock, positions, odd", '"top"', "Name one that is there: inlet, left, right."),
        ("circuit, handle bypas", '"bypas"', 'Did you mean "bypass"?'),
        ("circuit, setting one, positions, bypass", '"half"', "Name one that is there: shut, open."),
        ("circuit, setting one, positions, enigne", '"enigne"', 'Did you mean "engine"?'),
    ]  # fmt: skip


def test_a_position_the_handle_cannot_take_is_refused_wherever_it_is_asked() -> None:
    circuit = circuit_of(small_job())
    with pytest.raises(Refusal) as caught:
        setting_of(circuit, {"drain": "half"})
    assert str(caught.value) == (
        'handle drain: got "half", wanted a position the handle can take. It can be shut or open.'
    )
    with pytest.raises(Refusal, match=r'symptom: got "pomp", wanted .* Did you mean "pump"\?'):
        symptom_of(circuit, SymptomEntry(where="pomp", seen="spits air"))
    with pytest.raises(Refusal, match=r'symptom at tank: got "locks solid", wanted hot, or the opposite'):
        symptom_of(circuit, SymptomEntry(where="tank", seen="locks solid"))


# ---- parts of other kinds


def test_a_three_way_cock_sends_water_one_way_or_the_other() -> None:
    """In place of tee and bypass: the pump is never without a way out, so that nothing locks it."""
    joints = SMALL_JOINTS.replace("tee.run_a", "turn.inlet").replace("tee.branch - bypass.inlet\n", "")
    joints = joints.replace("bypass.outlet - back.start", "turn.right - back.start").replace("tee.run_b", "turn.left")
    joints = joints.replace("low_turn.inlet", "low_tee.run_a").replace("low_turn.left", "low_tee.run_b")
    handle = """[circuit.handles.turn]
plug = "L"
positions = { feed = [["inlet", "left"]], home = [["inlet", "right"]] }
"""
    job = small_job({"turn": "three-way cock"}, joints, SMALL_CIRCUIT + handle)
    circuit, outcome = _sound(job)
    pump, all_ = outcome.driven["pump"], all_settings(circuit)
    assert whenever(circuit, all_, pump.feeds) == ({"drain": "shut", "turn": "feed", "engine": "running"},)
    assert whenever(circuit, all_, pump.returns) == ({"turn": "home", "engine": "running"},)
    assert pump.locks == 0
    # Turned home after it has fed, the pipe to the boiler keeps its pressure: both its other ends are shut.
    assert _in(circuit, held_by(circuit, outcome).boiler[_place(circuit, "low tee")], turn="home")


def test_ports_called_blanked_are_no_mouths() -> None:
    text = SMALL_CIRCUIT.replace("[circuit.sources]", 'blanked = ["drain.outlet"]\n[circuit.sources]')
    circuit, outcome = _sound(small_job(circuit=text))
    assert outcome.driven["pump"].spills == 0
    assert [way.where for way in circuit.ways if way.kind == "mouth"] == []
    with pytest.raises(Refusal, match=r'the port "outlt"'):
        circuit_of(small_job(circuit=text.replace("drain.outlet", "drain.outlt")))


def test_an_injector_whose_steam_pipe_is_not_in_the_job_has_steam_all_the_same() -> None:
    joints = f"{SMALL_JOINTS}\nwet.outlet - i.water\ni.delivery - bush2.thread"
    text = SMALL_CIRCUIT.replace('["bush"]', '["bush", "bush2"]').replace('"back.end"]', '"back.end", "wet.inlet"]')
    job = small_job({"i": "injector", "wet": "cock", "bush2": "bush"}, joints, text + 'i = { kind = "injector" }\n')
    circuit, outcome = _sound(job)
    assert circuit.handles["i"] == ("steam off", "steam on")
    assert whenever(circuit, all_settings(circuit), outcome.driven["i"].feeds) == ({"wet": "open", "i": "steam on"},)
    # Steam on and no water: it blows through to the overflow.
    hot = sights_of(circuit, outcome)[Looked("i", "hot")]
    assert whenever(circuit, all_settings(circuit), hot) == ({"wet": "shut", "i": "steam on"},)


def test_wanted_pipes_cones_and_nuts_are_part_of_the_circuit() -> None:
    """The broken feed pipe of the backhead: one pipe from the tank's union to the check valve, a nut at either end."""
    job = read_folder(EXAMPLE.parent / "backhead").job
    entry = {"boiler": ["check_valve.outlet"], "tank": ["tank_union"]}
    circuit = circuit_of(job.model_copy(update={"circuit": CircuitEntry.model_validate(entry)}))
    nuts = {node.name: node.nuts for node in circuit.nodes}
    assert nuts == {"inlet of check valve": ("check_nut",), "outlet of check valve": (), "tank union": ("tank_nut",)}
    assert [(way.name, way.kind) for way in circuit.ways if way.b >= 0] == [("check_valve", "check"), ("feed", "pipe")]


def test_a_circuit_that_cannot_be_made_is_one_finding_of_the_plan() -> None:
    (found,) = feed_findings(small_job(joints=SMALL_JOINTS.replace("feed.end - low_tee.run_a\n", "")))
    assert found.answer is Answer.STOP
    assert found.because[0].text == (
        "circuit: got nothing that joins the tank to the boiler, wanted a way to the boiler."
    )


def test_what_the_injector_and_a_stuck_flap_do() -> None:
    """An overflow flap stuck open draws air while the injector tries to work: it blows, and does not feed."""
    job = read_folder(EXAMPLE).job
    flap = _fault(job, "overflow of injector stuck open")
    assert [harm.kind for harm in flap.harms] == ["scald", "into the tank", "at a nut", "no feed", "air"]


def test_without_a_check_at_the_boiler_the_pumps_own_valve_must_hold() -> None:
    """A weep lets the boiler into the barrel, so that it draws nothing; stuck open fills it."""
    bare = small_job(joints=SMALL_JOINTS.replace("clack.inlet\nclack.outlet - ", ""))
    assert [each.words for each in faults_of(circuit_of(bare)) if each.name == "clack"] == []
    for words in ("delivery valve of pump weeps", "delivery valve of pump stuck open"):
        assert "no feed" in [harm.kind for harm in _fault(bare, words).harms]
    # With the check at the boiler neither keeps the pump from feeding.
    assert "no feed" not in [harm.kind for harm in _fault(small_job(), "delivery valve of pump stuck open").harms]


def test_water_that_only_goes_back_as_it_came_is_no_return() -> None:
    """The suction valve stuck open: with the bypass shut the water goes to and fro in the suction pipe."""
    circuit = circuit_of(small_job())
    (stuck,) = [each for each in faults_of(circuit) if each.words == "suction valve of pump stuck open"]
    outcome = outcome_of(circuit, all_settings(circuit), [(stuck,)])
    assert whenever(circuit, all_settings(circuit), outcome.driven["pump"].returns) == (
        {"bypass": "open", "engine": "running"},
    )


def test_a_dead_leg_stays_cool() -> None:
    """The boiler runs back through riser, feed and bypass; the pipe from the pump leads nowhere and stays cool."""
    shown = {(each.looked.where, each.looked.seen): each.when for each in _fault(small_job(), "clack stuck open").shown}
    assert shown["riser", "hot"] == ({"bypass": "open"}, {"drain": "open"})
    assert shown["feed", "hot"] == ({"bypass": "open"},)
    assert ("delivery", "hot") not in shown and ("suction", "hot") not in shown


def test_the_cap_of_a_check_valve_left_off_scalds() -> None:
    """It sits on the boiler's side of the ball."""
    off = _fault(small_job({"lid": "cap"}, f"{SMALL_JOINTS}\nlid.thread - clack.cap"), "lid left off")
    assert (off.harms[0].kind, off.harms[0].when) == ("scald", ({},))


def test_an_injector_does_not_feed_past_a_drain_that_passes() -> None:
    parts = {"i": "injector", "wet": "cock", "bush2": "bush", "tee2": "tee", "drain2": "cock"}
    joints = f"{SMALL_JOINTS}\nwet.outlet - i.water\ni.delivery - tee2.run_a\ntee2.branch - drain2.inlet\n"
    joints += "tee2.run_b - bush2.thread"
    text = SMALL_CIRCUIT.replace('["bush"]', '["bush", "bush2"]').replace('"back.end"]', '"back.end", "wet.inlet"]')
    job = small_job(parts, joints, text + 'i = { kind = "injector" }\n')
    assert "i does not feed" in [harm.words for harm in _fault(job, "drain2 passes when shut").harms]
