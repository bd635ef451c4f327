"""The room a part takes up and where its ports are, both in the part's own frame.

Pieces measured in the job come first, then the sizes of the turned part it is, then typical proportions, which are
assumed and say so.

Source: the job document; typical proportions in `trialfit.parts.proportions`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from trialfit.finding import Basis
from trialfit.job.envelopes import PieceEntry
from trialfit.job.records import Job
from trialfit.parts.build import mm_of
from trialfit.parts.placement import Array
from trialfit.parts.records import Part, Port
from trialfit.parts.solids import Box, Capsule, Cylinder, Hexagon, Solid, farthest_mm

# A caliper over a small fitting, and the two faces are never quite square.
_MEASURED_K2_MM = 0.2
# How far typical proportions may be out: a share of the distance, and never less than this.
_ASSUMED_SHARE = 0.3
_ASSUMED_LEAST_MM = 0.5
# A port at the very origin of its part's frame is where it is by agreement, and has no error of its own.
_ORIGIN_MM = 1e-9


@dataclass(frozen=True)
class OwnPiece:
    """One simple solid of a part.

    Parameters
    ----------
    name
        Which one: ``body``, ``hexagon``, ``inlet``.
    solid
        Its shape, in the part's own frame.
    """

    name: str
    solid: Solid


@dataclass(frozen=True, eq=False)
class PortPlace:
    """Where a port is in its part's own frame.

    Parameters
    ----------
    port
        The port.
    at_mm
        (3,) middle of its face; of a male thread, its outermost end. [mm]
    direction
        (3,) unit vector out of the part. [-]
    k2_mm
        Two standard deviations of each of the three. [mm]
    basis
        Measured, or assumed.
    """

    port: Port
    at_mm: Array
    direction: Array
    k2_mm: float
    basis: Basis


@dataclass(frozen=True)
class Envelope:
    """The room a part takes up.

    Parameters
    ----------
    part
        The part.
    pieces
        The solids it is made of; none where nothing says how long it is.
    places
        Where its ports are, by name; a port of which nothing is known is not among them.
    basis
        Measured, or assumed.
    because
        What it rests on, as a sentence.
    """

    part: Part
    pieces: tuple[OwnPiece, ...]
    places: Mapping[str, PortPlace]
    basis: Basis
    because: str

    @property
    def is_round(self) -> bool:
        """Whether a turn about its own axis changes nothing that matters: no port and no piece is beside the axis."""
        beside = [np.hypot(*place.at_mm[:2]) + np.hypot(*place.direction[:2]) for place in self.places.values()]
        return all(each < 1e-9 for each in beside) and all(_is_on_axis(piece.solid) for piece in self.pieces)


def solid_of(entry: PieceEntry) -> Solid:
    """Make the solid that a measured piece is.

    Parameters
    ----------
    entry
        As the job has it.

    Returns
    -------
    Solid
        In the frame it was measured in.
    """
    start, end = np.array(mm_of(entry.start)), np.array(mm_of(entry.end))
    if entry.shape == "box":
        return Box((start + end) / 2, np.eye(3), np.abs(end - start) / 2)
    if entry.flats is not None:
        axis = (end - start) / np.linalg.norm(end - start)
        return Hexagon(start, end, float(entry.flats.to("mm")), _square(axis, entry.towards))
    radius = float(entry.diameter.to("mm")) / 2 if entry.diameter is not None else 0.0
    return Capsule(start, end, radius) if entry.shape == "capsule" else Cylinder(start, end, radius)


def place_of(port: Port, assumed_mm: Array | None, pieces: tuple[OwnPiece, ...], measured: bool) -> PortPlace | None:
    """Say where a port is: as the job has it, else at the end of the measured envelope, else as is typical.

    Parameters
    ----------
    port
        The port.
    assumed_mm
        (3,) where it typically is; None where nothing is known. [mm]
    pieces
        The part's pieces.
    measured
        Whether those were measured.

    Returns
    -------
    PortPlace or None
        None where nothing is known.
    """
    direction = np.array(port.direction, dtype=float)
    direction /= np.linalg.norm(direction)
    if port.at_mm is not None:
        k2 = port.at_k2_mm
        if k2 is None:
            k2 = _MEASURED_K2_MM if any(port.at_mm) else 0.0
        return PortPlace(port, np.array(port.at_mm), direction, k2, Basis.MEASURED)
    if measured and pieces:
        reach = max(float(farthest_mm(piece.solid, direction[None])[0] @ direction) for piece in pieces)
        k2 = _MEASURED_K2_MM if abs(reach) > _ORIGIN_MM else 0.0
        return PortPlace(port, reach * direction, direction, k2, Basis.MEASURED)
    if assumed_mm is None:
        return None
    far_mm = float(np.linalg.norm(assumed_mm))
    k2 = max(_ASSUMED_LEAST_MM, _ASSUMED_SHARE * far_mm) if far_mm > _ORIGIN_MM else 0.0
    return PortPlace(port, assumed_mm, direction, k2, Basis.ASSUMED)


def measured_pieces(job: Job, name: str) -> tuple[OwnPiece, ...]:
    """Give the pieces of a part that were measured.

    Parameters
    ----------
    job
        The job document.
    name
        The part's name.

    Returns
    -------
    tuple of OwnPiece
        In the job's order; none where none was.
    """
    entry = job.parts.get(name)
    return tuple(OwnPiece(each, solid_of(piece)) for each, piece in entry.envelope.items()) if entry else ()


def _square(axis: Array, towards: tuple[float, float, float] | None) -> Array:
    """The way a hexagon's flat looks, made square to its axis."""
    for way in (*([towards] if towards else []), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)):
        across = np.array(way, dtype=float)
        across = across - axis * (across @ axis)
        if float(np.linalg.norm(across)) > 0.1:
            break
    return np.asarray(across / np.linalg.norm(across))


def _is_on_axis(solid: Solid) -> bool:
    if isinstance(solid, Capsule | Cylinder | Hexagon):
        return bool(np.hypot(*solid.start_mm[:2]) < 1e-9 and np.hypot(*solid.end_mm[:2]) < 1e-9)
    return False
