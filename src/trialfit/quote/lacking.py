"""What a shop file lacks for a price to be worked out."""

from __future__ import annotations

from trialfit.job.pricing import Pricing


def rate_wanted(pricing: Pricing | None) -> str:
    """Say what has to be added before an hour's work has a price.

    Parameters
    ----------
    pricing
        What the workshop charges, or None where its file has no such table; without a rate.

    Returns
    -------
    str
        As an instruction.
    """
    if pricing is None:
        return 'Add [pricing] with currency = "GBP" and rate = "36.00" to the shop file, in your own figures.'
    return f'Add rate = "36.00", in your own figures, under [pricing] of the shop file: {pricing.currency} an hour.'


def own_prices_wanted() -> str:
    """Say what has to be done before a price is the shop's own.

    Returns
    -------
    str
        As an instruction.
    """
    return (
        "Put your own prices in place of the example's. Where those left are yours, say so "
        "at the shop's things, or take assumed out of [pricing]."
    )
