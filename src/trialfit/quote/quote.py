"""The quote of a job, whole.

Source: the modules it calls; `docs/methods/quote.md`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import TypeVar

import numpy as np

from trialfit.job.pricing import Pricing
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.quote.choices import choices_of
from trialfit.quote.findings import quote_findings
from trialfit.quote.foresee import DRAWS, draw, summed
from trialfit.quote.learn import Learnt, Reach, Taken, learn
from trialfit.quote.materials import Unpriced, material_lines, needs_of, post_line
from trialfit.quote.money import price_of, rounded, work_line
from trialfit.quote.operations import is_called, operations_of, reach_of
from trialfit.quote.records import Choice, Foreseen, Making, MoneyLine, Need, Price, Quote, SolderNeed, WorkLine
from trialfit.quote.solder_use import solder_finding, solder_needs

SEED = 1
_AnyNeed = TypeVar("_AnyNeed", Need, SolderNeed)


def quote_of(job: Job, shop: Shop, making: Making, seed: int = SEED) -> Quote:
    """Foresee the work of a job and price it.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop: its rates and past times. Times of this same job are never learnt from.
    making
        What the plan knows of the work.
    seed
        Of the random numbers; the same seed gives the same quote. [-]

    Returns
    -------
    Quote
        Complete; without a price of the hour it has times and no price.
    """
    lines = operations_of(job, shop, making)
    learnt = learnt_for(shop, lines, leave_out=job.job.name)
    drawn = draw(learnt, [(line.learnt_as, line.count) for line in lines], seed)
    entries = job.quote.choices.values() if job.quote else ()
    of_choices = [any(is_called(line, (*each.repair, *each.remake)) for each in entries) for line in lines]
    weighed = choices_of(job, making, lines, drawn, seed, shop.pricing)
    total = drawn[:, np.logical_not(np.array(of_choices, dtype=bool))].sum(axis=1)
    for _, chosen in weighed:
        total = total + chosen
    minutes, choices = summed(total), tuple(choice for choice, _ in weighed)
    foreseen = tuple(
        Foreseen(
            line,
            summed(drawn[:, place]),
            learnt.times[learnt.operations.index(line.learnt_as)],
            _taken_min(shop, job, line),
        )
        for place, line in enumerate(lines)
    )
    soldered = solder_needs(job)
    price: Price | None = None
    mean_price: Price | None = None
    unpriced: tuple[Unpriced, ...] = ()
    no_post = ""
    if shop.pricing is not None and shop.pricing.rate is not None:
        needs = _made(needs_of(job, making), lines, job, choices)
        more, unpriced, no_post = _other_lines(job, shop.pricing, needs, _made(soldered, lines, job, choices), making)
        price = _price(minutes.four_in_five_min, more, shop.pricing)
        mean_price = _price(minutes.mean_min, more, shop.pricing)
    until = _until(job.job.date, job.quote.valid if job.quote else 30)
    quote = Quote(
        foreseen, minutes, choices, price, mean_price, until, unpriced, learnt.jobs, seed, DRAWS, ()
    )  # fmt: skip
    said = (*quote_findings(job, shop.pricing, quote, no_post, making.mass_lacks), *solder_finding(soldered))
    return replace(quote, findings=said)


def learnt_for(shop: Shop, lines: Sequence[WorkLine], leave_out: str = "") -> Learnt:
    """Learn what a shop's past times say of some operations.

    Parameters
    ----------
    shop
        The workshop.
    lines
        The operations wanted.
    leave_out
        A job whose own times are not to be learnt from.

    Returns
    -------
    Learnt
        Of these operations and of all that have been timed.
    """
    reaches: dict[str, Reach] = {line.learnt_as: line.reach for line in lines}
    for entry in shop.times:
        reaches.setdefault(entry.operation, reach_of(entry.operation, shop)[1])
    past = [
        Taken(entry.job, entry.operation, float(entry.took.to("min")) / entry.count)
        for entry in shop.times
        if entry.job != leave_out
    ]
    return learn(reaches, past)


def _taken_min(shop: Shop, job: Job, line: WorkLine) -> float | None:
    own = [e for e in shop.times if e.job == job.job.name and e.operation == line.operation]
    return float(sum(entry.took.to("min") for entry in own)) if own else None


def _made(
    needs: Sequence[_AnyNeed], lines: Sequence[WorkLine], job: Job, choices: Sequence[Choice]
) -> tuple[_AnyNeed, ...]:
    """Those whose work is quoted: not left out, and not of the way that was not chosen."""
    entries = job.quote.choices if job.quote else {}
    not_chosen: list[WorkLine] = []
    for choice in choices:
        entry = entries[choice.name]
        other, own = (entry.remake, entry.repair) if choice.chosen == "repair" else (entry.repair, entry.remake)
        not_chosen += [line for line in lines if is_called(line, other) and not is_called(line, own)]
    kept = [line for line in lines if line not in not_chosen]
    return tuple(need for need in needs if any(is_called(line, (need.name,)) for line in kept))


def _other_lines(
    job: Job, pricing: Pricing, needs: tuple[Need, ...], soldered: tuple[SolderNeed, ...], making: Making
) -> tuple[tuple[MoneyLine, ...], tuple[Unpriced, ...], str]:
    lines, unpriced = material_lines(job, pricing, needs, soldered)
    way = job.quote.post if job.quote else None
    if way is None:
        return lines, unpriced, ""
    post, why_not = post_line(way, pricing.post.get(way), making.mass_g, pricing)
    return (*lines, *((post,) if post else ())), unpriced, why_not


def _price(minutes: float, more: tuple[MoneyLine, ...], pricing: Pricing) -> Price:
    rate = pricing.rate or Decimal(0)
    work = work_line("work", minutes, rate, pricing.currency)
    return price_of((work, *up_to_least(work, pricing), *more), pricing)


def up_to_least(work: MoneyLine, pricing: Pricing) -> tuple[MoneyLine, ...]:
    """Give what brings the work up to the least charge.

    Parameters
    ----------
    work
        The work's line.
    pricing
        What the workshop charges.

    Returns
    -------
    tuple of MoneyLine
        One line, or none where the work costs more.
    """
    least = rounded(pricing.minimum or Decimal(0), pricing.currency)
    if work.amount >= least:
        return ()
    return (MoneyLine("made up to the least charge", "", "piece", None, least, least - work.amount),)


def _until(day: date, valid: int) -> date:
    return day + timedelta(days=min(valid, 3650))
