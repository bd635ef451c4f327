"""App: `trialfit settings` says how much goes which way, by Hagen and Poiseuille, and by what goes in coming out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from feed_jobs import SMALL_CIRCUIT, SMALL_JOINTS, SMALL_PARTS, job_text
from trialfit.cli.feed import settings
from trialfit.errors import Refusal
from trialfit.feed.findings import feed_findings
from trialfit.feed.report import FeedReport, feed_report
from trialfit.finding import Answer, Finding
from trialfit.job.read import read_job

# pi/4 x 10² x 10 mm3 = 0.7854 mL a stroke, 80 % of it, 20 strokes a minute: 12.566 mL/min.
PUMP = """[circuit]
boiler = ["bush"]
tank = ["suction.start", "short.end", "long.end"]
[circuit.sources.pump]
kind = "axle pump"
[circuit.sources.pump.pump]
ram = "10 mm"
stroke = "10 mm"
share = ["80 %", "80 %", "80 %"]
strokes = [20, 20, 20]
[circuit.settings.running]
positions = { engine = "running" }
"""
PARTS = {"suction": "pipe", "pump": "pump", "first": "tee", "short": "pipe", "second": "tee", "long": "pipe",
         "clack": "check valve", "bush": "bush"}  # fmt: skip
JOINTS = """suction.end - pump.inlet
pump.outlet - first.run_a
first.branch - short.start
first.run_b - second.run_a
second.branch - long.start
second.run_b - clack.inlet
clack.outlet - bush.thread"""
BORES = """[circuit.pipes.short]
bore = "1 mm"
length = "3 m"
[circuit.pipes.long]
bore = "1 mm"
"""


def _report(
    circuit: str, parts: dict[str, str] | None = None, joints: str = JOINTS
) -> tuple[FeedReport, Finding | None]:
    job = read_job(job_text(parts or PARTS, joints, circuit))
    report = feed_report(job)
    return report, next((each for each in feed_findings(job, report) if each.about == "flows"), None)


def _said(tmp_path: Path, circuit: str) -> str:
    (tmp_path / "job.toml").write_text(job_text(PARTS, JOINTS, circuit), encoding="utf-8")
    done = CliRunner().invoke(settings, [str(tmp_path)])
    assert done.exception is None or isinstance(done.exception, SystemExit)
    return re.sub(r"\s+", " ", done.output)


def test_two_tubes_of_one_bore_share_the_water_the_other_way_round_from_their_lengths(tmp_path: Path) -> None:
    """Hagen and Poiseuille: dp = 128 mu L Q / (pi d^4), so at one dp and one bore Q goes as 1/L.

    3 m and 6 m share 12.566 mL/min as 2 to 1: 8.378 and 4.189. The faster runs at 0.18 m/s in 1 mm: Re 180, slow. What
    the mouths lose is 37/Re + 1 velocity heads beside 64/Re x 3000: a thousandth. The clack has the boiler behind it.
    """
    said = _said(tmp_path, PUMP + BORES + 'length = "6 m"\n')
    line = said.split("how much: ")[1].split(". ")[0]
    assert line == (
        "13 mL/min out of the tank, through suction; 8.4 mL/min through short, into the tank; "
        "4.2 mL/min through long, into the tank"
    )
    assert "assumed" not in said


def test_a_length_that_is_not_given_is_assumed_and_said_to_be() -> None:
    """The other tube 50 to 600 mm, likely 200: beside one of 300 mm it takes 300/350, 300/500 and 300/900 of the water.

    2 strokes a minute of 0.6283 mL, so that the mouths lose next to nothing.
    """
    slow = PUMP.replace("[20, 20, 20]", "[2, 2, 2]")
    report, finding = _report(slow + BORES.replace("3 m", "300 mm"))
    (flows,) = report.flows
    assert flows is not None
    at = next(n for n, way in enumerate(report.circuit.ways) if way.name == "long")
    band = flows.through[at]
    shares = [each / 1.2566 for each in (band.low, band.likely, band.high)]
    assert shares == pytest.approx([1 / 3, 3 / 5, 6 / 7], rel=0.03)
    assert flows.surer == ("long",)
    assert finding is not None
    assert finding.answer is Answer.LOOK
    assert any("taken as 1.5 to 4 mm" in str(each) and "[assumed]" in str(each) for each in finding.because)
    assert finding.do.startswith("Measure bore and length of long; write them under [circuit.pipes].")


FIGURES = """[circuit.sources.pump.pump]
ram = "10 mm"
stroke = "10 mm"
[circuit.use]
turns = [100, 200, 300]
"""
AXLE = SMALL_CIRCUIT.replace('pump = { kind = "axle pump" }', '[circuit.sources.pump]\nkind = "axle pump"')


@pytest.mark.parametrize("bypass", ["open", "shut"])
@pytest.mark.parametrize("drain", ["open", "shut"])
def test_what_goes_into_a_place_comes_out_of_it(bypass: str, drain: str) -> None:
    """Law: water is neither made nor lost; and it all comes out of the tank, 125.7 mL/min at 80 % of 200 strokes."""
    positions = (
        f'[circuit.settings.one]\npositions = {{ engine = "running", bypass = "{bypass}", drain = "{drain}" }}\n'
    )
    share = FIGURES.replace("[circuit.use]", 'share = ["70 %", "80 %", "90 %"]\n[circuit.use]')
    report, finding = _report(AXLE + share + positions, SMALL_PARTS, SMALL_JOINTS)
    (flows,) = report.flows
    assert flows is not None
    into: dict[int, float] = {}
    for at, band in flows.through.items():
        way = report.circuit.ways[at]
        assert band.low <= band.likely <= band.high
        # 90 % of 300 strokes of 0.7854 mL is the most there can be; and none turns back.
        assert max(abs(band.low), abs(band.high)) <= 212.06
        assert band.low * band.high >= 0
        into[way.a] = into.get(way.a, 0.0) - band.likely
        into[way.b] = into.get(way.b, 0.0) + band.likely
    assert max(abs(each) for place, each in into.items() if place >= 0) < 0.06
    drawn = [flows.through[n].likely for n, way in enumerate(report.circuit.ways) if way.name == "suction"]
    assert drawn == pytest.approx([125.664], abs=0.01)
    # Only where it can go two ways at once do bores matter.
    assert bool(flows.surer) == (bypass == drain == "open")
    assert finding is not None
    assert finding.answer is (Answer.LOOK if flows.surer else Answer.GO)


def test_without_the_pump_s_figures_nothing_is_guessed(tmp_path: Path) -> None:
    bare = (
        PUMP.split("[circuit.sources.pump.pump]")[0]
        + '[circuit.settings.running]\npositions = { engine = "running" }\n'
    )
    said = _said(tmp_path, bare)
    assert "mL/min" not in said
    assert (
        "How much flows is not known. Measure ram and stroke of the pump, and the axle's turns a minute; "
        "write them under its source." in said
    )
    assert _report(bare)[1] is None


def test_a_length_of_nothing_that_is_there_is_refused() -> None:
    with pytest.raises(Refusal, match="lonng"):
        _report(PUMP + BORES.replace("pipes.long", "pipes.lonng"))
