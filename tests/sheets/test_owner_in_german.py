"""Sheets: nothing an owner gets in German is still English, and an owner who measures in inches gets inches.

English is told by its commonest short words, those that are German words too left out (common knowledge, no source).
What the job or the shop's file says is printed as it stands, so it is taken out of a sheet before it is looked at.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from typing import Any

import pypdfium2
import pytest

from feed_jobs import SMALL_JOINTS, SMALL_PARTS, job_text
from fitting_jobs import ORDER, planned
from trialfit.feed.report import feed_report
from trialfit.job.read import read_job
from trialfit.job.records import Job
from trialfit.job.shop import Shop, assumed_shop
from trialfit.job.tooling import assumed_tooling
from trialfit.making.turned.plan import TurnedJob
from trialfit.parcel.account import parcel_of
from trialfit.quote.invoice import invoice_of
from trialfit.quote.quote import quote_of
from trialfit.quote.records import Making
from trialfit.sheets.card import scale_card
from trialfit.sheets.charges import charge_sheets
from trialfit.sheets.compile import pdf
from trialfit.sheets.feed_owner import owner_sheet
from trialfit.sheets.fitting.html import fitting_page
from trialfit.sheets.fitting.record import fitting_record
from trialfit.sheets.letter import letter
from trialfit.sheets.parcel import parcel_sheets
from trialfit.sheets.tested import tested_files as record_of_tests
from trialfit.sheets.words import Language, System, Words
from trialfit.strength.pressure_findings import tested as pressure_tests
from trialfit.strength.report import why_broken
from trialfit.survey.card import STANDARD_CARDS

from .conftest import Plan, feed_pipe, job_record
from .test_letter import ASKED

ENGLISH = re.compile(
    r"\b(the|and|with|without|before|after|of|to|from|is|are|has|have|not|no|you|your|it|this|that|these|at|on|by|for|if|"
    r"when|then|each|or|as|be|we|our|they|out|off|up|into|than|more|same|open|shut|page|job|given|inside|joined)\b",
    re.IGNORECASE,
)
CIRCUIT = """[circuit]
boiler = ["bush"]
tank = ["suction.start", "back.end"]
[circuit.sources.pump]
kind = "axle pump"
[circuit.sources.pump.pump]
ram = "1/4 in"
stroke = "3/8 in"
[circuit.use]
heat = ["0.5 kW", "0.8 kW", "1.2 kW"]
turns = [160, 230, 300]
[circuit.sources.yard]
kind = "outside pump"
port = "spare.branch"
"""
# The small circuit with a tee of whose two mouths one takes a hose, so that places by their ports are named too.
PARTS = {**SMALL_PARTS, "spare": "tee"}
JOINTS = SMALL_JOINTS.replace("riser.end - clack.inlet", "riser.end - spare.run_a\nspare.run_b - clack.inlet")
PARCEL: dict[str, Any] = {
    "arrived": "2026-03-10",
    "whole": True,
    "lines": {
        "valve": {"what": "Rückschlagventil", "bag": "A", "one_way": "Kappe nach oben", "mass": "40 g"},
        "ball": {"what": "Kugel", "inside": "valve"},
        "nut": {"what": "Überwurfmutter", "count": 2, "bag": "B", "mass": "5 g", "unlike": "ring"},
        "ring": {"what": "Dichtkegel", "bag": "B"},
        "stub": {"what": "Rohrstück"},
    },
    "out": [
        {"piece": "valve", "goes": "returned"},
        {"piece": "nut", "goes": "returned", "count": 1},
        {"piece": "nut", "goes": "scrapped", "count": 1, "leave": "Brief vom 3. März"},
        {"piece": "ring", "goes": "replaced", "by": "pipes.feed", "old": "returned"},
        {"piece": "stub", "goes": "kept", "leave": "Brief vom 3. März"},
    ],
    "joined": {"pipes.feed": "hart gelötet"},
    "transit": {"cap": {"what": "rote Kappe", "on": "Ventil", "holds": "die Kugel fest", "mass": "2 g"}},
    "enclosed": {"glue": {"what": "Fügeklebstoff", "kind": "adhesive"}},
}
QUOTE: dict[str, Any] = {
    "post": "inland",
    "work": {
        "clean": {"what": "reinigen", "likely": "60 min", "high": "61 min"},
        "lap": {"what": "Sitz läppen", "likely": "20 min", "high": "31 min"},
        "bore": {"what": "Sitz neu", "likely": "30 min", "high": "41 min"},
    },
    "choices": {
        "seat": {"what": "Ventilsitz", "repair": ["lap"], "remake": ["bore"], "fails": "20 %", "breaks": "tail"}
    },
}
TESTS = {
    "feed": {
        "what": "Speiserohr mit Dichtkegeln",
        "joints": ["silver-soldered"],
        "volume": "20 mL",
        "water": "160 psi",
        "agreed_with": "Prüfer des Vereins",
        "gauge": {"division": "0.02 bar", "hose": "15 mL"},
        "tubes": {"pipe": {"od": "3/16 in", "wall": "22 swg", "bend_radius": "12.7 mm"}},
        "seen": [
            {
                "day": "2026-03-20", "by": "Werkstatt", "medium": "water", "pressure": "160 psi", "held": "10 min",
                "what": "trocken",
            },
            {
                "day": "2026-03-21", "by": "Werkstatt", "medium": "air", "pressure": "0.5 bar", "after": "0.48 bar",
                "bubbles": {"bubble": "3 mm", "every": "1.5 s"},
            },
        ],
    }
}  # fmt: skip
BREAKS = {
    "tail": {
        "thread": "1/4x40", "bore": "1/8 in", "metal": "CW614N", "shoulder": "10 mm", "engaged": "6 mm",
    }
}  # fmt: skip
PRICES = {
    "currency": "EUR", "rate": "30.00", "minimum": "1200.00", "tax": {"name": "MwSt.", "share": "7.5 %"},
    "stock": {"draht": {"price": "2.50", "each": "kg", "what": "Hartlot"}},
    "post": {"inland": {"what": "versichert", "bands": [{"up_to": "1.5 kg", "price": "8.40"}]}},
}  # fmt: skip


# Thicknesses as the bags of the assumed shop are marked.
WASHERS = {str(each).replace(".", ",") for each in assumed_tooling()["shims"]}
FITTING_ENGLISH = ("The pipe's nut", "The feed elbow", "Mind the glass.", "straight up")


def _job(language: Language, units: System, **more: Any) -> Job:
    """The job of these tests with German words in it."""
    record: dict[str, Any] = {**job_record(), **more}
    record["job"] = {**record["job"], "language": language, "units": units}
    record["pipes"]["feed"]["what"] = "Speiserohr"
    record["points"]["clack.face"]["what"] = "Mitte der unteren Fläche"
    return Job.model_validate(record)


def _charges(language: Language, units: System, charged: str) -> Iterator[bytes]:
    """Packing list and labels, quote with all it can say, invoice."""
    quote = {**QUOTE, "materials": {"draht": {"stock": "draht", "count": 0.25}, "rest": {"stock": "fehlt"}}}
    invoice = {"number": "7", "day": "2026-04-01", "paid": "10.00", "charged": charged}
    parcel = PARCEL if charged == "as quoted" else {**PARCEL, "out": [*PARCEL["out"][1:], *PARCEL["out"][2:3]]}
    job = _job(language, units, parcel=parcel, quote=quote, invoice=invoice, breaks=BREAKS)
    took = {"job": job.job.name, "operation": "clean", "took": "30 min"}
    shop = Shop.model_validate({**assumed_shop().model_dump(), "pricing": PRICES, "times": [took]})
    pipes, none = (feed_pipe(),), TurnedJob((), ())
    made = quote_of(job, shop, Making(none, pipes, breaks=why_broken(job), mass_g=900.0))
    charges = charge_sheets(
        Plan(job, shop, None, pipes, (), quote=made, invoice=invoice_of(job, shop, made))
    )  # fmt: skip
    del charges["times.pdf"]
    yield from [*charges.values(), *parcel_sheets(job, shop, parcel_of(job, none, pipes)).values()]


def _settings(language: Language, units: System) -> Iterator[bytes]:
    text = job_text(PARTS, JOINTS, CIRCUIT)
    text = text.replace("[job]\n", f'[job]\nlanguage = "{language}"\nunits = "{units}"\n')
    job = read_job(text)
    yield pdf("feed-owner.typ", owner_sheet(job, feed_report(job), "a4"), "t", job.job.date)


def _tests(language: Language, units: System) -> Iterator[bytes]:
    job = _job(language, units, pressure_tests=TESTS)
    yield from record_of_tests(job, assumed_shop(), pressure_tests(job)[0]).values()


def _letter(language: Language, units: System) -> Iterator[bytes]:
    yield letter(_job(language, units), ASKED)
    for size in ("A6", "A4"):
        yield scale_card(STANDARD_CARDS[size], size, "A4", date(2026, 3, 14), Words(language, units))


def _fitting(language: Language, units: System) -> Iterator[bytes | str]:
    plan = planned(language, units)
    record = fitting_record(plan, ORDER, ["rote Kappe"])
    yield re.sub(r"(?s)<(style|script).*?</\1>|<[^>]*>", " ", fitting_page(record, Words(language, units)))
    yield pdf("fitting.typ", record, "t", plan.job.job.date)


def _read(made: bytes | str) -> str:
    if isinstance(made, str):
        return html.unescape(made)
    return " ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(made))


@cache
def _said(sheet: str, language: Language, units: System) -> str:
    """All that stands on an owner's sheets, in one line."""
    made: dict[str, Iterator[bytes] | Iterator[bytes | str]] = {
        "charges": _charges(language, units, "as quoted"),
        "charges by time": _charges(language, units, "by the time taken"),
        "settings": _settings(language, units),
        "letter": _letter(language, units),
        "fitting": _fitting(language, units),
        "tests": _tests(language, units),
    }
    text = " ".join(" ".join(_read(each) for each in made[sheet]).replace("\u200b", "").split())
    for own in FITTING_ENGLISH:
        text = text.replace(own, "").replace(own[0].lower() + own[1:], "")
    return text


