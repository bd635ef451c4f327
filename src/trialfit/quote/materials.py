"""What of the shop's stock a job uses up, and the post.

Source: cut lengths by `trialfit.fitup`, saw lengths by `trialfit.making.turned`; prices are the shop's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from math import ceil

from trialfit.job.pricing import PostEntry, Pricing, StockEntry
from trialfit.job.records import Job
from trialfit.making.turned.features import Bar
from trialfit.quote.money import rounded
from trialfit.quote.records import Making, MoneyLine, Need, NotInStock, SolderNeed, StockForm, StuffNeed
from trialfit.tables.metals import find_metal

Unpriced = Need | StuffNeed | NotInStock
_ALIKE_MM = 0.01
_BARS: Mapping[str, StockForm] = {"round": "round bar", "hexagon": "hexagon bar"}

MASS_UNKNOWN = "The mass of the parcel is not known."


def needs_of(job: Job, making: Making) -> tuple[Need, ...]:
    """Give every length of tube and bar the plan uses up.

    Parameters
    ----------
    job
        The job.
    making
        What the plan knows.

    Returns
    -------
    tuple of Need
        Pipes, then turned parts.
    """
    return (*_tubes(making), *_bars(job, making))


def _tubes(making: Making) -> Iterator[Need]:
    for pipe in making.pipes:
        metal = find_metal(pipe.tube.metal).key
        yield Need(f"pipes.{pipe.name}", "tube", pipe.tube.od_mm, metal, pipe.cut_length.value)


def _bars(job: Job, making: Making) -> Iterator[Need]:
    for plan in making.turned.parts:
        part, count = plan.part, job.turned[plan.part.name].count
        bar = plan.bar.chosen or Bar("round", part.swing_mm)
        yield Need(f"turned.{part.name}", _BARS[bar.shape], bar.size_mm, part.metal.key, count * plan.lengths.saw.value)


def material_lines(
    job: Job, pricing: Pricing, needs: tuple[Need, ...], soldered: tuple[SolderNeed, ...] = ()
) -> tuple[tuple[MoneyLine, ...], tuple[Unpriced, ...]]:
    """Price what is used up.

    Parameters
    ----------
    job
        The job, for what it adds.
    pricing
        What the workshop charges.
    needs
        Of the plan, those that are made.
    soldered
        Its joints, those that are made.

    Returns
    -------
    tuple
        Lines, and what has no price.
    """
    lines: list[MoneyLine] = []
    unpriced: list[Unpriced] = []
    for need in needs:
        stock = next((each for each in pricing.stock.values() if _is(each, need)), None)
        if stock is None:
            unpriced.append(need)
        else:
            # Whole millimetres, so that the sum can be done again on paper.
            lines.append(_line(stock.what, Decimal(ceil(need.long_mm)) / 1000, stock, pricing))
    for stuff in _stuffs(soldered):
        stock = next((each for each in pricing.stock.values() if _is_stuff(each, stuff)), None)
        if stock is None:
            unpriced.append(stuff)
        else:
            # Whole tenths of a gram, for the same reason.
            lines.append(_line(stock.what, Decimal(ceil(round(10.0 * stuff.mass_g, 6))) / 10, stock, pricing))
    for name, wanted in (job.quote.materials if job.quote else {}).items():
        count = Decimal(repr(wanted.count)).normalize()
        found = pricing.stock.get(wanted.stock or "")
        if wanted.price is not None:
            own = {"what": wanted.what, "price": wanted.price, "each": found.each if found else "piece"}
            found = StockEntry.model_validate(own)
        if found is None:
            unpriced.append(NotInStock(wanted.what or name, wanted.stock or ""))
        else:
            lines.append(_line(wanted.what or found.what or name, count, found, pricing))
    return tuple(lines), tuple(unpriced)


def _stuffs(soldered: tuple[SolderNeed, ...]) -> Iterator[StuffNeed]:
    """Solder by its sort, then flux, of all joints whose size is known."""
    grams: dict[str, float] = {}
    for need in soldered:
        if need.solder_g is not None:
            grams[need.filler] = grams.get(need.filler, 0.0) + need.solder_g
    for filler, mass_g in grams.items():
        yield StuffNeed("solder", filler, mass_g)
    flux_g = sum(need.flux_g or 0.0 for need in soldered)
    if flux_g:
        yield StuffNeed("flux", "", flux_g)


def _is_stuff(stock: StockEntry, stuff: StuffNeed) -> bool:
    return stock.form == stuff.form and (stock.filler or "") == stuff.filler


def post_line(
    way: str, entry: PostEntry | None, mass_g: float | None, pricing: Pricing
) -> tuple[MoneyLine | None, str]:
    """Price the post.

    Parameters
    ----------
    way
        Name of the way of posting.
    entry
        Its prices, or None where the shop has none of that name.
    mass_g
        Mass of the parcel, or None where it is not known. [g]
    pricing
        What the workshop charges.

    Returns
    -------
    tuple
        The line, or None; and why there is none.
    """
    if entry is None:
        return None, f'The shop file has no way of posting called "{way}".'
    if mass_g is None:
        return None, MASS_UNKNOWN
    band = next((band for band in entry.bands if float(band.up_to.to("g")) >= mass_g), None)
    if band is None:
        return None, f"No price of {entry.what or way} reaches {mass_g:.0f} g."
    amount = rounded(band.price, pricing.currency)
    return MoneyLine("post", entry.what or way, "parcel", None, amount, amount, band.up_to), ""


def _is(stock: StockEntry, need: Need) -> bool:
    if stock.form != need.form or stock.size is None or stock.metal is None:
        return False
    alike = abs(float(stock.size.to("mm")) - need.size_mm) < _ALIKE_MM
    return alike and find_metal(stock.metal).key == need.metal


def _line(called: str, count: Decimal, stock: StockEntry, pricing: Pricing) -> MoneyLine:
    amount = rounded(stock.price * count, pricing.currency)
    return MoneyLine("material", called, stock.each, count, stock.price, amount, form=stock.form)
