"""House: docs/bench shows what the program draws and says, and every command on its pages runs."""

from __future__ import annotations

import re
import shlex
from itertools import pairwise
from math import pi
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from trialfit.cli import commands
from trialfit.parts.measuring import across_corners_mm, middle_shift_mm
from trialfit.parts.thread_readings import diameters
from trialfit.sheets.bench import bench_pictures
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import percent_of_thread
from trialfit.tables.gauges import swg_mm

BENCH = Path(__file__).parents[2] / "docs" / "bench"
PAGES = sorted(BENCH.glob("*.md"))
_WRITTEN = {page: page.read_text(encoding="utf-8") for page in PAGES}
_LINES = [line for text in _WRITTEN.values() for line in text.splitlines()]
_COMMANDS = [line.strip() for line in _LINES if line.startswith("    trialfit ")]


def test_the_committed_pictures_are_the_ones_the_program_draws() -> None:
    drawn = {f"{name}.svg": picture for name, picture in bench_pictures().items()}
    kept = {path.name: path.read_text(encoding="utf-8") for path in (BENCH / "pictures").iterdir()}
    assert sorted(drawn) == sorted(kept)
    assert [name for name, picture in drawn.items() if picture != kept[name]] == []


def test_every_picture_is_shown_and_every_link_leads_somewhere() -> None:
    links = {(page, link) for page, text in _WRITTEN.items() for link in re.findall(r"\]\(([^)#]+)\)", text)}
    assert [link for page, link in links if not (page.parent / link).exists()] == []
    shown = {Path(link).stem for _, link in links if link.startswith("pictures/")}
    assert shown == set(bench_pictures())


@pytest.mark.parametrize("name", bench_pictures())
def test_a_picture_is_a_drawing_in_millimetres_with_a_title(name: str) -> None:
    root = ElementTree.fromstring(bench_pictures()[name])
    assert root.attrib["width"].endswith("mm")
    assert 60 < float(root.attrib["width"].removesuffix("mm")) < 240
    title = root.find("{http://www.w3.org/2000/svg}title")
    assert title is not None
    assert title.text


def test_there_are_commands_to_try() -> None:
    assert len(_COMMANDS) >= 10


@pytest.mark.parametrize("line", _COMMANDS)
def test_every_command_on_the_pages_runs(line: str) -> None:
    result = CliRunner().invoke(commands, shlex.split(line)[1:])
    assert result.exception is None, line
    assert result.output.strip()


def test_the_figures_on_the_pages_are_the_program_s() -> None:
    """Figures typed into the prose, each worked out here from the tables."""
    quarter, pipe = find_thread("1/4x40"), find_thread("G1/8")
    low_mm, high_mm = diameters(quarter, "male").sound
    least_mm, most_mm = diameters(quarter, "female").sound
    shares = [percent_of_thread(quarter, hole_mm).of_form_pct for hole_mm in (most_mm, least_mm)]
    said = {
        "threads.md": [
            f"a sound 1/4x40 is {low_mm:.2f} to {high_mm:.2f} mm over the crests",
            f"{shares[0]:.0f} to {shares[1]:.0f} % of the depth",
            f"28 tpi is {pipe.pitch_mm:.3f} mm",
            f"{6 * pipe.pitch_mm / 16:.2f} mm over six threads of 28 tpi",
        ],
        "parts.md": [f"{100 * (across_corners_mm(1.0) - 1):.1f} % more"],
        "looking.md": [
            f"{middle_shift_mm(3.5, 250, 40):.2f} mm off for a 7 mm face 250 mm away at 40 deg",
        ],
    }
    for page, sentences in said.items():
        text = re.sub(r"\s+", " ", _WRITTEN[BENCH / page])
        assert [sentence for sentence in sentences if sentence not in text] == []
    assert max(middle_shift_mm(6.0, 250.0, tilt) for tilt in range(90)) < 0.1


def test_a_wire_gauge_is_half_a_gram() -> None:
    """By hand: a ring's section is pi (D - w) w, its weight on 100 mm that times 0.00894 g/mm3 times 100."""
    grams = [0.894 * pi * (4.7625 - swg_mm(gauge)) * swg_mm(gauge) for gauge in range(18, 27)]
    assert min(heavy - light for heavy, light in pairwise(grams)) >= 0.5
    assert "One wire gauge is half a gram or more on 100 mm of 3/16 in tube" in _WRITTEN[BENCH / "parts.md"]
