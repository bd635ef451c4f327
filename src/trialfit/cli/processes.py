"""``trialfit order-of-work``: in which order the work at the bench is done, and why."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.making.process_records import OrderOfWork, WorkStep
from trialfit.making.processes import orders_of_work
from trialfit.sheets.heading import Paper
from trialfit.sheets.pack import order_sheets
from trialfit.sheets.processes import CAUTION_MARKS, because_words, cautions_of
from trialfit.store.files import write_files
from trialfit.store.folder import read_folder


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for the bench sheets.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@as_json
def order_of_work_command(job: Path, out: Path | None, paper: str, as_json: bool) -> int:
    """Put the work on the assemblies of the job folder JOB in order, or say why there is none; write the bench sheets.

    Exit code 0: nothing stops them. 1: a finding says stop.
    """
    document = read_folder(job).job
    orders = orders_of_work(document)
    if not orders:
        remedy = "Add one as [assemblies.NAME] to job.toml."
        raise Refusal("assemblies", "none in the job", "at least one assembly", remedy)
    answer(as_json, "\n\n".join(_text(order) for order in orders), orders)
    if out is not None:
        size: Paper = "us-letter" if paper == "us-letter" else "a4"
        for file in write_files(out, order_sheets(document, orders, size)):
            click.echo(f"Written: {file}", err=as_json)
    return int(any(finding.answer is Answer.STOP for order in orders for finding in order.findings))


def _text(order: OrderOfWork) -> str:
    head = order.name if order.what == order.name else f"{order.name}: {order.what}"
    lines = [head, "=" * min(len(head), 110), "", findings_text(order.findings)]
    lines += [line for step in order.steps for line in ("", *_step(step))]
    lines += ["", "Cautions", *(filled(words, "  ! ", "    ") for words in cautions_of(order))]
    return "\n".join(lines)


def _step(step: WorkStep) -> list[str]:
    hanging = " " * 6
    marks = "".join(f"  ! {CAUTION_MARKS[caution]}" for caution in step.cautions)
    lines = [filled(f"{step.number:>3}.  {step.words}, on {step.on}{marks}")]
    lines += [filled(note, hanging, hanging) for note in step.notes]
    return lines + [filled(because_words(each), hanging, hanging) for each in step.because]