SHEETS = ("charges", "charges by time", "settings", "letter", "fitting", "tests")


@pytest.mark.parametrize("sheet", SHEETS)
def test_nothing_on_a_german_sheet_is_english(sheet: str) -> None:
    said = _said(sheet, "de", "metric")
    found = [said[max(0, each.start() - 30) : each.end() + 30] for each in ENGLISH.finditer(said)]
    assert not found
    # A point between figures parts thousands in Germany.
    assert not re.findall(r"\S*\d\.\d(?!\d\d,)\S*", said)


def test_the_words_that_are_looked_for_are_in_english_sheets() -> None:
    assert len(ENGLISH.findall(_said("tests", "en", "metric"))) > 20


@pytest.mark.parametrize("sheet", [each for each in SHEETS if each != "charges by time"])
def test_an_owner_who_measures_in_inches_gets_them_first(sheet: str) -> None:
    """Metric units stand in brackets behind; spanners, washers, stock and the card's squares say what is on them."""
    said = _said(sheet, "de", "inch")
    said = re.sub(r"(Schlüsselweite|Felder zu|bis|Hartlot|Scheiben aus dem Beutel,) [\d.,]+ (mm|kg)", "", said)
    found = re.findall(r"(?<!\()(?<![\d.,])[\d.,]+ (?:mm|cm|N·m|N|kg|g|bar)\b(?!\))", said)
    assert not [each for each in found if each not in WASHERS]


