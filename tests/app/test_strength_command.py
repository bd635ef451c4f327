"""App: ``trialfit why-broken`` and ``trialfit order-of-work`` on the example of the sheared elbow."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trialfit.cli import main

EXAMPLE = Path(__file__).parents[2] / "examples" / "sheared-elbow"
BARE = """format = 1
[job]
name = "bare"
owner = "A. Fenwright"
date = 2026-03-14
[engine]
name = "Snipe"
working_pressure = "80 psi"
"""


def _run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(list(arguments))
    out, err = capsys.readouterr()
    return int(left.value.code or 0), out, err


def test_why_broken_answers_each_question_in_turn(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _run(capsys, "why-broken", str(EXAMPLE))
    assert code == 0
    questions = [line.split("?")[0] for line in out.splitlines() if line[:5] in ("STOP ", "LOOK ", "GO   ")]
    assert questions == [
        "LOOK  Why did it break",
        "LOOK  What shears it",
        "LOOK  What bore would have held",
        "LOOK  Will the new one stand",
        "LOOK  How hard may the owner pull",
        "GO    Does the thread strip before the tail parts, as repaired",
    ]
    # Figures that say what they rest on: assumed friction, a hand's pull from memory, derived torque.
    for words in ("[assumed]", "[memory]", "No torque is published for unions and tails of this size", "by water"):
        assert words in out


def test_why_broken_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = _run(capsys, "why-broken", str(EXAMPLE), "elbow_tail", "--json")
    (report,) = json.loads(out)
    assert report["name"] == "elbow_tail"
    assert report["ranking"]["suspects"][0]["cause"]["key"] == "overtightened"
    assert sum(suspect["share"] for suspect in report["ranking"]["suspects"]) == pytest.approx(1.0)


def test_order_of_work_prints_and_writes(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, _ = _run(capsys, "order-of-work", str(EXAMPLE), "--out", str(tmp_path))
    assert code == 0
    steps = [line.strip() for line in out.splitlines() if line[:4].strip().rstrip(".").isdigit()]
    assert [step.split(".")[0] for step in steps] == [str(number) for number in range(1, 11)]
    assert steps[-1] == "10.  test by water, on delivery pipe, elbow body and threaded tail  ! by water"
    # Ag130, which melts from 665 °C, before Ag156, which flows at 655 °C; the nut between them.
    order = [
        next(n for n, step in enumerate(steps) if words in step) for words in ("pipe into", "union nut", "cone on")
    ]
    assert order == sorted(order)
    assert (tmp_path / "order-of-work-elbow.pdf").read_bytes().startswith(b"%PDF")


def test_a_tail_without_metal_ends_with_code_1(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(BARE + '[breaks.tail]\nthread = "1/4x40"\nbore = "6 mm"\n')
    code, out, _ = _run(capsys, "why-broken", str(tmp_path))
    assert code == 1
    assert "STOP  Is there metal left under the thread, as found?  6.00 mm (limit 5.54 mm)" in out


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (
            "why-broken",
            "breaks: got none in the job, wanted at least one broken tail. Add it under [breaks.NAME] in job.toml.",
        ),
        (
            "order-of-work",
            "assemblies: got none in the job, wanted at least one assembly. Add one as [assemblies.NAME] to job.toml.",
        ),
    ],
)
def test_a_job_without_any_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str, said: str
) -> None:
    (tmp_path / "job.toml").write_text(BARE)
    code, _, err = _run(capsys, command, str(tmp_path))
    assert code == 2
    assert said in err


def test_an_unknown_tail_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = _run(capsys, "why-broken", str(EXAMPLE), "elbow")
    assert code == 2
    assert "broken tail: got elbow, wanted one of the job's. They are elbow_tail." in err
