"""Sheets: the scale card measured in the finished PDF at 600 dots an inch, and read by OpenCV's own detector.

Measuring is good to about a dot, 0.04 mm: the renderer sets edges on whole dots.
"""

from __future__ import annotations

import io
import json
import tomllib
from datetime import date
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pdfplumber
import pypdfium2
import pytest
from numpy.typing import NDArray
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from trialfit.cli import main
from trialfit.errors import Refusal
from trialfit.job.records import Card
from trialfit.sheets.card import PAPERS_MM, scale_card
from trialfit.survey.card import STANDARD_CARDS, CardBoard, NominalCheckLine, board_of

DATED = date(2026, 3, 14)
PRINTS = [("A6", "A6"), ("A5", "A5"), ("A4", "A4"), ("A6", "A4"), ("A5", "letter")]


Dots = NDArray[np.uint8]


@cache
def _printed(size: str, paper: str) -> tuple[CardBoard, bytes, Dots]:
    content = scale_card(STANDARD_CARDS[size], size, paper, DATED)
    page = pypdfium2.PdfDocument(content)[0]
    return STANDARD_CARDS[size], content, np.asarray(page.render(scale=600 / 72, grayscale=True).to_pil().convert("L"))


def _dots_per_mm(dots: Dots, paper: str) -> NDArray[np.float64]:
    """Along x and y: the renderer stretches the page to a whole number of dots, by up to one in all."""
    return np.asarray(np.array(dots.shape[::-1]) / np.array(PAPERS_MM[paper]))


def _on_paper(board: CardBoard, paper: str, x_mm: float, y_mm: float) -> tuple[float, float]:
    """From the job frame to millimetres from the upper left of the paper, the card in its middle."""
    wide, high = PAPERS_MM[paper]
    return wide / 2 + x_mm - board.board_mm[0] / 2, high / 2 - y_mm + board.board_mm[1] / 2


