"""Quote, invoice and the bench's own sheet of times. Every sum was made before; here it is only written down."""

from __future__ import annotations

from datetime import date
from typing import Any, Protocol

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.quote.held import Held, held_of
from trialfit.quote.money import hours_words, whole_minutes
from trialfit.quote.records import Choice, Invoice, Price, Quote
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper, head, signed
from trialfit.sheets.held_chart import held_drawing
from trialfit.sheets.layers import flat
from trialfit.sheets.owner_words import INVOICE, QUOTE


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
    card, sheets = plan.job.job, {}
    if plan.quote is not None and plan.quote.price is not None:
        record = quote_sheet(plan.job, plan.shop, plan.quote, plan.quote.price, paper)
        sheets["quote.pdf"] = pdf("charge.typ", record, f"{card.name}: quote", card.date)
    if plan.quote is not None:
        record = times_sheet(plan.job, plan.shop, plan.quote, paper)
        sheets["times.pdf"] = pdf("times.typ", record, f"{card.name}: times", card.date)
    if plan.invoice is not None:
        record = invoice_sheet(plan.job, plan.shop, plan.invoice, paper)
        sheets["invoice.pdf"] = pdf("charge.typ", record, f"{card.name}: invoice {plan.invoice.number}", card.date)
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
    words = QUOTE
    rests = words["rests"].format(jobs=quote.past_jobs) if quote.past_jobs else words["rests_on_guess"]
    lacks = [words["not_priced"].format(what=each) for each in quote.unpriced]
    if any(each.about == "post" for each in quote.findings):
        lacks.append(words["post_not_priced"])
    return {
        "head": _head(job, words["kind"], words["title"].format(engine=job.engine.name), paper),
        "facts": [
            [words["for"], job.job.owner],
            [words["from"], signed(shop)],
            [words["about"], ", ".join(part for part in (job.engine.name, job.engine.note) if part)],
            [words["until"], quote.until.isoformat()],
        ],
        "columns": words["columns"].split("|"),
        "lines": _lines(price),
        "sums": _sums(price, words["net"], words["total"]),
        "notes": [words["holds"], rests, *lacks, *([job.quote.note] if job.quote and job.quote.note else [])],
        "blocks": _choices(quote, price.currency),
        "small": words["rounding"],
    }


def _choices(quote: Quote, currency: str) -> list[dict[str, Any]]:
    lines = [line for choice in quote.choices for line in _choice(choice, currency)]
    return [{"name": QUOTE["choices"], "lines": lines}] if lines else []


def _choice(choice: Choice, currency: str) -> list[str]:
    what = choice.what[:1].upper() + choice.what[1:]
    lines = [QUOTE[f"choice_{choice.chosen}"].format(what=what, fails=f"{100 * choice.fails:.0f}")]
    repair, remake = choice.repair.four_in_five_price, choice.remake.four_in_five_price
    if repair is not None and remake is not None:
        lines.append(QUOTE["choice_prices"].format(repair=f"{repair} {currency}", remake=f"{remake} {currency}"))
    if choice.before is not None and choice.after is not None:
        before, after = f"{choice.before.likely:.1f}", f"{choice.after.likely:.1f}"
        lines.append(QUOTE["choice_strength"].format(before=before, after=after))
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
    words, price = INVOICE, invoice.price
    tax = shop.pricing.tax if shop.pricing else None
    facts = [
        [words["for"], job.job.owner],
        [words["from"], signed(shop)],
        [words["about"], job.engine.name],
        [words["day"], invoice.day.isoformat()],
        [words["charged"], invoice.charged],
        [words["due"], invoice.due.isoformat()],
        [words["pay_to"], shop.pricing.pay_to if shop.pricing else ""],
        [words["tax_number"], tax.number if tax else ""],
    ]
    sums = _sums(price, words["net"], words["total"])
    if invoice.paid:
        sums[-1]["strong"] = False
        last = "to_pay" if invoice.to_pay >= 0 else "to_give_back"
        sums.append(_sum(words["paid"], f"-{invoice.paid} {price.currency}"))
        sums.append(_sum(words[last], f"{abs(invoice.to_pay)} {price.currency}", True))
    return {
        "head": _head(job, words["kind"], words["title"].format(number=invoice.number), paper),
        "facts": [fact for fact in facts if fact[1]],
        "columns": words["columns"].split("|"),
        "lines": _lines(price),
        "sums": sums,
        "notes": [],
        "blocks": [],
        "small": words["rounding"],
    }


