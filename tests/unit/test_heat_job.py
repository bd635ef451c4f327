"""Unit: heats out of a job document, what is refused of them, and what is said of whole ones; limits by the tables."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from trialfit.errors import Refusals
from trialfit.finding import Answer, Band, Finding
from trialfit.heat.report import heat_findings, heats
from trialfit.job.read import read_job
from trialfit.job.records import Job
from trialfit.job.shop import Shop, assumed_shop
from trialfit.plan import plan

EXAMPLE = Path(__file__).parents[2] / "examples" / "soldering" / "job.toml"
TEXT = EXAMPLE.read_text(encoding="utf-8")
CARD = TEXT[: TEXT.index("[heating.elbow]")]

SMALL = """
[heating.cone]
do = "silver-solder"
flame_on = "cone"
joint = "cone"
filler = "Ag155"
flux = "long life"
[heating.cone.bodies]
cone = { metal = "CW614N", mass = "8 g", across = "8 mm", long = "9 mm" }
"""


def _job(text: str) -> Job:
    return read_job(CARD + text)


def _said(text: str, shop: Shop | None = None) -> dict[str, Finding]:
    _, found = heat_findings(_job(text), shop or assumed_shop())
    return {finding.question: finding for finding in found}


def _timed(took: str = "40 s") -> Shop:
    document: dict[str, Any] = assumed_shop().model_dump(mode="json")
    slug = {"mass": "100 g", "across": "20 mm", "took": took, "pm": "4 s"}
    document["torches"] = {"timed": {"power": "1.2 kW", "slug": slug}}
    return Shop.model_validate({key: value for key, value in document.items() if value is not None})


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('flame_on = "cone"', 'flame_on = "coan"', 'Did you mean "cone"?'),
        ('joint = "cone"', 'joint = "nut"', "the name of a body or pipe that is there"),
        ('flux = "long life"', 'flux = "borax"', "a flux of the tables"),
        ('filler = "Ag155"\n', "", "filler with silver-solder"),
        ('metal = "CW614N", ', "", "a metal of the tables"),
        ('joint = "cone"', 'joint = { on = "cone", along = "3 mm" }', "a body is all at one temperature"),
        (
            "[heating.cone.bodies]",
            '[heating.cone.pipes]\nrod = { metal = "CW614N", od = "4 mm", wall = "2 mm", long = "9 mm", end = "cone"}\n'
            "[heating.cone.bodies]",
            "less than half of 4 mm",
        ),
        (
            "[heating.cone.bodies]",
            '[heating.cone.pipes]\nrod = { metal = "CW614N", od = "4 mm", wall = "", long = "9 mm", end = "cone"}\n'
            "[heating.cone.bodies]",
            "a length or a wire gauge",
        ),
        (
            "[heating.cone.bodies]",
            '[heating.cone.pipes]\nrod = { metal = "CW614N", od = "4 mm", long = "9 mm" }\n[heating.cone.bodies]',
            "a body at one end",
        ),
        (
            "[heating.cone.bodies]",
            '[heating.cone.there]\nring = { on = "cone", seal = "NBR", filler = "Ag155" }\n[heating.cone.bodies]',
            "one of filler, seal and holds",
        ),
        (
            "[heating.cone.bodies]",
            '[heating.cone.there]\nring = { on = "cone", seal = "NBR", sits = "dead leg" }\n[heating.cone.bodies]',
            "off_boiler with it",
        ),
        (
            "[heating.cone.bodies]",
            '[heating.cone.gap]\nhole = "4 mm"\nshank = "5 mm"\noverlap = "4 mm"\nouter = "CW614N"\ninner = "CW614N"\n'
            "[heating.cone.bodies]",
            "a shank smaller than its hole",
        ),
    ],
)
def test_what_is_refused(old: str, new: str, said: str) -> None:
    assert old in SMALL
    with pytest.raises(Refusals) as caught:
        _job(SMALL.replace(old, new))
    assert said in str(caught.value)
    assert "job.toml:" in str(caught.value)


def test_a_place_off_the_end_of_its_pipe_is_refused() -> None:
    with pytest.raises(Refusals, match="at most 90 mm, the length of pipe"):
        read_job(TEXT.replace('along = "45 mm"', 'along = "95 mm"'))


@pytest.mark.parametrize(
    "kind",
    ['filler = "Ag155"', 'seal = "PTFE"', 'holds = "paint"', 'holds = "retaining compound"', 'seal = "fibre washer"'],
)
def test_each_kind_of_thing_that_is_there(kind: str) -> None:
    job = _job(f'{SMALL}\n[heating.cone.there]\nthing = {{ on = "cone", {kind} }}\n')
    assert len(heats(job, assumed_shop())[0].watched) == 1


def test_the_metal_may_stand_in_the_assembly() -> None:
    assembly = '[assemblies.pipe.bodies]\ncone = { metal = "CW614N", wet = true }\n'
    work = '[assemblies.pipe.work.solder]\ndo = "silver-solder"\non = "cone"\nfiller = "Ag155"\n'
    text = SMALL.replace('metal = "CW614N", ', "").replace('do = "silver', 'assembly = "pipe"\ndo = "silver')
    # And so does that it may hold water, which stops the heat.
    assert _said(text + assembly + work)["May the cone be heated?"].answer is Answer.STOP


@pytest.mark.parametrize("state", ["wet = true", "openings = 0"])
def test_what_is_shut_or_wet_is_a_stop(state: str) -> None:
    found = _said(SMALL.replace('long = "9 mm"', f'long = "9 mm", {state}'))["May the cone be heated?"]
    assert found.answer is Answer.STOP
    # By CoolProp 65.4 and 222 psi for each K at 20 and 100 °C.
    assert "gains 65 psi for each degree at 20 °C and 223 at 100 °C" in str(found.because[0])


@pytest.mark.parametrize(("state", "stops"), [("", False), (", wet = true", True), (", openings = 0", True)])
def test_a_sealed_wet_fitting_stops_the_whole_plan(state: str, stops: bool) -> None:
    made = plan(_job(SMALL.replace('long = "9 mm"', f'long = "9 mm"{state}')), assumed_shop())
    found = [each for each in made.findings if each.question == "May the cone be heated?"]
    assert [each.answer for each in found] == [Answer.STOP] * stops


def test_before_the_trial_a_light_and_after_it_a_time() -> None:
    before = _said(SMALL)
    assert before["Will it come up to heat?"].figure is not None
    assert not any("How long" in question for question in before)
    after = _said(SMALL, _timed())["How long will it take to come up to heat?"]
    assert after.figure is not None
    assert after.figure.unit == "s"
    assert after.answer is Answer.GO


def test_a_torch_too_small_is_a_stop_and_says_so() -> None:
    heavy = SMALL.replace('"8 g", across = "8 mm", long = "9 mm"', '"2 kg", across = "60 mm", long = "90 mm"')
    assert _said(heavy)["Will it come up to heat?"].answer is Answer.STOP


def test_a_torch_the_shop_does_not_have_stops_the_plan_without_failing_it() -> None:
    found = _said(SMALL.replace("flux =", 'torch = "big one"\nflux ='))["Can the heat be worked out?"]
    assert found.answer is Answer.STOP
    assert "small torch, large torch" in str(found.because[0])


def test_silver_far_along_the_pipe_stays_and_soft_solder_wants_a_rag() -> None:
    """The example: Ag155 begins at 630 °C, 90 mm off; Sn60Pb40 at 183 °C, 45 mm off."""
    reports = heats(read_job(TEXT), assumed_shop())
    by_name = {finding.question: finding for finding in reports[0].findings}
    assert by_name["Will the joint of the cone on the feed pipe, 90 mm along it, stay as it is?"].answer is Answer.GO
    bracket = by_name["Will the soft-soldered bracket on the feed pipe, 45 mm along it, stay as it is?"]
    assert bracket.answer is Answer.STOP
    assert bracket.do.startswith("Keep a wet rag on the feed pipe from ")
    assert any(line in bracket.do for line in reports[0].cool)


def test_two_heats_of_one_filler_are_kept_apart_by_cold_alone() -> None:
    """One filler has one range, 630 to 660 °C, so no order helps: the finding may not name an order of one."""
    there = '[heating.cone.there]\nfirst = { on = "cone", filler = "Ag155" }\n'
    found = _said(SMALL + there)["Does this filler run before the joints that are there let go?"]
    words = " ".join(reason.text for reason in found.because)
    assert found.answer is Answer.LOOK
    assert "Highest first" not in words and "of one filler" in words and "run both in one heat" in found.do


def test_flux_and_cadmium() -> None:
    """Long life is liquid from 600: 30 K under Ag155's 630, of the 100 asked. Ag42Cd holds cadmium."""
    assert _said(SMALL)["Does the flux suit Ag155?"].answer is Answer.LOOK
    # General silver flux is liquid from 550, 80 K under: let pass, so the limit shown is what is let pass.
    general = _said(SMALL.replace("long life", "general silver"))["Does the flux suit Ag155?"]
    assert general.answer is Answer.GO and general.limit is not None and general.limit.value == pytest.approx(70)
    assert _said(SMALL.replace("Ag155", "Ag42Cd"))["May this filler be used?"].answer is Answer.STOP
    assert _said(SMALL.replace("long life", "FH21"))["Does the flux suit Ag155?"].answer is Answer.STOP