@pytest.mark.parametrize(("size", "paper"), PRINTS)
def test_opencv_finds_every_corner_of_the_print_where_it_should_be(size: str, paper: str) -> None:
    board, _, dots = _printed(size, paper)
    # The board is made anew from the figures a job would state, and detected by the library alone.
    made = cv2.aruco.CharucoBoard(
        board.squares, board.square_mm, board.marker_mm, cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    )
    corners, ids, _, markers = cv2.aruco.CharucoDetector(made).detectBoard(dots)
    assert ids is not None and markers is not None
    assert sorted(np.asarray(ids).ravel().tolist()) == list(range((board.squares[0] - 1) * (board.squares[1] - 1)))
    assert sorted(np.asarray(markers).ravel().tolist()) == list(range(board.squares[0] * board.squares[1] // 2))
    # The middle of dot 0 lies half a dot from the paper's edge.
    found_mm = (np.asarray(corners).reshape(-1, 2) + 0.5) / _dots_per_mm(dots, paper)
    across, down = np.asarray(made.getChessboardCorners())[np.asarray(ids).ravel(), :2].T
    left, top = _on_paper(board, paper, 0.0, board.board_mm[1])
    off_mm = np.hypot(found_mm[:, 0] - left - across, found_mm[:, 1] - top - down)
    print(f"{size} on {paper}: {len(off_mm)} corners, worst {off_mm.max():.4f} mm")
    assert off_mm.max() < 0.05


def _tick_mm(dots: Dots, per_mm: NDArray[np.float64], centre_mm: tuple[float, float], upright: bool) -> float:
    """Middle of the tick that crosses a check line's end, across the tick; read off beside the line."""
    x, y = np.rint(np.array(centre_mm) * per_mm).astype(int)
    beside, reach = round(1.0 * per_mm[0]), round(0.8 * per_mm[0])
    strip = dots[y - beside, x - reach : x + reach] if upright else dots[y - reach : y + reach, x - beside]
    dark = 255.0 - strip.astype(float)
    start = (x if upright else y) - reach
    return float((np.arange(len(dark)) * dark).sum() / dark.sum() + start + 0.5) / float(per_mm[0 if upright else 1])


@pytest.mark.parametrize(("size", "paper"), PRINTS)
def test_check_lines_measure_what_they_say(size: str, paper: str) -> None:
    board, content, dots = _printed(size, paper)
    per_mm = _dots_per_mm(dots, paper)
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        words = "".join(char["text"] for char in pdf.pages[0].chars)
    said = {
        "A6": (120.0, 80.0),
        "A5": (170.0, 110.0),
        "A4": (260.0, 160.0),
    }[size]
    for line, nominal_mm in zip(board.check_lines, said, strict=True):
        start, end = (_on_paper(board, paper, *ends) for ends in (line.start_mm, line.end_mm))
        upright = line.along == "long"  # the ticks stand square to the line
        measured_mm = abs(_tick_mm(dots, per_mm, end, upright) - _tick_mm(dots, per_mm, start, upright))
        print(f"{size} on {paper}, {line.along} side: {measured_mm:.3f} mm")
        assert measured_mm == pytest.approx(nominal_mm, abs=0.02)
        assert f"check line, {line.along} side: should be {nominal_mm:.1f} mm; measures" in words
        _nothing_else_on(line, dots, per_mm, start, end)


def _nothing_else_on(
    line: NominalCheckLine,
    dots: Dots,
    per_mm: NDArray[np.float64],
    start: tuple[float, float],
    end: tuple[float, float],
) -> None:
    """White lies on both sides of the line all along between its ticks, so that a rule can be laid to it."""
    for aside_mm in (-0.8, 0.8):
        along = np.linspace(0.02, 0.98, 500)[:, None]
        places = np.array(start) * (1 - along) + np.array(end) * along
        places[:, 1 if line.along == "long" else 0] += aside_mm
        x, y = np.rint(places * per_mm).astype(int).T
        assert dots[y, x].min() == 255


@pytest.mark.parametrize(("size", "paper"), PRINTS)
def test_the_paper_has_its_size_and_the_viewer_is_told_to_leave_it_alone(size: str, paper: str) -> None:
    board, content, dots = _printed(size, paper)
    reader = PdfReader(io.BytesIO(content))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert (float(box.width) * 25.4 / 72, float(box.height) * 25.4 / 72) == pytest.approx(PAPERS_MM[paper], abs=0.01)
    preferences = reader.root_object["/ViewerPreferences"]
    assert isinstance(preferences, DictionaryObject)
    assert str(preferences["/PrintScaling"]) == "/None"
    assert reader.metadata is not None
    assert reader.metadata.title == f"Scale card {size}"
    assert _fonts(reader) == {"LibertinusSerif"}
    # Nothing is printed within 4 mm of the edges of A4 and A5, where printers cannot; A6 comes out of larger paper.
    if paper != "A6":
        edge = round(4.0 * _dots_per_mm(dots, paper)[0])
        inner = dots.copy()
        inner[edge:-edge, edge:-edge] = 255
        assert inner.min() == 255
    assert scale_card(board, size, paper, DATED) == content


def _fonts(reader: PdfReader) -> set[str]:
    fonts = reader.pages[0]["/Resources"]
    assert isinstance(fonts, DictionaryObject)
    fonts = fonts["/Font"]
    assert isinstance(fonts, DictionaryObject)
    return {str(font.get_object()["/BaseFont"]).split("+")[-1].split("-")[0] for font in fonts.values()}


def test_the_owner_is_told_what_to_do_in_one_sentence() -> None:
    with pdfplumber.open(io.BytesIO(scale_card(STANDARD_CARDS["A4"], "A4", "A4", DATED))) as pdf:
        text = pdf.pages[0].extract_text()
    assert text.splitlines()[0] == (
        "Scale card A4, 11 × 7 squares of 24 mm, DICT_4X4_50. Print at 100 % (not “fit to page”), stick it flat to "
        "something stiff, measure both check lines from tick to tick with a steel rule, and write here what they "
        "measure."
    )


def test_paper_smaller_than_the_card_is_refused() -> None:
    with pytest.raises(Refusal) as refused:
        scale_card(STANDARD_CARDS["A4"], "A4", "letter", DATED)
    assert str(refused.value) == (
        "card A4: got letter paper, 279.4 x 215.9 mm, wanted paper of at least 297 x 210 mm. Print it on A4, or "
        "choose a smaller card."
    )


def test_the_command_writes_the_card_and_says_what_to_put_into_the_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as left:
        main(["card", "--size", "a6"])
    assert left.value.code == 0
    assert (tmp_path / "scale-card-A6.pdf").read_bytes().startswith(b"%PDF")
    said = capsys.readouterr().out
    assert "they should be 120 mm and 80 mm." in said
    snippet = said[said.index("[card]") :]
    assert board_of(Card.model_validate(tomllib.loads(snippet)["card"])) == STANDARD_CARDS["A6"]

    with pytest.raises(SystemExit):
        main(["card", "--size", "A5", "--paper", "letter", "--out", str(tmp_path / "card.pdf"), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert (told["file"], told["card"]["squares"]) == (str(tmp_path / "card.pdf"), [10, 7])


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["card", "--out", str(tmp_path / "nowhere" / "card.pdf")])
    assert left.value.code == 2
    assert "wanted a file in a folder that is there. Make the folder first, or name another with --out." in (
        capsys.readouterr().err
    )
