"""What is said of the way a pipe takes. Source: the constructions described in `docs/methods/routes.md`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trialfit.finding import Basis, Figure
from trialfit.parts.placement import Array


@dataclass(frozen=True)
class Stopped:
    """A shorter way, or one with fewer bends, and what stands in it.

    Parameters
    ----------
    way
        Which one: ``one bend, 98.2 mm``.
    by
        What stands in it.
    where
        Where along it: ``in bend 2``; empty for a straight that is needed whichever way it goes.
    at
        How far along the centre line from the start face. [mm]
    gap
        What is between the two skins there; below nought where it would stand inside. [mm]
    wanted
        What there should be. [mm]
    because
        What is wrong with it where it is no matter of a gap: a clause; else empty.
    """

    way: str
    by: str
    where: str
    at: Figure = Figure(0.0, "mm", None, 0)  # noqa: RUF009  a figure does not change
    gap: Figure = Figure(0.0, "mm", None, 1)  # noqa: RUF009
    wanted: Figure = Figure(0.0, "mm", None, 1)  # noqa: RUF009
    because: str = ""

    @property
    def sentence(self) -> str:
        """The whole as a clause."""
        if self.because:
            return f"{self.way}: {self.because}"
        if self.gap.value < 0:
            how = f"{Figure(-self.gap.value, 'mm', None, 1)} inside {self.by}"
            return f"{self._way} stands {how}" if not self.where else f"{self._place} it would stand {how}"
        how = f"passes {self.by} at {self.gap}, and {self.wanted} is wanted"
        return f"{self._way} {how}" if not self.where else f"{self._place} it {how}"

    @property
    def _way(self) -> str:
        return f"{self.way} already"

    @property
    def _place(self) -> str:
        return f"{self.way}: {self.where}, {self.at} from the start face,"


@dataclass(frozen=True)
class Counted:
    """How many ways of a family each thing stands in.

    Parameters
    ----------
    bends
        Bends of the family. [-]
    looked_at
        Ways looked at that have the straights they need. [-]
    by
        Each thing's name with how many it stops, the most first.
    """

    bends: int
    looked_at: int
    by: tuple[tuple[str, int], ...]


@dataclass(frozen=True, eq=False)
class Pass:
    """Where a pipe passes a thing at the least distance.

    Parameters
    ----------
    by
        What it passes.
    where
        Where along the pipe: ``in the straight after bend 1``.
    at
        How far along the centre line from the start face. [mm]
    gap
        Between the two skins, with k = 2 from survey and bench; below nought where the pipe stands inside. [mm]
    wanted
        What there should be, lagging included. [mm]
    placed
        Whether it is known how surely the thing stands where it does; else the k = 2 is the pipe's alone.
    point_mm
        (3,) the place on the centre line, in the job frame. [mm]
    """

    by: str
    where: str
    at: Figure
    gap: Figure
    wanted: Figure
    placed: bool
    point_mm: Array


@dataclass(frozen=True, eq=False)
class OtherWay:
    """The next best way that is really another.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]
    centre_line
        Its length. [mm]
    departs
        How far it goes from the way taken. [mm]
    nearest
        What it passes nearest, beyond what is wanted there.
    """

    vertices_mm: Array
    centre_line: Figure
    departs: Figure
    nearest: str

    @property
    def bends(self) -> int:
        """How many bends it has. [-]"""
        return len(self.vertices_mm) - 2


@dataclass(frozen=True)
class OldRoute:
    """How a pipe follows the old one.

    Parameters
    ----------
    tube
        The old tube's name in the job.
    departs
        The farthest any of the old centre line lies from the new, with k = 2 of the old tube's own survey. [mm]
    where
        Where on the old tube that is: ``at its corner 2``.
    reversed
        Whether the old tube was marked from the new one's far end.
    """

    tube: str
    departs: Figure
    where: str
    reversed: bool


@dataclass(frozen=True)
class NutBack:
    """A nut slid back off its thread.

    Parameters
    ----------
    nut
        Its name.
    end, face
        At which end of the pipe, and the port it is screwed on.
    engaged_mm
        How much of its thread is on. [mm]
    slid_mm
        How far it is slid to be clear of it. [mm]
    reaches_mm
        How far from the face its back then stands, along the straight. [mm]
    holes_mm
        Least and greatest diameter its hole may have; alike where the job gives it. [mm]
    basis
        What the length of thread rests on.
    """

    nut: str
    end: Literal["start", "end"]
    face: str
    engaged_mm: float
    slid_mm: float
    reaches_mm: float
    holes_mm: tuple[float, float]
    basis: Basis


@dataclass(frozen=True)
class NutRoom:
    """What room a pipe leaves one of its nuts.

    Parameters
    ----------
    back
        The nut, slid back.
    straight_mm
        The straight there is for it. [mm]
    asked_mm
        The straight the job asks for there. [mm]
    into_mm
        How far into the bend its back may stand: with the least hole, and with the greatest. [mm]
    """

    back: NutBack
    straight_mm: float
    asked_mm: float
    into_mm: tuple[float, float]

    @property
    def short_mm(self) -> float:
        """By how much it surely lacks room, with the greatest hole; not above nought where it may have enough. [mm]"""
        return self.back.reaches_mm - self.straight_mm - self.into_mm[1]

    @property
    def spare_mm(self) -> float:
        """What is left with the least hole; below nought where it lacks. [mm]"""
        return self.straight_mm + self.into_mm[0] - self.back.reaches_mm


@dataclass(frozen=True)
class Routing:
    """Why a pipe goes the way it goes.

    Parameters
    ----------
    passes
        What it passes, the least room beyond what is wanted first.
    other
        The next best way; None where there is none, or nothing stands in the way.
    stopped
        Ways that were better but for something that stands in them.
    counted
        How many ways of each family each thing stands in.
    wanted
        The clearance asked for. [mm]
    assumed
        Whether that is assumed.
    kept
        The clearance with which a way was found, where the one asked for has none. [mm]
    old
        How it follows an old pipe; None where it does not.
    unknown
        Things that have no place or shape, so that nothing can be said of them.
    spanners
        Nuts that no spanner can be swung on, with or without this pipe.
    nuts
        What stands where its own nuts are slid back to, as clauses.
    taken
        What is assumed of the spanners on nuts nearby, as sentences.
    rooms
        What room it leaves each of its own nuts to be slid back.
    """

    passes: tuple[Pass, ...] = ()
    other: OtherWay | None = None
    stopped: tuple[Stopped, ...] = ()
    counted: tuple[Counted, ...] = ()
    wanted: Figure | None = None
    assumed: bool = False
    kept: Figure | None = None
    old: OldRoute | None = None
    unknown: tuple[str, ...] = ()
    spanners: tuple[str, ...] = ()
    nuts: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    rooms: tuple[NutRoom, ...] = ()
