"""Names for a person: the loop a joint is part of, the port an axis goes through, things in a row."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

import numpy as np

from trialfit.fitup.place_adjust import Tested
from trialfit.fitup.place_gather import Gathered
from trialfit.fitup.records import Array
from trialfit.parts.envelope import Envelope


def names_listed(names: Sequence[str], join: str = "and") -> str:
    """Write things in a row.

    Parameters
    ----------
    names
        At least one.
    join
        The word before the last.

    Returns
    -------
    str
        Such as ``a, b and c``.
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {join} {names[-1]}"


def loop_of(worst: Tested, told: Gathered) -> str:
    """Name the loop of joints that a joint closes.

    Parameters
    ----------
    worst
        The joint.
    told
        What ties the parts.

    Returns
    -------
    str
        The parts in order, the first again at the end; empty where it is no joint or closes no loop.
    """
    if not worst.is_joint:
        return ""
    start, end = worst.parts
    pairs = [made.parts for made in told.joints if set(made.parts) != {start, end}]
    before: dict[str, str] = {start: ""}
    waiting = deque([start])
    while waiting:
        here = waiting.popleft()
        for pair in pairs:
            if here in pair:
                other = pair[1] if pair[0] == here else pair[0]
                if other not in before:
                    before[other] = here
                    waiting.append(other)
    if end not in before:
        return ""
    chain = [end]
    while before[chain[-1]]:
        chain.append(before[chain[-1]])
    return " - ".join([*reversed(chain), start])


def port_about(envelope: Envelope, axis: Array) -> str:
    """Name the port of a part whose axis lies along a direction.

    Parameters
    ----------
    envelope
        The part's.
    axis
        (3,) unit vector in the part's own frame. [-]

    Returns
    -------
    str
        As part.port; the part's name where no port lies that way.
    """
    along = {place.port.full_name: abs(float(place.direction @ axis)) for place in envelope.places.values()}
    best = max(along, key=lambda name: along[name], default="")
    return best if best and along[best] > np.cos(np.radians(5.0)) else envelope.part.name
