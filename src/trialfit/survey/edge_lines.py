"""Marks along a straight length of tube in one photograph, sorted to one edge or two.

The two edges of a straight length are nearly side by side in a photograph. Of all ways to lay one line, or two
parallel lines about a tube's width apart, through the marks, the likeliest is taken; where several are as likely
nothing is said.

Source: least squares on two parallel lines, all directions tried.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_DIRECTIONS = 360
_FITS_SIGMAS, _CLEAR_SIGMAS = 2.5, 1.5
_WIDTHS = (0.4, 2.2)  # of the width expected from the range, which is rough


@dataclass(frozen=True)
class EdgeLines:
    """One edge of a straight length in a photograph, or both.

    Parameters
    ----------
    across
        (2,) unit vector across the edges, in the ideal image. [-]
    offsets
        (1,) or (2,) where along that vector each edge lies; of two the smaller first. [-]
    second
        (n,) which marks lie on the second edge.
    """

    across: Array
    offsets: Array
    second: Flags


def edge_lines(flat: Array, sigma: float, width: float) -> EdgeLines | None:
    """Sort marks to one edge or two.

    Parameters
    ----------
    flat
        (n, 2) marks as an ideal lens would show them. [-]
    sigma
        One standard deviation of a mark in the same measure. [-]
    width
        About how far the two edges lie apart. [-]

    Returns
    -------
    EdgeLines or None
        None where the marks do not say, or lie on neither one line nor two.
    """
    n = len(flat)
    if n < 2:
        return None
    middle = flat.mean(axis=0)
    angles = np.arange(_DIRECTIONS) * np.pi / _DIRECTIONS
    across = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    offsets = (flat - middle) @ across.T  # (n, directions)
    one = offsets.std(axis=0)
    best = int(one.argmin())
    two = _two(flat, offsets, across, sigma, width) if n >= 4 else None
    off = float(one[best]) * float(np.sqrt(n / max(n - 2, 1)))
    if off > _FITS_SIGMAS * sigma:
        return None if two is None else two[1]
    as_good = two is not None and (off > _CLEAR_SIGMAS * sigma or two[0] < max(2.0 * off, _CLEAR_SIGMAS * sigma))
    if as_good or (n == 2 and one.max() < 0.75 * width):
        return None  # as likely one edge as two
    return EdgeLines(across[best], np.array([middle @ across[best]]), np.zeros(n, dtype=bool))


def _two(flat: Array, offsets: Array, across: Array, sigma: float, width: float) -> tuple[float, EdgeLines] | None:
    """The likeliest two parallel lines, and how far the marks lie off them."""
    n = len(flat)
    order = np.argsort(offsets, axis=0)
    rising = np.take_along_axis(offsets, order, axis=0)
    total, squares = rising.sum(axis=0), (rising**2).sum(axis=0)
    best: tuple[float, float, EdgeLines] | None = None
    for count in range(1, n):
        low = rising[:count].sum(axis=0) / count
        high = (total - count * low) / (n - count)
        misfit = np.sqrt(np.maximum(squares - count * low**2 - (n - count) * high**2, 0.0) / max(n - 3, 1))
        apart = high - low
        likely = (apart > _WIDTHS[0] * width) & (apart < _WIDTHS[1] * width)
        # Two edges run together a little in a photograph; that may cost a few per cent of their distance.
        allowed = _FITS_SIGMAS * sigma + 0.06 * apart
        score = np.where(likely & (misfit < allowed), misfit / allowed + 0.3 * np.abs(np.log(apart / width)), np.inf)
        place = int(score.argmin())
        if np.isfinite(score[place]) and (best is None or score[place] < best[0]):
            second = np.zeros(n, dtype=bool)
            second[order[count:, place]] = True
            there = flat @ across[place]
            lines = EdgeLines(across[place], np.array([there[~second].mean(), there[second].mean()]), second)
            best = float(score[place]), float(misfit[place]), lines
    return None if best is None else best[1:]
