"""``trialfit quote`` and ``trialfit times``: what the work will take and cost, and the bench's clock."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.looking import look_at
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.job.example_prices import still_assumed
from trialfit.job.records import Job
from trialfit.job.shop import Shop, assumed_shop
from trialfit.plan import plan as plan_job
from trialfit.quote.clock import forget, known_operation, start, stop, typed
from trialfit.quote.held import Held, held_of
from trialfit.quote.money import hours_words, whole_minutes
from trialfit.quote.records import Invoice, Price, Quote
from trialfit.sheets.heading import Paper
from trialfit.store.files import write_files
from trialfit.store.folder import TIMES, read_folder, read_shop_file
from trialfit.store.times import read_times_file, write_times_file


@click.command("quote")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for quote, times and invoice.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@as_json
def quote(job: Path, shop_file: Path | None, out: Path | None, paper: str, as_json: bool) -> int:
    """Say what the work of the job folder JOB takes and costs, repair or remake, and write quote and invoice.

    Exit code 0: good. 1: a finding says stop.
    """
    folder = read_folder(job)
    shop = read_shop_file(shop_file) if shop_file else assumed_shop()
    if folder.job.quote is None:
        raise Refusal(f"job {folder.job.job.name}", "nothing to quote", "a quote", "Add a table [quote] to the job.")
    looked = look_at(folder)
    plan = plan_job(folder.job, shop, looked.sighted, looked.twice, looked.bench)
    found = [each for each in plan.findings if each.stage in ("quote", "parcel")]
    text = [findings_text(found, named=True)]
    if plan.quote is not None:
        text.insert(0, _operations_text(plan.quote))
        if plan.quote.price:
            text.append(price_text(plan.quote.price))
            text += ["A draft: prices in it are invented, not this shop's own."] if still_assumed(shop.pricing) else []
    text += [_invoice_text(plan.job, plan.invoice)] if plan.invoice else []
    record = {"quote": plan.quote, "parcel": plan.parcel, "invoice": plan.invoice, "findings": found}
    answer(as_json, "\n\n".join(text), record)
    if out is not None:
        from trialfit.sheets.charges import charge_sheets

        size: Paper = "us-letter" if paper == "us-letter" else "a4"
        for path in write_files(out, charge_sheets(plan, size)):
            click.echo(f"Written: {path}", err=as_json)
    return int(any(each.answer is Answer.STOP for each in found))


def price_text(price: Price) -> str:
    """Write a price line by line.

    Parameters
    ----------
    price
        The price.

    Returns
    -------
    str
        A line each, the total last.
    """
    from trialfit.sheets.charge_words import line_words, tax_words
    from trialfit.sheets.words import Words

    words = Words()
    rows = [line_words(line, words) for line in price.lines]
    rows.append([words.say("charge-net"), "", "", words.exact(price.net)])
    if tax := tax_words(price, words):
        rows.append([tax, "", "", words.exact(price.tax)])
    rows.append([words.say("invoice-total"), "", price.currency, words.exact(price.total)])
    lines = [f"  {what:<44} {count:>12} {each:>16} {amount:>10}" for what, count, each, amount in rows]
    rounding = words.say("charge-rounding")
    return "\n".join(["The price that holds four times in five:", *lines, f"  {rounding}"])


def _operations_text(quote: Quote) -> str:
    rows = [f"  {'operation':<24} {'what':<38} {'':>4} {'likely':>12} {'4 in 5':>12} {'past times':>10}"]
    for each in quote.operations:
        line, times = each.line, each.times
        likely, high = _hours(each.minutes.likely_min), _hours(each.minutes.four_in_five_min)
        rows.append(f"  {line.operation:<24} {line.what[:38]:<38} {line.count:>4} {likely:>12} {high:>12} {times:>10}")
    total = [_hours(m) for m in (quote.minutes.likely_min, quote.minutes.four_in_five_min)]
    rows.append(f"  {'all that is quoted':<24} {'':<38} {'':>4} {total[0]:>12} {total[1]:>12}")
    return "\n".join(rows)


def _invoice_text(job: Job, invoice: Invoice) -> str:
    from trialfit.sheets.charges import charged_words
    from trialfit.sheets.words import Words

    price, charged = invoice.price, charged_words(job, invoice, Words())
    return (
        f"Invoice {invoice.number} of {invoice.day}, {charged}: {price.total} {price.currency}, "
        f"paid {invoice.paid}, to pay {invoice.to_pay} by {invoice.due}."
    )


def _hours(minutes: float) -> str:
    return hours_words(whole_minutes(minutes))


@click.group("times")
def times() -> None:
    """Take times at the bench. They feed the next quote."""


_file = click.option(
    "--times", "file", type=click.Path(path_type=Path, dir_okay=False), default=Path(TIMES), show_default=True,
    help="The file they stand in; keep it beside the shop file.",
)  # fmt: skip
_count = click.option("--count", type=click.IntRange(min=1), default=1, show_default=True, help="How many are done.")


@times.command("start")
@click.argument("job")
@click.argument("operation")
@_count
@_file
def start_command(job: str, operation: str, count: int, file: Path) -> None:
    """Start the clock of OPERATION on JOB, a job folder or a job's name."""
    name = _job_name(job)
    known_operation(operation, _shop_beside(file))
    write_times_file(file, start(read_times_file(file), name, operation, count, datetime.now()))
    click.echo(f"Running: {operation} on {name}.")


