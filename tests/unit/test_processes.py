"""Unit: rules of the bench one by one, melting ranges and seals as the tables print them, passing a bend by hand."""

from __future__ import annotations

import tomllib
from math import acos, cos, degrees, inf, radians, sin
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from trialfit.finding import Answer, Basis
from trialfit.job.assemblies import AssemblyEntry, Step
from trialfit.job.read import read_job
from trialfit.making.process_order import Rule
from trialfit.making.process_passing import hole_to_pass_mm, passes
from trialfit.making.process_reach import Link, ways_to
from trialfit.making.process_records import Caution, OrderOfWork
from trialfit.making.process_rules import rules_of
from trialfit.making.process_stands import heat_of, limit_of
from trialfit.making.processes import order_of_work, orders_of_work
from trialfit.making.soft_to_set import soft_to_set


def _assembly(text: str) -> AssemblyEntry:
    return AssemblyEntry.model_validate(tomllib.loads(text))


def _order(text: str) -> OrderOfWork:
    return order_of_work("it", _assembly(text))


def _names(found: OrderOfWork) -> list[str]:
    return [step.name for step in found.steps]


def _only(rules: tuple[Rule, ...], first: str) -> list[tuple[str, ...]]:
    return [rule.one_of for rule in rules if rule.first == first]


TUBE_AND_CONE = """
[bodies]
tube = { metal = "CW024A", od = "3/16 in", what = "feed pipe" }
cone = { metal = "CW614N" }
"""


# ---- heat


def test_heat_goes_before_a_seal_on_the_same_body() -> None:
    # Ag155 is liquid at 660 °C; the charts give FKM 200 °C.
    found = _order(
        TUBE_AND_CONE
        + """
        [work.ring]
        do = "fit seal"
        on = "cone"
        seal = "FKM"
        [work.joint]
        do = "silver-solder"
        what = "the cone"
        on = ["tube", "cone"]
        filler = "Ag155"
        """
    )
    assert _names(found) == ["joint", "ring"]
    because = found.steps[0].because[0]
    assert because.before == (2,)
    assert because.why.startswith("This reaches 660 °C; the FKM seal of step 2 stands 200 °C.")


def test_heat_may_come_after_a_seal_that_is_not_yet_joined_to_it() -> None:
    rules = rules_of(
        _assembly(
            """
            [bodies]
            a = {}
            b = {}
            c = {}
            [work.ring]
            do = "fit seal"
            on = "c"
            seal = "NBR"
            [work.screw]
            do = "screw together"
            on = ["b", "c"]
            [work.joint]
            do = "silver-solder"
            on = ["a", "b"]
            filler = "Ag155"
            """
        )
    )
    # The ring burns only once both are done: the heat comes before one of the two.
    assert _only(rules, "joint") == [("ring", "screw")]


def test_what_is_kept_cool_keeps_its_seal_and_its_joint() -> None:
    text = (
        TUBE_AND_CONE
        + """
        [work.ring]
        do = "fit seal"
        on = "cone"
        seal = "NBR"
        [work.heat]
        do = "anneal"
        on = "tube"
        # cool
        [work.joint]
        do = "soft-solder"
        on = ["tube", "cone"]
        filler = "Sn63Pb37"
        """
    )
    assert ("ring", "joint") in _only(rules_of(_assembly(text)), "heat")
    assert _only(rules_of(_assembly(text.replace("# cool", 'kept_cool = ["cone"]'))), "heat") == []


BENT = """
[bodies]
tube = { metal = "CW024A" }
[work.soft]
do = "anneal"
on = "tube"
# after
[work.bends]
do = "bend"
on = "tube"
"""


def test_an_anneal_comes_before_the_bend_unless_it_is_asked_for_after_it() -> None:
    # Common practice, no source: copper is softened to bend it, and again where somebody is to set it by hand.
    assert _names(_order(BENT)) == ["soft", "bends"]
    assert _names(_order(BENT.replace("# after", 'after = ["bends"]'))) == ["bends", "soft"]


@pytest.mark.parametrize(("trouble", "after", "answers"), [(5, "", 1), (5, 'after = ["bends"]', 0), (3, "", 0)])
def test_a_pipe_to_be_set_by_hand_is_wanted_soft(trouble: int, after: str, answers: int) -> None:
    entry = _assembly(BENT.replace("# after", after))
    job: Any = SimpleNamespace(assemblies={"feed": entry})
    fit: Any = SimpleNamespace(drop_on=SimpleNamespace(pipe="feed", best=SimpleNamespace(trouble=trouble)))
    found = soft_to_set(job, [fit])
    assert [each.answer for each in found] == [Answer.LOOK] * answers
    assert all('after = ["bends"]' in each.do for each in found)