def test_letting_go_of_compound_leaves_silver_alone() -> None:
    """Compound lets go from 232 °C (450 F); silver begins to melt at 640 at the least named here."""
    report = heats(read_job(TEXT), assumed_shop())[1]
    assert report.needs_c == 232.0
    stub = next(each for each in report.findings if each.question.startswith("Will the joint of the stub"))
    assert stub.answer is Answer.GO


def test_the_record_is_written_back_as_it_was() -> None:
    job = read_job(TEXT)
    assert Job.model_validate(job.model_dump()) == job
    assert tomllib.loads(TEXT)["heating"]["elbow"]["pipes"]["pipe"]["od"] == str(job.heating["elbow"].pipes["pipe"].od)


def test_a_thin_bracket_is_looked_at() -> None:
    """0.5 mm over 25 mm of brass buckles at 23 K (see test_heat.py), under the 100 K a torch makes; 3 mm at 848 K."""
    thin = '\n[[heating.cone.thin]]\non = "cone"\nthick = "{}"\nacross = "25 mm"\n'
    question = "Will the thin part of cone distort?"
    assert _said(SMALL + thin.format("0.5 mm"))[question].answer is Answer.LOOK
    assert _said(SMALL + thin.format("3 mm"))[question].answer is Answer.GO


GAP = """
[heating.cone.gap]
hole = "10.10 mm"
shank = "10.00 mm"
overlap = "{}"
outer = "{}"
inner = "{}"
wire = "1 mm"
"""