@times.command("stop")
@click.option("--operation", default="", help="Which, where several run.")
@click.option("--note", default="", help="Anything that made it long or short.")
@click.option("--forget", "forgotten", is_flag=True, help="Keep no time.")
@_file
def stop_command(operation: str, note: str, forgotten: bool, file: Path) -> None:
    """Stop the clock and keep the time."""
    before = read_times_file(file)
    if forgotten:
        write_times_file(file, forget(before, operation))
        click.echo("Stopped; no time was kept.")
        return
    after, entry = stop(before, datetime.now(), operation, note)
    write_times_file(file, after)
    click.echo(f"{entry.operation} on {entry.job}: {entry.count} in {entry.took}.")


@times.command("add")
@click.argument("job")
@click.argument("operation")
@click.argument("took")
@_count
@click.option("--note", default="", help="Anything that made it long or short.")
@_file
def add_command(job: str, operation: str, took: str, count: int, note: str, file: Path) -> None:
    """Enter a time of OPERATION on JOB that took TOOK, such as "35 min"."""
    from trialfit.units import read

    read(took, "time", f"time of {operation}")
    name = _job_name(job)
    known_operation(operation, _shop_beside(file))
    entry = typed(name, operation, count, took, datetime.now(), note)
    before = read_times_file(file)
    write_times_file(file, before.model_copy(update={"times": (*before.times, entry)}))
    click.echo(f"Entered: {operation} on {name}, {count} in {took}.")


@times.command("show")
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), required=True, help="The shop file.")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for the sheet with the chart.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@as_json
def show_command(shop_file: Path, out: Path | None, paper: str, as_json: bool) -> None:
    """Hold past jobs against what would have been quoted for them from the others."""
    shop = read_shop_file(shop_file)
    held = held_of(shop)
    answer(as_json, _held_text(held), {"held": held})
    if out is not None:
        from trialfit.sheets.times import held_sheet

        size: Paper = "us-letter" if paper == "us-letter" else "a4"
        for path in write_files(out, held_sheet(shop, held, datetime.now().date(), size)):
            click.echo(f"Written: {path}", err=as_json)


def _held_text(held: tuple[Held, ...]) -> str:
    if not held:
        return "No time has been taken yet."
    rows = [f"  {'job':<30} {'likely':>12} {'4 in 5':>12} {'took':>12}"]
    for each in held:
        foreseen = [_hours(m) for m in (each.likely_min, each.four_in_five_min, each.taken_min)]
        mark = "" if each.holds else "   over"
        rows.append(f"  {each.job:<30} {foreseen[0]:>12} {foreseen[1]:>12} {foreseen[2]:>12}{mark}")
    kept = sum(each.holds for each in held)
    said = f"Held in {kept} of {len(held)}. Each is foreseen from the other jobs' times, of the operations timed on it."
    return "\n".join([*rows, filled(said, hanging="")])


def _job_name(job: str) -> str:
    path = Path(job)
    return read_folder(path).job.job.name if path.exists() else job


def _shop_beside(file: Path) -> Shop | None:
    beside = file.parent / "shop.toml"
    return read_shop_file(beside) if beside.is_file() else None
