"""``trialfit card``: the scale card to print and send."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.sheets.card import PAPERS_MM, job_words, scale_card
from trialfit.sheets.words import LANGUAGES, Language, Words
from trialfit.survey.card import STANDARD_CARDS


@click.command()
@click.option("--size", type=click.Choice(list(STANDARD_CARDS), case_sensitive=False), default="A6", show_default=True)
@click.option(
    "--paper",
    type=click.Choice(list(PAPERS_MM), case_sensitive=False),
    help="Paper to print on, if larger than the card; it is then cut out.",
)
@click.option("--language", type=click.Choice(LANGUAGES), default="en", show_default=True, help="What its owner reads.")
@click.option("--inch", is_flag=True, help="Its owner measures in inches.")
@click.option("--out", type=click.Path(path_type=Path), help="The PDF to write; scale-card-SIZE.pdf if not said.")
@as_json
def card(size: str, paper: str | None, language: Language, inch: bool, out: Path | None, as_json: bool) -> None:
    """Write the scale card that lies beside the engine in the photographs, at true scale.

    Prints what to do with it, and what a job says of it.
    """
    board = STANDARD_CARDS[size]
    file = out or Path(f"scale-card-{size}.pdf")
    content = scale_card(board, size, paper or size, date.today(), Words(language, "inch" if inch else "metric"))
    try:
        file.write_bytes(content)
    except OSError as error:
        raise Refusal(
            "card", f"{file}, which cannot be written ({error.strerror})", "a file in a folder that is there",
            "Make the folder first, or name another with --out.",
        ) from None  # fmt: skip
    words = job_words(board)
    long, short = board.check_lines
    cut = "" if (paper or size) == "A4" or size == "A4" else " For larger paper, to be cut out, add --paper A4."
    text = (
        f"The scale card is in {file}.{cut}\n"
        "Print it at 100 % (not 'fit to page'), stick it flat to something stiff, and measure its two check lines "
        f"between the ticks: they should be {long.length_mm:g} mm and {short.length_mm:g} mm.\n"
        f"Then paste this into job.toml and fill in what they measure:\n\n{words}"
    )
    answer(as_json, text, {"file": file, "size": size, "card": board, "check_lines": board.check_lines, "job": words})
