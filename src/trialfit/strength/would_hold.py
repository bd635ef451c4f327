"""What would have held: the largest bore, or the next thread, that stands a given torque.

Source: `trialfit.strength.tail`, solved for the bore by halving; more bore is never stronger, so that one answer
exists.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from trialfit.errors import Refusal
from trialfit.strength.metal_state import metal_state
from trialfit.strength.records import Duty, Tail
from trialfit.strength.tail import tail_strength
from trialfit.tables.metals import metals
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
    hard_bore_mm
        The same for a tail that is soft, were it kept hard; None where it is hard, or would not hold either. [mm]
    metals
        Other metals for wet fittings that, kept hard, hold it with the same thread and bore.
    thread
        Smallest thread of the same form that does with the same bore; None where the tables have none.
    """

    torque_nm: float
    bore_mm: float | None
    hard_bore_mm: float | None
    metals: tuple[str, ...]
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
    hard = replace(sound, state=metal_state(sound.state.metal, softened=False))
    hard_bore_mm = _bore_mm(hard, duty, torque_nm) if sound.state.soft else None
    bore_mm, thread = _bore_mm(sound, duty, torque_nm), _thread(sound, duty, torque_nm)
    return WouldHold(torque_nm, bore_mm, hard_bore_mm, _metals(sound, duty, torque_nm), thread)


def _metals(tail: Tail, duty: Duty, torque_nm: float) -> tuple[str, ...]:
    # Mild steel would hold, and rust through: it is not for wet fittings.
    wet = [metal for metal in metals().values() if metal.name != "mild steel" and metal.key != tail.state.metal.key]
    others = [metal_state(metal, softened=False) for metal in wet]
    held = [state for state in others if _least_nm(replace(tail, state=state), duty) >= torque_nm]
    return tuple(state.metal.key for state in held)


def _least_nm(tail: Tail, duty: Duty) -> float:
    return tail_strength(tail, duty).yield_torque.low


def _bore_mm(tail: Tail, duty: Duty, torque_nm: float) -> float | None:
    def holds(bore_mm: float) -> bool:
        return _least_nm(replace(tail, bore_mm=bore_mm), duty) >= torque_nm

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
            return _least_nm(replace(tail, thread=thread), duty) >= torque_nm
        except Refusal:
            return False

    larger = [t for t in threads() if not t.taper and t.major_mm > tail.thread.major_mm + 1e-6]
    for series in (True, False):
        pool = [t for t in larger if (t.series == tail.thread.series if series else t.form == tail.thread.form)]
        found = next((t for t in sorted(pool, key=lambda t: (t.major_mm, t.pitch_mm)) if holds(t)), None)
        if found is not None:
            return found
    return None
