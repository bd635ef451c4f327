"""Sheets: the bench sheet of an order of work as text, against lines written by hand."""

from __future__ import annotations

import tomllib
from datetime import date

import pypdfium2
import pytest

from trialfit.job.assemblies import AssemblyEntry
from trialfit.job.records import Job
from trialfit.making.process_records import OrderOfWork
from trialfit.making.processes import order_of_work
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper
from trialfit.sheets.processes import order_sheet

PIPE = """
what = "pipe with <one> cone"
[bodies]
pipe = { what = "feed pipe", metal = "CW024A", od = "3/16 in" }
cone = { metal = "CW614N" }
[work.ring]
do = "fit seal"
what = "ring"
on = "cone"
seal = "NBR"
[work.joint]
do = "silver-solder"
what = "cone"
on = ["pipe", "cone"]
filler = "Ag155"
[work.acid]
do = "pickle"
what = "both"
on = ["pipe", "cone"]
[work.prove]
do = "test"
what = "by water"
on = "pipe"
"""

# Ag155 flows at 660 °C and NBR stands 100 °C, by the tables; sources as the tables name them.
LINES = [
    "ORDER OF WORK, BENCH SHEET",
    "pipe with <one> cone",
    "job heron-feed",
    "CAUTIONS",
    "! Pickle: acid into water, never water into acid; goggles and gloves; the work cool before it goes in.",
    "! Prove by water with all air bled out. Air only to find leaks, at the low pressure the code allows, under water.",
    "The order tick each when it is done; a step whose reason no longer holds may move",
    "1 silver-solder cone on feed pipe and cone ! torch",
    "Ag155, to 660 °C",
    "leaves the cone soft",
    "Before 2: The flux of this has to come off in the pickle afterwards. [common practice]",
    "2 pickle both on feed pipe and cone ! acid",
    "Before 3: This is acid; the NBR seal of step 3 does not stand it. [common practice]",
    "3 fit seal ring on cone",
    "4 test by water on feed pipe ! by water",
    "It proves what is finished, and so comes after it.",
]


def _order(text: str) -> OrderOfWork:
    return order_of_work("pipe", AssemblyEntry.model_validate(tomllib.loads(text)))


def _pages(job: Job, order: OrderOfWork, paper: Paper) -> list[list[str]]:
    made = pdf("processes.typ", order_sheet(job, order, paper), "order of work", date(2026, 3, 14))
    document = pypdfium2.PdfDocument(made)
    return [page.get_textpage().get_text_bounded().replace("\r\n", "\n").split("\n") for page in document]


def _squeezed(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_sheet_says_the_order_and_why(job: Job, paper: Paper) -> None:
    pages = _pages(job, _order(PIPE), paper)
    text = _squeezed(" ".join(line for page in pages for line in page))
    at = [text.find(_squeezed(line)) for line in LINES]
    assert -1 not in at, [line for line, place in zip(LINES, at, strict=True) if place == -1]
    assert at == sorted(at)
    assert len(pages) == 1


def test_without_an_order_the_sheet_stops_and_says_what_frees_it(job: Job) -> None:
    stuck = _order(PIPE.replace('filler = "Ag155"', 'filler = "Ag155"\nafter = ["ring"]'))
    text = _squeezed(" ".join(line for page in _pages(job, stuck, "a4") for line in page))
    assert "STOP Is there an order in which it can be made?" in text
    assert '"silver-solder cone" reaches 660 °C; the NBR seal of "fit seal ring" stands 100 °C.' in text
    assert 'The job asks for "fit seal ring" before "silver-solder cone".' in text
    assert 'Do: One change frees it. Take "ring" out of "after".' in text
    # No order, but the cautions of everything that may be tried.
    assert "Heat nothing that is shut or wet" in text
    assert "whose fume can kill" in text


def test_a_long_list_of_work_keeps_steps_whole_across_pages(job: Job) -> None:
    many = "".join(f'[work.cut{n}]\ndo = "machine"\nwhat = "face {n}"\non = "cone"\n' for n in range(40))
    pages = _pages(job, _order(PIPE + many), "a4")
    assert len(pages) > 1
    text = _squeezed(" ".join(line for page in pages for line in page))
    assert all(f"machine face {n} on cone" in text for n in range(40))
