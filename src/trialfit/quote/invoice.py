"""The invoice of a job: as quoted, or by the time taken and never more than quoted.

Source: plain sums by `trialfit.quote.money`.
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from trialfit.errors import Refusal
from trialfit.finding import Answer, Finding, Reason
from trialfit.job.example_prices import still_assumed
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.quote.lacking import own_prices_wanted, rate_wanted
from trialfit.quote.money import price_of, rounded, work_line
from trialfit.quote.quote import up_to_least
from trialfit.quote.records import Charged, Invoice, Price, Quote

AS_QUOTED: Charged = "as quoted"


def invoice_of(job: Job, shop: Shop, quote: Quote | None) -> Invoice:
    """Write the invoice of a job.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.
    quote
        Its quote.

    Returns
    -------
    Invoice
        Complete.

    Raises
    ------
    Refusal
        The job has no invoice, nothing was quoted, there is no price of the hour, prices are the example's, or no time
        was taken that it is to be charged by.
    """
    entry = job.invoice
    if entry is None:
        raise Refusal("invoice", "nothing", "an invoice in the job", "Add [invoice] with its number and day.")
    what = f"invoice {entry.number}"
    if shop.pricing is None or shop.pricing.rate is None:
        raise Refusal(
            what, "no price of an hour's work", "a rate in the shop file",
            rate_wanted(shop.pricing),
        )  # fmt: skip
    if assumed := still_assumed(shop.pricing):
        raise Refusal(
            what, f"the example's prices, invented, for {', '.join(assumed)}", "the shop's own prices",
            own_prices_wanted(),
        )  # fmt: skip
    if quote is None or quote.price is None:
        raise Refusal(what, "nothing quoted", "a quote in the job", "Add [quote] to the job.")
    price, charged = quote.price, AS_QUOTED
    if entry.charged == "by the time taken":
        price, charged = _by_time(job, shop, price, what)
    paid = rounded(entry.paid or Decimal(0), price.currency)
    due = entry.day + timedelta(days=min(entry.due, 3650))
    return Invoice(entry.number, entry.day, due, price, paid, price.total - paid, charged)


def _by_time(job: Job, shop: Shop, quoted: Price, what: str) -> tuple[Price, Charged]:
    pricing = shop.pricing
    taken = [entry.took.to("min") for entry in shop.times if entry.job == job.job.name]
    if not taken or pricing is None or pricing.rate is None:
        raise Refusal(
            what, "no time taken on this job", "times to charge by",
            f'Enter them with "trialfit times add {job.job.name} OPERATION MINUTES", or charge as quoted.',
        )  # fmt: skip
    work = work_line("work by the time taken", float(sum(taken)), pricing.rate, pricing.currency)
    if work.amount >= quoted.lines[0].amount:
        return quoted, "as quoted, it took longer"
    rest = [line for line in quoted.lines[1:] if line.kind != "made up to the least charge"]
    return price_of((work, *up_to_least(work, pricing), *rest), pricing), "by the time taken"


def no_invoice(shop: Shop, refusal: Refusal) -> Finding:
    """Say why there is no invoice.

    Parameters
    ----------
    shop
        The workshop.
    refusal
        As `invoice_of` raises it.

    Returns
    -------
    Finding
        A stop; a look where the shop has no prices at all, for then nothing is charged yet.
    """
    answer = Answer.LOOK if shop.pricing is None else Answer.STOP
    fault = refusal.fault
    return Finding(
        "quote", "invoice", "Can the invoice be written?", answer,
        because=(Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),), do=fault.remedy,
    )  # fmt: skip
