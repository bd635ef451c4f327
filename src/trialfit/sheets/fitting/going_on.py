"""What the owner is told of a new pipe's chance to go on, and what to do if it does not."""

from __future__ import annotations

from collections.abc import Iterable
from math import floor

from trialfit.fitup.fit import Fit
from trialfit.fitup.ways_out import SET_BY_HAND
from trialfit.sheets.words import Words

_TIMES, _EACH_PCT = 20, 5.0


def chance_lines(part: str, fits: Iterable[Fit], words: Words) -> list[str]:
    """Say how surely a pipe goes on by itself.

    Parameters
    ----------
    part
        What the step is about, by its name in the job.
    fits
        Of each new pipe whether it drops on.
    words
        The owner's words.

    Returns
    -------
    list of str
        Sentences; none where it is no new pipe.
    """
    found = next((fit.drop_on for fit in fits if fit.drop_on.pipe == part), None)
    if found is None:
        return []
    lines = [words.say("fitting-chance", often=_often(found.ways[0].chance.value, words))]
    if found.best.trouble == SET_BY_HAND:
        lines.append(words.say("fitting-chance-set", often=_often(found.best.chance.value, words)))
    return [*lines, words.say("fitting-chance-not"), words.say("fitting-chance-assumed")]


def _often(chance_pct: float, words: Words) -> str:
    """So many times in twenty, never more than it is."""
    times = min(floor(chance_pct / _EACH_PCT + 1e-9), _TIMES - 1)
    if times < 1:
        return words.say("fitting-often-seldom")
    return words.say("fitting-often-most" if chance_pct > 95.0 + 1e-9 else "fitting-often", times=times)
