"""Room for a spanner on a nut among pipes: the window through which its handle swings.

The spanner and the 24 parts of its circle are those of the order of fitting, swept past all that stands there; a pipe
is held against the same handle, from its head outwards, every 3 deg of them.

Source: geometry; a spanner's sizes are those of `trialfit.fitup.hand_spanner`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.order.loose import Grip
from trialfit.fitup.order.spanner import STEP_DEG, STEPS, steps_barred, zero_way
from trialfit.fitup.records import Array
from trialfit.fitup.scene import Scene
from trialfit.fitup.vectors import cross
from trialfit.fitup.ways import Flags, Places, Ways

# How often within a part of the circle the handle is held against a pipe.
_STANDS = 5
_SAMPLES = 60


@dataclass(frozen=True, eq=False)
class Sampled:
    """Points along ways, close enough together for a handle.

    Parameters
    ----------
    many
        How many ways. [-]
    which
        (p,) whose point each is, in order. [-]
    points_mm
        (p, 3) points of the centre lines. [mm]
    reach_mm
        (p,) half the tube's outside diameter, and half the way to the next point. [mm]
    """

    many: int
    which: Places
    points_mm: Array
    reach_mm: Array


def sampled(ways: Ways, tube_radius_mm: float | Array) -> Sampled:
    """Take points along ways.

    Parameters
    ----------
    ways
        n ways.
    tube_radius_mm
        Half the tube's outside diameter; or (n,) one for each way. [mm]

    Returns
    -------
    Sampled
        60 points a way.
    """
    n, lengths = len(ways.lengths_mm), ways.lengths_mm
    which = np.repeat(np.arange(n), _SAMPLES)
    shares = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
    points = ways.points_mm(which, (lengths[:, None] * shares).ravel())
    # Half the length between two samples is room the pipe may take up between them.
    thick = np.broadcast_to(tube_radius_mm, (n,)) + lengths / _SAMPLES / 2
    return Sampled(n, which, points, np.repeat(thick, _SAMPLES))


@dataclass(frozen=True, eq=False)
class Swing:
    """A spanner on a nut.

    Parameters
    ----------
    grip
        The nut, and the spanner on it.
    free
        (24,) whether the handle can swing through each 15 deg, as far as everything but the pipe is concerned. [-]
    """

    grip: Grip
    free: Flags

    @property
    def nut(self) -> str:
        """The nut, as a person reads it."""
        return self.grip.thing

    @property
    def window_deg(self) -> float:
        """How wide a window its handle needs. [deg]"""
        return self.grip.spanner.window_deg

    @property
    def has_window(self) -> bool:
        """Whether there is a window at all."""
        return bool(windows(self.free[None], self.window_deg)[0])

    def left_by(self, along: Sampled) -> Flags:
        """Say which of many ways leave it a window.

        Parameters
        ----------
        along
            Points along n ways.

        Returns
        -------
        Array
            (n,) true where a window as wide as the spanner needs is left. [-]
        """
        n, which = along.many, along.which
        rest, reach = along.points_mm - self.grip.middle_mm, along.reach_mm
        # Most of a pipe is nowhere near the handle's plane.
        spanner = self.grip.spanner
        far = np.hypot(spanner.length_mm, spanner.handle_mm / 2) + reach
        near = (np.abs(rest @ self.grip.axis) < spanner.thick_mm / 2 + reach) & (np.sum(rest * rest, axis=1) < far**2)
        stops = np.zeros((n, STEPS), dtype=bool)
        if near.any():
            barred = _barred(self.grip, rest[near], reach[near])
            rows, begins = np.unique(which[near], return_index=True)
            stops[rows] = np.logical_or.reduceat(barred, begins, axis=0)
        return windows(self.free & ~stops, self.window_deg)


def swing_on(grip: Grip, scene: Scene) -> Swing:
    """Put a spanner on a nut and see where its handle can swing.

    Parameters
    ----------
    grip
        The nut, and the spanner on it.
    scene
        All that stands round it but the pipe; the nut among it.

    Returns
    -------
    Swing
        The spanner, with where it is free.
    """
    (steps,) = steps_barred([(grip, scene)])
    return Swing(grip, np.array([not names for names in steps]))


def windows(free: Flags, window_deg: float) -> Flags:
    """Say where there is a window without a break.

    Parameters
    ----------
    free
        (n, 24) whether a handle can swing through each 15 deg. [-]
    window_deg
        How wide it must be. [deg]

    Returns
    -------
    Array
        (n,) true where there is one. [-]
    """
    wide = round(window_deg / STEP_DEG)
    return np.asarray(np.logical_and.reduce([np.roll(free, -k, axis=1) for k in range(wide)]).any(axis=1))


def _barred(grip: Grip, rest: Array, reach: Array) -> Flags:
    """(n, 24) whether points, seen from the nut's middle, lie within reach of the handle somewhere in each 15 deg."""
    up = zero_way(grip)
    side = cross(grip.axis, up)
    turns = np.radians(np.arange(0.0, 360.0, STEP_DEG / _STANDS))
    cosine, sine, spanner = np.cos(turns), np.sin(turns), grip.spanner
    ahead, aside = (rest @ up)[:, None], (rest @ side)[:, None]
    out = cosine * ahead + sine * aside
    off = np.abs(cosine * aside - sine * ahead) - spanner.handle_mm / 2
    high = np.abs(rest @ grip.axis)[:, None] - spanner.thick_mm / 2
    past = np.maximum(np.maximum(spanner.head_mm / 2 - out, out - spanner.length_mm), 0.0)
    square = past**2 + np.maximum(off, 0.0) ** 2 + np.maximum(high, 0.0) ** 2
    stands = (square < reach[:, None] ** 2).reshape(len(rest), STEPS, _STANDS)
    # Each part of the circle ends where the next begins.
    return np.asarray(stands.any(axis=2) | np.roll(stands[:, :, 0], -1, axis=1))
