"""Whether ways clear what stands round them: by samples that certify the ground between them.

A distance changes by no more than a millimetre for a millimetre moved. A sample with more room to spare than half the
length it stands for clears all of it; where it has not, what is left at both ends is looked at again.

Source: the signed distance is 1-Lipschitz; a bound by intervals.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.obstacles import Around
from trialfit.fitup.records import Array
from trialfit.fitup.ways import Flags, Places, Ways

# What is still in doubt when half a length is no more than this counts as standing in the way.
DOUBT_MM = 0.03
_FIRST_MM = 8.0


@dataclass(frozen=True)
class Touch:
    """Where a way has least room.

    Parameters
    ----------
    obstacle
        Place of the nearest thing among the obstacles. [-]
    at_mm
        How far along the centre line from the start face. [mm]
    spare_mm
        Room beyond what is wanted there; below nought where it falls short. [mm]
    """

    obstacle: int
    at_mm: float
    spare_mm: float


def rough_spare_mm(ways: Ways, around: Around, samples: int = 24) -> tuple[Array, Places]:
    """Least room that ways have at evenly spaced samples; never less than there is, so good for throwing away alone.

    Parameters
    ----------
    ways
        n ways.
    around
        What stands round them.
    samples
        On each way. [-]

    Returns
    -------
    tuple
        (n,) least room to spare [mm], and (n,) the obstacle that leaves it [-].
    """
    n, lengths = len(ways.lengths_mm), ways.lengths_mm
    if not around.obstacles:
        return np.full(n, np.inf), np.zeros(n, dtype=np.intp)
    which = np.repeat(np.arange(n), samples)
    at = (lengths[:, None] * (np.arange(samples) + 0.5) / samples).ravel()
    spare = around.each_spare_mm(ways.points_mm(which, at), at, lengths[which] - at)
    by_obstacle = spare.reshape(-1, n, samples).min(axis=2)
    return by_obstacle.min(axis=0), by_obstacle.argmin(axis=0)


def which_clear(ways: Ways, around: Around) -> Flags:
    """Say which of many ways clear everything.

    Parameters
    ----------
    ways
        n ways.
    around
        What stands round them.

    Returns
    -------
    Array
        (n,) true where all of the way certainly clears, to `DOUBT_MM`. [-]
    """
    lengths = ways.lengths_mm
    clear = np.ones(len(lengths), dtype=bool)
    if not around.obstacles:
        return clear
    parts = np.maximum(np.ceil(lengths / _FIRST_MM), 1).astype(int)
    which = np.repeat(np.arange(len(lengths)), parts)
    half = (lengths / parts / 2)[which]
    place = np.arange(len(which)) - np.repeat(np.cumsum(parts) - parts, parts)
    at = (2 * place + 1) * half
    while len(which):
        spare = around.each_spare_mm(ways.points_mm(which, at), at, lengths[which] - at).min(axis=0)
        left = half - spare
        clear[which[(spare < 0) | ((left > 0) & (half < DOUBT_MM))]] = False
        doubtful = (left > 0) & clear[which]
        which, at, half, left = which[doubtful], at[doubtful], half[doubtful], left[doubtful] / 2
        # What the sample does not certify lies at both ends of its length.
        which, at, half = np.tile(which, 2), np.concatenate([at - half + left, at + half - left]), np.tile(left, 2)
    return clear


def clear_of_themselves(ways: Ways, od_mm: float, samples: int = 64) -> Flags:
    """Say which ways do not run into themselves.

    Parameters
    ----------
    ways
        n ways.
    od_mm
        Outside diameter of the tube. [mm]
    samples
        On each way. [-]

    Returns
    -------
    Array
        (n,) true where no two places that lie well apart along the pipe are nearer than its diameter. [-]

    Valid
    -----
    Bends of two outside diameters or more; places less than 2 diameters apart along the pipe are not held against
    each other.
    """
    n, lengths = len(ways.lengths_mm), ways.lengths_mm
    if od_mm <= 0 or ways.pieces_mm.shape[1] < 5:
        return np.ones(n, dtype=bool)
    shares = (np.arange(samples) + 0.5) / samples
    points = ways.points_mm(np.repeat(np.arange(n), samples), (lengths[:, None] * shares).ravel())
    points = points.reshape(n, samples, 3)
    square = np.sum(points * points, axis=2)
    apart = square[:, :, None] + square[:, None, :] - 2 * points @ points.transpose(0, 2, 1)
    spacing = lengths / samples
    steps = np.abs(np.arange(samples)[:, None] - np.arange(samples))
    far = steps[None] * spacing[:, None, None] > 2 * od_mm
    # Two samples may each lie half a spacing from where two legs cross.
    near = apart < (od_mm**2 + spacing**2 / 2)[:, None, None]
    return np.asarray(~np.any(near & far, axis=(1, 2)))


def closest(ways: Ways, around: Around, within_mm: float = 0.002) -> tuple[Touch, ...]:
    """Find where one way comes nearest to each thing.

    Parameters
    ----------
    ways
        One way.
    around
        What stands round it.
    within_mm
        How near the true least the room found is. [mm]

    Returns
    -------
    tuple of Touch
        One an obstacle, in their order, by room beyond what is wanted; infinite where all of it is let in.
    """
    length, count = float(ways.lengths_mm[0]), len(around.obstacles)
    if not count:
        return ()
    best, best_at = np.full(count, np.inf), np.zeros(count)
    parts = max(int(np.ceil(length)), 1)
    half = length / parts / 2
    at: Array = np.asarray((2 * np.arange(parts) + 1) * half, dtype=np.float64)
    while len(at):
        points = ways.points_mm(np.zeros(len(at), dtype=int), at)
        spare = around.each_spare_mm(points, at, length - at)
        least = spare.argmin(axis=1)
        rows = np.arange(count)
        better = spare[rows, least] < best
        best = np.where(better, spare[rows, least], best)
        best_at = np.where(better, at[least], best_at)
        # A length is looked at again for as long as it may hide less room than has been found, from any thing.
        hides = np.any((spare - half < best[:, None] - within_mm) & np.isfinite(spare), axis=0)
        at = at[hides]
        half /= 2
        at = np.concatenate([at - half, at + half])
    return tuple(Touch(k, float(best_at[k]), float(best[k])) for k in range(count))
