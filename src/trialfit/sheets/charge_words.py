"""The lines of a price in the words of whoever reads them: what it is, how much of it, and what one costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil

from trialfit.job.records import Job
from trialfit.quote.money import hours_words
from trialfit.quote.records import Counted, LineKind, MoneyLine, Need, NotInStock, Price, StockForm, StuffNeed
from trialfit.sheets.words import Words

_KINDS: Mapping[LineKind, str] = {
    "work": "charge-work",
    "work by the time taken": "charge-work-by-time",
    "made up to the least charge": "charge-least",
}
_FORMS: Mapping[StockForm, str] = {
    "tube": "charge-tube",
    "round bar": "charge-round-bar",
    "hexagon bar": "charge-hexagon-bar",
    "solder": "charge-solder",
    "flux": "charge-flux",
}
_PRICES: Mapping[Counted, str] = {
    "min": "charge-an-hour",
    "piece": "charge-each",
    "m": "charge-a-metre",
    "kg": "charge-a-kilogram",
    "g": "charge-a-gram",
}


def line_words(line: MoneyLine, words: Words) -> list[str]:
    """Write a line of a price.

    Parameters
    ----------
    line
        The line.
    words
        Of whoever reads it.

    Returns
    -------
    list of str
        What it is, how much of it, the price of one, and the amount.
    """
    return [_what(line, words), _how_much(line, words), _price_of_one(line, words), words.exact(line.amount)]


def tax_words(price: Price, words: Words) -> str:
    """Write which tax is put on.

    Parameters
    ----------
    price
        The price.
    words
        Of whoever reads it.

    Returns
    -------
    str
        Its name and share; empty where there is none.
    """
    return f"{price.tax_name} {words.as_marked(price.tax_share)}" if price.tax_share is not None else ""


def unpriced_words(job: Job, needs: Sequence[Need | StuffNeed | NotInStock], words: Words) -> list[str]:
    """Name what has no price.

    Parameters
    ----------
    job
        The job.
    needs
        What has none.
    words
        The owner's words.

    Returns
    -------
    list of str
        A sentence each.
    """
    return [words.say("quote-not-priced", what=_need(job, each, words)) for each in needs]


def _need(job: Job, need: Need | StuffNeed | NotInStock, words: Words) -> str:
    if isinstance(need, NotInStock):
        return need.what
    if isinstance(need, StuffNeed):
        return words.say("quote-need-stuff", what=words.say(_FORMS[need.form]), grams=words.number(need.mass_g, 1))
    where, _, name = need.name.partition(".")
    entry = job.pipes.get(name) if where == "pipes" else job.turned.get(name)
    return words.say(
        "quote-need",
        form=words.say(_FORMS[need.form]),
        size=words.length(need.size_mm, 2),
        long=words.length(ceil(need.long_mm), 0),
        part=(entry.what if entry is not None else "") or name.replace("_", " "),
    )


def _what(line: MoneyLine, words: Words) -> str:
    if line.kind == "post":
        return words.say("charge-post", way=line.called)
    if line.kind == "material":
        return line.called or (words.say(_FORMS[line.form]) if line.form is not None else "")
    return words.say(_KINDS[line.kind])


def _how_much(line: MoneyLine, words: Words) -> str:
    if line.up_to is not None:
        return words.say("charge-up-to", mass=words.as_marked(line.up_to))
    if line.count is None:
        return ""
    if line.unit == "min":
        return hours_words(int(line.count))
    return words.exact(line.count) + ("" if line.unit == "piece" else f" {line.unit}")


def _price_of_one(line: MoneyLine, words: Words) -> str:
    price = words.exact(line.price)
    return price if line.count is None else words.say(_PRICES[line.unit], price=price)
