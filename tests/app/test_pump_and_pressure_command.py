"""App: ``trialfit pump`` and ``trialfit pressure-test``: words, exit codes, refusals, and the sheet."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from trialfit.cli import main

JOB = """format = 1
[job]
name = "heron-feed"
owner = "B. Larkfield"
date = 2026-03-14
[engine]
name = "Heron"
working_pressure = "80 psi"
[pressure_tests.feed]
what = "feed pipe with cones"
joints = ["silver-soldered"]
volume = "20 mL"
water = "160 psi"
agreed_with = "the club's inspector"
air = "0.5 bar"
gauge = { division = "0.02 bar", hose = "15 mL" }
tubes.pipe = { od = "3/16 in", wall = "22 swg", bend_radius = "12.7 mm" }
walls.clack = { bore = "6.35 mm", wall = "1.1 mm", metal = "CW451K" }
seen = [{ day = 2026-03-20, by = "shop", medium = "water", pressure = "160 psi", held = "10 min", what = "dry" }]
"""


def _run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(list(arguments))
    out, err = capsys.readouterr()
    return int(left.value.code or 0), out, err


def test_pump(capsys: pytest.CaptureFixture[str]) -> None:
    """pi/4 x 9.525² x 12.7 x 240 = 217.2 mL/min, 70 to 95 % of it; 22.5 mL/min boiled by 1 kW (steam tables)."""
    words = ("pump", "--ram", "3/8 in", "--stroke", "1/2 in", "--strokes", "240", "--heat", "1 kW")
    code, out, _ = _run(capsys, *words, "--injector", "--feed", "20 C")
    assert code == 0
    assert "GO    Does it feed what is used?  185 (152 to 206) mL/min (limit 22 mL/min)" in out
    assert "1 kW into the water boils away 22.5 mL/min" in out
    assert "while the return to the tank looks perfect" in " ".join(out.split())
    code, out, _ = _run(capsys, *words, "--injector", "--feed", "50 C")
    assert code == 1
    assert "STOP  Is the water cold enough for the injector?" in out


def test_a_pump_too_small_stops(capsys: pytest.CaptureFixture[str]) -> None:
    """pi/4 x 3² x 4 x 100 = 2.8 mL/min against 22.5."""
    code, out, _ = _run(
        capsys, "pump", "--ram", "3 mm", "--stroke", "4 mm", "--strokes", "100", "--heat", "1 kW", "--json"
    )
    assert code == 1
    assert '"answer": "stop"' in out


def test_pressure_test(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(JOB)
    code, out, _ = _run(capsys, "pressure-test", str(tmp_path), "--out", str(tmp_path / "out"))
    text = " ".join(out.split())
    assert code == 0
    # Twice 80 psi; 2 x 0.02 x 35 / (0.85 x 1.01325) = 1.6 min; energies as tests/outside/test_pressure_and_leaks.py.
    for words in (
        "2 times working pressure, 160 psi",
        "160 psi 20 mL hold 0.0055 J as water",
        "for the gauge to show a leak? 1.6 min",
        "the inspector, the insurer and the local code decide",
    ):
        assert words in text
    assert (tmp_path / "out" / "test-record.pdf").exists()
    document = pypdfium2.PdfDocument(tmp_path / "out" / "pressure-test-feed.pdf")
    sheet = " ".join(" ".join(page.get_textpage().get_text_bounded() for page in document).split())
    at = [sheet.find(words) for words in ("CAUTIONS", "In this order", "Fill with water", "Only then air, 0.50 bar")]
    assert -1 not in at and at == sorted(at)
    assert "Seen by the inspector" in sheet and "dry" in sheet


def test_a_fall_is_believed_from_two_divisions_and_air_waits_for_a_water_test_that_held(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Two divisions of 5 psi are 10 psi (common practice, no source): a fall of 5 may be how it was read, of 20 not."""
    coarse = JOB.replace("tubes.pipe", 'water_gauge = { division = "5 psi" }\ntubes.pipe')
    said = {}
    for after in ("155 psi", "140 psi"):
        (tmp_path / "job.toml").write_text(coarse.replace('held = "10 min"', f'held = "10 min", after = "{after}"'))
        _, out, _ = _run(capsys, "pressure-test", str(tmp_path))
        said[after] = " ".join(out.split())
    question = "What did the test by water of 2026-03-20 show?"
    assert f"GO feed: {question}" in said["155 psi"] and "less than is believed of this gauge" in said["155 psi"]
    assert f"LOOK feed: {question}" in said["140 psi"] and "Look for the wet place" in said["140 psi"]
    assert "First the water test." not in said["155 psi"] and "First the water test." in said["140 psi"]
    # Steam at 80 psi is saturated at 162 °C (steam tables); a superheater makes it hotter, so that is said.
    assert "Past a superheater steam is hotter" in said["155 psi"]


@pytest.mark.parametrize("joint", ["soft-soldered"])
def test_soft_solder_on_the_boiler_stops(capsys: pytest.CaptureFixture[str], tmp_path: Path, joint: str) -> None:
    (tmp_path / "job.toml").write_text(JOB.replace("silver-soldered", joint))
    code, out, _ = _run(capsys, "pressure-test", str(tmp_path))
    assert code == 1
    assert "80 psi (limit 15 psi)" in out


@pytest.mark.parametrize(
    ("was", "then", "said"),
    [
        ('air = "0.5 bar"', 'air = "30 psi"', "at most 0.7 bar of air"),
        ("tubes.pipe =", 'pipes = ["fed"]\ntubes.pipe =', 'got "fed", wanted the name of a pipe that is there'),
        ('wall = "22 swg"', 'wall = "thick"', "wall: got"),
    ],
)
def test_slips_are_named(capsys: pytest.CaptureFixture[str], tmp_path: Path, was: str, then: str, said: str) -> None:
    (tmp_path / "job.toml").write_text(JOB.replace(was, then))
    code, _, err = _run(capsys, "pressure-test", str(tmp_path))
    assert code == 2
    assert said in err


def test_what_cannot_be_worked_out_is_a_stop_as_in_the_plan(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A bend of 1 mm in a pipe of 3/16 in, 4.76 mm: its middle line would be inside the pipe's own half, 2.38 mm."""
    text = JOB.replace('bend_radius = "12.7 mm"', 'bend_radius = "1 mm"')
    assert text != JOB
    (tmp_path / "job.toml").write_text(text)
    code, out, _ = _run(capsys, "pressure-test", str(tmp_path), "--out", str(tmp_path / "out"))
    said = " ".join(out.split())
    assert code == 1
    assert "STOP" in said and "Can the pressure test be worked out?" in said
    assert "bend radius: got 1.00 mm, wanted more than half of" in said
    assert "Give the radius of the centre line." in said
    assert not (tmp_path / "out").exists()
