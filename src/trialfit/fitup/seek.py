"""The shortest way of a family that clears everything, found by cutting the family into ever smaller cells.

A cell is kept while the way in its middle, moved by no more than the cell's own size, might have the straights it
needs, might clear what stands round it, and might be shorter than the shortest found. Ways that do all three are tried
in the order of their length, and certified. With three bends the cells are too many to keep: the likeliest are.

Source: branch and bound; `docs/methods/routes.md` has what was measured.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from trialfit.fitup.clearing import rough_spare_mm, which_clear
from trialfit.fitup.families import Family, spread_evenly
from trialfit.fitup.obstacles import Around
from trialfit.fitup.records import Array
from trialfit.fitup.ways import Flags, Places, Ways, ways_of

# Cells are cut until a way in one moves by no more than this; then the best is settled by ever closer looks.
CELL_MM = 0.4
_SETTLED_MM = 0.01
# How much longer a way may be than the change of its corners; and how much less straight it may leave.
_LENGTHENS, _SHORTENS = 2.0, 3.0
_LEVELS_MOST = 14
_TRIED_AT_ONCE = 8
_TRIED_COARSE, _TRIED_FINE = 192, 768
_CHUNK = 400
_CLOSER = 0.7
_LOOKED_MM = 4.0


@dataclass(frozen=True, eq=False)
class Sought:
    """What a search found.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) the shortest way that clears; None where none was found. [mm]
    length_mm
        Its centre line; infinite where there is none. [mm]
    stops
        Of the ways first looked at that have the straights they need: how many each obstacle stands in. [-]
    looked_at
        How many those were. [-]
    """

    vertices_mm: Array | None
    length_mm: float
    stops: tuple[int, ...]
    looked_at: int

    @property
    def found(self) -> bool:
        """Whether there is a way."""
        return self.vertices_mm is not None


@dataclass(frozen=True)
class Wish:
    """What is wanted of a way besides.

    Parameters
    ----------
    also
        Says of n ways that clear which will do: (n,) true or not. [-]
    keeps
        Says of n ways, and how far each may move within its cell [mm], which may hold one that will do: (n,).
    freely
        Whether the best is settled without heed to `also`: it may then end where another search ended.
    most_cells
        How many cells are kept from one cutting to the next. [-]
    any_way
        Whether the first way found will do, be it not the shortest.
    """

    also: Callable[[Ways], Flags] | None = None
    keeps: Callable[[Ways, Array], Flags] | None = None
    freely: bool = False
    most_cells: int = 2500
    any_way: bool = False


def seek(family: Family, radius_mm: float, around: Around, wish: Wish | None = None) -> Sought:
    """Find the shortest way of a family that clears everything.

    Parameters
    ----------
    family
        The ways.
    radius_mm
        Radius of every bend. [mm]
    around
        What stands round them.
    wish
        What else is wanted.

    Returns
    -------
    Sought
        The shortest way found, and what stopped the others.
    """
    wish = wish or Wish()
    cells, half = family.starts()
    best, best_mm = None, float("inf")
    stops, looked_at = np.zeros(max(len(around.obstacles), 1), dtype=int), 0
    for level in range(_LEVELS_MOST):
        moves = family.moves_mm(cells, half)
        found = family.measure(cells)
        might = (found.spare_mm >= -_SHORTENS * moves) & (found.length_mm - _LENGTHENS * moves < best_mm)
        cells, moves, length, straight = cells[might], moves[might], found.length_mm[might], found.spare_mm[might]
        if not len(cells):
            break
        # A coarse look first; a fine one only at what may still hold a shorter way.
        room, nearest, keeps = _rough(family, cells, moves, radius_mm, around, wish, fine=False)
        if level == 0:
            sound = straight >= 0
            stops = np.bincount(nearest[sound & (room < 0)], minlength=len(stops))
            looked_at = int(sound.sum())
        for fine in (False, True):
            good = np.flatnonzero((straight >= 0) & (room >= 0) & (length < best_mm) & keeps)
            tried = good[np.argsort(length[good], kind="stable")[: _TRIED_FINE if fine else _TRIED_COARSE]]
            shortest = _first_clear(family, cells[tried], length[tried], radius_mm, around, wish)
            if shortest is not None:
                best, best_mm = cells[tried[shortest]], float(length[tried[shortest]])
                if wish.any_way:
                    return Sought(family.vertices_mm(best[None])[0], best_mm, tuple(stops.tolist()), looked_at)
            least = length - _LENGTHENS * moves
            might = (room >= -moves) & keeps & (least < best_mm)
            cells, moves, length, straight = cells[might], moves[might], length[might], straight[might]
            room, keeps = room[might], keeps[might]
            if not fine and len(cells):
                room = np.minimum(room, _rough(family, cells, moves, radius_mm, around, wish, fine=True)[0])
        if not len(cells) or float(moves.max()) <= CELL_MM:
            break
        cost = 2 * _missing(room, straight)
        # Where any way will do, what lacks least is likeliest, however long.
        cells = _likeliest(cells, cost if wish.any_way else cost + length - _LENGTHENS * moves, wish.most_cells)
        cells, half = family.children(cells, half)
    if best is None:
        return Sought(None, float("inf"), tuple(stops.tolist()), looked_at)
    to_the_end = replace(wish, also=None) if wish.freely else wish
    best, best_mm = _settled(family, best, best_mm, half, radius_mm, around, to_the_end)
    return Sought(family.vertices_mm(best[None])[0], best_mm, tuple(stops.tolist()), looked_at)


def _rough(
    family: Family, cells: Array, moves: Array, radius_mm: float, around: Around, wish: Wish, fine: bool
) -> tuple[Array, Places, Flags]:
    """Least room at samples, the obstacle that leaves it, and whether the wish allows the cell."""
    room, nearest, keeps = np.empty(len(cells)), np.empty(len(cells), dtype=int), np.ones(len(cells), dtype=bool)
    for begin in range(0, len(cells), _CHUNK):
        part = slice(begin, begin + _CHUNK)
        ways = ways_of(family.vertices_mm(cells[part]), radius_mm)
        every = max(_LOOKED_MM, float(moves[part].min()))
        samples = min(max(round(float(ways.lengths_mm.max()) / every), 12), 60) if fine else 12
        room[part], nearest[part] = rough_spare_mm(ways, around, samples)
        if wish.keeps is not None and not fine:
            # What has no room in any case need not be asked for more.
            asked = np.flatnonzero(room[part] >= -moves[part])
            keeps[begin + asked] = wish.keeps(ways.taken(asked), moves[begin + asked])
    return room, nearest, keeps


def _first_clear(
    family: Family, cells: Array, length: Array, radius_mm: float, around: Around, wish: Wish
) -> int | None:
    """Place of the shortest that certainly clears and will do, or None."""
    order = np.argsort(length, kind="stable")
    begin, size = 0, _TRIED_AT_ONCE
    while begin < len(order):
        block = order[begin : begin + size]
        ways = ways_of(family.vertices_mm(cells[block]), radius_mm)
        clear = which_clear(ways, around)
        if wish.also is not None and clear.any():
            passed = np.flatnonzero(clear)
            clear[passed] = wish.also(ways.taken(passed))
        if clear.any():
            return int(block[np.argmax(clear)])
        begin, size = begin + size, 4 * size
    return None


def _missing(room: Array, straight: Array) -> Array:
    return np.asarray(np.maximum(-room, 0.0) + np.maximum(-straight, 0.0))


def _likeliest(cells: Array, cost: Array, most: int) -> Array:
    return cells if len(cells) <= most else cells[np.argpartition(cost, most)[:most]]


def _settled(
    family: Family, best: Array, best_mm: float, half: Array, radius_mm: float, around: Around, wish: Wish
) -> tuple[Array, float]:
    """Look ever closer round the best way."""
    count = 16 if len(best) == 2 else 64
    signs = 2 * spread_evenly(count, len(best)) - 1
    signs = np.concatenate([signs, np.eye(len(best)), -np.eye(len(best))])
    size = 2 * half
    while float(family.moves_mm(best[None], size)[0]) > _SETTLED_MM:
        near = np.clip(best + signs * size, 0.0, 1.0)
        found = family.measure(near)
        good = np.flatnonzero((found.spare_mm >= 0) & (found.length_mm < best_mm))
        shorter = _first_clear(family, near[good], found.length_mm[good], radius_mm, around, wish)
        if shorter is None:
            size = size * _CLOSER**2
        else:
            best, best_mm, size = near[good[shorter]], float(found.length_mm[good[shorter]]), size * _CLOSER
    return best, best_mm
