"""What a part may still be turned about: the joints that hold it, one after the other, each by its own axis.

Source: rigid motion; a turn about a line moves a point r from it by the axis crossed with r. Farther from a joint than
from the one before it, a part sweeps the second axis with all that it sweeps about the first.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from trialfit.fitup.place_adjust import Adjusted
from trialfit.fitup.records import Array
from trialfit.fitup.scene import Pivot
from trialfit.parts.envelope import Envelope
from trialfit.parts.made_up import MadeUp

# A turn is weighed against a shift at this distance, when it is asked whether it is one of those that nothing fixes.
_LEVER_MM = 20.0
_ALIKE = 1e-3


def pivots_of(
    name: str, found: Adjusted, envelopes: Mapping[str, Envelope], joints: Sequence[MadeUp]
) -> tuple[Pivot, ...]:
    """Say what a part may still be turned about.

    Parameters
    ----------
    name
        A part that has a place and cannot slide.
    found
        Where the parts are.
    envelopes
        Their envelopes, by name.
    joints
        The joints between them, made up.

    Returns
    -------
    tuple of Pivot
        None where it stands one way only; the joint nearest to it first; one point alone where it may point any way.
    """
    turns = found.free.get(name, ())
    if not turns:
        return ()
    origin = found.places[name].shift_mm
    if len(turns) == 1:
        return (Pivot(turns[0].on_mm(origin), turns[0].axis),)
    free = np.array([np.concatenate([turn.moves / _LEVER_MM, turn.axis]) for turn in turns])
    chain: list[Pivot] = []
    taken = np.zeros((0, 6))
    for at, way in _axes_from(name, found, envelopes, joints):
        twist = np.concatenate([np.cross(way, origin - at) / _LEVER_MM, way])
        if _beyond(twist, free) < _ALIKE and _beyond(twist, taken) > _ALIKE:
            chain.append(Pivot(at, way))
            taken = np.vstack([taken, twist])
    if len(chain) == len(turns):
        return tuple(chain)
    return (Pivot(_still_point(free, origin), None),)


def _beyond(twist: Array, among: Array) -> float:
    """How much of a small motion no mixture of others gives."""
    if not len(among):
        return float(np.linalg.norm(twist))
    shares = np.linalg.lstsq(among.T, twist, rcond=None)[0]
    return float(np.linalg.norm(twist - among.T @ shares))


def _axes_from(
    name: str, found: Adjusted, envelopes: Mapping[str, Envelope], joints: Sequence[MadeUp]
) -> Iterator[tuple[Array, Array]]:
    """The axes of a part's joints, then of what it is joined to, and so on outwards."""
    seen, waiting = {name}, deque([name])
    while waiting:
        here = waiting.popleft()
        for made in joints:
            if here not in made.parts:
                continue
            full, other = (made.a, made.parts[1]) if made.parts[0] == here else (made.b, made.parts[0])
            place = envelopes[here].places[full.rpartition(".")[2]]
            if other in seen or other not in found.places:
                continue
            own = found.places[here]
            yield own.points_mm(place.at_mm), own.directions(place.direction)
            seen.add(other)
            waiting.append(other)


def _still_point(free: Array, origin: Array) -> Array:
    """The point that turns move least: all turns about it leave it where it is."""
    rows = [np.cross(np.eye(3), turn[3:]) for turn in free]
    # A turn w about the point p moves the origin o by w x (o - p), which is (p - o) x w.
    off = np.concatenate([turn[:3] * _LEVER_MM for turn in free])
    found: Array = np.linalg.lstsq(np.vstack([row.T for row in rows]), off, rcond=None)[0]
    return origin + found
