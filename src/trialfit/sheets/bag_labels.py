"""Labels for bags, parts and the parcel, each with a code that opens the job."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import quote as in_an_address

import segno

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parcel.records import ParcelAccount
from trialfit.sheets.fonts import not_held
from trialfit.sheets.heading import Paper
from trialfit.sheets.owner_head import owner_head
from trialfit.sheets.unheld import owner_name
from trialfit.sheets.words import Words, words_for

_LONGEST_ON_LABEL = 64


def labels_sheet(job: Job, shop: Shop, account: ParcelAccount, paper: Paper = "a4") -> dict[str, Any]:
    """Write the bag labels as a record for their template.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop, for where its pages answer.
    account
        The account of the parcel.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values: a label a bag, each with its code as a drawing of squares.
    """
    words, named = words_for(job), {line.name: line.entry for line in account.lines}
    whole = sum(entry.count for entry in named.values())
    labels = [_label(job, shop, words, "", words.say("label-whole"), whole)]
    for bag, lines in account.bags:
        warnings = []
        if any(named[name].one_way for name in lines):
            warnings.append(words.say("label-one-way"))
        if any(named[name].unlike for name in lines):
            warnings.append(words.say("label-unlike"))
        count = sum(named[name].count for name in lines)
        whats = [named[name].what for name in lines]
        called = words.say("label-bag", bag=_short(bag))
        labels.append(_label(job, shop, words, bag, called, count, warnings, whats))
    for _, each in account.transit:
        on = words.say("label-on", what=each.what, on=each.on)
        labels += [_label(job, shop, words, "", words.say("label-transit"), 0, [], [on])] * each.count
    head = owner_head(job, words, paper, words.say("label-kind"), words.say("label-title"), "")
    return {"head": head, "labels": labels}


def _label(
    job: Job, shop: Shop, words: Words, bag: str, name: str, count: int, warnings: Sequence[str] = (),
    whats: Sequence[str] = (),
) -> dict[str, Any]:  # fmt: skip
    return {
        "name": name,
        "owner": words.say("label-owner", owner=_short(_printable(job, words))),
        "job": f"{words.say('common-job')} {_short(job.job.name)}",
        "day": words.day(job.job.date),
        "pieces": words.say("label-pieces", count=count) if count else "",
        "warnings": list(warnings),
        "whats": _short(", ".join(whats)),
        "code": code_runs(address(job, shop, bag)),
    }


def _printable(job: Job, words: Words) -> str:
    """The owner's name, or what the job gives for labels where the fonts do not hold its letters."""
    owner = owner_name(job)
    return words.say("label-unprintable") if not_held(owner) else owner


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST_ON_LABEL else f"{text[: _LONGEST_ON_LABEL - 1]}…"


def address(job: Job, shop: Shop, bag: str = "") -> str:
    """Give what a label's code says.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop: where its pages answer on its own network.
    bag
        The bag, or empty.

    Returns
    -------
    str
        An address of the shop's pages that opens the job, or without them the job's name and bag in words.
    """
    name, which = in_an_address(job.job.name, safe=""), in_an_address(bag, safe="")
    if shop.pages:
        return f"{shop.pages.rstrip('/')}/jobs/{name}" + (f"#bag-{which}" if which else "")
    return f"job {name}" + (f" bag {which}" if which else "")


def code_runs(text: str) -> dict[str, Any]:
    """Make a two-dimensional code of a text.

    Parameters
    ----------
    text
        What it says.

    Returns
    -------
    dict
        Squares along a ``side``, and dark ``runs`` as [row, first column, how many], quiet zone not counted.

    Source
    ------
    ISO/IEC 18004 by the library segno, error correction M (15 %) or better.
    """
    rows = [bytes(row) for row in segno.make(text[:500], micro=False, error="m").matrix]
    runs: list[list[int]] = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            long = next((n for n in range(len(row) - x) if not row[x + n]), len(row) - x)
            if long:
                runs.append([y, x, long])
            x += max(long, 1)
    return {"side": len(rows), "runs": runs}
