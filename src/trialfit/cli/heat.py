"""``trialfit heat``: what the torch will do, and what it must not be put to."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.heat.records import HeatReport
from trialfit.heat.report import heats
from trialfit.job.shop import assumed_shop
from trialfit.sheets.heading import Paper
from trialfit.sheets.heat import cautions_of, figures_of, heat_sheets
from trialfit.store.files import write_files
from trialfit.store.folder import read_folder, read_shop_file


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("heat", nargs=-1)
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for the bench sheets.")
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@as_json
def heat_command(
    job: Path, heat: tuple[str, ...], out: Path | None, shop_file: Path | None, paper: str, as_json: bool
) -> int:
    """Say of the heats of the job folder JOB whether they come up, and what else melts; only those named HEAT, if any.

    Exit code 0: nothing stops them. 1: a finding says stop.
    """
    document = read_folder(job).job
    shop = read_shop_file(shop_file) if shop_file else assumed_shop()
    reports = _named(heats(document, shop), heat)
    answer(as_json, "\n\n".join(_text(report) for report in reports), reports)
    if out is not None:
        size: Paper = "us-letter" if paper == "us-letter" else "a4"
        for file in write_files(out, heat_sheets(document, reports, size)):
            click.echo(f"Written: {file}", err=as_json)
    return int(any(finding.answer is Answer.STOP for report in reports for finding in report.findings))


def _named(reports: tuple[HeatReport, ...], names: tuple[str, ...]) -> tuple[HeatReport, ...]:
    if not reports:
        raise Refusal("heats", "none in the job", "at least one heat", "Add it under [heating.NAME] in job.toml.")
    known = [report.name for report in reports]
    for name in names:
        if name not in known:
            raise Refusal("heat", name, "one of the job's", f"They are {', '.join(known)}.")
    return tuple(report for report in reports if not names or report.name in names)


def _text(report: HeatReport) -> str:
    head = f"{report.name}: {report.what}"
    lines = [head, "=" * min(len(head), 110), ""]
    lines += [
        filled(f"{name:<20} {figure}" if len(name) < 21 else f"{name}: {figure}", hanging=" " * 21)
        for name, figure in figures_of(report)
    ]
    lines += ["", findings_text(report.findings)]
    lines += ["", "Cautions", *(filled(words, "  ! ", "    ") for words in cautions_of(report))]
    return "\n".join(lines)
