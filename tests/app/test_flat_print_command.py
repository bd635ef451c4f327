"""App: ``trialfit flat-print`` as a person runs it: what it says, what it writes, what it refuses."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from backhead import FOLDER
from trialfit.cli import main

JOB = """
format = 1
[job]
name = "one-photograph"
owner = "N. Tarnbrook"
date = 2026-05-02
[engine]
name = "Dunlin"
working_pressure = "60 psi"
[phones]
owner = {}
[card]
page = ["148 mm", "105 mm"]
squares = [8, 5]
square = "16 mm"
marker = "12 mm"
dictionary = "DICT_4X4_50"
[photographs]
PICTURE = { file = "FILE", phone = "owner" }
"""


def job(folder: Path, picture: str, file: str) -> Path:
    """A job of one photograph."""
    (folder / "photographs").mkdir()
    shutil.copy(FOLDER / "photographs" / file, folder / "photographs" / file)
    (folder / "job.toml").write_text(JOB.replace("PICTURE", picture).replace("FILE", file))
    return folder


def run(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit code, what was said, and what was said of trouble."""
    with pytest.raises(SystemExit) as stopped:
        main(["flat-print", *words])
    said = capsys.readouterr()
    return int(stopped.value.code or 0), said.out, said.err


def test_a_lone_photograph_is_printed_and_says_that_it_stands_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, file = job(tmp_path, "right", "view2.jpg"), tmp_path / "flat.pdf"
    code, out, err = run([str(folder), "right", "--size", "100 mm", "--height", "1/4 in", "--out", str(file)], capsys)
    assert code == 0, err
    said = " ".join(out.split())
    assert f"The flat print is in {file}" in said
    assert "This photograph stands alone." in said
    assert "Nobody measured the card's check lines" in said
    assert "A thing 6.35 mm proud stands at an arrow's ring" in said
    assert len(PdfReader(file).pages) == 2
    assert "Not for measuring" in said
    first = PdfReader(file).pages[0].extract_text()
    assert "Not for measuring" in first
    assert "This photograph stands alone." in " ".join(first.split())


def test_the_same_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, file = job(tmp_path, "right", "view2.jpg"), tmp_path / "flat.pdf"
    code, out, err = run([str(folder), "right", "--size", "100 mm", "--out", str(file), "--json"], capsys)
    assert code == 0, err
    read = json.loads(out)
    assert read["alone"] is True
    assert read["plane"] == "the card's plane"
    assert [row["from_middle"] for row in read["band"]] == ["up to 50 mm", "50 to 100 mm"]
    assert len(read["pages"]) == 1


def test_a_name_nearly_right_is_put_right_before_anything_is_read(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([str(FOLDER), "above_lef"], capsys) == (
        2,
        "",
        'Refused.\nphotograph "above_lef": got a name the job does not know, wanted one of its photographs. Did you '
        'mean "above_left"?\n',
    )


def test_a_photograph_without_card_and_known_points(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = job(tmp_path, "near", "view5.jpg")
    code, out, err = run([str(folder), "near"], capsys)
    assert (code, out) == (2, "")
    assert err == (
        "Refused.\nview5.jpg: photograph near: got no card and 0 known points marked in it, wanted at least 6 corners "
        "of the card, or 4 known points marked in it that are not in one line. Take a photograph with the whole card "
        "in view, or give four points their `at` and mark them in it.\n"
    )


def test_a_place_to_write_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = job(tmp_path, "right", "view2.jpg")
    words = [str(folder), "right", "--size", "60 mm", "--out", str(tmp_path / "no" / "flat.pdf")]
    code, out, err = run(words, capsys)
    assert (code, out) == (2, "")
    assert "which cannot be written (its folder is not there)" in err
    assert "Make the folder first" in err


def test_a_point_misspelt(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = job(tmp_path, "right", "view2.jpg")
    code, _, err = run([str(folder), "right", "--around", "union.face"], capsys)
    assert code == 2
    assert "point union.face: got neither surveyed nor marked in the photograph" in err


def test_a_photograph_of_the_bench_is_refused_for_what_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run([str(FOLDER), "as_it_came"], capsys)
    assert code == 2
    assert err == (
        'Refused.\nphotograph "as_it_came": got one of the bench, which shows a piece and not the engine, wanted a '
        "photograph of the engine. Name one of front, left, right, above_left, low, near. Two photographs of a piece "
        "are compared at one scale under [before_and_after]; a photograph that does show the engine must not say "
        "bench = true.\n"
    )
    code, _, err = run([str(FOLDER), "ass_it_came"], capsys)
    assert code == 2
    assert "a name the job does not know" in err
    assert "as_it_goes" not in err
