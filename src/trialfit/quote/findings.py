"""What is said of a quote.

Source: the quote's own records; which answer each gets is this program's own choice.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.job.example_prices import still_assumed
from trialfit.job.pricing import Pricing
from trialfit.job.records import Job
from trialfit.quote.lacking import own_prices_wanted, rate_wanted
from trialfit.quote.materials import MASS_UNKNOWN
from trialfit.quote.money import hours_words, whole_minutes
from trialfit.quote.records import Choice, Quote
from trialfit.tables.currencies import minor_digits

STAGE = "quote"
_FEW_JOBS = 5


def quote_findings(
    job: Job, pricing: Pricing | None, quote: Quote, no_post: str, mass_lacks: tuple[str, ...]
) -> tuple[Finding, ...]:
    """Say what a person has to know of a quote.

    Parameters
    ----------
    job
        The job.
    pricing
        What the workshop charges, or None where its file does not say.
    quote
        Its quote, the findings not yet there.
    no_post
        Why the post has no price; empty where it has one, or none is wanted.
    mass_lacks
        Pieces whose mass is not known.

    Returns
    -------
    tuple of Finding
        The price first.
    """
    return (
        _what_it_costs(job, pricing, quote),
        *(_repair_or_remake(choice, quote) for choice in quote.choices),
        *_no_price_of(quote),
        *_post(no_post, mass_lacks),
    )


def _what_it_costs(job: Job, pricing: Pricing | None, quote: Quote) -> Finding:
    minutes = quote.minutes
    because = [
        Reason(
            f"The work takes {_hours(minutes.likely_min)} as often more as less, {_hours(minutes.mean_min)} in the "
            f"mean, and in four jobs of five not more than {_hours(minutes.four_in_five_min)}."
        )
    ]
    unknown = [each for each in quote.operations if not each.times]
    if quote.past_jobs:
        count = sum(each.times for each in quote.operations)
        because.append(
            Reason(f"Learnt from {quote.past_jobs} past jobs; {count} past times bear on its operations directly.",
                   "the shop's times", Basis.MEASURED)
        )  # fmt: skip
    if unknown:
        names = ", ".join(dict.fromkeys(each.line.operation for each in unknown))
        because.append(Reason(f"Not timed by this shop yet: {names}.", "usual times", Basis.PRACTICE))
    if quote.price is None:
        return Finding(
            STAGE, "quote", "What will it cost?", Answer.LOOK,
            Figure(round(minutes.four_in_five_min / 60, 1), "h", None, 1), None,
            (*because, Reason("The shop file has no price of an hour's work, so there is no price.")),
            rate_wanted(pricing),
        )  # fmt: skip
    price = quote.price
    if quote.mean_price is not None:
        mean = Reason(f"By the mean time it would be {quote.mean_price.total} {price.currency}.")
        because.insert(1, mean)
    few, assumed = quote.past_jobs < _FEW_JOBS, still_assumed(pricing)
    if assumed:
        because.insert(
            0,
            Reason(f"A draft: not this shop's prices but the example's, invented, for {', '.join(assumed)}.",
                   "the example", Basis.ASSUMED),
        )  # fmt: skip
    do = f"Time the operations of this job: trialfit times start {job.job.name} OPERATION." if few or unknown else ""
    do = own_prices_wanted() if assumed else do
    return Finding(
        STAGE, "quote", "What price holds four times in five?", Answer.LOOK if few or assumed else Answer.GO,
        Figure(float(price.total), price.currency, None, minor_digits(price.currency)), None, tuple(because), do,
    )  # fmt: skip


def _repair_or_remake(choice: Choice, quote: Quote) -> Finding:
    ways = (choice.repair, choice.remake)
    because = [
        Reason(
            f"{'Repairing' if way.words == 'repair' else 'Making anew'} takes {_hours(way.minutes.mean_min)} in the "
            f"mean, {_hours(way.minutes.four_in_five_min)} four times in five"
            + _priced(way.mean_price, way.four_in_five_price, quote)
            + (", making anew counted as often as it fails." if way.words == "repair" else ".")
        )
        for way in ways
    ]
    because.append(
        Reason(f"A repair fails {100.0 * choice.fails:.0f} % of the time.", choice.by or "the job", Basis.MEASURED
               if choice.by else Basis.ASSUMED)
    )  # fmt: skip
    if choice.before is not None and choice.after is not None:
        gain = choice.after.likely / choice.before.likely
        because.append(
            Reason(
                f"The tail yields at {choice.after} as it is to be, and did at {choice.before} as it was: "
                f"{gain:.1f} times as much."
            )
        )
    cheaper = min(ways, key=lambda way: way.minutes.four_in_five_min).words
    answer = Answer.GO if choice.chosen == cheaper else Answer.LOOK
    if choice.chosen != cheaper:
        because.append(Reason(f"The job asks for the {choice.chosen}, and the {cheaper} is likely to cost less."))
    do = "" if choice.asked else f"Quote the {choice.chosen}; put the odds and both prices to the owner."
    shorter = min(ways, key=lambda way: way.words != choice.chosen)
    figure = Figure(shorter.minutes.four_in_five_min / 60, "h", None, 1)
    return Finding(
        STAGE, choice.name, f"Repair or remake {choice.what}?", answer, figure, None, tuple(because), do
    )  # fmt: skip


def _priced(mean: Decimal | None, high: Decimal | None, quote: Quote) -> str:
    if mean is None or high is None or quote.price is None:
        return ""
    return f" ({mean} and {high} {quote.price.currency} of work)"


def _no_price_of(quote: Quote) -> Iterator[Finding]:
    if quote.unpriced:
        yield Finding(
            STAGE, "materials", "Is every material in the price?", Answer.LOOK,
            because=tuple(Reason(f"No price: {each}.") for each in quote.unpriced),
            do="Add each to [pricing.stock] of the shop file with its form, size, metal and price.",
        )  # fmt: skip


def _post(no_post: str, mass_lacks: tuple[str, ...]) -> Iterator[Finding]:
    if no_post:
        because = [Reason(no_post)]
        if mass_lacks:
            because.append(Reason(f"Not weighed: {', '.join(mass_lacks)}."))
        yield Finding(
            STAGE, "post", "Is the post in the price?", Answer.LOOK, because=tuple(because),
            do="Give each its mass, and the box under [parcel.box]." if no_post == MASS_UNKNOWN
            else "Add the way of posting, or the mass it goes up to, to [pricing.post] of the shop file.",
        )  # fmt: skip


def _hours(minutes: float) -> str:
    return hours_words(whole_minutes(minutes))
