"""The outside of a part as its turned part has it: a stack of rounds and hexagons along the axis.

Source: the job document.
"""

from __future__ import annotations

import numpy as np

from trialfit.job.turned import OutsideLine, TurnedEntry, outside_kind
from trialfit.parts.envelope import OwnPiece
from trialfit.parts.proportions import Typical
from trialfit.parts.records import Part
from trialfit.parts.solids import Cylinder, Hexagon
from trialfit.tables.designations import find_thread
from trialfit.units import Quantity

# Of a ready-made part the stack along its axis: what each length is of, and how long; from its main port backwards.
_PATTERNS: dict[str, tuple[tuple[str, str], ...]] = {
    "union nut": (("hexagon", "long"),),
    "blanking cap": (("hexagon", "long"),),
    "union cone": (("body", "long"), ("spigot", "spigot_long")),
    "bush": (("body", "long"), ("spigot", "spigot_long")),
    "threaded tail": (("thread", "thread_long"), ("hexagon", "hexagon_long"), ("spigot", "spigot_long")),
    "adaptor": (("thread", "thread_long"), ("hexagon", "hexagon_long"), ("other", "other_long")),
    "ball seat": (("body", "long"),),
    "shim washer": (("body", "long"),),
}
# Kinds whose main port looks along the axis, so that the rest lies behind it; the others begin at their back.
_FACES_ALONG = ("bush", "union body", "union cone", "union nut")


def as_turned(entry: TurnedEntry, part: Part) -> Typical | None:
    """Give a part the outside that its turned part has.

    Parameters
    ----------
    entry
        The turned part.
    part
        The part that it is.

    Returns
    -------
    Typical or None
        Its pieces and the places of the ports at its two ends; None where a length is not given.
    """
    stack = _stack(entry)
    if not stack or any(long_mm is None for _, long_mm, _, _ in stack):
        return None
    sense = -1.0 if part.kind in _FACES_ALONG else 1.0
    made, at = Typical(), 0.0
    for name, long_mm, across, is_hexagon in stack:
        near, far = (np.array([0.0, 0.0, sense * each]) for each in (at, at + (long_mm or 0.0)))
        at += long_mm or 0.0
        across_x = np.array([1.0, 0.0, 0.0])
        solid = Hexagon(near, far, across, across_x) if is_hexagon else Cylinder(near, far, across / 2)
        made.pieces.append(OwnPiece(name, solid))
    along = [port.name for port in part.ports if abs(port.direction[2]) > 0.99]
    for name, height in zip(along, (0.0, sense * at), strict=False):
        made.at_mm[name] = np.array([0.0, 0.0, height])
    return made


_Layer = tuple[str, float | None, float, bool]


def _stack(entry: TurnedEntry) -> list[_Layer]:
    if entry.pattern is None:
        return [layer for line in entry.outside if (layer := _line(line)) is not None]
    layers: list[_Layer] = []
    for across, long in _PATTERNS[entry.pattern]:
        size, length = getattr(entry.sizes, across), getattr(entry.sizes, long)
        if size is None or (across == "other" and entry.sizes is not None and entry.sizes.other_inside):
            continue
        layers.append((across, _mm(length), _diameter_mm(size), across == "hexagon"))
    return layers


def _line(line: OutsideLine) -> _Layer | None:
    kind = outside_kind(line)
    if kind == "chamfer":
        return None
    across = _diameter_mm(getattr(line, kind))
    if kind == "taper":
        across = max(across, _mm(line.to) or 0.0)
    return kind, _mm(line.long), across, kind == "hexagon"


def _diameter_mm(size: str | Quantity) -> float:
    return find_thread(size).major_mm if isinstance(size, str) else float(size.to("mm"))


def _mm(length: Quantity | None) -> float | None:
    return None if length is None else float(length.to("mm"))
