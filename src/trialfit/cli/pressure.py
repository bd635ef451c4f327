"""``trialfit pressure-test``: what is tested stands, what codes say, how long to hold, and the test record."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.sheets.heading import PRESSURE, PROOF, Paper
from trialfit.sheets.pack import pressure_sheets
from trialfit.sheets.tested import tested_files
from trialfit.store.files import write_files
from trialfit.store.folder import read_folder
from trialfit.strength.pressure_findings import tested_by_name


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for bench sheets and the owner's record."
)
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@as_json
def pressure_test(job: Path, out: Path | None, paper: str, as_json: bool) -> int:
    """Say what the walls of each pressure test of the job folder JOB hold, what codes say of it, and write its sheet.

    Exit code 0: nothing stops it. 1: a finding says stop.
    """
    document = read_folder(job).job
    reports = tested_by_name(document)
    if not reports:
        remedy = "Add one as [pressure_tests.NAME] to job.toml."
        raise Refusal("pressure tests", "none in the job", "at least one", remedy)
    blocks = []
    for name, (test, findings) in reports.items():
        title = name if test is None or test.what == name else f"{name}: {test.what}"
        blocks.append("\n".join([title, "=" * min(len(title), 110), "", findings_text(findings, named=True)]))
    foot = "\n".join(["Cautions", *(filled(words, "  ! ", "    ") for words in (PRESSURE, PROOF))])
    answer(as_json, "\n\n".join([*blocks, foot]), list(reports.values()))
    tests = tuple(test for test, _ in reports.values() if test is not None)
    if out is not None and tests:
        size: Paper = "us-letter" if paper == "us-letter" else "a4"
        sheets = {**pressure_sheets(document, tests, size), **tested_files(document, None, tests, size)}
        for file in write_files(out, sheets):
            click.echo(f"Written: {file}", err=as_json)
    return int(any(finding.answer is Answer.STOP for _, findings in reports.values() for finding in findings))
