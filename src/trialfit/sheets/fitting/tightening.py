"""How tight a part goes, which spanner, and what seals it: in the owner's words."""

from __future__ import annotations

from collections.abc import Iterable
from math import floor

from trialfit.job.fitting import FittingEntry
from trialfit.sheets.words import Words
from trialfit.strength.report import BreakReport
from trialfit.strength.spanner import SafePull, Way
from trialfit.tables.rules import rule

_SEALS = {
    "dry": "fitting-seal-dry",
    "retaining compound": "fitting-seal-retaining",
    "high-temperature retaining compound": "fitting-seal-retaining",
    "jointing compound": "fitting-seal-jointing",
    "PTFE tape": "fitting-seal-tape",
    "washer": "fitting-seal-washer",
    "copper washer": "fitting-seal-washer",
    "fibre washer": "fitting-seal-washer",
    "bonded seal": "fitting-seal-washer",
}


def tight_lines(entry: FittingEntry, breaks: Iterable[BreakReport], words: Words) -> list[str]:
    """Say how tight a part goes.

    Parameters
    ----------
    entry
        What the job says of fitting it.
    breaks
        The broken tails, with what the new ones stand.
    words
        The owner's words.

    Returns
    -------
    list of str
        Spanner, torque and pull; without a figure, the careful way.
    """
    safe = next((each.safe for each in breaks if each.name == entry.tail), None)
    if safe is not None and safe.way is Way.NOBODY:
        return [words.say("fitting-not-you")]
    lines = []
    fingers = safe is not None and safe.way is Way.FINGERS
    if fingers:
        lines.append(words.say("fitting-spanner-fingers"))
    elif entry.spanner is not None:
        lines.append(words.say("fitting-spanner", size=words.as_marked(entry.spanner)))
    torque_nm = _least_nm(entry, safe)
    if torque_nm is None:
        lines.append(words.say("fitting-tight-unknown"))
    else:
        lines.append(words.say("fitting-tight", torque=words.torque(_down(torque_nm))))
        lines += [] if fingers else _pull(torque_nm, safe, words)
    if entry.hold:
        lines.append(words.say("fitting-hold"))
    return lines


def seal_lines(entry: FittingEntry, words: Words) -> list[str]:
    """Say what seals a part, and how long it is left alone.

    Parameters
    ----------
    entry
        What the job says of fitting it.
    words
        The owner's words.

    Returns
    -------
    list of str
        Empty where the job names no seal.

    Source
    ------
    Full cure of a retaining compound: the tables, ``figures/sealing.csv``.
    """
    if entry.seal is None:
        return []
    lines = [words.say(_SEALS[entry.seal])]
    hours = None if entry.cures is None else float(entry.cures.to("s")) / 3600.0
    if hours is None and entry.seal.endswith("retaining compound"):
        hours = rule("anaerobic", "full cure").high
    if hours is not None:
        lines.append(words.say("fitting-cures", hours=words.number(hours, 0 if hours == int(hours) else 1)))
    return lines


def _least_nm(entry: FittingEntry, safe: SafePull | None) -> float | None:
    known = [float(entry.tight.to("N·m"))] if entry.tight is not None else []
    known += [safe.torque_nm] if safe is not None else []
    return min(known, default=None)


def _pull(torque_nm: float, safe: SafePull | None, words: Words) -> list[str]:
    if safe is None or safe.spanner_mm is None:
        return []
    pull_n = floor(1000.0 * _down(torque_nm) / safe.spanner_mm)
    return [
        words.say(
            "fitting-tight-pull",
            long=words.length(safe.spanner_mm, 0),
            pull=words.force(pull_n),
            hanging=words.hanging(pull_n),
        )
    ]


def _down(torque_nm: float) -> float:
    """Rounded down: what an owner is told is never more than what was worked out. [N·m]"""
    places = 100.0 if torque_nm < 1.0 else 10.0
    return floor(places * torque_nm + 1e-9) / places
