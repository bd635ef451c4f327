"""Sheets: packing list, labels, quote and invoice as text, whatever words stand in them; the pack bound and sound."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import pikepdf
import pypdf
import pypdfium2
import pytest

from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.job.pricing import Pricing
from trialfit.job.quoting import InvoiceEntry
from trialfit.job.records import Job
from trialfit.job.shop import Shop, assumed_shop
from trialfit.making.turned.plan import TurnedJob
from trialfit.parcel.account import parcel_of
from trialfit.quote.invoice import invoice_of
from trialfit.quote.quote import quote_of
from trialfit.quote.records import Making
from trialfit.sheets.bound import bound
from trialfit.sheets.charges import charge_sheets
from trialfit.sheets.fonts import not_held
from trialfit.sheets.heading import Paper
from trialfit.sheets.line_pictures import line_pictures
from trialfit.sheets.parcel import parcel_sheets
from trialfit.sheets.unheld import unheld_findings

from .conftest import Plan, job_record

MARKUP = '#pagebreak() *x* <b> [ ] $ a_b $ `c` @d = e #read("j") <script>alert(1)</script>'
NONE = TurnedJob((), ())
INVOICED = InvoiceEntry.model_validate({"number": "7", "day": "2026-04-02"})
PARCEL: dict[str, Any] = {
    "whole": True,
    "lines": {
        "valve": {"what": "check valve", "bag": "A", "one_way": "cap upwards", "mass": "40 g"},
        "ball": {"what": "ball", "inside": "valve"},
        "nut": {"what": "nut", "count": 2, "bag": "B", "mass": "5 g"},
    },
    "out": [
        {"piece": "valve", "goes": "returned"},
        {"piece": "nut", "goes": "returned", "count": 1},
        {"piece": "nut", "goes": "scrapped", "count": 1, "leave": "letter of 3 March"},
    ],
    "transit": {"cap": {"what": "red cap", "on": "the valve", "mass": "2 g"}},
    "box": {"size": ["100 mm", "80 mm", "60 mm"], "mass": "50 g"},
}
QUOTE: dict[str, Any] = {"work": {"clean": {"what": "clean it", "likely": "60 min", "high": "61 min"}}}
PRICES = {"currency": "GBP", "rate": "30.00", "tax": {"name": "tax", "share": "20 %"}}


def _job(**more: Any) -> Job:
    record: dict[str, Any] = {key: each for key, each in job_record().items() if key != "pipes"}
    record["job"] = {**record["job"], **more.pop("job", {})}
    return Job.model_validate({**record, "parcel": PARCEL, "quote": QUOTE, **more})


def _shop(**prices: Any) -> Shop:
    return Shop.model_validate({**assumed_shop().model_dump(), "pricing": {**PRICES, **prices}})


def _text(made: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(made)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).replace("\u200b", "").split())


def _sheets(job: Job, shop: Shop, paper: Paper = "a4") -> Mapping[str, bytes]:
    quote = quote_of(job, shop, Making(NONE))
    invoice = invoice_of(job, shop, quote) if job.invoice else None
    plan = Plan(job, shop, None, (), (), quote=quote, invoice=invoice)
    return {**parcel_sheets(job, shop, parcel_of(job, NONE, ()), paper), **charge_sheets(plan, paper)}


def test_the_packing_list_closes_the_account() -> None:
    """By hand: 1 + 1 + 2 came, valve, ball and one nut go back; 40 + 5 + 2 + 50 = 97 g, four weighings to half a gram
    each: the root of 4 x 0.25, 1 g."""
    text = _text(_sheets(_job(), _shop())["packing-list.pdf"])
    assert "Every piece that came is accounted for: 4 came, 3 come back in this parcel." in text
    assert "TAKE OFF BEFORE FITTING only for the journey 1 × red cap, on the valve" in text
    assert "Mass, packed 97 ± 1 g" in text
    assert "1 × Ball Inside: check valve." in text
    assert "1 × Nut Scrapped. With your leave: letter of 3 March." in text
    assert "Goes one way only: cap upwards." in text


def test_a_photograph_of_pieces_stands_beside_the_first_of_them_in_full_greys() -> None:
    """120 to 60 px are 42 to 21 mm in a room of 42 by 24; 100 and 140 of 255 would print as one grey."""
    lines = {name: {**line, "photograph": "front"} for name, line in PARCEL["lines"].items() if name != "ball"}
    job = _job(parcel={**PARCEL, "lines": {**PARCEL["lines"], **lines}})
    picture = np.full((60, 120), 100, np.uint8)
    picture[:, 60:] = 140
    small = line_pictures(job, {"front": picture, "left": picture})
    assert list(small) == ["front"]
    assert small["front"].size_mm == pytest.approx((42.0, 21.0))
    shown = cv2.imdecode(np.frombuffer(small["front"].jpeg, np.uint8), cv2.IMREAD_GRAYSCALE)
    assert shown is not None
    assert (shown[:, :50].max(), shown[:, 70:].min()) == (pytest.approx(20, abs=4), pytest.approx(255, abs=4))
    made = parcel_sheets(job, _shop(), parcel_of(job, NONE, ()), "a4", {"front": picture})["packing-list.pdf"]
    assert "1 × Nut In the picture with: Check valve." in _text(made)
    assert [len(page.images) for page in pypdf.PdfReader(io.BytesIO(made)).pages] == [1]


@pytest.mark.parametrize(
    ("out", "answer", "says"),
    [
        (
            [*PARCEL["out"], {"piece": "valve", "goes": "returned"}],
            Answer.STOP,
            "Check valve: 1 came and 2 go out (returned 1, returned 1).",
        ),
        (PARCEL["out"][:2], Answer.LOOK, "Nut: nothing says what becomes of 1."),
        (
            [*PARCEL["out"][:2], {"piece": "nut", "goes": "scrapped", "count": 1}],
            Answer.STOP,
            "Nut is scrapped or kept, and nothing says that the owner agreed.",
        ),
    ],
)
def test_what_does_not_close_is_named(out: list[Any], answer: Answer, says: str) -> None:
    job = _job(parcel={**PARCEL, "out": out})
    account = parcel_of(job, NONE, ())
    assert account is not None
    found = next(each for each in account.findings if each.about == "packing list")
    assert (found.answer, found.because[0].text, account.closes) == (answer, says, False)
    assert "THIS LIST DOES NOT CLOSE." in _text(parcel_sheets(job, _shop(), account)["packing-list.pdf"])


def test_quote_and_invoice_say_what_was_worked_by_hand() -> None:
    """A reach of one minute in sixty: the sum of take in, clean and pack is asked of the record; the money by hand."""
    job = _job(
        quote={**QUOTE, "leave_out": ["take in", "pack"]},
        invoice={"number": "7", "day": "2026-04-01", "paid": "10.00"},
    )
    quote = quote_of(job, _shop(), Making(NONE))
    # A t of six freedoms: 80 % lies at 0.906, 90 % at 1.440 of its scale (printed tables), so 60 (61/60)^0.629 = 60.63,
    # 61 minutes begun: 30.50, tax 6.10, 36.60 in all; 26.60 after 10.00.
    assert quote.minutes.four_in_five_min == pytest.approx(60.63, abs=0.02)
    sheets = _sheets(job, _shop())
    text = _text(sheets["quote.pdf"])
    assert "Work 1 h 01 min 30.00 an hour 30.50" in text
    assert "Net 30.50 tax 20 % 6.10 To pay 36.60 GBP" in text
    invoice = _text(sheets["invoice.pdf"])
    assert "Total 36.60 GBP Paid already -10.00 GBP To pay 26.60 GBP" in invoice
    assert "Please pay by 15 April 2026" in invoice


@pytest.mark.parametrize(
    ("pricing", "do"),
    [
        (None, 'Add [pricing] with currency = "GBP" and rate = "36.00" to the shop file, in your own figures.'),
        (
            Pricing.model_validate({"currency": "EUR"}),
            'Add rate = "36.00", in your own figures, under [pricing] of the shop file: EUR an hour.',
        ),
    ],
)
def test_without_a_rate_what_is_lacking_is_said_and_an_invoice_refused(pricing: Pricing | None, do: str) -> None:
    job = _job(invoice={"number": "7", "day": "2026-04-01"})
    shop = assumed_shop().model_copy(update={"pricing": pricing})
    quote = quote_of(job, shop, Making(NONE))
    assert next(each.do for each in quote.findings if each.question == "What will it cost?") == do
    with pytest.raises(Refusal) as refused:
        invoice_of(job, shop, quote)
    assert str(refused.value) == f"invoice 7: got no price of an hour's work, wanted a rate in the shop file. {do}"


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_markup_is_printed_and_not_run(paper: Paper) -> None:
    lines = {**PARCEL["lines"], "valve": {**PARCEL["lines"]["valve"], "what": MARKUP, "one_way": MARKUP}}
    job = _job(job={"owner": MARKUP, "name": MARKUP}, parcel={**PARCEL, "lines": lines})
    for name, made in _sheets(job, _shop(), paper).items():
        if name != "labels.pdf":
            assert MARKUP.replace(" ", "") in _text(made).replace(" ", ""), name
        assert not pikepdf.open(io.BytesIO(made)).check_pdf_syntax(), name


@pytest.mark.parametrize("owner", ["x" * 400, "山田 太郎", "Ναύτης Žofie", "محمد"])
def test_a_label_takes_any_name_on_one_page(owner: str) -> None:
    job = _job(job={"owner": owner})
    made = _sheets(job, _shop())["labels.pdf"]
    assert len(pypdf.PdfReader(io.BytesIO(made)).pages) == 1
    assert ("of name as in the job" in _text(made)) == (owner == "山田 太郎")
    named = _sheets(_job(job={"owner": owner}, parcel={**PARCEL, "label": "T. Yamada"}), _shop())["labels.pdf"]
    assert ("of T. Yamada" in _text(named)) == (owner == "山田 太郎")


def test_letters_that_no_bundled_font_holds_are_known() -> None:
    assert not_held("Žofie Ναύτης Ольга") == ""
    assert not_held("T. 山田山") == "山田"


def test_letters_that_cannot_be_printed_are_told_and_the_label_stands_for_the_owner() -> None:
    job = _job(job={"owner": "山田 太郎"}, parcel={**PARCEL, "label": "T. Yamada"})
    assert unheld_findings(job) == ()
    for name in ("invoice.pdf", "quote.pdf", "packing-list.pdf"):
        said = _text(_sheets(job.model_copy(update={"invoice": INVOICED}), _shop())[name])
        assert "For T. Yamada" in said
    (finding,) = unheld_findings(_job(job={"owner": "山田 太郎", "story": "弁 broke"}))
    assert finding.answer is Answer.LOOK
    assert [str(reason) for reason in finding.because] == ['"山田 太郎": 山田太郎.', '"弁 broke": 弁.']
    assert unheld_findings(_job(job={"owner": "Žofie Ναύτης Ольга"})) == ()


def test_the_code_of_a_label_is_read_by_another_reader() -> None:
    shop = _shop().model_copy(update={"pages": "http://bench.local:8000/"})
    page = pypdfium2.PdfDocument(_sheets(_job(), shop)["labels.pdf"])[0].render(scale=3).to_numpy()
    grey = np.ascontiguousarray(page if page.ndim == 2 else page[:, :, 0])
    high, wide = grey.shape
    corners = [(y, x) for y in range(0, high // 2, 120) for x in (0, wide // 2)]
    windows = [np.ascontiguousarray(grey[y : y + 480, x : x + wide // 2]) for y, x in corners]
    read = {cv2.QRCodeDetector().detectAndDecode(window)[0] for window in windows}
    assert {"http://bench.local:8000/jobs/heron-feed", "http://bench.local:8000/jobs/heron-feed#bag-A"} <= read


def test_the_pack_is_bound_with_contents_that_lead_to_each_sheet() -> None:
    job = _job()
    sheets = _sheets(job, _shop())
    made = bound(job, sheets)
    assert made == bound(job, sheets)
    reader = pypdf.PdfReader(io.BytesIO(made))
    counted = sum(len(pypdf.PdfReader(io.BytesIO(each)).pages) for each in sheets.values())
    assert len(reader.pages) == counted + 1
    titles = [(each.title, reader.get_destination_page_number(each) or 0) for each in reader.outline]  # type: ignore[union-attr,arg-type]
    assert titles[0] == ("Contents", 0)
    assert [title for title, _ in titles[1:]] == ["Quote", "Labels", "Times", "Packing list"]
    contents = _text(made)
    for title, page in titles[1:]:
        assert f"{page + 1}" in contents.split(str(title), 1)[1][:60]
    assert not pikepdf.open(io.BytesIO(made)).check_pdf_syntax()


def test_nothing_in_the_parcel_and_no_price_make_no_sheet() -> None:
    job = _job()
    quote = replace(quote_of(job, assumed_shop(), Making(NONE)))
    assert quote.price is None
    assert list(charge_sheets(Plan(job, assumed_shop(), None, (), (), quote=quote))) == ["times.pdf"]
    assert parcel_sheets(job, assumed_shop(), None) == {}
