"""App: ``trialfit plan`` on the example, as a person runs it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import click
import pdfplumber
import pikepdf
import pypdf
import pypdfium2
import pytest

from backhead import FOLDER
from trialfit import cli

SHOP = FOLDER.parent / "shop.toml"
# All that a job of this kind is given, but for the settings page: this job has no water circuit.
PACK = {
    "summary.pdf", "letter.pdf", "pipe-feed.pdf", "turned-cones.pdf", "turned-tank_nut.pdf", "order-of-work-feed.pdf",
    "heat-tank_cone.pdf", "pressure-test-feed.pdf", "test-record.pdf", "over-photographs-feed.pdf",
    "flat-print-backhead.pdf", "before-and-after-feed_end.pdf", "packing-list.pdf", "labels.pdf",
    "fitting-sheet.pdf", "quote.pdf", "invoice.pdf", "times.pdf", "pack.pdf",
}  # fmt: skip
SCALED = ("pipe-feed.pdf", "turned-cones.pdf", "turned-tank_nut.pdf", "flat-print-backhead.pdf",
          "before-and-after-feed_end.pdf")  # fmt: skip
CAUTIONS = (
    ("summary.pdf", "boiler inspector"),
    ("letter.pdf", "Only with the engine cold"),
    ("pipe-feed.pdf", "Pickle: acid into water"),
    ("order-of-work-feed.pdf", "Pickle: acid into water"),
    ("heat-tank_cone.pdf", "extinguisher"),
    ("pressure-test-feed.pdf", "boiler inspector"),
    ("test-record.pdf", "not a certificate"),
    ("fitting-sheet.pdf", "Fire out, engine cold"),
    ("flat-print-backhead.pdf", "Not for measuring"),
    ("before-and-after-feed_end.pdf", "Do not make a part"),
)


def run(*words: str) -> int:
    """Exit code of a command."""
    with pytest.raises(SystemExit) as ended:
        cli.main(list(words))
    return int(ended.value.code or 0)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example, planned once."""
    out = tmp_path_factory.mktemp("plan")
    assert run("plan", str(FOLDER), "--shop", str(SHOP), "--out", str(out)) == 0
    return out


@pytest.fixture(scope="module")
def in_letter(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same once more, on US Letter."""
    out = tmp_path_factory.mktemp("letter")
    assert run("plan", str(FOLDER), "--shop", str(SHOP), "--paper", "us-letter", "--out", str(out)) == 0
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


def test_the_same_job_gives_the_same_plan(made: Path, in_letter: Path) -> None:
    """What does not hang on the paper is the same to the byte; `tests/sheets/test_any_words.py` holds sheets alike."""
    for name in ("plan.json", "fitting-sheet.html"):
        assert (in_letter / name).read_bytes() == (made / name).read_bytes()


def _said(page: pypdfium2.PdfPage) -> str:
    return " ".join(page.get_textpage().get_text_range().split())


@pytest.mark.parametrize(("fixture", "paper_mm"), [("made", (210.0, 297.0)), ("in_letter", (215.9, 279.4))])
def test_every_page_of_the_pack_says_whose_it_is_and_fits_its_paper(
    fixture: str, paper_mm: tuple[float, float], request: pytest.FixtureRequest
) -> None:
    """ISO 216 and ANSI/ASME Y14.1; the job's own name, revision and date are those of its job.toml."""
    folder: Path = request.getfixturevalue(fixture)
    assert {path.name for path in folder.glob("*.pdf")} >= PACK
    whole, bound = 0, pypdfium2.PdfDocument(folder / "pack.pdf")
    for path in sorted(folder.glob("*.pdf")):
        with pikepdf.open(path) as document:
            assert document.Root.ViewerPreferences.PrintScaling == "/None" or path.name == "pack.pdf", path.name
        if path.name == "pack.pdf":
            continue
        pages = pypdfium2.PdfDocument(path)
        whole += len(pages)
        for number, page in enumerate(pages, 1):
            words, size = _said(page), sorted(side * 25.4 / 72.0 for side in page.get_size())
            assert size == pytest.approx(sorted(paper_mm), abs=0.1), path.name
            for wanted in ("job greylag-feed", "revision 1", f"page {number} of {len(pages)}"):
                assert wanted in words, (path.name, number, wanted)
            assert "given 2026-03-14" in words or "given 14 March 2026" in words, path.name
    assert len(bound) == whole + sum("THE WHOLE PACK" in _said(page) for page in bound)


@pytest.mark.parametrize("fixture", ["made", "in_letter"])
@pytest.mark.parametrize("name", SCALED)
def test_a_sheet_on_which_scale_matters_has_its_bar(fixture: str, name: str, request: pytest.FixtureRequest) -> None:
    folder: Path = request.getfixturevalue(fixture)
    with pdfplumber.open(folder / name) as document:
        lines = [line for page in document.pages if "100.0 mm" in page.extract_text() for line in page.lines]
    longest = [max(abs(line["x1"] - line["x0"]), abs(line["y1"] - line["y0"])) * 25.4 / 72.0 for line in lines]
    assert any(abs(long - 100.0) < 0.02 for long in longest)


@pytest.mark.parametrize(("name", "caution"), CAUTIONS)
def test_a_sheet_that_leads_to_harm_carries_its_caution(name: str, caution: str, made: Path) -> None:
    words = " ".join(_said(page) for page in pypdfium2.PdfDocument(made / name))
    assert caution in words


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
    """Said before the work, not after it."""
    assert run("plan", str(FOLDER), "--out", "/proc/nowhere") == 2
    said = capsys.readouterr()
    assert "Give another folder with --out." in said.err
    assert said.out == ""


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
