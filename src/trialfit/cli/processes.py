"""``trialfit order-of-work``: in which order the work at the bench is done, and why."""

from __future__ import annotations

import re
from pathlib import Path

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.job.records import Job
from trialfit.making.process_records import OrderOfWork, WorkStep
from trialfit.making.processes import orders_of_work
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper
from trialfit.sheets.processes import CAUTION_MARKS, because_words, cautions_of, order_sheet
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
        for file in _write(out, document, orders, size):
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


def _write(out: Path, job: Job, orders: tuple[OrderOfWork, ...], paper: Paper) -> list[Path]:
    files: list[Path] = []
    try:
        out.mkdir(parents=True, exist_ok=True)
        for order in orders:
            safe = re.sub(r"[^\w-]+", "-", order.name).strip("-")[:60] or "assembly"
            file = out / f"order-of-work-{safe}.pdf"
            file = file if file not in files else out / f"order-of-work-{safe}-{len(files) + 1}.pdf"
            title = f"{job.job.name}: order of work, {order.name}"
            file.write_bytes(pdf("processes.typ", order_sheet(job, order, paper), title, job.job.date))
            files.append(file)
    except OSError as error:
        raise Refusal(
            f"folder {out}", error.strerror or "an error", "a folder that can be written to",
            "Give another folder with --out.",
        ) from None  # fmt: skip
    return files