def test_step_soldering_higher_melting_first() -> None:
    # Ag130 melts from 665 to 755 °C, Ag156 from 620 to 655 °C (tables): 655 < 665, so the second heat spares the first.
    found = _order(
        """
        [bodies]
        a = {}
        b = {}
        c = {}
        [work.second]
        do = "silver-solder"
        on = ["b", "c"]
        filler = "Ag156"
        [work.first]
        do = "silver-solder"
        on = ["a", "b"]
        filler = "Ag130"
        """
    )
    assert _names(found) == ["first", "second"]


def test_one_filler_twice_on_a_body_needs_one_heat() -> None:
    # Ag155 flows at 660 °C and begins to melt at 630 °C: each joint would loosen the other.
    found = _order(
        """
        [bodies]
        a = {}
        b = {}
        c = {}
        [work.one]
        do = "silver-solder"
        on = ["a", "b"]
        filler = "Ag155"
        [work.two]
        do = "silver-solder"
        on = ["b", "c"]
        filler = "Ag155"
        """
    )
    finding = found.findings[0]
    assert finding.answer is Answer.STOP
    assert [reason.text for reason in finding.because] == [
        '"silver-solder one" reaches 660 °C; the Ag155 joint of "silver-solder two" begins to melt at 630 °C.',
        '"silver-solder two" reaches 660 °C; the Ag155 joint of "silver-solder one" begins to melt at 630 °C.',
    ]
    assert finding.do == (
        "Any one of these frees it. "
        '(1) Run both joints in one heat, give "silver-solder two" a filler that begins to melt above 660 °C, or keep '
        'the c cool during "silver-solder one". '
        '(2) Run both joints in one heat, give "silver-solder one" a filler that begins to melt above 660 °C, or keep '
        'the a cool during "silver-solder two".'
    )


def test_brass_melts_before_copper_braze() -> None:
    # CW614N begins to melt at 875 °C (its sheet).
    found = _order(TUBE_AND_CONE + '[work.hot]\ndo = "warm"\non = "cone"\nreaches = "900 C"\n')
    assert found.findings[0].answer is Answer.STOP
    assert found.findings[0].because[0].text == '"warm hot" reaches 900 °C; the cone, CW614N, melts from 875 °C.'


# ---- what came with it


def test_a_seal_that_came_is_taken_out_first_or_stops_the_heat() -> None:
    text = """
        [bodies]
        valve = { seals = ["NBR"] }
        [work.joint]
        do = "soft-solder"
        on = "valve"
        filler = "Sn60Pb40"
        """
    stop = _order(text).findings[0]
    assert stop.answer is Answer.STOP
    # ISO 9453 prints the higher liquidus, 190 °C, for Sn60Pb40; NBR stands 100 °C by the lower chart.
    assert stop.because[0].text == (
        '"soft-solder joint" reaches 190 °C; the NBR seal that came in the valve stands 100 °C.'
    )
    assert stop.do == "One change frees it. Take the NBR seal out of the valve first, as work of its own."
    assert _names(_order(text + '[work.out]\ndo = "take off"\non = "valve"\n')) == ["out", "joint"]


def test_a_wet_body_is_drained_before_heat_or_not_heated() -> None:
    text = '[bodies]\nfloat = { wet = true }\n[work.heat]\ndo = "anneal"\non = "float"\n'
    stop = _order(text).findings[0]
    assert stop.answer is Answer.STOP
    assert stop.because[0].text == '"anneal heat" heats the float, which may hold water shut in and would burst.'
    found = _order(text + '[work.open]\ndo = "drain"\non = "float"\n')
    assert _names(found) == ["open", "heat"]
    assert Caution.SHUT in found.steps[1].cautions


def test_a_hollow_body_is_not_heated_shut() -> None:
    text = """
        [bodies]
        float = { openings = 2 }
        lid = {}
        [work.plug]
        do = "close"
        on = "float"
        shuts = "float"
        [work.lid]
        do = "silver-solder"
        on = ["float", "lid"]
        filler = "Ag155"
        shuts = "float"
        """
    # Whatever is closed last must not be the hot one: the lid is soldered before the plug goes in.
    assert _names(_order(text)) == ["lid", "plug"]
    alone = """
        [bodies]
        float = { openings = 1 }
        lid = {}
        [work.lid]
        do = "silver-solder"
        on = ["float", "lid"]
        filler = "Ag155"
        shuts = "float"
        """
    assert _order(alone).findings[0].answer is Answer.STOP


