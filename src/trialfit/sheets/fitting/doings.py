"""What the owner does, step by step, before it is put into words."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace
from typing import Literal

MoveKind = Literal["unscrew", "screw", "pull", "push", "turn away", "turn back"]
# Seen by somebody standing at the foot of the scale card.
Towards = Literal["up", "down", "left", "right", "to you", "from you"]


@dataclass(frozen=True)
class Move:
    """One movement of a part.

    Parameters
    ----------
    kind
        What is done.
    towards
        For a pull or a push, the way it goes; for a screw, the side it is looked at from.
    turns
        Turns of a screw. [-]
    left_hand
        Whether its thread is left-hand.
    far_mm
        How far it is drawn or put on. [mm]
    angle_deg
        How far it is turned out of the way. [deg]
    what
        What makes it, in words, where that is not the step's own part.
    """

    kind: MoveKind
    towards: Towards = "up"
    turns: float = 0.0
    left_hand: bool = False
    far_mm: float = 0.0
    angle_deg: float = 0.0
    what: str = ""


@dataclass(frozen=True)
class Doing:
    """One step: one part, or a group that goes as one.

    Parameters
    ----------
    part
        The part's name in the job.
    what
        The part in words.
    moves
        What is done with it, in order.
    together
        Other parts that go with it, in words.
    side
        The side to work from where the engine has to be turned for it; None where it stays as it was.
    picture
        Name of its picture; empty where it has none.
    """

    part: str
    what: str
    moves: tuple[Move, ...]
    together: tuple[str, ...] = ()
    side: Towards | None = None
    picture: str = ""


@dataclass(frozen=True)
class FittingOrder:
    """What comes off, then what goes on.

    Parameters
    ----------
    removal, fitting
        The steps; None where no order could be worked out.
    """

    removal: tuple[Doing, ...] | None
    fitting: tuple[Doing, ...] | None

    def shown(self, pictures: Container[str]) -> FittingOrder:
        """The same with only those pictures that could be made.

        Parameters
        ----------
        pictures
            Their names.

        Returns
        -------
        FittingOrder
            Steps without a picture have none to show.
        """
        return FittingOrder(_with(self.removal, pictures), _with(self.fitting, pictures))


def _with(doings: tuple[Doing, ...] | None, pictures: Container[str]) -> tuple[Doing, ...] | None:
    if doings is None:
        return None
    return tuple(each if each.picture in pictures else replace(each, picture="") for each in doings)
