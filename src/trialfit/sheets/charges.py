"""Quote and invoice. Every sum was made before; here it is only written down."""

from __future__ import annotations

from typing import Any, Protocol

from trialfit.job.example_prices import still_assumed
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.quote.records import Choice, Invoice, Price, Quote
from trialfit.sheets.charge_words import line_words, tax_words, unpriced_words
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper
from trialfit.sheets.owner_head import owner_head, owner_title, signed
from trialfit.sheets.times import times_sheet
from trialfit.sheets.unheld import owner_name
from trialfit.sheets.words import Words, words_for


class Charged(Protocol):
    """What these sheets take from a plan."""

    @property
    def job(self) -> Job:
        """The job."""

    @property
    def shop(self) -> Shop:
        """The workshop."""

    @property
    def quote(self) -> Quote | None:
        """The quote, if there is one."""

    @property
    def invoice(self) -> Invoice | None:
        """The invoice, if there is one."""


def charge_sheets(plan: Charged, paper: Paper = "a4") -> dict[str, bytes]:
    """Set quote, invoice and the sheet of times.

    Parameters
    ----------
    plan
        The job with all that was worked out.
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name; no quote without a price.
    """
    card, sheets, words = plan.job.job, {}, words_for(plan.job)
    if plan.quote is not None and plan.quote.price is not None:
        record = quote_sheet(plan.job, plan.shop, plan.quote, plan.quote.price, paper)
        sheets["quote.pdf"] = pdf("charge.typ", record, owner_title(plan.job, words.say("quote-kind")), card.date)
    if plan.quote is not None:
        record = times_sheet(plan.job, plan.shop, plan.quote, paper)
        sheets["times.pdf"] = pdf("times.typ", record, f"{card.name}: times", card.date)
    if plan.invoice is not None:
        record = invoice_sheet(plan.job, plan.shop, plan.invoice, paper)
        title = owner_title(plan.job, words.say("invoice-title", number=plan.invoice.number))
        sheets["invoice.pdf"] = pdf("charge.typ", record, title, card.date)
    return sheets


def quote_sheet(job: Job, shop: Shop, quote: Quote, price: Price, paper: Paper = "a4") -> dict[str, Any]:
    """Write the quote as a record for its template.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.
    quote
        Its quote.
    price
        The price in it.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    words = words_for(job)
    rests = words.say("quote-rests", jobs=quote.past_jobs) if quote.past_jobs else words.say("quote-rests-on-guess")
    lacks = unpriced_words(job, quote.unpriced, words)
    if any(each.about == "post" for each in quote.findings):
        lacks.append(words.say("quote-post-not-priced"))
    return {
        "head": owner_head(
            job, words, paper, words.say("quote-kind"), words.say("quote-title", engine=job.engine.name), ""
        ),
        "draft": words.say("charge-draft") if still_assumed(shop.pricing) else "",
        "facts": [
            [words.say("common-for"), owner_name(job)],
            [words.say("common-from"), signed(shop, words)],
            [words.say("common-engine"), ", ".join(part for part in (job.engine.name, job.engine.note) if part)],
            [words.say("quote-until"), words.day(quote.until)],
        ],
        **_lines(price, words),
        "sums": _sums(price, words, words.say("quote-to-pay")),
        "notes": [
            words.say("quote-holds"), rests, *lacks, *([job.quote.note] if job.quote and job.quote.note else [])
        ],
        "blocks": _choices(quote, price.currency, words),
    }  # fmt: skip


def _choices(quote: Quote, currency: str, words: Words) -> list[dict[str, Any]]:
    lines = [line for choice in quote.choices for line in _choice(choice, currency, words)]
    return [{"name": words.say("quote-choices"), "lines": lines}] if lines else []


def _choice(choice: Choice, currency: str, words: Words) -> list[str]:
    what = choice.what[:1].upper() + choice.what[1:]
    if choice.chosen == "repair":
        lines = [words.say("quote-choice-repair", what=what, fails=words.number(100.0 * choice.fails))]
    else:
        lines = [words.say("quote-choice-remake", what=what)]
    repair, remake = choice.repair.four_in_five_price, choice.remake.four_in_five_price
    if repair is not None and remake is not None:
        priced = {"repair": words.money(repair, currency), "remake": words.money(remake, currency)}
        lines.append(words.say("quote-choice-prices", **priced))
    if choice.before is not None and choice.after is not None:
        before, after = words.torque(choice.before.likely), words.torque(choice.after.likely)
        lines.append(words.say("quote-choice-strength", before=before, after=after))
    return lines


def invoice_sheet(job: Job, shop: Shop, invoice: Invoice, paper: Paper = "a4") -> dict[str, Any]:
    """Write the invoice as a record for its template.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.
    invoice
        The invoice.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    words, price = words_for(job), invoice.price
    tax = shop.pricing.tax if shop.pricing else None
    facts = [
        [words.say("common-for"), owner_name(job)],
        [words.say("common-from"), signed(shop, words)],
        [words.say("common-engine"), job.engine.name],
        [words.say("invoice-day"), words.day(invoice.day)],
        [words.say("invoice-charged"), charged_words(job, invoice, words)],
        [words.say("invoice-due"), words.day(invoice.due)],
        [words.say("invoice-pay-to"), shop.pricing.pay_to if shop.pricing else ""],
        [words.say("invoice-tax-number"), tax.number if tax else ""],
    ]
    sums = _sums(price, words, words.say("invoice-total"))
    if invoice.paid:
        sums[-1]["strong"] = False
        last = words.say("invoice-to-pay" if invoice.to_pay >= 0 else "invoice-to-give-back")
        sums.append(_sum(words.say("invoice-paid"), words.money(-invoice.paid, price.currency)))
        sums.append(_sum(last, words.money(abs(invoice.to_pay), price.currency), True))
    title = words.say("invoice-title", number=invoice.number)
    return {
        "head": owner_head(job, words, paper, words.say("invoice-kind"), title, ""),
        "draft": "",
        "facts": [fact for fact in facts if fact[1]],
        **_lines(price, words),
        "sums": sums,
        "notes": [],
        "blocks": [],
    }


def charged_words(job: Job, invoice: Invoice, words: Words) -> str:
    """Say what the work of an invoice is charged by.

    Parameters
    ----------
    job
        The job.
    invoice
        The invoice.
    words
        Of whoever reads it.

    Returns
    -------
    str
        Such as ``as quoted on 14 March 2026``.
    """
    if invoice.charged == "as quoted":
        return words.say("invoice-as-quoted", day=words.day(job.job.date))
    return words.say("invoice-by-time" if invoice.charged == "by the time taken" else "invoice-took-longer")


def _lines(price: Price, words: Words) -> dict[str, Any]:
    named = ("charge-what", "charge-how-much", "charge-price-of-one", "charge-amount")
    return {
        "columns": [words.say(name) for name in named],
        "lines": [line_words(line, words) for line in price.lines],
        "small": words.say("charge-rounding"),
    }


def _sums(price: Price, words: Words, total: str) -> list[dict[str, Any]]:
    tax = tax_words(price, words)
    net = [_sum(words.say("charge-net"), words.exact(price.net)), _sum(tax, words.exact(price.tax))] if tax else []
    return [*net, _sum(total, words.money(price.total, price.currency), True)]


def _sum(words: str, amount: str, strong: bool = False) -> dict[str, Any]:
    return {"words": words, "amount": amount, "strong": strong}
