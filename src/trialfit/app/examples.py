"""The example jobs, taken in when a workshop is opened for the first time."""

from __future__ import annotations

from pathlib import Path

from trialfit.store.database.workshop import Workshop

_EXAMPLES = Path(__file__).parents[3] / "examples"


def take_examples_in(workshop: Workshop, examples: Path = _EXAMPLES) -> tuple[str, ...]:
    """Take the example jobs in, unless the workshop holds anything already.

    Parameters
    ----------
    workshop
        The workshop.
    examples
        The folder with the example jobs; where there is none, as where only the program was installed, none come.

    Returns
    -------
    tuple of str
        Names of the jobs that came.
    """
    if workshop.rows("select id from documents limit 1"):
        return ()
    from trialfit.store.database.folders import take_in  # an old workshop does not wait for the reader of documents

    folders = sorted(job.parent for job in examples.glob("*/job.toml"))
    return tuple(take_in(workshop, folder, "example").holding.revision.name for folder in folders)
