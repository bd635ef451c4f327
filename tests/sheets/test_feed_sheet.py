"""Sheets: the water circuit's two sheets as text and its drawings line by line, against what was thought by hand."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from datetime import date
from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

from feed_jobs import SMALL_CIRCUIT, job_text, small_job
from feed_jobs import SMALL_JOINTS as JOINTS
from feed_jobs import SMALL_PARTS as PARTS
from trialfit.cli.feed import read_sighting, settings, what_is_wrong_command
from trialfit.errors import Refusal
from trialfit.feed.report import FeedReport, feed_report
from trialfit.sheets.compile import pdf
from trialfit.sheets.drawing import Line, Polyline, Text, extent
from trialfit.sheets.feed import bench_sheet, feed_files
from trialfit.sheets.feed_drawing import LINES, circuit_drawing
from trialfit.sheets.feed_layout import laid_out
from trialfit.sheets.feed_owner import owner_sheet
from trialfit.sheets.heading import Paper
from trialfit.sheets.words import Words

NAMED = (
    SMALL_CIRCUIT
    + """[circuit.settings.road]
what = "on the road, feeding"
positions = { engine = "running" }
[circuit.settings.idle]
positions = { engine = "running", bypass = "open" }
"""
)


@pytest.fixture(scope="module")
def report() -> FeedReport:
    return feed_report(small_job(circuit=NAMED))


def _text(made: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(made)
    return [line for page in document for line in page.get_textpage().get_text_range().splitlines()]


def test_the_owners_page_says_what_was_thought_out(report: FeedReport) -> None:
    job = small_job(circuit=NAMED)
    lines = _text(pdf("feed-owner.typ", owner_sheet(job, report, "a4"), "t", date(2026, 5, 2)))
    whole = " ".join(lines)
    assert "As usual means: bypass shut, drain shut, engine standing." in whole
    table = whole[whole.index("These nuts see pressure") : whole.index("on the road, feeding")]
    first, _, second = table.partition("bypass open")
    # From the pump to the boiler when it feeds; behind the check valve only, when it goes round.
    assert "engine running pump feeds the boiler boiler pressure: outlet of pump" in first
    assert "pump returns to the tank" in second and "boiler pressure: outlet of clack" in second
    assert "outlet of pump" not in second
    # Feeding against the boiler: all from the pump to the check valve stands at its pressure.
    road = whole[whole.index("on the road, feeding") : whole.index("idle")]
    assert "pump feeds the boiler." in road
    for name in ("outlet of pump", "tee", "low tee", "inlet of clack", "outlet of clack"):
        assert f"{name} (" in road
    assert "May hold" not in road.partition("Numbers")[0].partition("Boiler pressure now")[0]
    idle = whole[whole.index("idle") : whole.index("What to do if")]
    assert "pump returns to the tank." in idle
    assert whole.index("tank is hot") < whole.index("pump does not feed the boiler")
    assert any(line.startswith("! Undo no nut") or "Undo no nut" in line for line in lines)


def test_the_bench_sheet_has_every_place_and_every_fault(report: FeedReport) -> None:
    sheet = bench_sheet(small_job(circuit=NAMED), report, "us-letter")
    rows = {row["name"]: row["levels"] for row in sheet["places"]}
    # First on the road (bypass shut, running), then idling with the bypass open.
    assert rows["tee"] == ["B", "t"]
    assert rows["outlet of clack"] == ["B", "B"]
    assert rows["inlet of pump"] == ["t", "t"]
    assert "inside pump" not in rows
    whole = " ".join(_text(pdf("feed-bench.typ", sheet, "t", date(2026, 5, 2))))
    assert [row["fault"] for row in sheet["faults"]] == [each.fault.words for each in report.fails]
    for words in (
        "clack stuck open",
        "clack weeps",
        "feed blocked",
        "Hurt: anybody near the open mouth of drain: scald",
    ):
        assert words in whole


def test_the_drawing_shows_every_way_level_or_upright_and_by_its_pressure(report: FeedReport) -> None:
    road, idle = report.in_use
    laid = laid_out(report.circuit, 150.0)
    assert len(set(laid.places.values())) == len(report.circuit.nodes)
    for n, way in enumerate(report.circuit.ways):
        points = laid.runs[n]
        assert points[0] == laid.places[way.a]
        assert points[-1] == (laid.places[way.b] if way.b >= 0 else laid.leaves[n])
        assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(points))
    for use in (road, idle):
        drawn = [each.item for each in circuit_drawing(report, use, 186.0, Words())]
        left, _, right, _ = extent(drawn)
        assert right - left <= 186.0
        heavy = sum(isinstance(each, Polyline) and each.pen == LINES["boiler"] for each in drawn)
        assert heavy >= 1
        assert min(each.size_pt for each in drawn if isinstance(each, Text)) >= 10.0
    # Told apart by weight or dash, never by colour: no two alike.
    assert len({(pen.width_mm, pen.dash_mm) for pen in LINES.values()}) == len(LINES)
    one, other = ([each.item for each in circuit_drawing(report, use, 186.0, Words())] for use in (road, idle))
    assert one != other and [e for e in one if isinstance(e, Line)] != []


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_files_are_whole_and_the_same_each_time(report: FeedReport, paper: Paper) -> None:
    job = small_job(circuit=NAMED)
    files = feed_files(job, report, paper)
    assert list(files) == ["settings-owner.pdf", "settings-bench.pdf", "setting-road.svg", "setting-idle.svg"]
    assert files == feed_files(job, report, paper)
    title = ET.fromstring(files["setting-road.svg"]).find("{http://www.w3.org/2000/svg}title")
    assert title is not None and title.text == "dunlin-feed: road: engine running"


# ---- the commands


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "job.toml").write_text(job_text(PARTS, JOINTS, NAMED))
    return tmp_path


def test_settings_prints_a_table_a_person_can_use(folder: Path) -> None:
    ran = CliRunner().invoke(settings, [str(folder), "--faults", "--out", str(folder / "out")], standalone_mode=False)
    assert ran.return_value == 0, ran.output
    lines = [line.strip() for line in ran.output.splitlines()]
    assert lines[0] == "As usual: bypass shut, drain shut, engine standing."
    assert lines[lines.index("engine running (on the road, feeding):") + 1] == "pump feeds the boiler."
    assert lines[lines.index("bypass open, engine running:") + 1] == "pump returns to the tank."
    stuck = lines[lines.index("CLACK STUCK OPEN") :]
    assert stuck[1].startswith(
        "- boiler water and steam come out at the open mouth of drain: drain open. Hurt: anybody"
    )
    assert (folder / "out" / "setting-idle.svg").exists()


def test_what_is_wrong_asks_the_next_question(folder: Path) -> None:
    """The pump returns with the bypass open and feeds nothing with it shut; what is left as in test_feed.py."""
    words = ["--seen", "bypass=open, engine=running: pump returns to the tank",
             "--seen", "engine = running: pump does not feed the boiler"]  # fmt: skip
    ran = CliRunner().invoke(what_is_wrong_command, [str(folder), *words], standalone_mode=False)
    assert ran.return_value == 0, ran.output
    lines = [line.strip() for line in ran.output.splitlines()]
    assert lines[0] == "Seen: bypass open, engine running: pump returns to the tank."
    assert any("suction valve of pump weeps" in line for line in lines)
    assert any(line.startswith("Ask next: With ") and line.endswith("?") for line in lines)
    answered = CliRunner().invoke(what_is_wrong_command, [str(folder), *words, "--json"], standalone_mode=False)
    told = json.loads(answered.output)
    assert abs(sum(each["share"] for each in told["explanations"]) - 1.0) < 1e-9


def test_two_faults_at_once_and_nothing_at_all(folder: Path) -> None:
    """It feeds with nothing wrong; with the bypass open it cannot feed and return at once."""
    fine = CliRunner().invoke(
        what_is_wrong_command, [str(folder), "--seen", "engine=running: pump feeds the boiler"], standalone_mode=False
    )
    assert "nothing seen so far is amiss" in fine.output
    both = ["--seen", "engine=running: pump feeds the boiler", "--seen", "engine=running: pump locks solid"]
    never = CliRunner().invoke(what_is_wrong_command, [str(folder), *both], standalone_mode=False)
    assert never.return_value == 1
    assert "Neither one fault nor two at once" in never.output
    # The tank gets hot with the bypass shut: the check valve lets back, and the bypass lets by.
    two = ["--seen", "engine=standing: tank is hot"]
    told = CliRunner().invoke(what_is_wrong_command, [str(folder), *two], standalone_mode=False)
    assert "Two at once do:" in told.output
    assert "bypass passes when shut" in told.output and "clack weeps" in told.output


@pytest.mark.parametrize("written", ["pump is unwell", "engine running: pump spits air"])
def test_a_sighting_that_cannot_be_read_is_refused(written: str) -> None:
    with pytest.raises(Refusal, match=r"wanted handle=position, \.\.\.: place, and what was seen there"):
        read_sighting(written)
