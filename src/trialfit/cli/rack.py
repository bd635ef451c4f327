"""``trialfit put-away``, ``put-back`` and ``close-job``: a whole job of the workshop."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.words import answer, as_json
from trialfit.cli.workshop import in_workshop, opened, who
from trialfit.sheets.heading import Paper


@click.command("put-away")
@click.argument("jobs", nargs=-1, required=True)
@in_workshop
@as_json
def put_away(jobs: tuple[str, ...], workshop: Path | None, database: str, as_json: bool) -> None:
    """Put JOBS of the workshop's database away: off the rack, found by their words, kept with their history."""
    from trialfit.store.database import rack

    with opened(workshop, database) as shop:
        for job in jobs:  # all of them are there before the first is moved
            rack.away_since(shop, job)
        since = {job: rack.put_away(shop, job, who()) for job in jobs}
    lines = [
        f"{job}: put away since {moment[:10]}. trialfit put-back {job} brings it back." for job, moment in since.items()
    ]
    answer(as_json, "\n".join(lines), since)


@click.command("put-back")
@click.argument("jobs", nargs=-1, required=True)
@in_workshop
@as_json
def put_back(jobs: tuple[str, ...], workshop: Path | None, database: str, as_json: bool) -> None:
    """Put JOBS of the workshop's database back on the rack."""
    from trialfit.store.database import rack

    with opened(workshop, database) as shop:
        for job in jobs:
            rack.away_since(shop, job)
        for job in jobs:
            rack.put_back(shop, job, who())
    answer(as_json, "\n".join(f"{job}: on the rack." for job in jobs), dict.fromkeys(jobs, ""))


@click.command("close-job")
@click.argument("job")
@click.option("--revision", default=0, type=click.IntRange(0), help="Only if this revision of its document holds.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Write the archive too, a .zip file.")
@in_workshop
@as_json
def close_job(
    job: str, revision: int, paper: str, out: Path | None, workshop: Path | None, database: str, as_json: bool
) -> None:
    """Close JOB of the workshop's database: its revision is frozen with plan and sheets as they go out.

    A job whose parcel is not accounted for is not closed. What is closed stays: a correction is a new revision.
    """
    from trialfit.app import closing
    from trialfit.app.desk import Desk
    from trialfit.app.settings import Settings
    from trialfit.store.database.closed_rows import closed_days
    from trialfit.store.database.documents import holding
    from trialfit.store.files import write_files

    size: Paper = "us-letter" if paper == "us-letter" else "a4"
    with opened(workshop, database) as shop:
        desk = Desk(Settings(shop.folder, database), shop)
        base = revision or holding(shop, "job", job).revision.number
        before = closed_days(shop, job)
        closed = closing.close_job(desk, job, base, size, who())
        packed = closing.archive_of(desk, job, closed.issue)[1] if out else b""
    said = "was closed already" if closed.issue in before else "is closed"
    text = (
        f"{job}: revision {closed.issue} {said}, {closed.record.day}. A correction begins revision {closed.issue + 1}."
    )
    answer(as_json, text, closed)
    if out:
        for path in write_files(out.parent, {out.name: packed}):
            click.echo(f"Written: {path}", err=as_json)