# ---- acid


def test_acid_goes_before_rubber_soft_solder_and_lapped_seats() -> None:
    found = _order(
        TUBE_AND_CONE
        + """
        [work.lap]
        do = "lap"
        on = "cone"
        [work.ring]
        do = "fit seal"
        on = "cone"
        seal = "FKM"
        [work.soft]
        do = "soft-solder"
        on = ["tube", "cone"]
        filler = "Sn63Pb37"
        kept_cool = ["cone"]
        [work.acid]
        do = "pickle"
        on = "cone"
        """
    )
    assert _names(found)[0] == "acid"
    assert Caution.ACID in found.steps[0].cautions


def test_flux_comes_off_in_one_of_the_pickles() -> None:
    rules = rules_of(
        _assembly(
            TUBE_AND_CONE
            + """
            [work.joint]
            do = "silver-solder"
            on = ["tube", "cone"]
            filler = "Ag155"
            [work.first_pickle]
            do = "pickle"
            on = "tube"
            [work.second_pickle]
            do = "pickle"
            on = "cone"
            """
        )
    )
    assert _only(rules, "joint") == [("first_pickle", "second_pickle")]


# ---- captive nuts

NUT = """
[work.near]
do = "silver-solder"
on = ["tube", "cone"]
filler = "Ag155"
end = "start"
outside = "7 mm"
[work.far]
do = "screw together"
on = ["tube", "other"]
end = "end"
[work.nut]
do = "slide on"
on = "tube"
end = "start"
hole = "4.9 mm"
long = "8 mm"
"""


def test_a_nut_is_on_before_the_last_of_its_two_ends() -> None:
    rules = rules_of(_assembly(TUBE_AND_CONE + "other = {}\n" + NUT))
    assert _only(rules, "nut") == [("near", "far")]


def test_an_open_end_lets_the_nut_on_at_any_time() -> None:
    one_end = NUT[: NUT.index("[work.far]")] + NUT[NUT.index("[work.nut]") :]
    assert _only(rules_of(_assembly(TUBE_AND_CONE + one_end)), "nut") == []


def test_a_nut_with_a_large_hole_goes_over_the_cone() -> None:
    wide = (TUBE_AND_CONE + "other = {}\n" + NUT).replace('hole = "4.9 mm"', 'hole = "7.1 mm"')
    assert _only(rules_of(_assembly(wide)), "nut") == []


def test_an_end_that_came_closed_leaves_one_way() -> None:
    closed = (TUBE_AND_CONE + "other = {}\n" + NUT).replace('od = "3/16 in"', 'od = "3/16 in", stops = ["start"]')
    assert ("far",) in _only(rules_of(_assembly(closed)), "nut")


def test_a_nut_for_a_tube_with_both_ends_closed_stops() -> None:
    text = TUBE_AND_CONE.replace('od = "3/16 in"', 'od = "3/16 in", stops = ["start", "end"]')
    finding = _order(text + '[work.nut]\ndo = "slide on"\non = "tube"\nend = "start"\n').findings[0]
    assert finding.answer is Answer.STOP
    assert finding.because[0].text == (
        '"slide on nut": the nut cannot pass what came on the start of the feed pipe at its own end, nor what came on '
        "the end of the feed pipe coming from the other."
    )


@pytest.mark.parametrize(("hole", "barred"), [("5.56 mm", True), ("5.57 mm", False)])
def test_a_bend_bars_a_nut_that_is_too_tight(hole: str, barred: bool) -> None:
    # By hand: outer 12.7 + 2.38125 = 15.08125, inner 10.31875, half the nut 4: 15.08125 - sqrt(106.4766 - 16)
    # = 15.08125 - 9.51192 = 5.56933.
    bend = '[work.bend]\ndo = "bend"\non = "tube"\nradius = "12.7 mm"\nangle = "90 deg"\n'
    text = (TUBE_AND_CONE + "other = {}\n" + NUT + bend).replace('hole = "4.9 mm"', f'hole = "{hole}"')
    assert (("near", "bend") in _only(rules_of(_assembly(text)), "nut")) == barred


