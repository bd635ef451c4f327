"""``trialfit jobs``, ``take-in``, ``give-out``, ``backup``, ``restore`` and ``passcode``: the workshop's database."""

from __future__ import annotations

import getpass
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trialfit.cli.words import answer, as_json
from trialfit.store.database.place import VARIABLE, usual_folder
from trialfit.store.database.workshop import Workshop, open_workshop

if TYPE_CHECKING:
    from trialfit.store.database.lines import JobLine


def in_workshop(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that say which workshop.

    Parameters
    ----------
    command
        Takes ``workshop`` and ``database``.

    Returns
    -------
    Callable
        The same with two options.
    """
    folder = click.option(
        "--workshop", type=click.Path(path_type=Path, file_okay=False), help=f"Its folder; or set {VARIABLE}."
    )
    address = click.option(
        "--database", default="", envvar="TRIALFIT_DATABASE", help="Address of a PostgreSQL database instead of a file."
    )
    with_both: Callable[..., Any] = folder(address(command))
    return with_both


@contextmanager
def opened(folder: Path | None, database: str) -> Iterator[Workshop]:
    """Open the workshop that was asked for.

    Parameters
    ----------
    folder
        Its folder; None takes the usual one.
    database
        Address of a PostgreSQL database; empty takes the file in the folder.

    Yields
    ------
    Workshop
        It.
    """
    workshop = open_workshop(folder or usual_folder(), database)
    try:
        yield workshop
    finally:
        workshop.close()


def who() -> str:
    """Say who asks, for what is written down with a change.

    Returns
    -------
    str
        The name under which this machine is used.
    """
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "this machine"


@click.command()
@click.argument("words", nargs=-1)
@click.option("--away", "away_alone", is_flag=True, help="Those put away, and no others.")
@in_workshop
@as_json
def jobs(words: tuple[str, ...], away_alone: bool, workshop: Path | None, database: str, as_json: bool) -> None:
    """List the workshop's jobs in which all WORDS stand; thread:1/4x40, part:, engine: and owner: look there alone.

    Without words those put away are left out.
    """
    from trialfit.store.database.clocks import clocks_on
    from trialfit.store.database.lines import list_jobs

    with opened(workshop, database) as shop:
        found = list_jobs(shop, " ".join(words), away="only" if away_alone else "with" if words else "without")
        clocks = clocks_on(shop)
    lines = [_line(line, clocks.get(line.name, ())) for line in found]
    answer(as_json, "\n".join(lines) or "No job.", found)


@click.command()
@click.argument("folders", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--name", default="", help="Name of the job in the workshop, instead of the folder's.")
@in_workshop
def take_in(folders: tuple[Path, ...], name: str, workshop: Path | None, database: str) -> None:
    """Take job FOLDERS into the workshop's database, letter by letter; a job that is there gets a new revision.

    Times and closed revisions that lie in a folder come in too, each once.
    """
    from trialfit.errors import Refusal
    from trialfit.store.database import folders as into
    from trialfit.store.database.pictures import make_copies

    if name and len(folders) > 1:
        raise Refusal("--name", "several folders", "one folder with it", "Take them in one at a time.")
    with opened(workshop, database) as shop:
        for folder in folders:
            taken = into.take_in(shop, folder, who(), name)
            held = taken.holding.revision
            new = [_counted(taken.times, "time"), _counted(taken.closed, "closed revision")]
            came = " and ".join(each for each in new if each)
            came = f" New with it: {came}." if came else ""
            click.echo(
                f"{held.name}: revision {held.number}, {_counted(taken.photographs, 'file')} in photographs/.{came}"
            )
            for each in taken.left:
                click.echo(f"  Left where it was: {each}")
            make_copies(shop, held.name)


def _line(line: JobLine, clocks: tuple[str, ...]) -> str:
    said = [
        f"{line.name}, revision {line.revision}: {line.engine} of {line.owner}, {line.day}.",
        f"{', '.join(line.threads) or 'No thread named'}.",
    ]
    said += [f"Clock running: {', '.join(clocks)}."] if clocks else []
    said += [f"Put away since {line.away_at[:10]}."] if line.away_at else []
    return " ".join(said)


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}" if number or what == "file" else ""


@click.command()
@click.argument("job")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--revision", default=0, type=click.IntRange(0), help="An earlier revision.")
@in_workshop
def give_out(job: str, folder: Path, revision: int, workshop: Path | None, database: str) -> None:
    """Write JOB of the workshop's database as a new FOLDER, letter by letter, with its times and closed revisions."""
    from trialfit.store.database import folders as out_of

    with opened(workshop, database) as shop:
        for path in out_of.give_out(shop, job, folder, revision):
            click.echo(f"Written: {path}")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@in_workshop
def backup(folder: Path, workshop: Path | None, database: str) -> None:
    """Back the workshop up into a new FOLDER, while it is at work; every file is read back."""
    from trialfit.store.database.backup import back_up

    with opened(workshop, database) as shop:
        made = back_up(shop, folder)
    size = sum(each.size_bytes for each in made.files)
    click.echo(f"{made.jobs} jobs, {len(made.files) - 1} photographs, {size / 1e6:.1f} MB in {folder}. Checked.")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@in_workshop
def restore(folder: Path, workshop: Path | None, database: str) -> None:
    """Make a workshop of the backup in FOLDER; its own folder must be empty or not there."""
    from trialfit.store.database.backup import restore as restore_from

    target = workshop or usual_folder()
    made = restore_from(folder, target, database)
    click.echo(f"{made.jobs} jobs, {len(made.files) - 1} photographs of {made.made_at}, all as they were, in {target}.")


@click.command()
@click.option("--stdin", "from_input", is_flag=True, help="Read it from the standard input, for a script.")
@in_workshop
def passcode(from_input: bool, workshop: Path | None, database: str) -> None:
    """Set the passcode that other machines on the network have to give. Whoever was let in gives the new one."""
    from trialfit.store.database.entry import set_passcode

    if from_input:
        given = sys.stdin.readline().rstrip("\r\n")
    else:
        given = click.prompt("Passcode", hide_input=True, confirmation_prompt=True)
    with opened(workshop, database) as shop:
        set_passcode(shop, given)
    click.echo("Set.")
