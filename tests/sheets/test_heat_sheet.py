"""Sheets: the bench sheet of a heat as text, against lines written by hand, and its cautions."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from trialfit.heat.report import heats
from trialfit.job.read import read_job
from trialfit.job.shop import assumed_shop
from trialfit.sheets.heading import Paper
from trialfit.sheets.heat import heat_sheets

TEXT = (Path(__file__).parents[2] / "examples" / "soldering" / "job.toml").read_text(encoding="utf-8")

# Ag155 runs at 660 °C and Sn60Pb40 begins at 183 °C, by the tables; compound lets go from 232 °C (450 F).
ELBOW = [
    "HEAT, BENCH SHEET",
    "feed pipe into the new elbow",
    "job dunlin-feed",
    "CAUTIONS",
    "! Gas torch: nothing near that burns",
    "! Brass heated well past the run of the solder gives off white zinc fume",
    "! Silver-solder flux holds fluorides",
    "cool in the air before water or pickle",
    "! Pickle: acid into water, never water into acid",
    "STOP Will the soft-soldered bracket on the feed pipe, 45 mm along it, stay as it is?",
    "limit 183 °C",
    "Do: Keep a wet rag on the feed pipe from",
    "To work by",
    "bring the joint to 660 °C, to silver-solder",
    "Record",
]
PLUG = [
    "plug stuck in the clack",
    "! Heat nothing that is shut or wet",
    "! Old silver solder may hold cadmium",
    "STOP May the clack be heated?",
    "Do: Open and drain it",
    "bring the joint to 232 °C, to let go",
]


def _text(made: bytes) -> str:
    document = pypdfium2.PdfDocument(made)
    return " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in document)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_sheets_say_what_to_be_careful_of_first_and_then_the_figures(paper: Paper) -> None:
    job = read_job(TEXT)
    made = heat_sheets(job, heats(job, assumed_shop()), paper)
    assert list(made) == ["heat-elbow.pdf", "heat-plug.pdf"]
    for name, lines in (("heat-elbow.pdf", ELBOW), ("heat-plug.pdf", PLUG)):
        text = _text(made[name])
        at = [text.find(line) for line in lines]
        assert -1 not in at, [line for line, place in zip(lines, at, strict=True) if place == -1]
        assert at == sorted(at)


def test_silver_solders_cautions_are_not_given_where_nothing_is_soldered() -> None:
    job = read_job(TEXT)
    plug = _text(heat_sheets(job, heats(job, assumed_shop())[1:])["heat-plug.pdf"])
    assert "fluorides" not in plug
    assert "Pickle:" not in plug


def test_two_heats_of_nearly_one_name_keep_a_sheet_each() -> None:
    job = read_job(TEXT.replace("[heating.plug", '[heating."elbow!"'))
    assert len(heat_sheets(job, heats(job, assumed_shop()))) == 2
