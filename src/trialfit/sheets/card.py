"""The scale card as a sheet: the board, its check lines, and what the owner is to do with it."""

from __future__ import annotations

from datetime import date
from typing import Any

from trialfit.errors import Refusal
from trialfit.sheets.compile import pdf
from trialfit.sheets.words import Words
from trialfit.survey.card import CardBoard, NominalCheckLine
from trialfit.survey.card_pattern import black_rectangles

PAPERS_MM = {"A6": (148.0, 105.0), "A5": (210.0, 148.0), "A4": (297.0, 210.0), "letter": (279.4, 215.9)}
"""Long and short side of each paper: ISO 216, and letter by ANSI/ASME Y14.1."""

_ENGLISH = Words()


def scale_card(board: CardBoard, size: str, paper: str, dated: date, words: Words = _ENGLISH, stamp: str = "") -> bytes:
    """Set the scale card.

    Parameters
    ----------
    board
        The card.
    size
        What to call it: ``A6``.
    paper
        Name of the paper it is printed on; the card is cut out of larger paper.
    dated
        The date the document is stamped with.
    words
        The owner's words.
    stamp
        Job, revision, date and page, where it goes to somebody with a letter; it stands on the paper round the card.

    Returns
    -------
    bytes
        One page, at true scale.

    Raises
    ------
    Refusal
        The paper is smaller than the card.
    """
    return pdf("card.typ", card_record(board, size, paper, words, stamp), words.say("card-title", size=size), dated)


def card_record(board: CardBoard, size: str, paper: str, words: Words = _ENGLISH, stamp: str = "") -> dict[str, Any]:
    """Say what stands where on the scale card's sheet.

    Parameters
    ----------
    board
        The card.
    size
        What to call it.
    paper
        Name of the paper it is printed on.
    words
        The owner's words.
    stamp
        As in `scale_card`.

    Returns
    -------
    dict
        For ``card.typ``: lengths in millimetres, from the upper left corner of the paper, y down.

    Raises
    ------
    Refusal
        The paper is smaller than the card.
    """
    wide, high = PAPERS_MM[paper]
    if board.page_mm[0] > wide or board.page_mm[1] > high:
        fits = [
            name for name, sides in PAPERS_MM.items() if board.page_mm[0] <= sides[0] and board.page_mm[1] <= sides[1]
        ]
        raise Refusal(
            f"card {size}",
            f"{paper} paper, {wide:g} x {high:g} mm",
            f"paper of at least {board.page_mm[0]:g} x {board.page_mm[1]:g} mm",
            f"Print it on {' or '.join(fits)}, or choose a smaller card." if fits else "Choose a smaller card.",
        )
    page_x, page_y = board.page_corner_mm
    left = (wide - board.page_mm[0]) / 2.0 - page_x
    bottom = (high + board.page_mm[1]) / 2.0 + page_y

    def on_paper(x_mm: float, y_mm: float) -> list[float]:
        return [round(left + x_mm, 6), round(bottom - y_mm, 6)]

    long, short = board.check_lines
    return {
        "paper": [wide, high],
        "card": [(wide - board.page_mm[0]) / 2.0, (high - board.page_mm[1]) / 2.0, *board.page_mm],
        "cut": board.page_mm != (wide, high),
        "black": [
            [*on_paper(each.x_mm, each.y_mm + each.height_mm), round(each.width_mm, 6), round(each.height_mm, 6)]
            for each in black_rectangles(board)
        ],
        "board": [*on_paper(0.0, board.board_mm[1]), *board.board_mm],
        "long": _line(long, on_paper, "card-check-long", words),
        "short": _line(short, on_paper, "card-check-short", words),
        "unit": "in" if words.system == "inch" else "mm",
        "title": words.say("card-title", size=size),
        "about": words.say(
            "card-about",
            across=words.number(board.squares[0]),
            up=words.number(board.squares[1]),
            square=words.number(board.square_mm, 0 if board.square_mm == int(board.square_mm) else 1),
            dictionary=board.dictionary,
        ),
        "do": words.say("card-do"),
        "cut_words": words.say("card-cut"),
        "language": words.language,
        "stamp": stamp,
    }


def _line(line: NominalCheckLine, on_paper: Any, name: str, words: Words) -> dict[str, Any]:
    length = words.length(line.length_mm, 2 if words.system == "inch" else 1)
    return {
        "from": on_paper(*line.start_mm),
        "to": on_paper(*line.end_mm),
        "words": words.say(name, length=length),
    }


def job_words(board: CardBoard) -> str:
    """Write what a job says of this card, to be pasted into it.

    Parameters
    ----------
    board
        The card.

    Returns
    -------
    str
        TOML that can be read as it stands; the check lines are comments until somebody has measured them.
    """
    lines = [
        "[card]",
        f'page = ["{board.page_mm[0]:g} mm", "{board.page_mm[1]:g} mm"]',
        f"squares = [{board.squares[0]}, {board.squares[1]}]",
        f'square = "{board.square_mm:g} mm"',
        f'marker = "{board.marker_mm:g} mm"',
        f'dictionary = "{board.dictionary}"',
        "",
        "# Fill in what the printed check lines measure and take the # away; until then the scale is only 1 % sure.",
    ]
    for line in board.check_lines:
        lines += [
            "# [[card.check_lines]]",
            f'# along = "{line.along}"',
            f'# nominal = "{line.length_mm:g} mm"',
            '# reading = { value = "___ mm", pm = "0.3 mm", by = "owner, steel rule" }',
        ]
    return "\n".join(lines)