def times_sheet(job: Job, shop: Shop, quote: Quote, paper: Paper = "a4") -> dict[str, Any]:
    """Write the bench's sheet of times as a record for its template.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop, for its past jobs.
    quote
        The job's quote.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values: a row an operation with a blank for what it takes, and past jobs against their quotes.
    """
    rows = [
        [
            each.line.operation,
            each.line.what,
            f"{each.line.count} {each.line.each}{'' if each.line.count == 1 else 's'}",
            _hours(each.minutes.likely_min),
            _hours(each.minutes.four_in_five_min),
            str(each.times),
            "" if each.taken_min is None else _hours(each.taken_min),
        ]
        for each in quote.operations
    ]
    whole = quote.minutes
    return {
        "head": _head(job, "times, bench sheet", f"What the work takes: {job.engine.name}", paper),
        "columns": ["operation", "on", "how many", "likely", "4 in 5", "past times", "took"],
        "rows": rows,
        "whole": f"All that is quoted: likely {_hours(whole.likely_min)}, mean {_hours(whole.mean_min)}, four times in "
        f"five not more than {_hours(whole.four_in_five_min)}. Random numbers: seed {quote.seed}, {quote.draws} draws.",
        "note": "write down what each took, and enter it: trialfit times add JOB OPERATION TIME",
        **_held(held_of(shop), paper),
    }


def held_sheet(shop: Shop, held: tuple[Held, ...], day: date, paper: Paper = "a4") -> dict[str, bytes]:
    """Set the sheet that holds past jobs against their quotes.

    Parameters
    ----------
    shop
        The workshop.
    held
        Its past jobs.
    day
        The date on the sheet.
    paper
        Size of the paper.

    Returns
    -------
    dict
        One PDF and one SVG by file name.
    """
    from trialfit.sheets.svg import svg

    title = "Quoted against taken"
    record = {
        "head": {
            "paper": paper, "kind": "the workshop's own", "title": title, "job": signed(shop),
            "revision": f"{len(held)} jobs", "given": f"given {day.isoformat()}", "foot": "",
        },
        "columns": [], "rows": [], "whole": "", "note": "", **_held(held, paper),
    }  # fmt: skip
    drawn = held_drawing(held, _CHART_MM[paper])
    return {
        "quoted-against-taken.pdf": pdf("times.typ", record, title, day),
        "quoted-against-taken.svg": svg(drawn, title).encode(),
    }


_CHART_MM: dict[Paper, float] = {"a4": 186.0, "us-letter": 191.9}


def _held(held: tuple[Held, ...], paper: Paper) -> dict[str, Any]:
    if not held:
        return {"held": "", "chart": None}
    kept = sum(each.holds for each in held)
    return {
        "held": f"The four-in-five time held in {kept} of {len(held)} past jobs. Each is foreseen from the other jobs' "
        "times, of the operations that were timed on it.",
        "chart": flat(held_drawing(held, _CHART_MM[paper])).record(),
    }


def _head(job: Job, kind: str, title: str, paper: Paper) -> dict[str, Any]:
    return head(job, kind, title, paper) | {"foot": ""}


def _lines(price: Price) -> list[list[str]]:
    return [[line.what, line.count, line.each, str(line.amount)] for line in price.lines]


def _sums(price: Price, net: str, total: str) -> list[dict[str, Any]]:
    sums = [_sum(net, str(price.net)), _sum(price.tax_words, str(price.tax))] if price.tax_words else []
    return [*sums, _sum(total, f"{price.total} {price.currency}", True)]


def _sum(words: str, amount: str, strong: bool = False) -> dict[str, Any]:
    return {"words": words, "amount": amount, "strong": strong}


def _hours(minutes: float) -> str:
    return hours_words(whole_minutes(minutes))
