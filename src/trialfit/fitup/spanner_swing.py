"""Room for a spanner on a nut: its head as a solid, and a window through which its handle swings.

A handle does not need the whole circle: the nut turns by 60 deg from one hold on its hexagon to the next. The handle is
tried every 3 deg; a way is refused only where it leaves no window of 60 deg that was there without it.

Source: geometry; the sizes of head and handle are the assumed rules of ``figures/fit_up.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.obstacles import Around
from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross, square_to
from trialfit.fitup.ways import Flags, Ways

WINDOW_DEG = 60.0
STEP_DEG = 3.0
_ALONG = 30
_SAMPLES = 60


@dataclass(frozen=True, eq=False)
class Swing:
    """A spanner on a nut.

    Parameters
    ----------
    nut
        The nut, as a person reads it.
    middle_mm
        (3,) the nut's middle. [mm]
    axis
        (3,) unit vector along its axis. [-]
    handle_mm
        From the nut's middle to the hand. [mm]
    half_wide_mm
        Half the width and thickness of the handle. [mm]
    from_mm
        Where the handle leaves the head, from the nut's middle. [mm]
    free
        (120,) whether the handle can stand there, as far as everything but the pipe is concerned. [-]
    """

    nut: str
    middle_mm: Array
    axis: Array
    handle_mm: float
    half_wide_mm: float
    from_mm: float
    free: Flags

    @property
    def has_window(self) -> bool:
        """Whether there is a window at all."""
        return bool(windows(self.free[None])[0])

    def left_by(self, ways: Ways, tube_radius_mm: float | Array) -> Flags:
        """Say which of many ways leave it a window.

        Parameters
        ----------
        ways
            n ways.
        tube_radius_mm
            Half the tube's outside diameter; or (n,) one for each way. [mm]

        Returns
        -------
        Array
            (n,) true where a window of 60 deg is left. [-]
        """
        n, lengths = len(ways.lengths_mm), ways.lengths_mm
        which = np.repeat(np.arange(n), _SAMPLES)
        shares = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
        points = ways.points_mm(which, (lengths[:, None] * shares).ravel())
        # Half the length between two samples is room the pipe may take up between them.
        thick = np.broadcast_to(tube_radius_mm, (n,)) + self.half_wide_mm + lengths / _SAMPLES / 2
        rest, reach = points - self.middle_mm, np.repeat(thick, _SAMPLES)
        # Most of a pipe is nowhere near the handle's plane.
        near = (np.abs(rest @ self.axis) < reach) & (np.sum(rest * rest, axis=1) < (self.handle_mm + reach) ** 2)
        stops = np.zeros((n, len(self.free)), dtype=bool)
        if near.any():
            blocked = _near_handles(self, rest[near], reach[near])
            rows, begins = np.unique(which[near], return_index=True)
            stops[rows] = np.logical_or.reduceat(blocked, begins, axis=0)
        return windows(self.free & ~stops)


def swing_on(
    nut: str, middle_mm: Array, axis: Array, handle_mm: float, half_wide_mm: float, from_mm: float, around: Around
) -> Swing:
    """Put a spanner on a nut and see where its handle can stand.

    Parameters
    ----------
    nut
        The nut, as a person reads it.
    middle_mm
        (3,) its middle. [mm]
    axis
        (3,) unit vector along its axis. [-]
    handle_mm
        From the nut's middle to the hand. [mm]
    half_wide_mm
        Half the width and thickness of the handle. [mm]
    from_mm
        Where the handle leaves the head, from the nut's middle. [mm]
    around
        All that stands round it but the nut and the pipe.

    Returns
    -------
    Swing
        The spanner, with where it is free.
    """
    empty = Swing(nut, middle_mm, axis, handle_mm, half_wide_mm, from_mm, np.ones(round(360 / STEP_DEG), dtype=bool))
    if not around.obstacles:
        return empty
    ways, outs = _handles(empty), np.linspace(from_mm, handle_mm, _ALONG)
    points = middle_mm + (outs[None, :, None] * ways[:, None, :]).reshape(-1, 3)
    room = around.distances_mm(points).min(axis=0).reshape(len(ways), _ALONG).min(axis=1)
    spacing = (handle_mm - from_mm) / (_ALONG - 1)
    return Swing(nut, middle_mm, axis, handle_mm, half_wide_mm, from_mm, room - spacing / 4 > half_wide_mm)


def windows(free: Flags) -> Flags:
    """Say where there is a window of 60 deg without a break.

    Parameters
    ----------
    free
        (n, 120) whether a handle can stand there. [-]

    Returns
    -------
    Array
        (n,) true where there is one. [-]
    """
    wide = round(WINDOW_DEG / STEP_DEG) + 1
    run = np.concatenate([free, free[:, : wide - 1]], axis=1).astype(int)
    sums = np.cumsum(np.concatenate([np.zeros((len(run), 1), dtype=int), run], axis=1), axis=1)
    return np.asarray((sums[:, wide:] - sums[:, :-wide] == wide).any(axis=1))


def _handles(swing: Swing) -> Array:
    """(120, 3) unit vectors along the handle. [-]"""
    up = square_to(swing.axis)
    side = cross(swing.axis, up)
    turns = np.radians(np.arange(0.0, 360.0, STEP_DEG))
    return np.asarray(np.cos(turns)[:, None] * up + np.sin(turns)[:, None] * side)


def _near_handles(swing: Swing, rest: Array, reach: Array) -> Flags:
    """(n, 120) whether points, seen from the nut's middle, lie within reach of each stand of the handle."""
    ways = _handles(swing)
    out = rest @ ways.T
    nearest = np.clip(out, swing.from_mm, swing.handle_mm)
    square = np.sum(rest * rest, axis=1)[:, None] - 2 * nearest * out + nearest**2
    return np.asarray(square < reach[:, None] ** 2)
