"""Everything that stands on the engine, where it stands: what routes must clear and what comes off in some order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trialfit.fitup.records import Array
from trialfit.parts.placement import Placement
from trialfit.parts.solids import Solid


@dataclass(frozen=True)
class Piece:
    """One simple solid of a thing.

    Parameters
    ----------
    name
        Which one: ``body``, ``handle``, ``arm``.
    solid
        Its shape, in the job frame.
    """

    name: str
    solid: Solid


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
    """

    name: str
    what: str
    kind: Literal["part", "engine", "pipe", "old pipe"]
    pieces: tuple[Piece, ...]
    placement: Placement | None = None
    covariance: Array | None = None
    rests_on: tuple[str, ...] = ()


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
