"""What would have held: the largest bore, or the next thread, that stands a given torque.

Source: `trialfit.strength.tail`, solved for the bore by halving; more bore is never stronger, so that one answer
exists.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from trialfit.errors import Refusal
from trialfit.strength.tail import Duty, Tail, tail_strength
from trialfit.tables.threads import Thread, threads

_CLOSE_MM = 1e-4
_THINNEST_MM = 1e-3


@dataclass(frozen=True)
class WouldHold:
    """What would have held.

    Parameters
    ----------
    torque_nm
        The torque it is to hold without yielding, at the lowest. [N·m]
    bore_mm
        Largest bore under the same thread that does; None where not even a solid tail does. [mm]
    thread
        Smallest thread of the same form that does with the same bore; None where the tables have none.
    """

    torque_nm: float
    bore_mm: float | None
    thread: Thread | None


def would_hold(tail: Tail, duty: Duty, torque_nm: float) -> WouldHold:
    """Find what holds a torque.

    Parameters
    ----------
    tail
        The tail, whose bore and thread are to be changed. It is taken as sound and true: nothing lost, bore central.
    duty
        What it is asked to stand.
    torque_nm
        The torque that its lowest yield torque is to reach. [N·m]

    Returns
    -------
    WouldHold
        Bore and thread.
    """
    sound = replace(tail, share_lost=0.0, offset_mm=0.0)
    return WouldHold(torque_nm, _bore_mm(sound, duty, torque_nm), _thread(sound, duty, torque_nm))


def _bore_mm(tail: Tail, duty: Duty, torque_nm: float) -> float | None:
    def holds(bore_mm: float) -> bool:
        return tail_strength(replace(tail, bore_mm=bore_mm), duty).yield_torque.low >= torque_nm

    low, high = 0.0, tail.thread.core_mm - _THINNEST_MM
    if not holds(low):
        return None
    while high - low > _CLOSE_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _thread(tail: Tail, duty: Duty, torque_nm: float) -> Thread | None:
    """The smallest thread of the same series, or where that has none of the same form, that holds."""

    def holds(thread: Thread) -> bool:
        try:
            return tail_strength(replace(tail, thread=thread), duty).yield_torque.low >= torque_nm
        except Refusal:
            return False

    larger = [t for t in threads() if not t.taper and t.major_mm > tail.thread.major_mm + 1e-6]
    for series in (True, False):
        pool = [t for t in larger if (t.series == tail.thread.series if series else t.form == tail.thread.form)]
        found = next((t for t in sorted(pool, key=lambda t: (t.major_mm, t.pitch_mm)) if holds(t)), None)
        if found is not None:
            return found
    return None