def test_german_sheets_say_what_was_written_by_hand() -> None:
    """The words of one line of each, written apart from the catalogue's; 160 psi are 11.03 bar."""
    said = {sheet: _said(sheet, "de", "metric") for sheet in SHEETS}
    for sheet, line in (
        ("charges", "VOR DEM EINBAU ABNEHMEN nur für die Reise"),
        ("charges", "1 × rote Kappe, an: Ventil Das hält die Kugel fest."),
        ("charges", "1 × Dichtkegel Ersetzt durch: Speiserohr. Das alte liegt im Paket."),
        ("charges", "Jedes Teil steht in dieser Liste: 6 kamen an, 4 kommen in diesem Paket zurück."),
        ("charges", "Gilt bis 13. April 2026"),
        ("charges", "Nicht im Preis: Rohr, 4,76 mm, 117 mm lang (Speiserohr)."),
        ("charges", "Hartlot 0,25 kg 2,50 je Kilogramm 0,63"),
        ("charges", "MwSt. 7,5 %"),
        ("charges", "Bitte zahlen bis 15. April 2026"),
        ("charges", "Schon bezahlt -10,00 EUR"),
        ("charges by time", "DIESE LISTE GEHT NICHT AUF."),
        ("charges by time", "Arbeit nach Zeitaufwand"),
        ("settings", "bypass zu, drain zu, Maschine steht"),
        ("settings", "pump speist den Kessel"),
        ("settings", "clack hängt offen"),
        ("letter", "Maßkarte A6, 8 × 5 Felder zu 16 mm"),
        ("tests", "Wasserprobe, vereinbart: 11,03 bar (160 psi), mit Prüfer des Vereins"),
        ("tests", "Luft, unter Wasser 0,5 bar 0,48 bar eine von 3,0 mm alle 1,5 s nicht notiert Werkstatt"),
        ("fitting", "ein Zug von 11 N am Ende: so viel, wie 1,1 kg daran ziehen würden"),
    ):
        assert line in said[sheet], (sheet, line, said[sheet])
