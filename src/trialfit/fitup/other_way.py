"""The next best way that is really another, not the same one with a longer leg.

A way that stands well off the one taken is sought, and then let go shorter as it likes. Where it ends well off the one
taken, it is another; where it slides back onto it, the next is sought well off both. With three bends one try is all
that is made, for each takes as long as the way itself.

Source: `docs/methods/routes.md`.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from trialfit.fitup.families import Family, three_bends_of, two_bends_of
from trialfit.fitup.obstacles import Around
from trialfit.fitup.records import Array
from trialfit.fitup.seek import Wish, seek
from trialfit.fitup.sought import THREE_CELLS, Asked, leaves_swings, will_do
from trialfit.fitup.ways import Flags, Places, Ways, ways_of

# Two ways are two where they part by so many radii somewhere (assumed).
PARTS_BY = 1.5
_TRIED = 2
_SAMPLES = 12


def other_way(asked: Asked, around: Around, taken_mm: Array) -> Array | None:
    """Find the shortest way that is another than the one taken.

    Parameters
    ----------
    asked
        Faces, bender, bends.
    around
        What stands round it.
    taken_mm
        (k + 2, 3) corners of the way taken, faces included. [mm]

    Returns
    -------
    Array or None
        (k + 2, 3) corners of the other [mm]; None where none was found.
    """
    radius_mm, three = asked.bender.radius_mm, len(taken_mm) == 5
    make = three_bends_of if three else two_bends_of
    family: Family = make(asked.start, asked.end, asked.bender)
    apart_mm = PARTS_BY * radius_mm
    known = [ways_of(taken_mm[None], radius_mm)]
    for _ in range(1 if three else _TRIED):

        def parts(ways: Ways, slack_mm: Array | float = 0.0, known: tuple[Ways, ...] = tuple(known)) -> Flags:
            return np.asarray(np.all([departs_mm(ways, each) >= apart_mm - slack_mm for each in known], axis=0))

        def also(ways: Ways) -> Flags:
            return both(ways, parts(ways), lambda far, _: will_do(far, asked.swings, around.tube_radius_mm))

        def keeps(ways: Ways, moves: Array) -> Flags:
            thick_mm = around.tube_radius_mm - moves
            return both(ways, parts(ways, moves), lambda far, at: leaves_swings(far, asked.swings, thick_mm[at]))

        wish = Wish(also, keeps, freely=True, most_cells=THREE_CELLS if three else 400)
        found = seek(family, radius_mm, around, wish)
        if found.vertices_mm is None:
            return None
        ways = ways_of(found.vertices_mm[None], radius_mm)
        if departs_mm(ways, known[0])[0] >= apart_mm and will_do(ways, asked.swings, around.tube_radius_mm)[0]:
            return found.vertices_mm
        known.append(ways)
    return None


def both(ways: Ways, first: Flags, then: Callable[[Ways, Places], Flags]) -> Flags:
    """Ask for a second thing only those ways that the first is true of.

    Parameters
    ----------
    ways
        n ways.
    first
        (n,) whether the first is true. [-]
    then
        Says the same of the second, of those ways and their (p,) numbers.

    Returns
    -------
    Array
        (n,) whether both are. [-]
    """
    found, left = first.copy(), np.flatnonzero(first)
    found[left] = then(ways.taken(left), left)
    return found


def departs_mm(ways: Ways, other: Ways) -> Array:
    """How far ways go from one way.

    Parameters
    ----------
    ways
        n ways.
    other
        One way.

    Returns
    -------
    Array
        (n,) the farthest that any of a way's samples lies from the other. [mm]
    """
    n, lengths = len(ways.lengths_mm), ways.lengths_mm
    shares = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
    points = ways.points_mm(np.repeat(np.arange(n), _SAMPLES), (lengths[:, None] * shares).ravel())
    dense = np.linspace(0.0, float(other.lengths_mm[0]), 48)
    line = other.points_mm(np.zeros(len(dense), dtype=int), dense)
    square = np.sum(line * line, axis=1)[:, None] - 2 * line @ points.T
    nearest = np.maximum(square.min(axis=0) + np.sum(points * points, axis=1), 0.0)
    return np.asarray(np.sqrt(nearest).reshape(n, _SAMPLES).max(axis=1))
