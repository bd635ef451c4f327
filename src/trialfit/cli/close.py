"""``trialfit close``: freeze a job's revision, and put its record into one file for the archive."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from zipfile import is_zipfile

import click

from trialfit.cli.looking import in_colour, look_at
from trialfit.errors import Refusal
from trialfit.job.shop import assumed_shop
from trialfit.parcel.closing import need_accounted
from trialfit.plan import plan as plan_job
from trialfit.sheets.archive import archive_files
from trialfit.sheets.heading import Paper
from trialfit.sheets.pack import pack_of
from trialfit.store.closing import archived, close_folder, zipped
from trialfit.store.files import write_files
from trialfit.store.folder import read_folder, read_shop_file
from trialfit.store.plain import json_text


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), required=True, help="The archive, a .zip file.")
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
def close(job: Path, out: Path, shop_file: Path | None, paper: str) -> None:
    """Close the revision of the job folder JOB and write its record: document, photographs, plan and every sheet.

    A job whose parcel is not accounted for is not closed. What is closed stays: a correction is a new revision.
    """
    if out.exists() and not is_zipfile(out):
        remedy = "Name another file: what is in this one would be lost."
        raise Refusal(f"archive {out}", "a file that is no archive", "a new file, or the archive of before", remedy)
    folder = read_folder(job)
    shop = read_shop_file(shop_file) if shop_file else assumed_shop()
    size: Paper = "us-letter" if paper == "us-letter" else "a4"
    looked = look_at(folder)
    plan = plan_job(folder.job, shop, looked.sighted, looked.twice, looked.bench)
    need_accounted(folder.job.job.name, plan.parcel)
    closed = close_folder(folder, datetime.now().date())
    pictures = {**looked.pictures, **in_colour(folder, looked)}
    sheets = pack_of(plan, plan.asked, size, pictures)
    document = json_text(plan).encode()
    contents = {
        **archived(folder),
        "plan.json": document,
        **{f"sheets/{name}": made for name, made in sheets.items()},
    }
    files = archive_files(folder.job, closed, plan.findings, contents)
    written = write_files(out.parent, {out.name: zipped(files, date.fromisoformat(closed.day))})
    click.echo(f"Closed: {closed.job}, revision {closed.revision}, {closed.day}.\nWritten: {written[0]}")
