"""Whether a pipe that its owner is to set by hand leaves the bench soft.

Source: bending hardens copper and an anneal takes that away again; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable

from trialfit.finding import Answer, Basis, Finding, Reason
from trialfit.fitup.fit import Fit
from trialfit.fitup.ways_out import SET_BY_HAND
from trialfit.job.records import Job
from trialfit.making.process_words import work_words


def soft_to_set(job: Job, fits: Iterable[Fit]) -> tuple[Finding, ...]:
    """Hold the order of work against the way out that is recommended.

    Parameters
    ----------
    job
        The job; an assembly bears the name of the pipe it makes.
    fits
        Of each new pipe whether it drops on.

    Returns
    -------
    tuple of Finding
        A look for each pipe that is to be set by hand, and is bent and not annealed afterwards.
    """
    return tuple(
        finding for fit in fits if fit.drop_on.best.trouble == SET_BY_HAND for finding in _hard(job, fit.drop_on.pipe)
    )


def _hard(job: Job, pipe: str) -> tuple[Finding, ...]:
    entry = job.assemblies.get(pipe)
    if entry is None:
        return ()
    bends = [name for name, step in entry.work.items() if step.do == "bend"]
    softened = {before for step in entry.work.values() if step.do == "anneal" for before in step.after}
    hard = [name for name in bends if name not in softened]
    if not hard:
        return ()
    why = f"It is to be set by hand at a trial, and {work_words(entry, hard[0])} leaves it hard."
    do = f'Add an anneal to the work of {pipe}, with after = ["{hard[0]}"].'
    return (
        Finding(
            "making",
            pipe,
            "Is it soft when it is to be set by hand?",
            Answer.LOOK,
            None,
            None,
            (Reason(why, "", Basis.PRACTICE),),
            do,
        ),
    )
