"""What an owner's sheet says of itself, in his language and with his dates."""

from __future__ import annotations

from typing import Any

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.sheets.heading import Paper
from trialfit.sheets.words import Words


def owner_head(job: Job, words: Words, paper: Paper, kind: str, title: str, foot: str) -> dict[str, Any]:
    """Give what stands at the head and foot of each page of an owner's sheet.

    Parameters
    ----------
    job
        The job.
    words
        The owner's words.
    paper
        Size of the paper.
    kind, title, foot
        What sort of sheet it is, what this one is about, and what stands at its foot.

    Returns
    -------
    dict
        Record for the template.
    """
    card = job.job
    return {
        "paper": paper,
        "kind": kind,
        "title": title,
        "job": card.name,
        "job_word": words.say("common-job"),
        "page_word": words.say("common-page"),
        "of_word": words.say("common-of"),
        "revision": words.say("common-revision", number=words.number(card.revision)),
        "given": words.say("common-given", day=words.day(card.date)),
        "foot": foot,
        "language": words.language,
    }


def owner_title(job: Job, kind: str) -> str:
    """Give the title of an owner's document, which his reader shows and the pack's contents list.

    Parameters
    ----------
    job
        The job.
    kind
        What sort of sheet it is, in the owner's words.

    Returns
    -------
    str
        The job's name and that.
    """
    return f"{job.job.name}: {kind}"


def signed(shop: Shop, words: Words) -> str:
    """Give the name a sheet for the owner is signed with.

    Parameters
    ----------
    shop
        The workshop.
    words
        The owner's words.

    Returns
    -------
    str
        Its own name; of one that is only assumed, no name.
    """
    return shop.name if shop.measured else words.say("common-workshop")
