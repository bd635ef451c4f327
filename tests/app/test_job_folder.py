"""App: the job folder and `trialfit check`, as a person at the bench meets them; texts written by hand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trialfit.cli import main
from trialfit.errors import Refusal
from trialfit.store.folder import read_folder, read_shop_file

PAGE = Path(__file__).parents[2] / "docs" / "job-file.md"
GOOD = PAGE.read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound job folder; `check` does not look into the photographs."""
    job = tmp_path / "bittern"
    (job / "photographs").mkdir(parents=True)
    (job / "job.toml").write_text(GOOD, encoding="utf-8")
    for name in ("front.jpg", "left.jpg"):
        (job / "photographs" / name).touch()
    return job


def _check(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(["check", *words])
    printed = capsys.readouterr()
    assert isinstance(ended.value.code, int)
    return ended.value.code, printed.out, printed.err


def test_a_good_job_is_told_in_one_paragraph(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _check(capsys, str(folder)) == (
        0,
        "Good.\nbittern-feed, revision 1 of 2026-03-14: Bittern, 80 psi, of A. Fenwright. 2 photographs from 1 phone, "
        "4 marks on 2 of 4 points, 2 of them known. A scale card of 148 mm × 105 mm with 1 check line measured. "
        "1 reading between points. 2 parts and no joints. 1 pipe wanted: feed.\n",
        "",
    )


def test_the_faults_are_counted(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = GOOD.replace('"80 psi"', '"80"').replace('"nut.face" = { px', '"nut.fase" = { px', 1)
    (folder / "job.toml").write_text(text, encoding="utf-8")
    pressure, mark = (text[: text.index(piece)].count("\n") + 1 for piece in ('"80"', "nut.fase"))
    assert _check(capsys, str(folder / "job.toml")) == (
        1,
        f"job.toml:{pressure}: engine, working_pressure: got 80 without a unit, wanted a pressure such as "
        "80 psi or 5.5 bar. "
        "Put the unit behind the number: 80 psi.\n"
        f'job.toml:{mark}: mark on front: got "nut.fase", wanted the name of a point that is there. '
        'Did you mean "nut.face"?\n'
        f"\n2 faults in {folder / 'job.toml'}.\n",
        "",
    )


def test_a_program_reads_the_same_as_json(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "photographs" / "extra.PNG").touch()
    (folder / "photographs" / "notes.txt").touch()
    code, printed, _ = _check(capsys, str(folder), "--json")
    good = json.loads(printed)
    assert (code, good["good"], good["faults"]) == (0, True, [])
    assert good["look"] == [
        "photographs/extra.PNG is named by no photograph of the job. Add it, or take it out of the folder."
    ]
    (folder / "job.toml").write_text(GOOD.replace("format = 1", "format = 2"), encoding="utf-8")
    code, printed, _ = _check(capsys, str(folder), "--json")
    assert (code, json.loads(printed)["faults"]) == (
        1,
        [
            {
                "what": "format",
                "got": "2",
                "wanted": "the number 1",
                "remedy": "Write it like this: format = 1.",
                "file": "job.toml",
                "line": 1,
            }
        ],
    )


def test_a_photograph_that_is_not_in_the_folder(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "photographs" / "left.jpg").rename(folder / "photographs" / "left.jpeg")
    line = GOOD[: GOOD.index("left.jpg")].count("\n") + 1
    code, printed, _ = _check(capsys, str(folder))
    assert (code, printed.split("\n")[0]) == (
        1,
        f'job.toml:{line}: photograph left, file: got "left.jpg", wanted a file that is in photographs/. '
        'Did you mean "left.jpeg"?',
    )


def test_where_the_photographs_are(folder: Path) -> None:
    (folder / "photographs" / "extra.jpg").touch()
    read = read_folder(folder)
    assert read.photographs == {name: folder / "photographs" / f"{name}.jpg" for name in ("front", "left")}
    assert read.unnamed == ("extra.jpg",)
    assert read.job.job.name == "bittern-feed"


def test_folders_that_cannot_be_read_at_all(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = "Refused.\njob folder {}: got {}, wanted a folder with job.toml in it. {}\n"
    gone = folder.parent / "bitern"
    assert _check(capsys, str(gone)) == (2, "", said.format(gone, "nothing there", 'Did you mean "bittern"?'))
    photographs = folder / "photographs"
    remedy = "Copy the job.toml of an example into it and fill it in."
    assert _check(capsys, str(photographs)) == (2, "", said.format(photographs, "no job.toml in it", remedy))
    picture = photographs / "left.jpg"
    assert _check(capsys, str(picture))[::2] == (
        2,
        said.format(picture, "a file", "Check the name and where you are."),
    )


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (GOOD.encode("utf-16"), "job.toml: this file: got two-byte characters (UTF-16)"),
        (b"# one\n# two\nname = \"caf\xe9\"\n", "job.toml:3: this file: got a character that is not UTF-8"),
    ],
    ids=["UTF-16", "Latin-1"],
)  # fmt: skip
def test_a_file_in_another_encoding(folder: Path, content: bytes, said: str) -> None:
    (folder / "job.toml").write_bytes(content)
    with pytest.raises(Refusal) as refused:
        read_folder(folder)
    assert str(refused.value) == (
        f"{said}, wanted text in UTF-8. Save it again from the editor, choosing the encoding UTF-8."
    )


def test_the_shop_file(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match=r"no such file, wanted a file such as shop\.toml"):
        read_shop_file(tmp_path / "shop.toml")
    text = 'name = "bench"\nscatter = { length = "0.6 mm", bend = "2 deg", rotation = "4 deg" }\n'
    (tmp_path / "shop.toml").write_text(text, encoding="utf-8")
    assert read_shop_file(tmp_path / "shop.toml").name == "bench"
