"""Names behind the numbers of the outlines. Source: bookkeeping only."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MarkName:
    """A mark on an outline, in the job's names.

    Parameters
    ----------
    on
        What it lies on: ``feed_pipe.leg1``, ``bare_bush_rim``.
    photograph
        The photograph.
    place
        Which of the marks there, from 1. [-]
    """

    on: str
    photograph: str
    place: int

    def __str__(self) -> str:
        """Name the mark as a person would."""
        return f"mark {self.place} on {self.on} in photograph {self.photograph}"


@dataclass(frozen=True)
class OutlineNames:
    """Names behind the numbers of the outlines.

    Parameters
    ----------
    tubes, rims
        One a tube, one a rim.
    legs
        Straight lengths of all tubes, as ``tube.leg1``.
    edges, arcs
        All marks of the job on edges, and on rims; the outlines say by number which of them they have.
    """

    tubes: tuple[str, ...] = ()
    rims: tuple[str, ...] = ()
    legs: tuple[str, ...] = ()
    edges: tuple[MarkName, ...] = ()
    arcs: tuple[MarkName, ...] = ()

    @property
    def axes(self) -> tuple[str, ...]:
        """All axes: straight lengths, then rims."""
        return (*self.legs, *self.rims)
