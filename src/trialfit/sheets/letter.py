"""The letter to the owner: what to send, where to stand, and the scale card behind it."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from pypdf import PdfReader, PdfWriter

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.card import PAPERS_MM, scale_card
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import ROOM_MM, Paper, head
from trialfit.sheets.stand_sketch import LETTERS, height_view, plan_view
from trialfit.survey.asks import Ask, Asked, Kind
from trialfit.survey.card import STANDARD_CARDS, CardBoard, board_of

COLD = (
    "Only with the engine cold: fire out, no steam, the gauge at nought, water valves shut. Loosen and remove nothing "
    "to get at a measurement, and keep fingers, rule and lamp off anything that is still warm."
)

# Size of the letters and height of the sketch, tried in turn until the letter is one page. [pt, mm]
_SIZES = ((11.5, 84.0), (10.5, 72.0), (10.0, 54.0))
_PLAN_SHARE = 0.54
_CARD_PAPER: dict[Paper, str] = {"a4": "A4", "us-letter": "letter"}


def letter(job: Job, asked: Asked, shop: Shop | None = None, paper: Paper = "a4") -> bytes:
    """Set the letter with the scale card as its second page.

    Parameters
    ----------
    job
        The job.
    asked
        What to ask for.
    shop
        The workshop that signs it; one that has no name of its own signs as the workshop.
    paper
        Size of the paper.

    Returns
    -------
    bytes
        The letter on one page, then the card at true scale. The same job gives the same bytes.
    """
    title = f"{job.job.name}: letter to the owner"
    page = _on_one_page(job, asked, shop, paper, title)
    board = board_of(job.card) if job.card is not None else STANDARD_CARDS["A6"]
    name = _name(board)
    card = scale_card(board, name, _paper_for(board, paper, name), job.job.date)
    return _bound(page, card, title)


def letter_record(
    job: Job,
    asked: Asked,
    shop: Shop | None = None,
    paper: Paper = "a4",
    size_pt: float = _SIZES[0][0],
    sketch_mm: float = _SIZES[0][1],
) -> dict[str, Any]:
    """Write the letter as a record for its template.

    Parameters
    ----------
    job
        The job.
    asked
        What to ask for.
    shop
        The workshop that signs it.
    paper
        Size of the paper.
    size_pt
        Size of its letters. [pt]
    sketch_mm
        Height of its sketch. [mm]

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    pictures = [each for each in asked.letter if each.kind is Kind.PHOTOGRAPH]
    lengths = [each for each in asked.letter if each.kind is not Kind.PHOTOGRAPH]
    return {
        "head": head(job, "letter to the owner", f"What we still need of {job.engine.name}", paper)
        | {"foot": "Distances in the sketch are from the middle of the engine's fittings."},
        "size_pt": size_pt,
        "greeting": f"Dear {job.job.owner},",
        "opening": _opening(asked),
        "photographs": _items(pictures, LETTERS),
        "readings": _items(lengths, "123456789"),
        "how": _how(asked, pictures, lengths),
        "sketch": _sketch(job, asked, pictures, paper, sketch_mm),
        "caution": COLD,
        "signed": shop.name if shop is not None and shop.measured else "the workshop",
    }


def _opening(asked: Asked) -> str:
    if not asked.letter:
        return (
            "Your photographs and readings are as good as we can use: nothing more that we could ask you for would "
            "make the work much surer. The card behind this letter is for another time."
        )
    if not asked.together:
        return (
            "To make parts for an engine that is not here we work from photographs and a few readings. Print the card "
            "behind this letter, lay it beside the engine, and please send us these:"
        )
    wanted = [change for change in asked.together if change.what == "cut length"]
    gain = ""
    if wanted and wanted[0].then_k2 < wanted[0].now_k2:
        now, then = f"{wanted[0].now_k2:.1f}", f"{wanted[0].then_k2:.1f}"
        gain = f" As it stands we know the length of the new pipe to {now} mm either way; with all of it, to {then} mm."
        gain = gain if now != then else ""
    return (
        "Your photographs and readings tell us where most things sit. What follows would make us surer, and is all we "
        f"ask.{gain} Leave out what you cannot see or reach, and say so."
    )


