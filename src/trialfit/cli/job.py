"""``trialfit check``: every fault of a job folder, or what it holds."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.job.records import Job
from trialfit.store.closing import changed_since_closed
from trialfit.store.folder import JobFolder, open_folder, read_opened


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@as_json
def check(job: Path, as_json: bool) -> int:
    """Read the job folder JOB and print every fault in it, or a summary when there is none.

    Exit code 0: good. 1: faults. 2: the folder itself cannot be read.
    """
    opened = open_folder(job)
    try:
        folder = read_opened(opened)
    except Refusal as refusal:
        count = len(refusal.faults)
        text = f"{refusal}\n\n{_count(count, 'fault')} in {opened.path / 'job.toml'}."
        answer(as_json, text, {"good": False, "faults": refusal.faults, "look": [], "holds": ""})
        return 1
    look = [_unnamed(file) for file in folder.unnamed]
    look += [words for words in (changed_since_closed(folder),) if words]
    text = "\n".join(["Good.", holds(folder), *(f"Look: {each}" for each in look)])
    answer(as_json, text, {"good": True, "faults": [], "look": look, "holds": holds(folder)})
    return 0


def holds(folder: JobFolder) -> str:
    """Say in one paragraph what a job holds.

    Parameters
    ----------
    folder
        The job, read.

    Returns
    -------
    str
        One line.
    """
    job = folder.job
    pipes = ", ".join(job.pipes)
    said = [
        f"{job.job.name}, revision {job.job.revision} of {job.job.date}: {job.engine.name}, "
        f"{job.engine.working_pressure}, of {job.job.owner}.",
        f"{_count(len(job.photographs), 'photograph')} from {_count(len(job.phones), 'phone')}, {_marks(job)}.",
        f"{_card(job)}.",
        f"{_count(len(job.readings), 'reading')} between points.",
        f"{_count(len(job.parts), 'part')} and {_count(len(job.joints), 'joint')}.",
        f"{_count(len(job.pipes), 'pipe')} wanted: {pipes}." if pipes else "No pipe wanted.",
        *([f"{_count(len(job.turned), 'part')} to be turned: {', '.join(job.turned)}."] if job.turned else []),
    ]
    return " ".join(said)


def _marks(job: Job) -> str:
    count = sum(len(marks) for marks in job.marks.values())
    marked = {point for marks in job.marks.values() for point in marks}
    known = sum(point.at is not None for point in job.points.values())
    return f"{_count(count, 'mark')} on {len(marked)} of {_count(len(job.points), 'point')}, {known} of them known"


def _card(job: Job) -> str:
    if job.card is None:
        return "No scale card"
    long, short = job.card.page
    return f"A scale card of {long} × {short} with {_count(len(job.card.check_lines), 'check line')} measured"


def _unnamed(file: str) -> str:
    return f"photographs/{file} is named by no photograph of the job. Add it, or take it out of the folder."


def _count(number: int, thing: str) -> str:
    return f"{number or 'no'} {thing}{'' if number == 1 else 's'}"