def test_the_gap_when_hot_decides_and_says_what_to_bore() -> None:
    """By hand, at Ag155's 660 °C, 640 K over cold: brass in steel closes to
    (10.10 (1 + 12.0e-6 x 640) - 10.00 (1 + 20.9e-6 x 640)) / 2 = (10.17757 - 10.13376) / 2 = 0.0219 mm, under 0.05;
    the other way about (10.23510 - 10.07680) / 2 = 0.0791 mm. To have 0.125 hot with brass in steel, bore
    10.00 + 0.25 + 2 x (0.05 - 0.0219) = 10.31 mm."""
    closes = _said(SMALL + GAP.format("6 mm", "MS070M20", "CW614N"))["Is the gap right when hot?"]
    assert closes.answer is Answer.LOOK
    assert str(closes.figure).startswith("0.022 ")
    assert "Bore the hole 10.31 mm" in closes.do
    opens = _said(SMALL + GAP.format("6 mm", "CW614N", "MS070M20"))["Is the gap right when hot?"]
    assert opens.answer is Answer.GO
    assert str(opens.figure).startswith("0.079 ")


def test_an_overlap_longer_than_filler_runs_is_looked_at() -> None:
    """20 mm from one side, by the rules of the joint."""
    question = "Will the filler run the whole overlap?"
    assert question not in _said(SMALL + GAP.format("20 mm", "CW614N", "CW614N"))
    assert _said(SMALL + GAP.format("21 mm", "CW614N", "CW614N"))[question].answer is Answer.LOOK


def test_a_wet_rag_keeps_the_far_end_cooler_and_a_clamp_delays_it() -> None:
    """A rag helps however long it takes; a clamp only until it is hot itself, so the slowest heat gains nothing."""

    def most(sink: str) -> Band:
        rag = f'rags = [{{ on = "pipe", along = "70 mm", long = "12 mm", {sink} }}]\nfiller ='
        text = TEXT.replace("filler =", rag, 1) if sink else TEXT
        return heats(read_job(text), assumed_shop())[0].outcome.most["cone_joint"]

    bare, clamped, wet = most(""), most('kind = "clamp", mass = "300 g"'), most('kind = "wet rag"')
    assert clamped.likely < 0.6 * bare.likely
    assert wet.high < 0.6 * bare.high


