"""App: photographs and marks that cannot be used, through the command line: refused clearly, exit code 2."""

from __future__ import annotations

import io
import shutil
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from PIL import Image

from backhead import FOLDER
from trialfit.cli import main

HEAD = """
format = 1
[job]
name = "bad-photographs"
owner = "N. Tarnbrook"
date = 2026-05-02
[engine]
name = "Dunlin"
working_pressure = "60 psi"
[survey]
mark_pm = "3 px"
[phones]
owner = {}
[card]
page = ["148 mm", "105 mm"]
squares = [8, 5]
square = "16 mm"
marker = "12 mm"
dictionary = "DICT_4X4_50"
[points]
"bush.face" = {}
"nut.face" = {}
"""
PICTURES = """
[photographs]
front = { file = "view0.jpg", phone = "owner" }
left = { file = "view1.jpg", phone = "owner" }
"""
MARKS = """
[marks.front]
"bush.face" = [1521.9, 852.8]
"nut.face" = [1522.0, 1269.6]
[marks.left]
"bush.face" = [1352.8, 923.6]
"nut.face" = [1473.1, 1373.5]
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of two photographs, good until a test spoils it."""
    pictures = tmp_path / "photographs"
    pictures.mkdir()
    for name in ("view0.jpg", "view1.jpg"):
        shutil.copy(FOLDER / "photographs" / name, pictures / name)
    (tmp_path / "job.toml").write_text(HEAD + PICTURES + MARKS)
    return tmp_path


def survey(folder: Path) -> tuple[object, str, str]:
    """Exit code of ``trialfit survey``, and what it says."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as ended:
        main(["survey", str(folder)])
    return ended.value.code, out.getvalue(), err.getvalue()


def refused(folder: Path) -> str:
    """What a refused survey says."""
    code, out, err = survey(folder)
    assert code == 2, out + err
    assert "Traceback" not in err
    assert out == ""
    return err


def test_the_job_is_good_before_it_is_spoilt(job: Path) -> None:
    assert survey(job)[0] == 0


def test_the_program_started_afresh_says_the_same(job: Path) -> None:
    (job / "photographs" / "view1.jpg").write_text("Dear sir, please find enclosed")
    ran = subprocess.run([sys.executable, "-m", "trialfit", "survey", str(job)], capture_output=True, text=True)
    assert (ran.returncode, ran.stdout, ran.stderr) == (2, "", refused(job))


def test_a_photograph_cut_short(job: Path) -> None:
    path = job / "photographs" / "view1.jpg"
    path.write_bytes(path.read_bytes()[:400_000])
    said = refused(job)
    assert "view1.jpg" in said
    assert "again" in said


def test_a_text_file_named_jpg(job: Path) -> None:
    (job / "photographs" / "view1.jpg").write_text("Dear sir, please find enclosed")
    said = refused(job)
    assert "view1.jpg" in said
    assert "JPEG, PNG or HEIC" in said


def test_a_photograph_without_card_and_with_too_few_marks(job: Path) -> None:
    shutil.copy(FOLDER / "photographs" / "view5.jpg", job / "photographs" / "view5.jpg")
    near = PICTURES + 'near = { file = "view5.jpg", phone = "owner" }\n'
    (job / "job.toml").write_text(HEAD + near + MARKS + '[marks.near]\n"bush.face" = [753.4, 1500.0]\n')
    assert refused(job) == (
        "Refused.\n"
        "photograph near: got no card and 1 marks, wanted the card, or marks of at least 4 points that other "
        "photographs fix. Mark more points in it that are also marked in two other photographs, or leave this "
        "photograph out.\n"
    )


def test_a_mark_on_a_photograph_that_is_not_there(job: Path) -> None:
    (job / "job.toml").write_text(HEAD + PICTURES + MARKS + '[marks.rihgt]\n"bush.face" = [1837.0, 797.4]\n')
    said = refused(job)
    assert "rihgt" in said
    assert "job.toml:" in said


def test_a_mark_outside_its_photograph(job: Path) -> None:
    (job / "job.toml").write_text((HEAD + PICTURES + MARKS).replace("[1352.8, 923.6]", "[4352.8, 923.6]"))
    said = refused(job)
    assert "(4352.8, 923.6) px" in said
    assert "inside the picture of 4000 x 3000 px" in said


def test_the_same_shot_sent_twice_adds_nothing(job: Path) -> None:
    # Cropped by two rows and saved again, as a messenger would: another file, the same shot.
    with Image.open(job / "photographs" / "view0.jpg") as picture:
        exif = picture.info["exif"]
        picture.crop((0, 2, 4000, 3000)).save(job / "photographs" / "view1.jpg", quality=97, exif=exif)
    said = refused(job)
    assert "2 points, none of which can be fixed" in said
