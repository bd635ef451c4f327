"""App: trialfit heat in words, as JSON, with sheets, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trialfit.cli import main

EXAMPLE = Path(__file__).parents[2] / "examples" / "soldering"


def _run(arguments: list[str]) -> int:
    with pytest.raises(SystemExit) as left:
        main(["heat", *arguments])
    assert isinstance(left.value.code, int)
    return left.value.code


def test_it_prints_findings_and_cautions_and_writes_sheets(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert _run([str(EXAMPLE), "elbow", "--out", str(tmp_path)]) == 1
    printed = capsys.readouterr().out
    assert printed.startswith("elbow: feed pipe into the new elbow\n====")
    assert "STOP  Will the soft-soldered bracket" in printed
    assert "plug stuck" not in printed
    assert "  ! Gas torch" in printed
    assert [each.name for each in tmp_path.iterdir()] == ["heat-elbow.pdf"]


def test_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert _run([str(EXAMPLE), "plug", "--json"]) == 1
    (report,) = json.loads(capsys.readouterr().out)
    assert report["needs_c"] == 232.0
    assert "shut" in report["cautions"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([str(EXAMPLE), "elbows"], "They are elbow, plug."),
        ([str(EXAMPLE.parent / "sheared-elbow")], "Add it under [heating.NAME] in job.toml."),
    ],
)
def test_what_is_refused(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert _run(arguments) == 2
    assert said in capsys.readouterr().err
