"""``trialfit plan``: the whole job, as findings on the screen, plan.json and the sheets."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.findings import counted, findings_text
from trialfit.cli.looking import in_colour, look_at
from trialfit.finding import Answer, Finding
from trialfit.job.shop import assumed_shop
from trialfit.plan import plan as plan_job
from trialfit.sheets.heading import Paper, gravest_first
from trialfit.sheets.pack import pack_of
from trialfit.sheets.unheld import unheld_findings
from trialfit.store.files import made_ready, write_files
from trialfit.store.folder import read_folder, read_shop_file
from trialfit.store.plain import json_text


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for plan.json and the sheets.")
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@click.option("--json", "as_json", is_flag=True, help="Print the whole plan as JSON.")
def plan(job: Path, out: Path | None, shop_file: Path | None, paper: str, as_json: bool) -> int:
    """Work out the job folder JOB, print the findings, and write plan.json and the sheets.

    Exit code 0: nothing stops the job. 1: a finding says stop.
    """
    folder = read_folder(job)
    shop = read_shop_file(shop_file) if shop_file else assumed_shop()
    size: Paper = "us-letter" if paper == "us-letter" else "a4"
    if out is not None:
        made_ready(out)
    looked = look_at(folder)
    made = plan_job(folder.job, shop, looked.sighted, looked.twice, looked.bench)
    document = json_text(made)
    if as_json:
        click.echo(document)
    else:
        click.echo(as_text((*made.findings, *unheld_findings(folder.job))))
    if out is not None:
        pictures = {**looked.pictures, **in_colour(folder, looked)}
        written = write_files(out, {"plan.json": document.encode(), **pack_of(made, made.asked, size, pictures)})
        click.echo("\n".join(["", *(f"Written: {path}" for path in written)]), err=as_json)
    return int(any(finding.answer is Answer.STOP for finding in made.findings))


def as_text(findings: tuple[Finding, ...]) -> str:
    """Write findings for a person, the gravest first.

    Parameters
    ----------
    findings
        All of them.

    Returns
    -------
    str
        One block a finding, then a count.
    """
    return f"{findings_text(gravest_first(findings), named=True)}\n\n{counted(findings)}"
