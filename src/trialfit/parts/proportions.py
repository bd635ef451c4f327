"""Typical proportions of small fittings, for parts that nobody measured.

Everything is a multiple of the thread's major diameter, or of the tube. They serve to see roughly what stands in whose
way; a part that matters is to be measured.

Source: common practice, no published source; across flats by the tables where they have the thread.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from trialfit.job.records import Kind
from trialfit.parts.envelope import OwnPiece
from trialfit.parts.placement import Array
from trialfit.parts.records import Part, Port
from trialfit.parts.solids import Capsule, Cylinder, Hexagon
from trialfit.tables.hexagons import hexagons_of

_NOTHING_KNOWN_MM = 6.0
_FLATS = 1.3
# Half the length of a body from its middle to the shoulder of a port, in diameters of that port.
_REACH: dict[Kind, float] = {
    "elbow": 1.25, "tee": 1.25, "cock": 1.5, "check valve": 1.5, "three-way cock": 1.5, "adaptor": 0.25, "pump": 2.5,
    "injector": 3.0,
}  # fmt: skip
# Diameter of the body about the middle, in diameters of the largest port.
_STOUT: dict[Kind, float] = {
    "elbow": 1.2, "tee": 1.2, "cock": 1.4, "check valve": 1.4, "three-way cock": 1.4, "pump": 2.0, "injector": 1.5,
}  # fmt: skip
_HANDLE_LONG_MM, _HANDLE_THICK_MM, _HUB_MM, _HUB_LONG_MM = 20.0, 2.5, 5.0, 3.0
_PIN_LONG_MM, _PIN_THICK_MM = 8.0, 1.2


@dataclass
class Typical:
    """A part as it typically is.

    Parameters
    ----------
    pieces
        The solids it is made of.
    at_mm
        (3,) place of each port, by name. [mm]
    """

    pieces: list[OwnPiece] = field(default_factory=list)
    at_mm: dict[str, Array] = field(default_factory=dict)


def typical(part: Part) -> Typical:
    """Give a part its typical proportions.

    Parameters
    ----------
    part
        The part; ports the job has placed are kept where they are, and its arms go there.

    Returns
    -------
    Typical
        Its pieces and the places of its ports; empty for a pipe, whose length nothing tells.
    """
    made = _BY_KIND.get(part.kind, _armed)(part)
    for port in part.ports:
        if port.at_mm is not None:
            made.at_mm[port.name] = np.array(port.at_mm)
    return made


def across_mm(port: Port, otherwise_mm: float) -> float:
    """Greatest plain diameter at a port: of its thread, or of what goes round its tube.

    Parameters
    ----------
    port
        The port.
    otherwise_mm
        What to take where nothing is known of it. [mm]

    Returns
    -------
    float
        Diameter. [mm]
    """
    if port.thread is not None:
        return port.thread.major_mm
    if port.bore_mm is not None:
        return 1.4 * port.bore_mm
    if port.tube_mm is not None:
        return port.tube_mm
    return otherwise_mm


def flats_mm(port: Port, diameter_mm: float) -> float:
    """Across flats of the hexagon that goes with a port.

    Parameters
    ----------
    port
        The port.
    diameter_mm
        Its diameter. [mm]

    Returns
    -------
    float
        By the tables where they have the thread, else 1.3 diameters. [mm]
    """
    known = hexagons_of(port.thread) if port.thread is not None else ()
    return known[0].across_flats_mm if known else _FLATS * diameter_mm


def _greatest_mm(part: Part) -> float:
    return max((across_mm(port, 0.0) for port in part.ports), default=0.0) or _NOTHING_KNOWN_MM


def _is_male(port: Port) -> bool:
    return port.gender == "male" or port.tube_mm is not None


def _along(low_mm: float, high_mm: float) -> tuple[Array, Array]:
    return np.array([0.0, 0.0, low_mm]), np.array([0.0, 0.0, high_mm])


def _round(name: str, low_mm: float, high_mm: float, diameter_mm: float) -> OwnPiece:
    return OwnPiece(name, Cylinder(*_along(low_mm, high_mm), diameter_mm / 2))


def _hexagon(low_mm: float, high_mm: float, flats: float) -> OwnPiece:
    return OwnPiece("hexagon", Hexagon(*_along(low_mm, high_mm), flats, np.array([1.0, 0.0, 0.0])))


def _bush(part: Part) -> Typical:
    d = _greatest_mm(part)
    return Typical([_round("body", -d, 0.0, 1.5 * d)], {"thread": np.zeros(3)})


def _union_body(part: Part) -> Typical:
    face, root = part.port("face"), part.port("root")
    d = across_mm(face, _greatest_mm(part))
    tail = across_mm(root, d)
    back = -1.5 * d
    made = Typical([_round("nose", -d, 0.0, d), _hexagon(back, -d, flats_mm(face, d))], {"face": np.zeros(3)})
    if _is_male(root):
        made.pieces.append(_round("tail", back - tail, back, tail))
        back -= tail
    made.at_mm["root"] = np.array([0.0, 0.0, back])
    return made


def _cone(part: Part) -> Typical:
    d = _greatest_mm(part)
    return Typical([_round("body", -0.8 * d, 0.0, d)], {"seat": np.zeros(3), "socket": np.array([0.0, 0.0, -0.8 * d])})


def _nut(part: Part) -> Typical:
    d = across_mm(part.port("thread"), _greatest_mm(part))
    back = -1.25 * d
    made = Typical([_hexagon(back, 0.0, flats_mm(part.port("thread"), d))])
    made.at_mm = {"thread": np.zeros(3), "hole": np.array([0.0, 0.0, back])}
    return made


def _cap(part: Part) -> Typical:
    port = part.port("thread")
    d = across_mm(port, _greatest_mm(part))
    made = Typical([_hexagon(0.0, 0.8 * d, flats_mm(port, d))], {"thread": np.zeros(3)})
    if _is_male(port):
        made.pieces.append(_round("thread", -0.8 * d, 0.0, d))
        made.at_mm["thread"] = np.array([0.0, 0.0, -0.8 * d])
    return made


def _armed(part: Part) -> Typical:
    """A body about the middle, with an arm to each port."""
    d = _greatest_mm(part)
    made = Typical()
    stout = _STOUT.get(part.kind)
    reach = _REACH.get(part.kind, 1.5)
    if stout is not None:
        made.pieces.append(_round("body", -0.8 * stout * d, 0.8 * stout * d, stout * d))
    else:
        made.pieces.append(
            _hexagon(-reach * d, reach * d, max(flats_mm(port, across_mm(port, d)) for port in part.ports))
        )
    for port in part.ports:
        made.pieces.append(_arm(port, d, reach, made))
    return made


def _arm(port: Port, d: float, reach: float, made: Typical) -> OwnPiece:
    way = np.array(port.direction, dtype=float)
    way /= np.linalg.norm(way)
    across = 0.5 * d if port.is_dry else across_mm(port, d)
    out_mm = reach * d + (across if _is_male(port) else 0.0)
    at = way * out_mm if port.at_mm is None else np.array(port.at_mm)
    made.at_mm[port.name] = at
    long_mm = max(float(at @ way), 0.1)
    thick = across if _is_male(port) or port.is_dry else 1.2 * across
    return OwnPiece(port.name, Cylinder(at - long_mm * way, at, thick / 2))


def _handle(part: Part) -> Typical:  # noqa: ARG001
    hub, half = _round("hub", 0.0, _HUB_LONG_MM, _HUB_MM), _HANDLE_THICK_MM / 2
    high = _HUB_LONG_MM - half
    arm = Capsule(np.array([0.0, 0.0, high]), np.array([_HANDLE_LONG_MM - half, 0.0, high]), half)
    made = Typical([hub, OwnPiece("arm", arm)], {"hub": np.zeros(3), "pin_hole": np.array([0.0, 0.0, _HUB_LONG_MM])})
    made.at_mm["end"] = np.array([_HANDLE_LONG_MM, 0.0, high])
    return made


def _pin(part: Part) -> Typical:  # noqa: ARG001
    half = _PIN_THICK_MM / 2
    stem = Capsule(np.array([0.0, 0.0, half]), np.array([0.0, 0.0, _PIN_LONG_MM - half]), half)
    return Typical([OwnPiece("stem", stem)], {"stem": np.zeros(3)})


def _pipe(part: Part) -> Typical:  # noqa: ARG001
    return Typical([], {"start": np.zeros(3)})


_BY_KIND: dict[Kind, Callable[[Part], Typical]] = {
    "bush": _bush, "union body": _union_body, "union cone": _cone, "union nut": _nut, "cap": _cap, "handle": _handle,
    "pin": _pin, "pipe": _pipe,
}  # fmt: skip
