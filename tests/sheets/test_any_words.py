"""Sheets: whatever words a job holds are printed as they stand, stay on the paper and run nothing."""

from __future__ import annotations

import io
from typing import Any

import pdfplumber
import pypdf
import pytest

from trialfit.fitup.records import PipePlan
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper
from trialfit.sheets.pack import Planned, sheets_of
from trialfit.sheets.pipe import pipe_sheet
from trialfit.sheets.summary import summary

from .conftest import Plan, feed_pipe, job_record

MARKUP = '#pagebreak() *x* <b> [ ] $ a_b $ `c` @d = e // f /* g */ ~ -- "h" \\ {i} #read("j") https://k.example'
LONG = "feed_pipe_from_the_tender_union_to_the_right_hand_clack_of_the_boiler_backhead_" * 2


def _job(pipe: str = "feed", **card: Any) -> Job:
    record: dict[str, Any] = job_record()
    record["job"].update(card)
    record["pipes"] = {pipe: record["pipes"]["feed"]}
    return Job.model_validate(record)


def _text(made: bytes) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made)).pages]


def test_markup_in_a_name_is_printed_and_not_run(plan: Planned) -> None:
    as_usual = pdf("summary.typ", summary(plan.job, None, ()), "summary", plan.job.job.date)
    job = _job(owner=MARKUP, name=MARKUP, story=MARKUP)
    made = pdf("summary.typ", summary(job, None, ()), "summary", job.job.date)
    assert len(_text(made)) == len(_text(as_usual))
    whole = " ".join(_text(made)[0].split())
    assert whole.count(MARKUP) == 3


@pytest.mark.parametrize(
    "name", ["Žofie Ørsted-Ναύτης", "山田 \U0001f682", "tab\there\nand there", "\u202eturned \u0007 about", " "]
)
def test_any_script_and_any_sign_makes_a_sheet(name: str) -> None:
    job = _job(owner=name + "!", story=name)
    assert len(_text(pdf("summary.typ", summary(job, None, ()), "summary", job.job.date))) == 1


def test_markup_in_a_pipes_name_is_printed_and_not_run(shop: Shop) -> None:
    job = _job(pipe=MARKUP)
    made = pdf("pipe.typ", pipe_sheet(job, feed_pipe(MARKUP), shop), "pipe", job.job.date)
    assert all(MARKUP in " ".join(page.split()) for page in _text(made))


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_long_names_wrap_and_the_page_below_gives_way(shop: Shop, paper: Paper) -> None:
    job = _job(pipe=LONG, name=LONG, owner=LONG)
    with pdfplumber.open(
        io.BytesIO(pdf("pipe.typ", pipe_sheet(job, feed_pipe(LONG), shop, paper=paper), "pipe", job.job.date))
    ) as document:
        for page in document.pages:
            assert min(char["x0"] for char in page.chars) > 20.0
            assert max(char["x1"] for char in page.chars) < float(page.width) - 20.0
            rule = min(line["top"] for line in page.lines if line["linewidth"] > 1.5 and line["width"] > 400.0)
            heading = [char for char in page.chars if char["top"] < rule]
            below = [char for char in page.chars if char["top"] >= rule]
            assert "".join(char["text"] for char in heading).replace("\u200b", "").count(LONG) == 2
            assert max(char["bottom"] for char in heading) < rule < min(char["top"] for char in below)
            assert max(char["bottom"] for char in below) < float(page.height) - 10.0


def test_every_page_says_which_of_how_many(plan: Planned) -> None:
    for made in sheets_of(plan).values():
        pages = _text(made)
        assert len(pages) > 1
        assert all(f"page {place} of {len(pages)}" in page for place, page in enumerate(pages, start=1))
        assert all("revision 2" in page and "given 2026-03-14" in page for page in pages)
        assert all("job heron-feed" in page for page in pages)


def test_print_scaling_is_off_and_the_fonts_are_bundled(plan: Planned) -> None:
    for made in sheets_of(plan).values():
        document = pypdf.PdfReader(io.BytesIO(made))
        root: Any = document.trailer["/Root"]
        assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
        fonts = {
            font["/BaseFont"].partition("+")[2].removesuffix("-Identity-H")
            for page in document.pages
            for font in _fonts(page)
        }
        assert fonts <= {
            "LibertinusSerif-Regular", "LibertinusSerif-Bold", "DejaVuSansMono-Bold",
        }  # fmt: skip


def _fonts(page: Any) -> list[Any]:
    found = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    below = [font["/DescendantFonts"][0].get_object() for font in found]
    assert all("/FontFile2" in each["/FontDescriptor"] or "/FontFile3" in each["/FontDescriptor"] for each in below)
    return found


def test_the_same_plan_gives_the_same_bytes(plan: Planned) -> None:
    assert sheets_of(plan) == sheets_of(plan)


def test_no_letter_is_smaller_than_ten_points(plan: Planned) -> None:
    for made in sheets_of(plan).values():
        with pdfplumber.open(io.BytesIO(made)) as document:
            level = [char for page in document.pages for char in page.chars if abs(char["matrix"][1]) < 1e-6]
            assert min(char["size"] for char in level) >= 9.99


def test_each_pipe_has_a_file_of_its_own(job: Job, shop: Shop, pipe: PipePlan) -> None:
    record: dict[str, Any] = job_record()
    names = ["blower/left", "blower left", "Blower-Left", "№ 1: ../x"]
    record["pipes"] = dict.fromkeys(names, record["pipes"]["feed"])
    plan = Plan(Job.model_validate(record), shop, None, tuple(feed_pipe(name) for name in names), ())
    assert list(sheets_of(plan)) == [
        "summary.pdf", "pipe-blower-left.pdf", "pipe-blower-left-2.pdf", "pipe-Blower-Left-3.pdf", "pipe-1-x.pdf",
    ]  # fmt: skip
    assert pipe.name in job.pipes
