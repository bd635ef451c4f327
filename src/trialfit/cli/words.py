"""The one way a command answers: as text for a person, or as JSON for a program."""

from __future__ import annotations

import click

from trialfit.store.plain import json_text

as_json = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


def answer(as_json: bool, text: str, record: object) -> None:
    """Print one answer.

    Parameters
    ----------
    as_json
        Whether a program is reading.
    text
        The answer as a person reads it.
    record
        The same answer as a record.
    """
    if as_json:
        text = json_text(record)
    click.echo(text)
