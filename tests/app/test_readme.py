"""App: what the README shows is what the commands print."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from trialfit import cli

ROOT = Path(__file__).parents[2]
SHOWN = re.findall(r"```text\n\$ (trialfit [^\n]*)\n(.*?)```", (ROOT / "README.md").read_text(), re.DOTALL)


def test_the_readme_shows_commands() -> None:
    assert len(SHOWN) >= 5


def _words(command: str, out: Path) -> list[str]:
    return [str(out) if word.startswith("out/") else word for word in shlex.split(command)[1:]]


def _must_show(printed: str, shown: str) -> None:
    lines = iter(printed.splitlines())
    for line in shown.splitlines():
        if line.strip() not in ("", "..."):
            assert line in lines, line


@pytest.mark.parametrize(("command", "shown"), SHOWN, ids=[command for command, _ in SHOWN])
def test_shown_lines_are_printed_in_this_order(
    command: str, shown: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    with pytest.raises(SystemExit) as ended:
        cli.main(_words(command, tmp_path))
    assert ended.value.code in (0, 1, 2)
    said = capsys.readouterr()
    _must_show(said.out + said.err, shown)


QUICK = [each for each in SHOWN if each[0].startswith(("trialfit drill", "trialfit tube"))]


@pytest.mark.parametrize(("command", "shown"), QUICK)
def test_so_they_are_by_the_program_started_afresh(command: str, shown: str, tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "trialfit", *_words(command, tmp_path)],
        capture_output=True, text=True, cwd=ROOT, check=False,
    )  # fmt: skip
    assert "Traceback" not in ran.stderr
    _must_show(ran.stdout + ran.stderr, shown)


def test_the_two_commands_are_the_ones_that_run() -> None:
    text = (ROOT / "README.md").read_text()
    assert "make demo" in text
    assert "make test" in text
    assert re.search(r"^make .*\btest\b", (ROOT / ".ci" / "run").read_text(), re.MULTILINE)
