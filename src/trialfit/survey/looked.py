"""What looking at a job's photographs gives: those that count, the card in each, and pictures sent twice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from trialfit.job.records import Job
from trialfit.survey.card import board_of
from trialfit.survey.detect import find_cards
from trialfit.survey.gather import Sighted
from trialfit.survey.photograph import Grey, Photograph
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
    bench
        Photographs taken at the bench, of pieces and not of the engine, and the card where it gives their scale.
    """

    sighted: Sighted
    twice: tuple[SamePicture, ...]
    bench: Sighted = field(default_factory=Sighted)

    @property
    def pictures(self) -> dict[str, Grey]:
        """(height, width) grey values of every photograph, by its name. [-]"""
        both = {**self.sighted.photographs, **self.bench.photographs}
        return {name: photograph.grey for name, photograph in both.items()}


def looked_over(
    photographs: Sequence[Photograph],
    job: Job,
    watch: Callable[[int], Callable[[str], None]] | None = None,
) -> Looked:
    """Set pictures sent twice aside, and find the card in the others.

    Parameters
    ----------
    photographs
        As they were read.
    job
        The job document: its scale card, and which photographs are of the bench.
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
    of_bench = {name for name, entry in job.photographs.items() if entry.bench}
    of_engine = {photograph.name: photograph for photograph in kept if photograph.name not in of_bench}
    at_bench = {photograph.name: photograph for photograph in kept if photograph.name in of_bench}
    if job.card is None:
        return Looked(Sighted(of_engine, {}), twice, Sighted(at_bench, {}))
    searched = [*of_engine.values(), *(at_bench[name] for name in by_card(job) if name in at_bench)]
    found = find_cards(searched, board_of(job.card), on_each=watch(len(searched)) if watch else None)
    cards = {each.photograph: each for each in found}
    return Looked(
        Sighted(of_engine, {name: card for name, card in cards.items() if name in of_engine}),
        twice,
        Sighted(at_bench, {name: card for name, card in cards.items() if name in at_bench}),
    )


def in_colour(job: Job, looked: Looked) -> tuple[str, ...]:
    """Say which photographs go to the sheets in colour: metals are told apart by it. Over others lines are drawn.

    Parameters
    ----------
    job
        The job document.
    looked
        Its photographs, looked over.

    Returns
    -------
    tuple of str
        Names of those of the bench and of those that are printed flat.
    """
    flat = [entry.photograph for entry in job.flat_prints.values()]
    flat = [name for name in flat if name in looked.sighted.photographs]
    return tuple(dict.fromkeys([*looked.bench.photographs, *flat]))


def by_card(job: Job) -> tuple[str, ...]:
    """Name the photographs whose scale, beside another, the card in them gives.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    tuple of str
        Each once.
    """
    sides = [side for entry in job.before_and_after.values() for side in (entry.before, entry.after)]
    return tuple(dict.fromkeys(side.photograph for side in sides if side.by_card))
