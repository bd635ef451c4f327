"""``trialfit turned``: the turned parts of a job, with findings, bench sheets, and drawings as SVG and DXF."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.findings import counted, filled, findings_text
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.job.shop import assumed_shop
from trialfit.making.turned.plan import TurnedJob, turned_parts
from trialfit.making.turned.records import TurnedPlan
from trialfit.sheets.heading import Paper, gravest_first
from trialfit.store.files import write_files
from trialfit.store.folder import read_folder, read_shop_file


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for sheets and drawings.")
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@as_json
def turned(job: Path, out: Path | None, shop_file: Path | None, paper: str, as_json: bool) -> int:
    """Work out the turned parts of the job folder JOB: lengths, walls, tools, steps, drawings.

    Exit code 0: nothing stops them. 1: a finding says stop.
    """
    folder = read_folder(job)
    if not folder.job.turned:
        raise Refusal(
            f"job {folder.job.job.name}", "no part to be turned", "at least one table [turned.NAME]",
            "Add one to job.toml; docs/job-file.md says how its lines are written.",
        )  # fmt: skip
    made = turned_parts(folder.job, read_shop_file(shop_file) if shop_file else assumed_shop())
    answer(as_json, as_text(made), made)
    if out is not None:
        size: Paper = "us-letter" if paper == "us-letter" else "a4"
        # The drawing libraries are only loaded when something is to be written.
        from trialfit.sheets.pack import turned_files

        written = write_files(out, turned_files(folder.job, made, size))
        click.echo("\n".join(["", *(f"Written: {path}" for path in written)]), err=as_json)
    return int(any(finding.answer is Answer.STOP for finding in made.findings))


def as_text(made: TurnedJob) -> str:
    """Write the turned parts for a person.

    Parameters
    ----------
    made
        The parts and what was found.

    Returns
    -------
    str
        Part by part: what it is, then its findings, the gravest first.
    """
    named = {plan.part.name: plan for plan in made.parts}
    blocks = []
    for about in dict.fromkeys(finding.about for finding in made.findings):
        plan = named.get(about.removeprefix("turned "))
        blocks.append(_head(about, plan))
        blocks.append(findings_text(gravest_first(each for each in made.findings if each.about == about)))
    return "\n\n".join([*blocks, counted(made.findings)])


def _head(about: str, plan: TurnedPlan | None) -> str:
    if plan is None:
        return about.upper()
    long, bar = plan.lengths, plan.bar.chosen
    count = f"{plan.part.count} off, " if plan.part.count > 1 else ""
    said = (
        f"{count}{plan.part.metal.key}, from {bar.name if bar else f'round {plan.bar.round_mm:.2f} mm or over'}. "
        f"Saw {long.saw}, finished {long.finished}{' (k = 2)' if long.finished.k2 else ''}; {plan.mass} each."
    )
    return f"{about.upper()}\n{filled(said, '', '')}"
