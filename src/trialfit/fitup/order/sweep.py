"""Where a moving solid first touches one that stands still, certified.

A stretch of a motion is done with when the distance at its middle is more than anything on the solid can move in half
of it. What is left is halved, until it is done with or a touch is found. Nothing is missed between samples.

Source: interval bisection with a bound on speed; a point r from the axis of a screw moves by the root of
(r x turn)^2 + travel^2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.order.apart import Flags, Forms, Places, apart
from trialfit.fitup.order.motion import Helices
from trialfit.parts.placement import Array

# Nearer than this counts as touching. [mm]
TOUCH_MM = 0.02
# How narrowly the first touch is looked for. [mm]
_FINE_MM = 0.05
_FIRST_CUTS_A_TURN = 6
_NEVER = np.inf
_PARTS, _AT_ONCE = (8, 4), 800


@dataclass(frozen=True, eq=False)
class Touches:
    """Where pairs first touch.

    Parameters
    ----------
    share
        (n,) how much of the motion is done at the first touch; infinite where there is none. [-]
    at_mm
        (n, 3) where on the moving solid, in the job frame; of no account where there is none. [mm]
    """

    share: Array
    at_mm: Array


def sweep(moving: Forms, motions: Helices, still: Forms, whether: bool = False) -> Touches:
    """Sweep each of n solids through its motion past another.

    Parameters
    ----------
    moving
        n solids where they begin; none a half space.
    motions
        n motions.
    still
        n solids that stand.
    whether
        Whether it is enough to know that they touch; then the place is that of some touch.

    Returns
    -------
    Touches
        The first touch of each pair, not later than it happens by more than 0.05 mm of movement.
    """
    n = len(moving)
    first, at = np.full(n, _NEVER), np.zeros((n, 3))
    speed = np.hypot(motions.turn_rad * moving.off_axis_mm(motions.on_mm, motions.along), motions.travel_mm)
    cuts = np.maximum(1, np.ceil(np.abs(motions.turn_rad) / (2 * np.pi) * _FIRST_CUTS_A_TURN)).astype(int)
    pair = np.repeat(np.arange(n), cuts)
    width = 1.0 / cuts[pair]
    low = (np.arange(len(pair)) - np.repeat(np.cumsum(cuts) - cuts, cuts)) * width
    while len(pair):
        middle = low + width / 2
        needed = speed[pair] * width / 2
        left = ~_far(moving, motions, still, pair, middle, needed)
        pair, low, width, middle, needed = pair[left], low[left], width[left], middle[left], needed[left]
        if not len(pair):
            break
        there = motions.chosen(pair).moved(moving.chosen(pair), middle)
        found = apart(there, still.chosen(pair), needed + TOUCH_MM, TOUCH_MM)
        touches = found.most_mm <= TOUCH_MM
        cleared = (found.least_mm >= needed + TOUCH_MM) & ~touches
        narrow = needed <= _FINE_MM / 2
        # Too narrow to be halved once more, and not cleared: it comes nearer than can be told from a touch.
        touches |= narrow & ~cleared & (needed <= TOUCH_MM / 2)
        hits = np.flatnonzero(touches)
        for k in hits[np.argsort(-middle[hits])]:
            if middle[k] < first[pair[k]]:
                first[pair[k]], at[pair[k]] = middle[k], found.at_mm[k]
        ends = np.where(np.isfinite(first), 0.0, 1.0) if whether else first
        goes_on = ~cleared & ~(touches & narrow) & (low < ends[pair])
        pair, low, width = pair[goes_on], low[goes_on], width[goes_on]
        # A few are cut finer than in halves: what a look costs hardly depends on how many are looked at.
        parts = next((each for each in _PARTS if each * len(pair) <= _AT_ONCE), 2)
        width = np.tile(width / parts, parts)
        low = np.tile(low, parts) + np.repeat(np.arange(parts), len(pair)) * width
        pair = np.tile(pair, parts)
        early = low < ends[pair]
        pair, low, width = pair[early], low[early], width[early]
    return Touches(first, at)


def _far(moving: Forms, motions: Helices, still: Forms, pair: Places, middle: Array, needed: Array) -> Flags:
    """Whether balls round both are far enough apart already, which is quick to see."""
    helix = motions.chosen(pair)
    rest = moving.middle_mm[pair] - helix.on_mm
    up = np.sum(rest * helix.along, axis=1)[:, None] * helix.along
    angle = (middle * helix.turn_rad)[:, None]
    out = rest - up
    turned = np.cos(angle) * out + np.sin(angle) * np.cross(helix.along, out)
    there = helix.on_mm + up + turned + (middle * helix.travel_mm)[:, None] * helix.along
    between = there - still.middle_mm[pair]
    flat = still.flat[pair]
    reach = still.reach_mm()[pair]
    apart_mm = np.where(
        flat, np.sum(between * still.axis[pair], axis=1), np.linalg.norm(between, axis=1) - np.where(flat, 0.0, reach)
    )
    return np.asarray(apart_mm - moving.reach_mm()[pair] > needed + TOUCH_MM)
