"""What is said of the way a pipe takes. Source: the constructions described in `docs/methods/routes.md`."""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Figure
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
