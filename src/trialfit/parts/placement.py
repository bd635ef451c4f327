"""Where one frame stands on another, written *of* what is placed *on* what it stands. See docs/frames.md."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Placement:
    """The place *of* one thing *on* another: a turn, then a shift.

    Parameters
    ----------
    of
        What is placed.
    on
        What it is placed on; ``job`` is the job frame.
    turn
        (3, 3) rotation; its columns are the placed thing's axes as seen from what it stands on. [-]
    shift_mm
        (3,) origin of the placed thing, likewise. [mm]
    """

    of: str
    on: str
    turn: Array
    shift_mm: Array

    def points_mm(self, points_mm: Array) -> Array:
        """Points of what is placed, in the frame it stands on.

        Parameters
        ----------
        points_mm
            (n, 3) or (3,) points in the frame of what is placed. [mm]

        Returns
        -------
        Array
            The same points in the frame it stands on. [mm]
        """
        return np.asarray(points_mm @ self.turn.T + self.shift_mm)

    def directions(self, directions: Array) -> Array:
        """Directions of what is placed, in the frame it stands on.

        Parameters
        ----------
        directions
            (n, 3) or (3,) vectors in the frame of what is placed. [-]

        Returns
        -------
        Array
            The same vectors in the frame it stands on. [-]
        """
        return np.asarray(directions @ self.turn.T)

    def then(self, under: Placement) -> Placement:
        """Chain: of A on B, then of B on C, gives of A on C.

        Parameters
        ----------
        under
            The place of what this one stands on.

        Returns
        -------
        Placement
            Of this one's `of` on the other's `on`.

        Raises
        ------
        Refusal
            The inner names do not agree.
        """
        if under.of != self.on:
            raise Refusal(
                f"placement of {self.of} on {self.on}",
                f"a placement of {under.of} on {under.on} to go on with",
                f"a placement of {self.on}",
                "Chain placements so that the inner names agree, or turn one round first.",
            )
        return Placement(self.of, under.on, under.turn @ self.turn, under.turn @ self.shift_mm + under.shift_mm)

    def turned_round(self) -> Placement:
        """The same place seen the other way: of B on A.

        Returns
        -------
        Placement
            The inverse.
        """
        return Placement(self.on, self.of, self.turn.T, -self.turn.T @ self.shift_mm)
