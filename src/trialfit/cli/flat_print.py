"""``trialfit flat-print``: one photograph flattened, at true scale over as many pages as needed, with its band."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

from trialfit.cli.findings import filled
from trialfit.cli.looking import look_at
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.job.records import Job
from trialfit.sheets.flat_print import FlatPrint, flat_print_of, flat_print_pdf
from trialfit.sheets.flat_words import BARS, FOR, JOINING, NOT_FOR, band_rows, basis, proud, stands, white
from trialfit.sheets.heading import Paper
from trialfit.store.folder import read_folder
from trialfit.store.photographs import read_colour
from trialfit.survey.flat_limits import Window
from trialfit.survey.flat_view import refuse_if_of_bench, refuse_unknown, view_of
from trialfit.survey.flat_wanted import flat_wanted
from trialfit.survey.flat_window import USUAL_SIZE_MM, useful_window
from trialfit.survey.looked import Looked
from trialfit.units import length_mm


@dataclass(frozen=True)
class _Asked:
    around: str | None
    size: str | None
    through: tuple[str, ...]
    height: str


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("photograph")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="The PDF to write.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@click.option("--around", help="Print what lies round this point, as the photograph shows it; else round the card.")
@click.option("--size", help=f"Side of the square to print.  [default: {USUAL_SIZE_MM:.0f} mm]")
@click.option(
    "--through", multiple=True, help="Flatten to the plane through these surveyed points; say it for each of three."
)
@click.option("--height", default="5 mm", show_default=True, help="For arrows: how far things stand proud.")
@as_json
def command(
    job: Path,
    photograph: str,
    out: Path | None,
    paper: str,
    around: str | None,
    size: str | None,
    through: tuple[str, ...],
    height: str,
    as_json: bool,
) -> None:
    """Print the PHOTOGRAPH of the job folder JOB flattened to the card's plane, at true scale.

    For laying parts out over it. How wrong it is at each place is drawn on it.
    """
    folder = read_folder(job)
    refuse_if_of_bench(photograph, folder.job)
    refuse_unknown(photograph, [name for name, entry in folder.job.photographs.items() if not entry.bench])
    file = out or Path(f"flat-print-{re.sub(r'[^-.a-zA-Z0-9_]+', '-', photograph)}.pdf")
    if not file.parent.is_dir():
        raise _unwritable(file, "its folder is not there")
    looked = look_at(folder)
    name = next((same.first for same in looked.twice if same.second == photograph), photograph)
    made, useful = _made(folder.job, looked, name, _Asked(around, size, through, height), _paper(paper))
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as progress:
        flattening = progress.add_task("Flattening", total=len(made.pages.pages))
        content = flat_print_pdf(
            folder.job, made, read_colour(folder.photographs[name]), _paper(paper),
            on_each=lambda: progress.advance(flattening),
        )  # fmt: skip
    try:
        file.write_bytes(content)
    except OSError as error:
        raise _unwritable(file, error.strerror or "an error") from None
    answer(as_json, as_text(made, useful, file), _record(made, file))


def _unwritable(file: Path, why: str) -> Refusal:
    return Refusal(
        "flat print", f"{file}, which cannot be written ({why})", "a file in a folder that is there",
        "Make the folder first, or name another with --out.",
    )  # fmt: skip


def _paper(paper: str) -> Paper:
    return "us-letter" if paper == "us-letter" else "a4"


def _made(job: Job, looked: Looked, name: str, asked: _Asked, paper: Paper) -> tuple[FlatPrint, Window]:
    view = view_of(job, looked.sighted, name)
    wanted = flat_wanted(
        job, view, asked.around,
        USUAL_SIZE_MM if asked.size is None else length_mm(asked.size, "--size"),
        asked.through, length_mm(asked.height, "--height"),
    )  # fmt: skip
    return flat_print_of(wanted, paper), useful_window(view, wanted.plane)


def as_text(made: FlatPrint, useful: Window, file: Path) -> str:
    """Say what was printed and how far to trust it.

    Parameters
    ----------
    made
        The flat print.
    useful
        All that is worth printing of its plane.
    file
        Where it was written.

    Returns
    -------
    str
        Several lines.
    """
    span, count = made.pages.span, len(made.pages.pages)
    lines = [
        f"The flat print is in {file}: photograph {made.view.photograph.name} flattened to {made.plane.name}, a page "
        f"that says what it is worth and {count} {'page' if count == 1 else 'pages'} at true scale, "
        f"{span.width_mm:.0f} × {span.height_mm:.0f} mm.",
    ]
    if useful.width_mm > span.width_mm + 1.0 or useful.height_mm > span.height_mm + 1.0:
        lines.append(
            f"{useful.width_mm:.0f} × {useful.height_mm:.0f} mm of the plane is worth printing: --size prints more of "
            "it, --around another part."
        )
    lines += [FOR, NOT_FOR, BARS]
    if made.pages.joins:
        lines.append(JOINING)
    lines += [*basis(made.view, made.plane), made.plane.frame]
    middle = "its points" if made.plane.points else "the card"
    table = [f"{f'from the middle of {middle}':<30}{'in the plane, within':>22}"
             f"{f'{made.height_mm:g} mm proud, out by':>26}"]  # fmt: skip
    table += [
        f"{where:<30}{within:>22}{off:>26}"
        for where, within, off in band_rows(made.view, made.plane, made.lattice, made.height_mm)
    ]
    after = [proud(made.height_mm), *(stands(made.view, made.plane, made.marked[0]) if made.marked else [])]
    after += white(made.lattice)
    heading = "How far wrong, 95 times in 100; what the printer does comes on top:"
    before, below = ([filled(line, hanging="") for line in each] for each in (lines, after))
    return "\n".join([*before, "", heading, *table, "", *below])


def _record(made: FlatPrint, file: Path) -> dict[str, object]:
    return {
        "file": file,
        "photograph": made.view.photograph.name,
        "alone": made.view.alone,
        "plane": made.plane.name,
        "frame": made.plane.frame,
        "span": made.pages.span,
        "pages": made.pages.pages,
        "joins": made.pages.joins,
        "band": [
            {"from_middle": where, "within": within, "proud_out_by": off}
            for where, within, off in band_rows(made.view, made.plane, made.lattice, made.height_mm)
        ],
        "height_mm": made.height_mm,
        "station": made.view.station,
        "white": white(made.lattice),
        "basis": basis(made.view, made.plane),
    }
