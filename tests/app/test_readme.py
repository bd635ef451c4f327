"""App: what the README shows is what the commands print."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SHOWN = re.findall(r"```text\n\$ (trialfit [^\n]*)\n(.*?)```", (ROOT / "README.md").read_text(), re.DOTALL)


def test_the_readme_shows_commands() -> None:
    assert len(SHOWN) >= 5


@pytest.mark.parametrize(("command", "shown"), SHOWN, ids=[command for command, _ in SHOWN])
def test_shown_lines_are_printed_in_this_order(command: str, shown: str, tmp_path: Path) -> None:
    words = [str(tmp_path) if word.startswith("out/") else word for word in shlex.split(command)[1:]]
    ran = subprocess.run(
        [sys.executable, "-m", "trialfit", *words], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert "Traceback" not in ran.stderr
    printed = iter((ran.stdout + ran.stderr).splitlines())
    for line in shown.splitlines():
        if line.strip() not in ("", "..."):
            assert line in printed, line


def test_the_two_commands_are_the_ones_that_run() -> None:
    text = (ROOT / "README.md").read_text()
    assert "make demo" in text
    assert "make test" in text
    assert re.search(r"^make .*\btest\b", (ROOT / ".ci" / "run").read_text(), re.MULTILINE)
