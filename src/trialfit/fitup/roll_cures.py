"""What would fix which way round a part stands, and why an angle that was said does not.

Source: the rows that clocking and angles give an adjustment, in `trialfit.fitup.place_rolls`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from trialfit.fitup.place_adjust import Adjusted
from trialfit.fitup.place_rolls import TurnedBy
from trialfit.fitup.place_ties import Tie
from trialfit.fitup.records import Array
from trialfit.parts.envelope import Envelope, PortPlace
from trialfit.parts.made_up import MadeUp

_BESIDE = 0.1


def roll_cures(
    name: str, axis: Array, envelopes: Mapping[str, Envelope], joints: Sequence[MadeUp], found: Adjusted, port: str = ""
) -> list[str]:
    """Say what would fix the turn of a part about an axis, each in words that stand by themselves.

    Parameters
    ----------
    name
        The part.
    axis
        (3,) the axis of the turn that nothing fixes, in the part's own frame. [-]
    envelopes
        All parts' envelopes, by name.
    joints
        The joints between them, made up.
    found
        Where the parts are.
    port
        The port that has to point somewhere; empty for any beside the axis.

    Returns
    -------
    list of str
        A mark always; clocking where a thread holds it about that axis; an angle where what it is joined to stands one
        way only. A part that may itself stand any way round fixes nothing.
    """
    beside = [place.port for place in envelopes[name].places.values() if _is_beside(place, axis)]
    points = port or next((each.full_name for each in beside if each.face is None), "")
    cures = [
        f"mark the middle of the face of {points} and name that point as its face"
        if points
        else "mark a second face of it"
    ]
    own = [(made, place) for made, place in _held_by(name, envelopes, joints) if not _is_beside(place, axis)]
    screwed = next((place for made, place in own if made.pitch_mm and place.port.thread), None)
    if points and screwed is not None and screwed.port.thread is not None:
        cures.append(
            f'say where {points} points in an entry under clocking: thread = "{screwed.port.thread.designation}", port '
            f'= "{points}", wanted = ... and twelve_at = a surveyed point'
        )
    mates = [other for made, _ in own for other in made.parts if other != name]
    steady = next((mate for mate in mates if mate in found.places and mate not in (*found.free, *found.loose)), None)
    if steady is not None:
        cures.append(f"say angle = ... at its joint with {steady}")
    return cures


def angles_that_fix_nothing(name: str, ties: Sequence[Tie], found: Adjusted) -> list[str]:
    """Name what a part was given an angle from that may itself stand any way round.

    Parameters
    ----------
    name
        The part.
    ties
        All ties.
    found
        Where the parts are.

    Returns
    -------
    list of str
        Names of parts.
    """
    angled = [tie for tie in ties if isinstance(tie, TurnedBy) and name in tie.parts]
    return [other for tie in angled for other in tie.parts if other != name and other in found.free]


def _held_by(
    name: str, envelopes: Mapping[str, Envelope], joints: Sequence[MadeUp]
) -> Iterator[tuple[MadeUp, PortPlace]]:
    for made in joints:
        for full in (made.a, made.b):
            part, _, port = full.rpartition(".")
            if part == name and port in envelopes[name].places:
                yield made, envelopes[name].places[port]


def _is_beside(place: PortPlace, axis: Array) -> bool:
    return float(np.linalg.norm(np.cross(place.direction, axis))) > _BESIDE
