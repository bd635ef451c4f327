"""Words in, words out. Each command collects its words, calls one function, and prints the answer.

Commands live in modules of their own and are loaded only when asked for, so that a bench question such as
``trialfit drill 5.57mm`` does not wait for the photograph libraries.
"""

from __future__ import annotations

import importlib
import os
import sys
from typing import Any

import click

from trialfit import __version__
from trialfit.errors import Refusal

# command: (module under trialfit.cli, function, one line of help)
COMMANDS: dict[str, tuple[str, str, str]] = {
    "ask": ("ask", "command", "What to ask the owner for next, and the letter that asks."),
    "card": ("card", "card", "The scale card to print, at true scale, and what a job says of it."),
    "thread": ("bench", "thread", "Form, diameters, tapping and clearance drills of a thread."),
    "drill": ("bench", "drill", "Nearest drills over and under, in each series."),
    "tube": ("tube", "tube", "Bore, mass and pressure of a copper tube."),
    "plan": ("plan", "plan", "The whole job: findings, plan.json and the sheets."),
    "survey": ("survey", "survey", "Where every point is, and how surely."),
    "measure": ("measure", "command", "Cone angle, tube by weight, pitch: sums of the bench with plus-or-minus."),
    "what-to-drill": ("what_to_drill", "command", "The drill before the tap from those owned; clearance; reaming."),
    "which-thread": ("which_thread", "command", "What an unknown thread may be, and the test that would settle it."),
    "order-of-work": (
        "processes",
        "order_of_work_command",
        "The order of work at the bench, with the reason for each place.",
    ),
    "why-broken": ("strength", "why_broken_command", "Why a tail broke, what the new one stands, how hard to pull."),
    "heat": ("heat", "heat_command", "Whether the torch brings it up, what else melts, gap, what stands service."),
    "turned": ("turned", "turned", "Parts to be turned: lengths, walls, tools, steps, sheets, SVG and DXF."),
    "settings": ("feed", "settings", "The water circuit: what each setting does, what is trapped, what faults do."),
    "what-is-wrong": ("feed", "what_is_wrong_command", "Faults of the water circuit that explain what was seen."),
    "pump": ("pump", "pump", "What a ram pump delivers, against demand, air, leak, suction and ball rules."),
    "pressure-test": ("pressure", "pressure_test", "What tubes and walls stand, what codes say, test plan and record."),
    "flat-print": ("flat_print", "command", "A photograph flattened to the card's plane, printed at true scale."),
    "fit": ("fit", "fit", "Whether pipes drop on, the ways out with their chances; washers for clocking."),
    "show": ("show", "show", "New pipes over the owner's photographs, and everything in space as glTF."),
    "fitting-order": (
        "fitting_order",
        "command",
        "In which order parts come off the engine and go on again, or why there is none.",
    ),
    "serve": ("serve", "command", "The workshop's pages, on this machine or, if asked, on its network."),
    "jobs": ("workshop", "jobs", "The jobs in the workshop's database, listed and searched."),
    "take-in": ("workshop", "take_in", "Job folders into the workshop's database."),
    "give-out": ("workshop", "give_out", "A job of the workshop's database as a folder."),
    "put-away": ("rack", "put_away", "Jobs of the workshop off the rack, with everything kept."),
    "put-back": ("rack", "put_back", "Jobs that were put away back on the rack."),
    "close-job": ("rack", "close_job", "Freeze the revision of a job of the workshop, with plan and sheets."),
    "backup": ("workshop", "backup", "The whole workshop into a folder, while it is at work."),
    "restore": ("workshop", "restore", "A workshop made of a backup."),
    "passcode": ("workshop", "passcode", "The passcode that other machines have to give."),
    "what-stands-where": ("standing", "what_stands_where", "Where every part is, which way it points, how surely."),
    "quote": ("quote", "quote", "What the work takes and costs, repair or remake; quote and invoice."),
    "times": ("quote", "times", "The bench's clock: times taken, which feed the next quote."),
    "close": ("close", "close", "Freeze a job folder's revision, and its record as one file for the archive."),
    "check": ("job", "check", "Every fault of a job folder, or what it holds."),
}


class _Lazy(click.Group):
    """A group that imports a command's module when the command is named."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        if cmd_name not in COMMANDS:
            return None
        module, function, _ = COMMANDS[cmd_name]
        command: click.Command = getattr(importlib.import_module(f"trialfit.cli.{module}"), function)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][2]) for name in sorted(COMMANDS)])


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="trialfit")
def commands() -> None:
    """Say whether a repaired part will go on an engine that is not here, and print the sheets for it."""


def main(arguments: list[str] | None = None) -> None:
    """Run the command line.

    Parameters
    ----------
    arguments
        The words after ``trialfit``; None takes them from the shell.

    Notes
    -----
    Exit code 0: good. 1: the command ran and found faults. 2: refused; what, got, wanted and remedy are printed.
    3: the program itself failed.
    """
    try:
        result: Any = commands.main(args=arguments, prog_name="trialfit", standalone_mode=False)
        sys.exit(result if isinstance(result, int) else 0)
    except Refusal as refusal:
        click.echo(f"Refused.\n{refusal}", err=True)
        sys.exit(2)
    except click.exceptions.Abort:
        click.echo("Stopped.", err=True)
        sys.exit(2)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except Exception as error:
        if os.environ.get("TRIALFIT_TRACE"):
            raise
        click.echo(
            f"trialfit itself failed: {type(error).__name__}: {error}\n"
            "Nothing you wrote was changed. Run it again with TRIALFIT_TRACE=1 set to see where, and send that in.",
            err=True,
        )
        sys.exit(3)
