"""Outside: what the owner seals a joint with, held against published limits at the boiler's temperature.

Saturation: 10 psi gauge is 1.70 bar absolute, 115 °C; 50 psi 4.46 bar, 148 °C; 80 psi 6.53 bar, 162 °C, as CoolProp
says below. Limits: PTFE tape 125 °C and taper threads only, EN 751-3; anaerobics 150 °C, high-temperature grade 230
°C, and no seal for steam, a maker's answers to common questions; nitrile 100 to 120 °C, seal charts, so 100 in a
bonded seal; fibre 110 °C, from memory, where a table of gaskets prints 250 °F (121 °C) for vegetable fibre in oil;
annealed copper 300 °C, from memory, under the 370 °C at which C106 begins to anneal and the 450 °C to which copper
gaskets of vacuum flanges are baked. Jointing compound whose tin nobody read: a dried film of linseed oil was kept at
100 °C and was rather stable (J. Am. Oil Chem. Soc., 2000, doi 10.1007/s11746-000-0042-4); pastes for hot water to EN
751-2, 130 °C at second hand.
"""

from __future__ import annotations

import pytest

from loaded import Loaded
from trialfit.errors import Refusals
from trialfit.finding import Answer, Finding
from trialfit.heat.seal_findings import seal_findings
from trialfit.job.read import read_job
from trialfit.units import pressure_mpa

CoolProp = Loaded("CoolProp.CoolProp")

JOB = """
format = 1
[job]
name = "seals"
owner = "B. Sandling"
date = 2026-03-04
[engine]
name = "Pochard"
working_pressure = "{pressure}"
[parts.valve]
kind = "check valve"
what = "the feed check valve"
ports.outlet = {{ thread = "{thread}", gender = "male" }}
[fitting.valve]
seal = "{seal}"
{more}
"""


def found(seal: str, pressure: str = "80 psi", more: str = 'sits = "boiler side"', thread: str = "R1/8") -> Finding:
    (finding,) = seal_findings(read_job(JOB.format(pressure=pressure, thread=thread, seal=seal, more=more)))
    return finding


@pytest.mark.parametrize(
    ("seal", "pressure", "answer", "hot_c", "limit_c"),
    [
        ("PTFE tape", "80 psi", Answer.STOP, 162, 125),
        ("PTFE tape", "10 psi", Answer.GO, 115, 125),
        ("retaining compound", "80 psi", Answer.STOP, 162, 150),
        ("retaining compound", "50 psi", Answer.LOOK, 148, 150),
        ("high-temperature retaining compound", "80 psi", Answer.LOOK, 162, 230),
        ("copper washer", "80 psi", Answer.GO, 162, 300),
        ("fibre washer", "80 psi", Answer.STOP, 162, 110),
        ("bonded seal", "10 psi", Answer.STOP, 115, 100),
    ],
)
def test_a_seal_is_held_against_its_limit(seal: str, pressure: str, answer: Answer, hot_c: int, limit_c: int) -> None:
    finding = found(seal, pressure)
    assert finding.answer is answer
    assert str(finding.figure) == f"{hot_c} °C"
    assert str(finding.limit) == f"{limit_c} °C"
    assert finding.question == f"Does the {seal} of the feed check valve stand service?"
    assert ("annealed copper washer" in finding.do) == (answer is not Answer.GO)


def test_tape_on_a_parallel_thread_is_looked_at_however_cool_it_is() -> None:
    finding = found("PTFE tape", more='sits = "tank side"', thread="1/4x40")
    assert finding.answer is Answer.LOOK
    assert any("taper, only" in reason.text for reason in finding.because)
    assert found("PTFE tape", more='sits = "tank side"').answer is Answer.GO


@pytest.mark.parametrize(
    ("seal", "more", "answer", "words"),
    [
        ("jointing compound", "", Answer.LOOK, 'as stands = "200 C"; it has to stand 162 °C'),
        ("jointing compound", 'stands = "200 C"', Answer.GO, ""),
        ("jointing compound", 'stands = "150 C"', Answer.STOP, "Use a dry metal cone"),
        ("washer", "", Answer.LOOK, 'seal = "copper washer"'),
        ("washer", 'stands = "300 C"', Answer.GO, ""),
    ],
)
def test_what_is_not_known_is_asked_for(seal: str, more: str, answer: Answer, words: str) -> None:
    finding = found(seal, more=more)
    assert finding.answer is answer
    assert words in finding.do
    assert any("taken to be as hot as the boiler" in reason.text for reason in finding.because)


@pytest.mark.parametrize(("pressure", "celsius"), [("10 psi", 115), ("50 psi", 148), ("80 psi", 162)])
def test_saturation_by_another_library(pressure: str, celsius: int) -> None:
    absolute_pa = pressure_mpa(pressure) * 1e6 + 101325.0
    assert round(CoolProp.PropsSI("T", "P", absolute_pa, "Q", 1, "Water") - 273.15) == celsius


@pytest.mark.parametrize(
    ("more", "answer", "for_steam"),
    [
        ('sits = "tank side"', Answer.GO, False),  # 50 °C
        ('sits = "dead leg"\noff_boiler = "50 mm"', Answer.LOOK, False),  # 110 °C: over 100, under 130
        ('sits = "boiler side"', Answer.LOOK, True),  # 162 °C
    ],
)
def test_a_compound_whose_tin_nobody_read(more: str, answer: Answer, for_steam: bool) -> None:
    finding = found("jointing compound", more=more)
    assert finding.answer is answer
    assert finding.limit is None  # A limit is printed without a label; what is assumed stands in a reason.
    (taken,) = (reason for reason in finding.because if "100 to 130 °C is taken" in reason.text)
    assert str(taken).endswith("; assumed]") and "EN 751-2" in str(taken)
    assert any("for hot water only" in reason.text for reason in finding.because) is for_steam


def test_a_dead_leg_cools_what_hangs_on_it_and_a_dry_cone_asks_nothing() -> None:
    near, far = (found("PTFE tape", more=f'sits = "dead leg"\noff_boiler = "{off} mm"') for off in (5, 200))
    assert (near.answer, far.answer) == (Answer.STOP, Answer.GO)
    assert seal_findings(read_job(JOB.format(pressure="80 psi", thread="R1/8", seal="dry", more=""))) == ()
    with pytest.raises(Refusals, match="off_boiler"):
        found("PTFE tape", more='sits = "dead leg"')
