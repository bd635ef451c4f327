"""How work and bodies are called in sentences. Source: none; these are words."""

from __future__ import annotations

from collections.abc import Iterable

from trialfit.job.assemblies import AssemblyEntry


def work_words(entry: AssemblyEntry, name: str) -> str:
    """Call a piece of work.

    Parameters
    ----------
    entry
        The assembly.
    name
        The work's name.

    Returns
    -------
    str
        What is done, and to what, in quotes.
    """
    step = entry.work[name]
    alike = [other for other, each in entry.work.items() if (each.do, each.what) == (step.do, step.what) and each.what]
    own = f" ({plain_name(name)})" if len(alike) > 1 else ""
    return f'"{step.do} {step.what or plain_name(name)}{own}"'


def body_words(entry: AssemblyEntry, name: str) -> str:
    """Call a body.

    Parameters
    ----------
    entry
        The assembly.
    name
        The body's name.

    Returns
    -------
    str
        What it is.
    """
    body = entry.bodies.get(name)
    return f"the {body.what}" if body is not None and body.what else f"the {plain_name(name)}"


def plain_name(name: str) -> str:
    """Write a name as words.

    Parameters
    ----------
    name
        As in the job.

    Returns
    -------
    str
        With blanks.
    """
    return name.replace("_", " ")


def listed(words: Iterable[str], join: str = "and") -> str:
    """Write a list for a sentence.

    Parameters
    ----------
    words
        At least one.
    join
        The last conjunction.

    Returns
    -------
    str
        ``a, b and c``.
    """
    every = list(words)
    return every[0] if len(every) == 1 else f"{', '.join(every[:-1])} {join} {every[-1]}"
