"""``trialfit ask``: what to ask the owner for next, and the letter that asks."""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

import click

from trialfit.cli.looking import look_at
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.job.shop import assumed_shop
from trialfit.plan import asked_of
from trialfit.sheets.heading import Paper
from trialfit.sheets.letter import letter
from trialfit.store.folder import read_folder, read_shop_file
from trialfit.survey.asks import Ask, Asked, Change, Kind
from trialfit.survey.first_asks import first_asks
from trialfit.survey.gather import Sighted
from trialfit.survey.possible_lengths import away

_WIDTH = 110


@click.command("ask")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="The PDF, or the folder for it; NAME-letter.pdf here if not said."
)
@click.option("--shop", "shop_file", type=click.Path(path_type=Path), help="The workshop's own shop.toml.")
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True)
@click.option(
    "--on-engine", multiple=True, metavar="POINT",
    help="A point that is on the engine although the workshop measured over it; may be given more than once.",
)  # fmt: skip
@as_json
def command(
    job: Path, out: Path | None, shop_file: Path | None, paper: str, on_engine: tuple[str, ...], as_json: bool
) -> None:
    """Rank what would make the job folder JOB surer, and write the letter that asks the owner for it."""
    folder = read_folder(job)
    _refuse_unknown(on_engine, away(folder.job))
    shop = read_shop_file(shop_file) if shop_file else assumed_shop()
    size: Paper = "us-letter" if paper == "us-letter" else "a4"
    sighted = look_at(folder).sighted if folder.photographs else Sighted()
    unsolved = ""
    try:
        asked = asked_of(folder.job, shop, sighted, frozenset(on_engine))
    except Refusal as refusal:
        asked, unsolved = None, f"There is no survey to go by yet: {refusal}"
    if asked is None:
        asked, unsolved = first_asks(folder.job), unsolved or "There is no survey to go by yet: the job has no points."
    safe = re.sub(r"[^\w-]+", "-", folder.job.job.name).strip("-") or "job"
    own = f"{safe}-letter.pdf"
    file = Path(own) if out is None else out / own if out.is_dir() else out
    content = letter(folder.job, asked, shop, size)
    try:
        file.write_bytes(content)
    except OSError as error:
        raise Refusal(
            "letter", f"{file}, which cannot be written ({error.strerror})", "a file in a folder that is there",
            "Make the folder first, or name another with --out.",
        ) from None  # fmt: skip
    text = "\n\n".join(part for part in (unsolved, as_text(asked), f"Written: {file}") if part)
    answer(as_json, text, {"file": file, "unsolved": unsolved, "asked": asked})


def _refuse_unknown(on_engine: tuple[str, ...], gone: tuple[str, ...]) -> None:
    for name in on_engine:
        if name not in gone:
            wanted = f"one of {', '.join(gone)}" if gone else "none: nothing is taken to be in the parcel"
            raise Refusal("--on-engine", name, wanted, "Leave it out: it is taken to be on the engine anyway.")


def as_text(asked: Asked) -> str:
    """Write what is worth asking for, for the repairer.

    Parameters
    ----------
    asked
        What was ranked.

    Returns
    -------
    str
        Lists, the best first; then what the letter asks for and what it would bring.
    """
    weighed = any(each.cut is not None for each in (*asked.marks, *asked.readings, *asked.photographs))
    about = (
        "Each with the share it takes off the variance of what the job needs; what can be seen or reached is a guess."
    )
    blocks = [
        *([about] if weighed else []),
        *_list("Free: mark it yourself in photographs you have", asked.marks),
        *_list("Readings to ask for", asked.readings),
        *_list("Photographs to ask for", asked.photographs),
    ]
    if asked.away:
        names = ", ".join(asked.away)
        words = (
            f"Nothing is asked about {names}: the workshop measured over them, so they are taken to be in the parcel. "
            "If they are on the engine, say so with --on-engine POINT."
        )
        blocks.append(textwrap.fill(words, _WIDTH))
    if asked.letter:
        title = "The letter asks for, each weighed with those before it done:" if weighed else "The letter asks for:"
        blocks.append("\n".join([title, *_letter(asked)]))
    better = [change for change in asked.together if _shown(change)]
    if better and asked.letter:
        blocks.append("\n".join(["With all of it (k = 2):", *(f"  {change.about}: {change}" for change in better)]))
    if not asked.letter:
        blocks.append("Nothing the owner could be asked for would make it much surer.")
    return "\n\n".join(blocks)


def _letter(asked: Asked) -> list[str]:
    return [textwrap.fill(f"{_share(each)}{each.do}", _WIDTH, subsequent_indent=" " * 8) for each in asked.letter]


def _list(title: str, asks: tuple[Ask, ...]) -> list[str]:
    return ["\n".join([f"{title}:", *(_entry(each) for each in asks)])] if asks else []


def _entry(ask: Ask) -> str:
    lines = [textwrap.fill(f"{_share(ask)}{ask.do}", _WIDTH, subsequent_indent=" " * 8)]
    said = "; ".join(str(change) for change in ask.changes if change.counts and _shown(change))
    if ask.stand is not None and ask.stand.cut_otherwise is not None:
        other = "without the card" if ask.stand.with_card else "with the card in view"
        said += f"; {len(ask.stand.shows)} points should show; {other} {100 * ask.stand.cut_otherwise:.0f} %"
    if ask.cut is None:
        said = ask.why
    lines.append(textwrap.fill(said, _WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 8))
    return "\n".join(lines)


def _share(ask: Ask) -> str:
    if ask.cut is None:
        return "  fixes " if ask.kind is Kind.MARK else "        "
    return f"  {100 * ask.cut:3.0f} % "


def _shown(change: Change) -> bool:
    """Whether the change can be seen in print."""
    places = 1 if change.unit == "deg" else 2
    return f"{change.now_k2:.{places}f}" != f"{change.then_k2:.{places}f}"
