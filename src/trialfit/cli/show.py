"""``trialfit show``: the new pipes over the owner's photographs, and everything in space for any viewer."""

from __future__ import annotations

from pathlib import Path

import click
import numpy as np

from trialfit.cli.findings import filled
from trialfit.cli.looking import look_at
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.job.shop import assumed_shop
from trialfit.plan import Plan, plan
from trialfit.sheets.file_names import free_name
from trialfit.sheets.heading import Paper
from trialfit.sheets.seen.eye import where_one_stands
from trialfit.sheets.seen.gathered import nodes_of
from trialfit.sheets.seen.model import glb
from trialfit.sheets.seen.over_photographs import Over, greatest_k2_mm, over_pdf, pipes_over
from trialfit.sheets.seen.picture import png
from trialfit.sheets.seen.step import pipe_step, turned_step
from trialfit.store.files import write_files
from trialfit.store.folder import read_folder, read_shop_file
from trialfit.store.photographs import read_colour
from trialfit.survey.gather import Sighted


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), required=True, help="Folder for the pictures.")
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@click.option("--step", is_flag=True, help="Pipes and turned parts as STEP too; needs the extra trialfit[step].")
@as_json
def show(job: Path, out: Path, shop_file: Path | None, paper: str, step: bool, as_json: bool) -> None:
    """Draw what is new in the job folder JOB over its photographs, and write everything in space as glTF."""
    folder = read_folder(job)
    sighted = look_at(folder).sighted if folder.photographs else Sighted()
    worked = plan(folder.job, read_shop_file(shop_file) if shop_file else assumed_shop(), sighted)
    if not worked.pipes and worked.survey is None:
        raise Refusal(
            f"job {folder.job.job.name}", "nothing that has a place",
            "points marked in photographs, or a pipe between two surveyed faces",
            "Mark points in two photographs or more; docs/job-file.md says how its lines are written.",
        )  # fmt: skip
    pictures = {name: read_colour(folder.photographs[name]) for name in sighted.photographs}
    drawn = pipes_over(worked, pictures)
    files = _files(worked, drawn, "us-letter" if paper == "us-letter" else "a4")
    if step:
        files |= _step_files(worked)
    written = write_files(out, files)
    record = {
        "files": written,
        "over": [{"pipe": each.pipe, "photograph": each.photograph, "in_sight": each.in_sight} for each in drawn],
        "k2_mm": {pipe.name: greatest_k2_mm(worked, pipe) for pipe in worked.pipes},
    }
    answer(as_json, as_text(worked, drawn, written), record)


def as_text(worked: Plan, drawn: list[Over], written: list[Path]) -> str:
    """Say what was drawn and what to look at.

    Parameters
    ----------
    worked
        The plan.
    drawn
        The pipes over the photographs.
    written
        The files.

    Returns
    -------
    str
        Several lines.
    """
    lines = []
    for pipe in worked.pipes:
        seen = [each.photograph for each in drawn if each.pipe == pipe.name]
        if not seen:
            lines.append(f"Pipe {pipe.name}: no photograph shows half of it, so it is drawn over none.")
            continue
        lines.append(
            f"Pipe {pipe.name} is drawn over {', '.join(seen)}. A must lie in the middle of {pipe.start.name}, B in "
            f"the middle of {pipe.end.name}, in every picture. It may lie up to {greatest_k2_mm(worked, pipe):.1f} mm "
            "to either side (k = 2, white dashes)."
        )
    if not worked.pipes:
        lines.append("No pipe could be laid out; only what was surveyed is in the model.")
    return "\n".join([*(filled(line, hanging="") for line in lines), "", *(f"Written: {path}" for path in written)])


def _step_files(worked: Plan) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    for pipe in worked.pipes:
        files[f"{free_name('pipe', pipe.name, files)}.step"] = pipe_step(pipe)
    for turned in worked.turned.parts:
        files[f"{free_name('turned', turned.part.name, files)}.step"] = turned_step(turned.part)
    return files


def _files(worked: Plan, drawn: list[Over], paper: Paper) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    for each in drawn:
        files[f"{free_name(f'over-{each.photograph}', each.pipe, files)}.png"] = png(each.picture)
    for pipe in worked.pipes:
        own = [each for each in drawn if each.pipe == pipe.name]
        if own:
            name = free_name("over-photographs", pipe.name, files)
            files[f"{name}.pdf"] = over_pdf(worked.job, worked, pipe, own, paper)
    _, up = where_one_stands(worked.survey, np.zeros(3))
    files["in-space.glb"] = glb(nodes_of(worked, worked.scene), worked.job.job.name, up)
    return files
