"""Sums of money in exact decimals: each line rounded half up to the currency's smallest unit, tax last and once.

Source: minor units by ISO 4217; rounding half up of each line is common practice, and is said on the sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from trialfit.job.pricing import Pricing
from trialfit.quote.records import LineKind, MoneyLine, Price
from trialfit.tables.currencies import minor_digits


def rounded(amount: Decimal, currency: str) -> Decimal:
    """Round an amount half up to its currency's smallest unit.

    Parameters
    ----------
    amount
        The amount, exact.
    currency
        Three letters of ISO 4217.

    Returns
    -------
    Decimal
        With as many decimals as the currency has.
    """
    return amount.quantize(Decimal(1).scaleb(-minor_digits(currency)), ROUND_HALF_UP)


def work_line(kind: LineKind, minutes: float, rate: Decimal, currency: str) -> MoneyLine:
    """Price work by the hour, in whole minutes begun.

    Parameters
    ----------
    kind
        What sort of line.
    minutes
        How long it takes. [min]
    rate
        Price of an hour.
    currency
        Three letters of ISO 4217.

    Returns
    -------
    MoneyLine
        The line.
    """
    whole = whole_minutes(minutes)
    amount = rounded(rate * whole / 60, currency)
    return MoneyLine(kind, "", "min", Decimal(whole), rounded(rate, currency), amount)


def whole_minutes(minutes: float) -> int:
    """Count minutes begun.

    Parameters
    ----------
    minutes
        How long. [min]

    Returns
    -------
    int
        Whole minutes; a thousandth over is not counted.
    """
    return ceil(minutes - 1e-3)


def hours_words(minutes: int) -> str:
    """Write minutes as hours and minutes.

    Parameters
    ----------
    minutes
        Whole minutes.

    Returns
    -------
    str
        Such as ``2 h 40 min``.
    """
    hours, left = divmod(minutes, 60)
    return f"{hours} h {left:02d} min" if hours else f"{left} min"


def price_of(lines: Sequence[MoneyLine], pricing: Pricing) -> Price:
    """Add lines up and put the tax on.

    Parameters
    ----------
    lines
        Work, materials, post; the amounts are rounded already.
    pricing
        What the workshop charges.

    Returns
    -------
    Price
        The price.
    """
    nought = rounded(Decimal(0), pricing.currency)
    net = sum((line.amount for line in lines), nought)
    if pricing.tax is None:
        return Price(pricing.currency, tuple(lines), net, "", None, nought, net)
    share = Decimal(pricing.tax.share.number.numerator) / Decimal(pricing.tax.share.number.denominator)
    tax = rounded(net * share / 100, pricing.currency)
    return Price(pricing.currency, tuple(lines), net, pricing.tax.name, pricing.tax.share, tax, net + tax)
