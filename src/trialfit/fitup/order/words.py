"""Motions, strikes and directions in words. Source: plane reasoning; no figures of its own."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil

import numpy as np

from trialfit.fitup.order.loose import Bar, Stand
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.order.search import Reader
from trialfit.fitup.order.table import Entry, Strike
from trialfit.fitup.vectors import angle_between_deg
from trialfit.parts.placement import Array

# The card's directions: in words, and where one looks from to see a part come that way.
_CARD: tuple[tuple[str, str, tuple[float, float, float]], ...] = (
    ("along the card's long side", "looking back along the card's long side", (1, 0, 0)),
    ("back along the card's long side", "looking along the card's long side", (-1, 0, 0)),
    ("along the card's short side", "looking back along the card's short side", (0, 1, 0)),
    ("back along the card's short side", "looking along the card's short side", (0, -1, 0)),
    ("up from the card", "seen from above", (0, 0, 1)),
    ("down to the card", "seen from below", (0, 0, -1)),
)
_STRAIGHT_DEG, _NAMED_WITHIN_DEG, _NO_PART_DEG = 20.0, 45.0, 80.0
# Pieces of which a part has only one to speak of are not named.
_PLAIN = ("body", "")


def direction_words(way: Array, named: Mapping[str, Array]) -> str:
    """Say where a direction points.

    Parameters
    ----------
    way
        (3,) any length but nought. [-]
    named
        (3,) directions the job has names for, such as ``left``; what none of them is near is told by the card. [-]

    Returns
    -------
    str
        One direction, or two where it lies between them.
    """
    near = _nearest(way, named)
    return near[0][0] if len(near) == 1 else f"between {near[0][0]} and {near[1][0]}"


def seen_words(way: Array, named: Mapping[str, Array]) -> str:
    """Say from where one sees a part come towards oneself.

    Parameters
    ----------
    way
        (3,) the way it comes. [-]
    named
        (3,) directions the job has names for. [-]

    Returns
    -------
    str
        Such as ``seen from the left``.
    """
    near = _nearest(way, named)
    return near[0][1] if len(near) == 1 else f"seen from where it comes out, {direction_words(way, named)}"


def _nearest(way: Array, named: Mapping[str, Array]) -> list[tuple[str, str]]:
    known = [
        (f"towards the {name}", f"seen from the {name}", np.asarray(each, dtype=np.float64))
        for name, each in named.items()
    ]
    for words, seen, card in _CARD:
        axis = np.array(card, dtype=np.float64)
        if all(angle_between_deg(axis, each) > _NAMED_WITHIN_DEG for _, _, each in known[: len(named)]):
            known.append((words, seen, axis))
    off = sorted((angle_between_deg(way, each), words, seen) for words, seen, each in known)
    single = off[0][0] <= _STRAIGHT_DEG or off[1][0] >= _NO_PART_DEG
    return [(words, seen) for _, words, seen in off[: 1 if single else 2]]


def motion_words(motion: Motion, named: Mapping[str, Array], back: bool = False, what: str = "it") -> str:
    """Say what is done.

    Parameters
    ----------
    motion
        The motion, as it comes off.
    named
        (3,) directions the job has names for. [-]
    back
        Whether it is gone through backwards, as the part goes on.
    what
        What moves.

    Returns
    -------
    str
        Such as ``unscrew it 4.5 turns anticlockwise, seen from the left``.
    """
    way = direction_words(motion.along, named)
    if motion.do in ("unscrew", "turn"):
        sense = "anticlockwise" if (motion.turn_deg > 0) != back else "clockwise"
        seen = seen_words(motion.along, named)
        if motion.do == "turn":
            return f"turn {what} {abs(motion.turn_deg):.0f} deg {sense}, {seen}"
        count = f"{abs(motion.turn_deg) / 360:.1f} turns".replace(".0 ", " ")
        return f"{'screw' if back else 'unscrew'} {what} {count} {sense}, {seen}"
    if what != "it" and motion.do == "pull":
        slid = f"slide {what} {motion.travel_mm:.0f} mm"
        return f"{slid} up to its thread" if back else f"{slid} clear, {way}"
    if back:
        return f"hold {what} {motion.travel_mm:.0f} mm out, {way}, and bring it straight in"
    return f"{motion.do} {what} {motion.travel_mm:.0f} mm {way}"


def strike_words(entry: Entry, strike: Strike) -> str:
    """Say what is struck, and when.

    Parameters
    ----------
    entry
        The line of the table.
    strike
        What is met.

    Returns
    -------
    str
        Such as ``its arm strikes P2 at 148 deg of turn 1``.
    """
    own = strike.mover in entry.loose.things and len(entry.loose.things) == 1
    mover = _part(strike.mover, strike.mover_piece, own)
    struck = _part(strike.struck, strike.struck_piece, False)
    if strike.any_way:
        return _some_ways_words(entry, strike, mover, struck)
    if strike.overlap_mm > 0:
        return f"{mover} stands {strike.overlap_mm:.1f} mm deep in {struck} before anything moves"
    motion = entry.loose.ways[entry.way].phases[strike.phase].motion
    if strike.phase == len(entry.loose.ways[entry.way].phases) - 1 and strike.share == 1.0:
        return f"{mover} is still in {struck} when the last motion ends"
    return f"{mover} strikes {struck} {when_words(motion, strike.share)}"


def _some_ways_words(entry: Entry, strike: Strike, mover: str, struck: str) -> str:
    phases = entry.loose.ways[entry.way].phases
    ends = strike.phase == len(phases) - 1 and strike.share == 1.0
    when = "when the last motion ends" if ends else when_words(phases[strike.phase].motion, strike.share)
    names = " and ".join(strike.any_way)
    points = "points" if len(strike.any_way) == 1 else "point"
    return f"{mover} may strike {struck} {when}, as nothing says which way {names} {points}"


def when_words(motion: Motion, share: float) -> str:
    """Say how far a motion has got.

    Parameters
    ----------
    motion
        The motion.
    share
        How much of it is done. [-]

    Returns
    -------
    str
        In degrees of a counted turn, or millimetres.
    """
    if motion.do == "unscrew":
        turned = abs(motion.turn_deg) * share
        whole = min(int(turned // 360), max(0, ceil(abs(motion.turn_deg) / 360) - 1))
        return f"at {turned - 360 * whole:.0f} deg of turn {whole + 1}"
    if motion.do == "turn":
        return f"after {abs(motion.turn_deg) * share:.0f} deg"
    return f"after {motion.travel_mm * share:.1f} mm of the {motion.do}"


def hindered_words(stand: Stand, reader: Reader, name: str, there: set[str]) -> tuple[str, ...]:
    """Say of each of its ways why something cannot come off while other things are there.

    Parameters
    ----------
    stand
        Everything in place.
    reader
        The table's reader.
    name
        What does not come off.
    there
        What is there.

    Returns
    -------
    tuple of str
        One sentence a way, without saying the same twice.
    """
    told: list[str] = []
    for way in range(len(stand.named(name).ways)):
        entry = reader.entry(name, way)
        found = list(reader.hindrances(entry, there))
        if not found:
            continue
        strikes = sorted((each for each in found if isinstance(each, Strike)), key=lambda s: (s.phase, s.share))
        held = [each for each in found if isinstance(each, str)]
        bars = [each.words for each in found if isinstance(each, Bar)]
        if bars:
            words = " and ".join(bars)
        elif held:
            words = f"{' and '.join(held)} {'is' if len(held) == 1 else 'are'} still fixed to it"
        elif strikes:
            words = strike_words(entry, strikes[0])
        else:
            words = spanner_words(entry, next(each for each in found if isinstance(each, int)))
        told.append(words)
    return tuple(dict.fromkeys(told))


def spanner_words(entry: Entry, phase: int) -> str:
    """Say that a spanner cannot swing.

    Parameters
    ----------
    entry
        The line of the table.
    phase
        Which of its phases.

    Returns
    -------
    str
        With what is in the way of the window that is blocked least.
    """
    windows = entry.windows[phase]
    least = min(windows, key=lambda each: (len(each.blockers), sorted(each.blockers)))
    wide = least.ends_deg - least.starts_deg
    grip = entry.loose.ways[entry.way].phases[phase].grip
    flats = grip.spanner.flats_mm if grip else 0.0
    return (
        f"the {flats:g} mm spanner has nowhere {wide:.0f} deg to swing; where least is in its way, "
        f"{' and '.join(sorted(least.blockers))} {'is' if len(least.blockers) == 1 else 'are'}"
    )


def swing_words(entry: Entry, place: int, gone: frozenset[str], stand: Stand) -> tuple[str, float]:
    """Say how wide a spanner can swing when some things are gone.

    Parameters
    ----------
    entry
        The line of the table.
    place
        Which phase of the way. [-]
    gone
        Names of what has come off.
    stand
        Everything in place.

    Returns
    -------
    tuple
        The words, and the width of the swing. [deg]
    """
    owners = stand.owners
    free = [
        not any(owners.get(each) is None or owners[each] not in gone for each in window.blockers)
        for window in entry.windows[place]
    ]
    if all(free):
        return "all round", 360.0
    window = entry.windows[place][0]
    wide, step = window.ends_deg - window.starts_deg, 360 / len(free)
    run = best = 0
    for each in (*free, *free):
        run = run + 1 if each else 0
        best = max(best, run)
    swing = min(360.0, wide + (best - 1) * step) if best else 0.0
    return f"through {swing:.0f} deg", swing


def _part(thing: str, piece: str, own: bool) -> str:
    if own:
        return f"its {piece or 'body'}"
    return thing if piece in _PLAIN else f"{thing}'s {piece}"