def test_passing_a_full_bend_by_hand() -> None:
    assert hole_to_pass_mm(4.7625, 12.7, 8.0) == pytest.approx(5.56933, abs=1e-5)
    # A nut as long as the bend is wide inside jams: half of it is the inner radius.
    assert hole_to_pass_mm(4.0, 10.0, 16.0) == pytest.approx(12.0)
    assert hole_to_pass_mm(4.0, 10.0, 16.1) == inf
    assert hole_to_pass_mm(4.0, 2.0, 1.0) == inf
    # No bend at all asks for the tube's own diameter.
    assert hole_to_pass_mm(4.7625, 12.7, 8.0, angle_deg=1e-9) == pytest.approx(4.7625, abs=1e-6)
    assert passes(5.57, 8.0, 4.7625, 12.7)
    assert not passes(5.56, 8.0, 4.7625, 12.7)


def test_passing_a_short_bend_by_hand() -> None:
    # 20 deg: the inside of the bend ends at 10.31875 sin 10 = 1.79183 from its middle; 4 - 1.79183 = 2.20817 of
    # straight falls tan 10 x 2.20817 = 0.38936 below 10.31875 cos 10 = 10.16198: 9.77262. 15.08125 - 9.77262 = 5.30863.
    assert hole_to_pass_mm(4.7625, 12.7, 8.0, 20.0) == pytest.approx(5.30863, abs=2e-5)


@pytest.mark.parametrize(("angle_deg", "long_mm"), [(20, 8), (45, 8), (90, 8), (90, 14), (30, 10), (120, 6)])
def test_passing_a_bend_against_a_nut_pushed_through_it(angle_deg: int, long_mm: int) -> None:
    # The tube's two sides as points; at each place along it the nut may tilt as it likes; the narrowest strip that
    # holds the points within its length is what it needs there, and the widest such strip is what it needs in all.
    od, radius = 4.7625, 12.7
    turn = radians(angle_deg)
    along = np.linspace(-long_mm - radius * turn, long_mm + radius * turn, 2001)
    bent = np.clip(along, -radius * turn / 2, radius * turn / 2)
    angle, straight = bent / radius, along - bent
    sine, cosine = np.sin(angle), np.cos(angle)
    middle = np.stack([radius * sine + straight * cosine, radius * cosine - straight * sine])
    normal = np.stack([sine, cosine])
    sides = np.hstack([middle + normal * od / 2, middle - normal * od / 2])
    needed = 0.0
    for place in range(0, 2001, 100):
        if abs(along[place]) > radius * turn / 2 + long_mm / 2:
            continue
        tilts = angle[place] + np.linspace(-0.5, 0.5, 201)
        offset = sides - middle[:, [place]]
        lengthwise = np.cos(tilts)[:, None] * offset[0] - np.sin(tilts)[:, None] * offset[1]
        across = np.sin(tilts)[:, None] * offset[0] + np.cos(tilts)[:, None] * offset[1]
        inside = np.abs(lengthwise) <= long_mm / 2
        width = np.where(inside, across, -np.inf).max(axis=1) - np.where(inside, across, np.inf).min(axis=1)
        needed = max(needed, float(width.min()))
    # Points 0.02 mm apart along the tube see a little less than the whole.
    assert hole_to_pass_mm(od, radius, long_mm, angle_deg) == pytest.approx(needed, abs=0.02)


def test_passing_bound_by_the_chord() -> None:
    # Same condition said another way: with the hole just large enough, the nut's ends touch the inside at half its
    # length, seen under acos(9.51192/10.31875) = 22.81 deg from the middle of the bend.
    touch = degrees(acos((15.08125 - hole_to_pass_mm(4.7625, 12.7, 8.0)) / 10.31875))
    assert touch == pytest.approx(22.81, abs=0.01)
    assert 10.31875 * sin(radians(touch)) == pytest.approx(4.0, abs=1e-9)
    assert cos(radians(touch)) * 10.31875 == pytest.approx(9.51192, abs=1e-5)


# ---- the rest


def test_swarf_test_and_paint() -> None:
    found = _order(
        TUBE_AND_CONE
        + """
        [work.coat]
        do = "paint"
        on = "cone"
        [work.proof]
        do = "test"
        on = "tube"
        [work.ring]
        do = "fit seal"
        on = "cone"
        seal = "FKM"
        [work.ream]
        do = "machine"
        on = "cone"
        [work.tag]
        do = "machine"
        on = "tube"
        after_test = true
        """
    )
    names = _names(found)
    assert names.index("ream") < names.index("ring") < names.index("proof") < names.index("coat")
    assert found.steps[names.index("proof")].because[0].why == "It proves what is finished, and so comes after it."