def test_old_solder_that_gets_hot_is_looked_at() -> None:
    """Cadmium melts at 320 °C; silver-soldering beside it is over that, letting go of compound is not."""
    old = SMALL.replace('long = "9 mm"', 'long = "9 mm", old_solder = true')
    assert _said(old)["May the old solder on cone hold cadmium?"].answer is Answer.LOOK
    report = heats(read_job(TEXT), assumed_shop())[1]
    assert not any("cadmium" in finding.question for finding in report.findings)
    assert "cadmium" in report.cautions


def test_brass_that_would_melt_is_named() -> None:
    """CW614N begins to melt at 875 °C; Ag120 runs at 810, within 100 K of it."""
    found = _said(SMALL.replace("Ag155", "Ag120"))["Will cone itself melt?"]
    assert found.answer is Answer.LOOK


NEAR = """
[heating.near]
do = "silver-solder"
flame_on = "elbow"
joint = { on = "pipe", along = "0 mm" }
filler = "Ag155"
flux = "general silver"
[heating.near.bodies]
elbow = { what = "elbow body", metal = "CC491K", mass = "28 g", across = "14 mm", long = "20 mm", openings = 2 }
cone = { what = "union cone", metal = "CW614N", mass = "6 g", across = "7 mm", long = "9 mm" }
[heating.near.pipes.pipe]
what = "feed pipe"
metal = "CW024A"
od = "3/16 in"
wall = "22 swg"
long = "45 mm"
start = "elbow"
end = "cone"
[heating.near.there]
seat = { what = "lapped cone", on = "cone", holds = "lapped seat" }
"""
QUESTION = "Will the lapped cone on the union cone stay as it is?"


@pytest.mark.parametrize(
    ("took", "begins", "rag"),
    [
        ("25 s", "Keep a wet rag round the union cone, and wet it again as it dries; it then comes to ", "wet rag"),
        ("60 s", "Put a cold steel clamp of 250 g round the union cone; it then comes to ", "clamp"),
    ],
)
def test_what_is_advised_does_what_it_says(took: str, begins: str, rag: str) -> None:
    """A lapped seat stands 300 °C. With a torch that has little to spare a rag 45 mm off stops the job; metal does not.

    What is advised, once it stands in the job, has to give just the temperature that was said.
    """
    advised = _said(NEAR, _timed(took))[QUESTION]
    assert advised.answer is Answer.STOP
    assert advised.do.startswith(begins)
    assert any("keep the joint from coming up" in each.text for each in advised.because) is (rag == "clamp")
    mass = ', mass = "250 g"' if rag == "clamp" else ""
    done = NEAR.replace("flux =", f'rags = [{{ on = "cone", long = "15 mm", kind = "{rag}"{mass} }}]\nflux =')
    after = _said(done, _timed(took))
    assert after[QUESTION].answer is Answer.GO
    figure = after[QUESTION].figure
    assert isinstance(figure, Band)
    assert f"comes to {figure.high:.0f} °C at the most" in advised.do
    assert after["How long will it take to come up to heat?"].answer is not Answer.STOP


def test_a_rag_of_the_job_that_stops_it_is_named_with_how_far_off_it_must_be() -> None:
    """Close to the body a rag takes more than the flame gives; at the distance that is named it just does not."""

    def with_rag(along_mm: float) -> dict[str, Finding]:
        rag = f'rags = [{{ on = "pipe", along = "{along_mm:.1f} mm", long = "15 mm" }}]\nfiller ='
        return _said(TEXT.replace("filler =", rag, 1)[TEXT.index("[heating.elbow]") :])

    question = "Does the wet rag on the feed pipe let the joint come up?"
    stopped = with_rag(10.0)[question]
    assert stopped.answer is Answer.STOP
    words = stopped.do.removeprefix("Keep it ").removesuffix(" mm or more off the elbow body.")
    assert words.isdigit()
    assert question not in with_rag(float(words) + 1.0 + 7.5)
    assert question in with_rag(float(words) - 1.5 + 7.5)
