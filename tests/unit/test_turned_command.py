"""Unit: ``trialfit turned`` answers as text and JSON, writes sheets and drawings, refuses what it cannot take."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trialfit.cli import main
from turned_jobs import TEXT


def _folder(tmp_path: Path, text: str = TEXT) -> Path:
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / "job.toml").write_text(text)
    return tmp_path / "job"


def _run(*words: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(list(words))
    assert isinstance(ended.value.code, int)
    return ended.value.code


def test_a_sound_job_is_told_part_by_part(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _run("turned", str(_folder(tmp_path))) == 0
    said = capsys.readouterr().out
    assert said.startswith(
        "TURNED TAIL\n2 off, CW451K, from round bar 12.70 mm (1/2 in) diameter. Saw 21.00 ± 0.20 mm, "
        "finished 18.00 ± 0.20 mm"
    )
    assert "TURNED NUT\nCW614N, from hexagon bar 9.53 mm (3/8 in) across flats. Saw 13.00 mm" in said
    assert "0 stop, 0 look" in said


def test_what_stops_a_part_gives_exit_code_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = TEXT.replace('{ bore = "5/32 in", through = true }', '{ bore = "5.6 mm", through = true }')
    assert _run("turned", str(_folder(tmp_path, text))) == 1
    said = capsys.readouterr().out
    assert "STOP  Does the bore 5.60 mm stay inside the groove 5.44 mm?" in said


def test_json_holds_parts_and_findings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _run("turned", str(_folder(tmp_path)), "--json") == 0
    answer = json.loads(capsys.readouterr().out)
    assert [part["part"]["name"] for part in answer["parts"]] == ["tail", "nut"]
    assert answer["parts"][0]["lengths"]["saw"]["value"] == pytest.approx(21.0)


def test_sheets_and_drawings_are_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    assert _run("turned", str(_folder(tmp_path)), "--out", str(out)) == 0
    assert sorted(path.name for path in out.iterdir()) == [
        f"turned-{part}.{kind}" for part in ("nut", "tail") for kind in ("dxf", "pdf", "svg")
    ]
    assert (out / "turned-tail.pdf").read_bytes().startswith(b"%PDF-")
    assert f"Written: {out / 'turned-tail.dxf'}" in capsys.readouterr().out


def test_a_job_without_turned_parts_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _run("turned", str(_folder(tmp_path, TEXT.partition("[turned.tail]")[0]))) == 2
    assert "no part to be turned" in capsys.readouterr().err


def test_a_faulty_job_is_refused_with_its_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = TEXT.replace('"10 mm", long', '"10", long')
    (number,) = [place for place, line in enumerate(text.splitlines(), 1) if '"10", long' in line]
    assert _run("turned", str(_folder(tmp_path, text))) == 2
    assert (
        f"job.toml:{number}: turned part tail, outside line 3, hexagon: got 10 without a unit"
        in capsys.readouterr().err
    )
