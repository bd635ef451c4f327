"""What to ask for where there is no survey to go by: the photographs every job begins with.

Source: common practice, no source: five photographs over 80 degrees, the card in all of them.
"""

from __future__ import annotations

from trialfit.job.records import Job
from trialfit.survey.ask_words import check_line_words, photograph_words
from trialfit.survey.asks import Ask, Asked, Kind, Scenery, Stand
from trialfit.survey.card import STANDARD_CARDS, board_of
from trialfit.survey.standing import Bearing

_AWAY_MM = 300.0
_BEARINGS = (
    (Bearing(0.0, 20.0, _AWAY_MM), "it shows what lies where"),
    (Bearing(-40.0, 20.0, _AWAY_MM), "two sides tell how deep things lie"),
    (Bearing(40.0, 20.0, _AWAY_MM), "two sides tell how deep things lie"),
    (Bearing(-20.0, 50.0, _AWAY_MM), "from above, heights and depths come apart"),
    (Bearing(20.0, 50.0, _AWAY_MM), "from above, heights and depths come apart"),
)
# The card lies before the engine, its middle so far from the middle of what is to be seen, and below it.
_CARD_BEFORE_MM, _CARD_BELOW_MM = 110.0, 60.0


def first_asks(job: Job) -> Asked:
    """Ask for the photographs every job begins with.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    Asked
        A letter without figures: nothing is known that they could be worked out from.
    """
    board = board_of(job.card) if job.card is not None else STANDARD_CARDS["A6"]
    letter = [
        Ask(
            Kind.PHOTOGRAPH, photograph_words(job, bearing, (), True, ()), why, None, (), (), 0.0, "px",
            Stand(bearing, (0.0, 0.0, 0.0), True, None, (), ()),
        )
        for bearing, why in _BEARINGS
    ]  # fmt: skip
    if job.card is None or not job.card.check_lines:
        lines = [(line.along, line.length_mm) for line in board.check_lines]
        why = "the size of everything hangs on how large your printer made the card"
        letter.append(Ask(Kind.CHECK_LINES, check_line_words(lines, False), why, None, (), (), 0.0, "mm"))
    wide, high = board.page_mm
    corners = ((-wide / 2, high / 2), (wide / 2, high / 2), (wide / 2, -high / 2), (-wide / 2, -high / 2))
    card = tuple((x, _CARD_BEFORE_MM + y, -_CARD_BELOW_MM) for x, y in corners)
    return Asked((), (), (), tuple(letter), (), (), Scenery((), card, ()))
