"""Names whose letters the sheets' fonts do not hold: told before a sheet full of empty boxes is sent."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from trialfit.finding import Answer, Finding, Reason
from trialfit.job.records import Job
from trialfit.sheets.fonts import not_held

_MOST_NAMED = 6


def owner_name(job: Job) -> str:
    """Give the owner's name as the sheets can print it.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    str
        His name; where the fonts do not hold its letters, the one the parcel gives for labels.
    """
    owner, other = job.job.owner, job.parcel.label if job.parcel else ""
    return other if not_held(owner) and other else owner


def unheld_findings(job: Job) -> tuple[Finding, ...]:
    """Name what cannot be printed.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    tuple of Finding
        One, where there is something.
    """
    written = job.model_dump(mode="json", exclude_defaults=True)
    if owner_name(job) != job.job.owner:
        written["job"].pop("owner")
    found = {text: letters for text in dict.fromkeys(_texts(written)) if (letters := not_held(text))}
    if not found:
        return ()
    reasons = [Reason(f'"{text}": {letters}.') for text, letters in list(found.items())[:_MOST_NAMED]]
    if len(found) > _MOST_NAMED:
        reasons.append(Reason(f"And {len(found) - _MOST_NAMED} more."))
    return (
        Finding(
            "sheets", "letters", "Can every letter be printed?", Answer.LOOK, because=tuple(reasons),
            do="These letters come out as empty boxes. Write them in Latin, Greek or Cyrillic ones; the owner's name "
            "as label, under [parcel].",
        ),
    )  # fmt: skip


def _texts(written: Any) -> Iterator[str]:
    if isinstance(written, str):
        yield written
    elif isinstance(written, Mapping):
        for each in written.values():
            yield from _texts(each)
    elif isinstance(written, list | tuple):
        for each in written:
            yield from _texts(each)