def _items(asks: Sequence[Ask], marks: str) -> list[dict[str, str]]:
    items = []
    for mark, each in zip(marks, asks, strict=False):
        why = f"{each.why[0].upper()}{each.why[1:]}." if each.why else ""
        items.append({"mark": mark, "do": each.do, "why": why})
    return items


def _how(asked: Asked, pictures: Sequence[Ask], lengths: Sequence[Ask]) -> list[str]:
    lines = []
    with_card = any(each.stand is not None and each.stand.with_card for each in pictures)
    if pictures:
        lines.append(
            "Move nothing on the engine. Main lens, no zoom, phone held sideways, everything sharp. Send the pictures "
            "as the phone stored them, by mail or as files: a messenger shrinks them."
        )
    if with_card and asked.together:
        lines.append(
            "The card: if it still lies exactly where it lay in your first photographs, leave it there. If it has been "
            "moved, take it right away: in a new place it would mislead us."
        )
    if lengths:
        lines.append(
            "Write down each reading as you took it, in mm or inches, and what you measured with. Take it twice."
        )
    if asked.letter and asked.together:
        lines.append(
            "The card behind this letter is a spare, for the day we have to begin again: do not use it with these."
        )
    return lines


def _sketch(job: Job, asked: Asked, pictures: Sequence[Ask], paper: Paper, height_mm: float) -> dict[str, Any] | None:
    if asked.scenery is None or not any(each.stand is not None for each in pictures):
        return None
    wide = ROOM_MM[paper][0]
    taken = ", ".join(
        f"{number} {job.photographs[stood.photograph].file}" for number, stood in enumerate(asked.scenery.stood, 1)
    )
    letters = ", ".join(LETTERS[: len(pictures)])
    legend = f"Black, {letters}: where to stand for what we ask for."
    return {
        "plan": plan_view(asked.scenery, pictures, wide * _PLAN_SHARE, height_mm).record(),
        "height": height_view(asked.scenery, pictures, wide * (1.0 - _PLAN_SHARE) - 4.0, height_mm).record(),
        "legend": f"{legend} White: your photographs so far ({taken})." if taken else legend,
    }


def _on_one_page(job: Job, asked: Asked, shop: Shop | None, paper: Paper, title: str) -> bytes:
    """Make it smaller, then ask for less, until it is one page; what is left then is sent as it is."""
    made = b""
    for keep in range(max(len(asked.letter), 1), 0, -1):
        fewer = replace(asked, letter=asked.letter[:keep])
        for size_pt, sketch_mm in _SIZES:
            record = letter_record(job, fewer, shop, paper, size_pt, sketch_mm)
            made = pdf("letter.typ", record, title, job.job.date)
            if len(PdfReader(io.BytesIO(made)).pages) == 1:
                return made
    return made


def _name(board: CardBoard) -> str:
    wide, high = board.page_mm
    return next((name for name, each in STANDARD_CARDS.items() if each == board), f"{wide:g} × {high:g} mm")


def _paper_for(board: CardBoard, paper: Paper, name: str) -> str:
    """The letter's own paper where the card fits it, else the smallest that does."""
    wide, high = board.page_mm
    fits = [each for each, sides in PAPERS_MM.items() if wide <= sides[0] and high <= sides[1]]
    own = _CARD_PAPER[paper]
    return own if own in fits else fits[0] if fits else name


def _bound(page: bytes, card: bytes, title: str) -> bytes:
    """Both in one document; the first page's says already that nothing is to be scaled when printed."""
    writer = PdfWriter(clone_from=io.BytesIO(page))
    for each in PdfReader(io.BytesIO(card)).pages:
        writer.add_page(each)
    writer.add_metadata({"/Title": title})
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
