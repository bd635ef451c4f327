"""How a part moves as it comes off: every motion is a turn about an axis together with a travel along it.

Seen from the side it comes off towards, a part with a right-hand thread is unscrewed anticlockwise, which is
right-handed about the way out.

Source: rotation about an axis by Rodrigues' formula; a screw's lead from its pitch.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from trialfit.fitup.order.apart import Flags, Forms, Places
from trialfit.parts.placement import Array, Placement

Do = Literal["unscrew", "pull", "lift", "turn"]


@dataclass(frozen=True, eq=False)
class Motion:
    """One motion.

    Parameters
    ----------
    do
        What is done: unscrew, pull along, lift, turn on the spot.
    on_mm
        (3,) a point on its axis, in the job frame. [mm]
    along
        (3,) unit vector along its axis, the way out. [-]
    travel_mm
        How far it moves along. [mm]
    turn_deg
        How far it turns, right-handed about `along`. [deg]
    """

    do: Do
    on_mm: Array
    along: Array
    travel_mm: float
    turn_deg: float

    def moved(self, share: float, of: str = "part") -> Placement:
        """Where what moves has got to, from where it stood when the motion began.

        Parameters
        ----------
        share
            How much of the motion is done, 0 to 1. [-]
        of
            What moves.

        Returns
        -------
        Placement
            Of it on the job frame, where its own frame is the job's before the motion.
        """
        turn = turns(self.along[None], np.array([np.radians(self.turn_deg) * share]))[0]
        shift = self.on_mm - turn @ self.on_mm + self.travel_mm * share * self.along
        return Placement(of, "job", turn, shift)


@dataclass(frozen=True, eq=False)
class Helices:
    """Motions side by side.

    Parameters
    ----------
    on_mm, along
        (n, 3) points on their axes [mm], and unit vectors along them [-].
    travel_mm, turn_rad
        (n,) how far they go and turn. [mm] and [rad]
    """

    on_mm: Array
    along: Array
    travel_mm: Array
    turn_rad: Array

    def chosen(self, which: Places | Flags) -> Helices:
        """Some of them, in another order or more than once.

        Parameters
        ----------
        which
            (m,) places. [-]

        Returns
        -------
        Helices
            Those.
        """
        return Helices(self.on_mm[which], self.along[which], self.travel_mm[which], self.turn_rad[which])

    def moved(self, still: Forms, shares: Array) -> Forms:
        """Solids moved by so much of each motion.

        Parameters
        ----------
        still
            n solids, before. [mm]
        shares
            (n,) how much of the motion is done. [-]

        Returns
        -------
        Forms
            Where they have got to.
        """
        shifts = (shares * self.travel_mm)[:, None] * self.along
        return still.turned(turns(self.along, shares * self.turn_rad), self.on_mm, shifts)


def helices(motions: Iterable[Motion]) -> Helices:
    """Put motions side by side.

    Parameters
    ----------
    motions
        The motions.

    Returns
    -------
    Helices
        In the same order.
    """
    given = list(motions)
    return Helices(
        np.array([each.on_mm for each in given], dtype=np.float64).reshape(-1, 3),
        np.array([each.along for each in given], dtype=np.float64).reshape(-1, 3),
        np.array([each.travel_mm for each in given], dtype=np.float64),
        np.radians([each.turn_deg for each in given]),
    )


def turns(axes: Array, angles_rad: Array) -> Array:
    """Rotations about many axes.

    Parameters
    ----------
    axes
        (n, 3) unit vectors. [-]
    angles_rad
        (n,) right-handed about them. [rad]

    Returns
    -------
    Array
        (n, 3, 3). [-]
    """
    cross = np.zeros((len(axes), 3, 3))
    cross[:, 0, 1], cross[:, 0, 2], cross[:, 1, 2] = -axes[:, 2], axes[:, 1], -axes[:, 0]
    cross -= np.transpose(cross, (0, 2, 1))
    sines, rest = np.sin(angles_rad)[:, None, None], (1 - np.cos(angles_rad))[:, None, None]
    return np.asarray(np.eye(3) + sines * cross + rest * (cross @ cross))
