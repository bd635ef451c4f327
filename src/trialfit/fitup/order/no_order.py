"""Why there is no order: the smallest set of things that hold each other in, none of which could be spared.

Source: a set from which nothing can be left out without the trouble going away; found by leaving out one after another.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from trialfit.fitup.order.loose import Stand
from trialfit.fitup.order.search import Reader, take_off
from trialfit.fitup.order.table import Strike, Table
from trialfit.fitup.order.words import hindered_words


@dataclass(frozen=True)
class Stuck:
    """What holds each other in.

    Parameters
    ----------
    wanted
        What was to come off.
    things
        It and those that keep it in, each of them needed for that.
    because
        A sentence for each: why it cannot come off before the others.
    strikes
        What strikes what among them.
    """

    wanted: str
    things: tuple[str, ...]
    because: tuple[str, ...]
    strikes: tuple[Strike, ...]


def why_stuck(stand: Stand, table: Table, wanted: str, stuck: Iterable[str]) -> Stuck:
    """Find the smallest reason why something cannot come off.

    Parameters
    ----------
    stand
        Everything in place.
    table
        Who strikes whom.
    wanted
        What was to come off.
    stuck
        What is there when nothing more comes off.

    Returns
    -------
    Stuck
        Its reason.
    """
    reader = Reader(stand, table)
    core = set(stuck)
    for name in sorted(stuck):
        if name != wanted and wanted in _left(reader, core - {name}):
            core.remove(name)
    told, strikes = [], []
    for name in sorted(core, key=lambda each: (each != wanted, each)):
        words = hindered_words(stand, reader, name, core)
        told.append(f"{name} cannot come out {_first(core)}: {_either(words)}.")
        for way in range(len(stand.named(name).ways)):
            strikes += [each for each in reader.hindrances(reader.entry(name, way), core) if isinstance(each, Strike)]
    return Stuck(wanted, tuple(sorted(core)), tuple(told), tuple(strikes))


def comes_off(stand: Stand, table: Table, wanted: Iterable[str]) -> bool:
    """Whether everything wanted comes off.

    Parameters
    ----------
    stand
        Everything in place.
    table
        Who strikes whom.
    wanted
        What has to come off.

    Returns
    -------
    bool
        True where there is an order.
    """
    return not take_off(stand, table, wanted).left


def _left(reader: Reader, there: set[str]) -> set[str]:
    """What is there when nothing more comes off, whatever side one stands at."""
    left, again = set(there), True
    while again:
        again = False
        for name in sorted(left):
            ways = range(len(reader.ways(name)))
            if any(reader.free(reader.entry(name, way), left) for way in ways):
                left -= set(reader.carried[name])
                again = True
                break
    return left


def _first(core: set[str]) -> str:
    return "first" if len(core) > 1 else "at all"


def _either(words: tuple[str, ...]) -> str:
    return "; nor otherwise: ".join(words) if words else "it has no way off"
