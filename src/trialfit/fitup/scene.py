"""Everything that stands on the engine, where it stands: what routes must clear and what comes off in some order."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np

from trialfit.fitup.records import Array
from trialfit.parts.placement import Placement
from trialfit.parts.solids import Capsule, Cylinder, Hexagon, Solid
from trialfit.parts.turned_round import farthest_from_mm, swept_round, swept_together


@dataclass(frozen=True)
class Piece:
    """One simple solid of a thing.

    Parameters
    ----------
    name
        Which one: ``body``, ``handle``, ``arm``.
    solid
        Its shape, in the job frame.
    all_round
        Whether this is what it sweeps all round, since nobody knows which way it points.
    """

    name: str
    solid: Solid
    all_round: bool = field(default=False, metadata={"in_json": False})


@dataclass(frozen=True, eq=False)
class Pivot:
    """What a thing may still be turned about.

    Parameters
    ----------
    on_mm
        (3,) a point that stays where it is. [mm]
    axis
        (3,) unit vector along the axis through it; None where it may point any way about that point. [-]
    """

    on_mm: Array
    axis: Array | None


@dataclass(frozen=True, eq=False)
class Thing:
    """One thing in its place.

    Parameters
    ----------
    name
        Its name in the job.
    what
        In words.
    kind
        A part of the job, a body of the engine that stays, a new pipe, or an old one that was surveyed.
    pieces
        The solids it is made of, in the job frame.
    placement
        Where its own frame stands on the job's; None for what has no frame of its own.
    covariance
        (6, 6) of its place, small shift [mm] then small turn [rad] about the job's axes, at its own origin; None where
        nobody knows. [mm and rad]
    rests_on
        What it is screwed into, soldered to or fixed to, nearest first.
    pivots
        What it may still be turned about, since nothing fixes which way round it stands: its own joint first.
    settled
        (6, 6) covariance of its place without those turns; None where there are none. [mm and rad]
    """

    name: str
    what: str
    kind: Literal["part", "engine", "pipe", "old pipe"]
    pieces: tuple[Piece, ...]
    placement: Placement | None = None
    covariance: Array | None = None
    rests_on: tuple[str, ...] = ()
    pivots: tuple[Pivot, ...] = ()
    settled: Array | None = None

    @cached_property
    def room(self) -> tuple[Piece, ...]:
        """The pieces that others have to keep clear of: all round, where nobody knows which way it points."""
        room = self.pieces
        for pivot in self.pivots:
            room = _turned_about(room, pivot)
        return room

    def may_point_by(self, piece: Piece) -> bool:
        """Whether a piece of its room is there for what may point any way; a hexagon's corners come round in any case.

        Parameters
        ----------
        piece
            One of its room.

        Returns
        -------
        bool
            False for what stands there whichever way round it is.
        """
        hexagons = [each.solid for each in self.pieces if each.name == piece.name and isinstance(each.solid, Hexagon)]
        on_axis = isinstance(piece.solid, Cylinder) and any(each.start_mm is piece.solid.start_mm for each in hexagons)
        return piece.all_round and not on_axis


def _turned_about(pieces: tuple[Piece, ...], pivot: Pivot) -> tuple[Piece, ...]:
    if pivot.axis is None:
        every = np.array([farthest_from_mm(piece.solid, pivot.on_mm) for piece in pieces])
        ball = Capsule(pivot.on_mm, pivot.on_mm, float(every.max(initial=0.0)))
        return (Piece("body", ball, True),) if len(every) else ()
    if any(piece.all_round for piece in pieces):
        together = swept_together([piece.solid for piece in pieces], pivot.on_mm, pivot.axis)
        return tuple(Piece("body", solid, True) for solid in together)
    return tuple(
        piece if solid is piece.solid else Piece(piece.name, solid, True)
        for piece in pieces for solid in swept_round(piece.solid, pivot.on_mm, pivot.axis)
    )  # fmt: skip


@dataclass(frozen=True)
class Scene:
    """All things in place.

    Parameters
    ----------
    things
        In the job's order, the engine's bodies first.
    """

    things: tuple[Thing, ...]

    def thing(self, name: str) -> Thing | None:
        """Find a thing by its name.

        Parameters
        ----------
        name
            Its name in the job.

        Returns
        -------
        Thing or None
            None where it has no place.
        """
        return next((each for each in self.things if each.name == name), None)