def test_what_the_job_asks_for_is_a_rule_with_its_reason() -> None:
    rules = rules_of(
        _assembly(
            TUBE_AND_CONE
            + """
            [work.a]
            do = "machine"
            on = "cone"
            after = ["b"]
            because = "the hole guides the tool"
            [work.b]
            do = "machine"
            on = "tube"
            """
        )
    )
    assert rules[0].why == 'The job asks for "machine b" before "machine a": the hole guides the tool.'


def test_cadmium_chosen_stops_and_old_joints_are_looked_at() -> None:
    chosen = _order(TUBE_AND_CONE + '[work.j]\ndo = "silver-solder"\non = ["tube", "cone"]\nfiller = "Ag42Cd"\n')
    assert [f.answer for f in chosen.findings] == [Answer.GO, Answer.STOP]
    old = TUBE_AND_CONE.replace('cone = { metal = "CW614N" }', 'cone = { metal = "CW614N", old_solder = true }')
    looked = _order(old + '[work.j]\ndo = "silver-solder"\non = ["tube", "cone"]\nfiller = "Ag155"\n')
    assert [f.answer for f in looked.findings] == [Answer.GO, Answer.LOOK]
    assert Caution.CADMIUM in looked.steps[0].cautions


def test_steel_in_the_pickle_is_looked_at() -> None:
    found = _order('[bodies]\nbolt = { metal = "MS070M20" }\n[work.p]\ndo = "pickle"\non = "bolt"\n')
    assert found.findings[1].question == "Does steel go into the pickle?"


@pytest.mark.parametrize(
    ("step", "heat_c"),
    [
        ({"do": "silver-solder", "on": "a", "filler": "Ag155"}, 660.0),
        ({"do": "silver-solder", "on": "a", "filler": "Ag155", "reaches": "700 C"}, 700.0),
        ({"do": "soft-solder", "on": "a", "filler": "Sn50Pb50"}, 215.0),  # ISO 9453; a solder table prints 212
        ({"do": "bend", "on": "a"}, None),
    ],
)
def test_how_hot_work_gets(step: dict[str, str], heat_c: float | None) -> None:
    assert heat_of(Step.model_validate(step)) == heat_c


@pytest.mark.parametrize(
    ("step", "most_c", "acid"),
    [
        ({"do": "fit seal", "on": "a", "seal": "EPDM"}, 150.0, False),
        ({"do": "fit seal", "on": "a", "seal": "PTFE tape"}, 125.0, True),
        ({"do": "fit seal", "on": "a", "seal": "copper washer"}, 300.0, False),
        ({"do": "fit seal", "on": "a", "seal": "EPDM", "stands": "160 C", "stands_acid": True}, 160.0, True),
        ({"do": "retaining compound", "on": "a"}, 150.0, False),
        ({"do": "retaining compound", "on": "a", "grade": "high-temperature"}, 230.0, False),
        ({"do": "silver-solder", "on": "a", "filler": "Ag155"}, 630.0, True),
        ({"do": "soft-solder", "on": "a", "filler": "Sn60Pb40"}, 183.0, False),
    ],
)
def test_what_the_tables_say_that_work_stands(step: dict[str, object], most_c: float, acid: bool) -> None:
    limit = limit_of(Step.model_validate(step))
    assert limit is not None
    assert (limit.most_c, limit.acid) == (most_c, acid)
    assert limit.source or limit.basis.must_be_shown or limit.basis is Basis.MEASURED


def test_ways_go_round_and_the_shorter_covers_the_longer() -> None:
    links = (Link("a", "b", "ab"), Link("b", "c", "bc"), Link("a", "c", "ac"), Link("c", "d", ""))
    assert ways_to(links, ["a"], ["d"]) == (frozenset({"ab", "bc"}), frozenset({"ac"}))
    assert ways_to(links, ["a"], ["d"], barred=["c"]) == ()
    assert ways_to(links, ["a", "c"], ["d"]) == (frozenset(),)


JOB = """
format = 1
[job]
name = "snipe-feed"
owner = "A. Fenwright"
date = 2026-03-14
[engine]
name = "Snipe"
working_pressure = "80 psi"
[assemblies.feed.bodies.tube]
[assemblies.feed.work.bend]
do = "bend"
on = "tube"
"""


def test_a_job_gives_one_order_for_each_assembly() -> None:
    assert [found.name for found in orders_of_work(read_job(JOB))] == ["feed"]
