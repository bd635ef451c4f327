"""What looking at a job's photographs gives: those that count, the card in each, and pictures sent twice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trialfit.job.records import Card
from trialfit.survey.card import board_of
from trialfit.survey.detect import find_cards
from trialfit.survey.gather import Sighted
from trialfit.survey.photograph import Photograph
from trialfit.survey.same_picture import SamePicture, same_picture_twice


@dataclass(frozen=True)
class Looked:
    """What was found by looking at a job's photographs.

    Parameters
    ----------
    sighted
        Photographs and cards; of a picture sent twice only the first.
    twice
        The pictures sent twice.
    """

    sighted: Sighted
    twice: tuple[SamePicture, ...]


def looked_over(
    photographs: Sequence[Photograph],
    card: Card | None,
    watch: Callable[[int], Callable[[str], None]] | None = None,
) -> Looked:
    """Set pictures sent twice aside, and find the card in the others.

    Parameters
    ----------
    photographs
        As they were read.
    card
        The job's scale card, or None where it has none.
    watch
        Told how many are searched, gives what is called with the name of each that is done.

    Returns
    -------
    Looked
        Photographs, cards, and pictures sent twice.
    """
    twice = tuple(same_picture_twice(photographs))
    second = {same.second for same in twice}
    kept = [photograph for photograph in photographs if photograph.name not in second]
    by_name = {photograph.name: photograph for photograph in kept}
    if card is None:
        return Looked(Sighted(by_name, {}), twice)
    cards = find_cards(kept, board_of(card), on_each=watch(len(kept)) if watch else None)
    return Looked(Sighted(by_name, {each.photograph: each for each in cards}), twice)
