"""``trialfit why-broken``: why a tail broke, and what the new one will stand."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.findings import filled, findings_text
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.store.folder import read_folder
from trialfit.strength.report import BreakReport, why_broken


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("tail", nargs=-1)
@as_json
def why_broken_command(job: Path, tail: tuple[str, ...], as_json: bool) -> int:
    """Say why the tails of the job folder JOB broke, and what the new ones stand; only those named TAIL, if any are.

    Exit code 0: nothing stops them. 1: a finding says stop.
    """
    reports = why_broken(read_folder(job).job)
    reports = _named(reports, tail)
    answer(as_json, "\n\n".join(_text(report) for report in reports), reports)
    return int(any(finding.answer is Answer.STOP for report in reports for finding in report.findings))


def _named(reports: tuple[BreakReport, ...], names: tuple[str, ...]) -> tuple[BreakReport, ...]:
    known = ", ".join(report.name for report in reports)
    if not reports:
        raise Refusal(
            "breaks", "none in the job", "at least one broken tail", "Add it under [breaks.NAME] in job.toml."
        )
    for name in names:
        if name not in [report.name for report in reports]:
            raise Refusal("broken tail", name, "one of the job's", f"They are {known}.")
    return tuple(report for report in reports if not names or report.name in names)


def _text(report: BreakReport) -> str:
    head = report.name if report.what == report.name else f"{report.name}: {report.what}"
    lines = [head, "=" * min(len(head), 110), "", findings_text(report.findings)]
    if report.safe is not None:
        lines += ["", filled(f"For the owner's sheet: {report.safe.words}", hanging="")]
    return "\n".join(lines)
