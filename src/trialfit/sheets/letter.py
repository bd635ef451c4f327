"""The letter to the owner: what to send, where to stand, and the scale card behind it."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace
from math import ceil
from typing import Any

import pikepdf

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.card import PAPERS_MM, scale_card
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import ROOM_MM, Paper
from trialfit.sheets.letter_words import asked_words, reason_words
from trialfit.sheets.owner_head import owner_head, owner_title, signed
from trialfit.sheets.stand_sketch import LETTERS, SketchWords, height_view, plan_view
from trialfit.sheets.unheld import owner_name
from trialfit.sheets.words import Words, words_for
from trialfit.survey.asks import Ask, Asked, Kind
from trialfit.survey.card import STANDARD_CARDS, CardBoard, board_of

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
    title = owner_title(job, words_for(job).say("letter-kind"))
    page = _on_one_page(job, asked, shop, paper, title)
    board = board_of(job.card) if job.card is not None else STANDARD_CARDS["A6"]
    name = _name(board)
    card = scale_card(board, name, _paper_for(board, paper, name), job.job.date, words_for(job), _stamp(job))
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
    words = words_for(job)
    pictures = [each for each in asked.letter if each.kind is Kind.PHOTOGRAPH]
    lengths = [each for each in asked.letter if each.kind is not Kind.PHOTOGRAPH]
    sketch = _sketch(job, asked, pictures, paper, sketch_mm, words)
    sender = signed(shop, words) if shop is not None else words.say("common-workshop")
    return {
        "head": owner_head(
            job,
            words,
            paper,
            words.say("letter-kind"),
            words.say("letter-title", engine=job.engine.name),
            words.say("letter-foot") if sketch else "",
        )
        | {"pages_behind": 1},
        "size_pt": size_pt,
        "greeting": words.say("letter-greeting", owner=owner_name(job)),
        "opening": _opening(job, asked, words),
        "photographs": _items(job, asked, pictures, LETTERS, words),
        "readings": _items(job, asked, lengths, "123456789", words),
        "how": _how(asked, pictures, lengths, words),
        "sketch": sketch,
        "caution": words.say("letter-cold"),
        "words": {
            "photographs": words.say("letter-photographs"),
            "measurements": words.say("letter-measurements"),
            "above": words.say("letter-from-above"),
            "high": words.say("letter-how-high"),
            "cautions": words.say("common-cautions"),
        },
        "thanks": words.say("letter-thanks", name=sender),
    }


def _stamp(job: Job) -> str:
    """What the head of every sheet says, for the card behind the letter."""
    words = words_for(job)
    head = owner_head(job, words, "a4", "", "", "")
    return (
        f"{head['job_word']} {head['job']}, {head['revision']}, {head['given']}, "
        f"{head['page_word']} {words.number(2)} {head['of_word']} {words.number(2)}"
    )


def _opening(job: Job, asked: Asked, words: Words) -> str:
    if not asked.letter:
        return words.say("letter-enough")
    if not asked.together:
        return words.say("letter-first")
    wanted = [change for change in asked.together if change.what == "cut length"]
    gain = ""
    if wanted and wanted[0].then_k2 < wanted[0].now_k2:
        now, then = (words.length(_up(band_mm)) for band_mm in (wanted[0].now_k2, wanted[0].then_k2))
        gain = " " + words.say("letter-gain", now=now, then=then) if now != then else ""
    return words.say("letter-more" if job.photographs else "letter-more-readings", gain=gain)


def _up(band_mm: float) -> float:
    """Rounded up to a tenth: the owner is never told that a length is surer than it is. [mm]"""
    return ceil(10.0 * band_mm - 1e-9) / 10.0


def _items(job: Job, asked: Asked, asks: Sequence[Ask], marks: str, words: Words) -> list[dict[str, str]]:
    first = not asked.together
    return [
        {"mark": mark, "do": asked_words(job, each, words, first), "why": reason_words(each, words)}
        for mark, each in zip(marks, asks, strict=False)
    ]


def _how(asked: Asked, pictures: Sequence[Ask], lengths: Sequence[Ask], words: Words) -> list[str]:
    with_card = any(each.stand is not None and each.stand.with_card for each in pictures)
    said = [
        ("letter-how-pictures", bool(pictures)),
        ("letter-how-card", with_card and bool(asked.together)),
        ("letter-how-readings", bool(lengths)),
        ("letter-how-spare", bool(asked.letter) and bool(asked.together)),
    ]
    return [words.say(name) for name, wanted in said if wanted]


def _sketch(
    job: Job, asked: Asked, pictures: Sequence[Ask], paper: Paper, height_mm: float, words: Words
) -> dict[str, Any] | None:
    if asked.scenery is None or not any(each.stand is not None for each in pictures):
        return None
    wide = ROOM_MM[paper][0]
    taken = ", ".join(
        f"{number} {job.photographs[stood.photograph].file}" for number, stood in enumerate(asked.scenery.stood, 1)
    )
    letters = ", ".join(LETTERS[: len(pictures)])
    legend = words.say("letter-legend-black", letters=letters)
    white = words.say("letter-legend-white", taken=taken)
    called = SketchWords(
        words.say("letter-sketch-engine"), words.say("letter-sketch-card"), words.say("letter-sketch-bench"),
        *((101.6, 4, "in") if words.system == "inch" else (100.0, 10, "cm")),
    )  # fmt: skip
    return {
        "plan": plan_view(asked.scenery, pictures, wide * _PLAN_SHARE, height_mm, called).record(),
        "height": height_view(asked.scenery, pictures, wide * (1.0 - _PLAN_SHARE) - 4.0, height_mm, called).record(),
        "legend": f"{legend} {white}" if taken else legend,
    }


def _on_one_page(job: Job, asked: Asked, shop: Shop | None, paper: Paper, title: str) -> bytes:
    """Make it smaller, then ask for less, until it is one page; what is left then is sent as it is."""
    made = b""
    for keep in range(max(len(asked.letter), 1), 0, -1):
        fewer = replace(asked, letter=asked.letter[:keep])
        for size_pt, sketch_mm in _SIZES:
            record = letter_record(job, fewer, shop, paper, size_pt, sketch_mm)
            made = pdf("letter.typ", record, title, job.job.date)
            with pikepdf.open(io.BytesIO(made)) as opened:
                if len(opened.pages) == 1:
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
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(page)) as whole, pikepdf.open(io.BytesIO(card)) as other:
        whole.pages.extend(other.pages)
        whole.docinfo["/Title"] = title
        whole.save(out, deterministic_id=True)
    return out.getvalue()
