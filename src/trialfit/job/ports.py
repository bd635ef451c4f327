"""The kinds of part and their standard ports.

A port's direction is given in the part's own frame: z along the part's main axis, x along its side arm where it has
one. A part that points elsewhere says so in the job.

Source: the trade's own names; common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from trialfit.job.records import Gender, Kind

Feature = Literal["thread", "seat", "tube", "bore"]
Bore = Literal["socket", "clearance hole"]
Direction = tuple[float, float, float]

_ALONG: Direction = (0.0, 0.0, 1.0)
_BACK: Direction = (0.0, 0.0, -1.0)
_SIDE: Direction = (1.0, 0.0, 0.0)
_OTHER_SIDE: Direction = (-1.0, 0.0, 0.0)
_UP: Direction = (0.0, 1.0, 0.0)


@dataclass(frozen=True)
class PortKind:
    """A standard port of a kind of part.

    Parameters
    ----------
    name
        Its name.
    may_have
        Features it can have; none where it is merely held, as a handle is on its spindle.
    direction
        Which way it points, unless the job says otherwise. [-]
    gender
        The only gender its thread or seat can have; None for either.
    bore_is
        Whether a tube is soldered into its bore or passes through it.
    """

    name: str
    may_have: frozenset[Feature]
    direction: Direction
    gender: Gender | None = None
    bore_is: Bore = "socket"


def _port(
    name: str, features: str, direction: Direction, gender: Gender | None = None, bore_is: Bore = "socket"
) -> PortKind:
    known: tuple[Feature, ...] = ("thread", "seat", "tube", "bore")
    return PortKind(name, frozenset(each for each in known if each in features.split()), direction, gender, bore_is)


_ANY = "thread seat tube bore"

KINDS: Mapping[Kind, tuple[PortKind, ...]] = {
    "bush": (_port("thread", "thread seat", _ALONG),),
    "union body": (_port("face", "thread seat", _ALONG), _port("root", "thread tube bore", _BACK)),
    "union cone": (_port("seat", "seat", _ALONG, "male"), _port("socket", "tube bore", _BACK)),
    "union nut": (
        _port("thread", "thread", _ALONG, "female"),
        _port("hole", "bore", _BACK, bore_is="clearance hole"),
    ),
    "pipe": (_port("start", "tube seat thread", _BACK), _port("end", "tube seat thread", _ALONG)),
    "elbow": (_port("inlet", _ANY, _BACK), _port("outlet", _ANY, _SIDE)),
    "tee": (_port("run_a", _ANY, _BACK), _port("run_b", _ANY, _ALONG), _port("branch", _ANY, _SIDE)),
    "cock": (_port("inlet", _ANY, _BACK), _port("outlet", _ANY, _ALONG), _port("spindle", "", _SIDE)),
    "check valve": (
        _port("inlet", _ANY, _BACK),
        _port("outlet", _ANY, _SIDE),
        _port("cap", "thread seat", _ALONG),
    ),
    "cap": (_port("thread", "thread seat", _BACK),),
    "adaptor": (_port("a", _ANY, _BACK), _port("b", _ANY, _ALONG)),
    "three-way cock": (
        _port("inlet", _ANY, _BACK),
        _port("left", _ANY, _SIDE),
        _port("right", _ANY, _OTHER_SIDE),
        _port("spindle", "", _UP),
    ),
    "pump": (_port("inlet", _ANY, _BACK), _port("outlet", _ANY, _ALONG)),
    "injector": (
        _port("steam", _ANY, _BACK),
        _port("delivery", _ANY, _ALONG),
        _port("water", _ANY, _SIDE),
        _port("overflow", _ANY, _OTHER_SIDE),
    ),
    "handle": (_port("hub", "", _BACK), _port("pin_hole", "", _ALONG), _port("end", "", _SIDE)),
    "pin": (_port("stem", "", _BACK),),
}
