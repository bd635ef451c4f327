"""App: ``trialfit plan`` on the example, as a person runs it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import click
import pypdf
import pytest

from backhead import FOLDER
from trialfit import cli


def run(*words: str) -> int:
    """Exit code of a command."""
    with pytest.raises(SystemExit) as ended:
        cli.main(list(words))
    return int(ended.value.code or 0)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example, planned once."""
    out = tmp_path_factory.mktemp("plan")
    assert run("plan", str(FOLDER), "--out", str(out)) == 0
    return out


def test_plan_and_sheets_are_written(made: Path) -> None:
    assert {path.name for path in made.iterdir()} >= {
        "plan.json", "summary.pdf", "pipe-feed.pdf", "over-photographs-feed.pdf", "fitting-sheet.pdf",
        "fitting-sheet.html",
    }  # fmt: skip
    assert (made / "fitting-sheet.html").stat().st_size < 5_000_000
    page = (made / "fitting-sheet.html").read_text()
    assert "1 × red cap with string, on the cone at the tank end" in page
    assert "1 × red cap with string, on the union of the check valve" in page
    for path in made.glob("*.pdf"):
        assert len(pypdf.PdfReader(path).pages) >= 1


def test_the_plan_is_whole_as_json(made: Path) -> None:
    plan = json.loads((made / "plan.json").read_text())
    assert plan["job"]["job"]["name"] == "greylag-feed"
    assert len(plan["pipes"][0]["bends"]) == 2
    points = len(plan["survey"]["points"])
    assert len(plan["survey"]["covariance_mm2"]) == 3 * points
    assert {finding["answer"] for finding in plan["findings"]} <= {"go", "look", "stop"}


def test_the_same_job_gives_the_same_plan(made: Path, tmp_path: Path) -> None:
    assert run("plan", str(FOLDER), "--out", str(tmp_path)) == 0
    assert (tmp_path / "plan.json").read_bytes() == (made / "plan.json").read_bytes()
    for name in ("summary.pdf", "fitting-sheet.pdf", "fitting-sheet.html", "over-photographs-feed.pdf"):
        assert (tmp_path / name).read_bytes() == (made / name).read_bytes()


def test_a_pipe_that_cannot_be_bent_stops_the_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job"
    shutil.copytree(FOLDER, job)
    text = (job / "job.toml").read_text()
    (job / "job.toml").write_text(
        text.replace('file_allowance = "0.5 mm"', 'file_allowance = "0.5 mm"\nbends_most = 0')
    )
    assert run("plan", str(job)) == 1
    said = capsys.readouterr().out
    assert said.startswith("STOP  pipe feed: Can the pipe be laid out?")
    assert "1 stop" in said


def test_a_folder_that_cannot_be_written_to(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("plan", str(FOLDER), "--out", "/proc/nowhere") == 2
    assert "Give another folder with --out." in capsys.readouterr().err


def test_no_traceback_even_when_the_program_fails(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    @click.command()
    def broken() -> None:
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr("trialfit.cli.words.broken", broken, raising=False)
    monkeypatch.setitem(cli.COMMANDS, "broken", ("words", "broken", ""))
    assert run("broken") == 3
    said = capsys.readouterr().err
    assert "trialfit itself failed: ZeroDivisionError: by nought" in said
    assert "Traceback" not in said


def test_nothing_but_tests_knows_the_truth() -> None:
    root = FOLDER.parents[1]
    readers = [
        path
        for folder in ("src", "examples", "tools")
        for path in (root / folder).rglob("*")
        if path.suffix in (".py", ".toml") and "truth.json" in path.read_text()
    ]
    assert readers == []
