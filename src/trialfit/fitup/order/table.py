"""The table "part, way -> what it strikes", from which every order is read.

Two things that are fixed together touch at rest by intention. Two convex pieces that are pulled apart along a line
never meet again once they are clear, so such a pair only has to be clear at the end of the way. Pieces that touch at
rest without being fixed together are named as a fault of what was put in.

Source: plane reasoning on convex bodies; sweeps by `trialfit.fitup.order.sweep`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from trialfit.fitup.order.apart import Places, apart
from trialfit.fitup.order.loose import Loose, Stand
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.order.resting import LEANS_MM, Overlap, Resting, resting
from trialfit.fitup.order.rows import Rows, moves_in, rows_of
from trialfit.fitup.order.spanner import Window, windows
from trialfit.fitup.order.sweep import TOUCH_MM, sweep
from trialfit.fitup.scene import Piece
from trialfit.parts.placement import Array
from trialfit.parts.solids import Box, HalfSpace

# A piece whose ends are nearer than this to the axis it is turned about is turned on the spot. [mm]
_ON_AXIS_MM = 0.05


@dataclass(frozen=True, eq=False)
class Strike:
    """Something met on the way.

    Parameters
    ----------
    phase
        Which motion of the way, counted from 0. [-]
    share
        How much of it is done. [-]
    mover, mover_piece
        What strikes.
    struck, struck_piece
        What it strikes.
    at_mm
        (3,) where, in the job frame. [mm]
    overlap_mm
        How deep the two stand in each other before anything moves; 0 where they do not. [mm]
    any_way
        Those of the two of which nobody knows which way they point: room is kept all round them.
    """

    phase: int
    share: float
    mover: str
    mover_piece: str
    struck: str
    struck_piece: str
    at_mm: Array
    overlap_mm: float = 0.0
    any_way: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Entry:
    """One line of the table.

    Parameters
    ----------
    loose
        What comes off.
    way
        Which of its ways, counted from 0. [-]
    strikes
        The first time each thing that moves strikes each thing that stands.
    windows
        For every phase with a spanner: the windows its handle can swing in, each with what is in the way.
    """

    loose: Loose
    way: int
    strikes: tuple[Strike, ...]
    windows: Mapping[int, tuple[Window, ...]]


@dataclass(frozen=True, eq=False)
class Table:
    """The whole table.

    Parameters
    ----------
    entries
        Line by line, in the order of what comes off and its ways.
    overlaps
        What touches at rest and should not.
    """

    entries: tuple[Entry, ...]
    overlaps: tuple[Overlap, ...]

    def of(self, name: str) -> tuple[Entry, ...]:
        """The lines of one.

        Parameters
        ----------
        name
            What comes off.

        Returns
        -------
        tuple of Entry
            One a way.
        """
        return tuple(each for each in self.entries if each.loose.name == name)


def table_of(stand: Stand) -> Table:
    """Sweep everything that can come off through all its ways, past all that stands round it.

    Parameters
    ----------
    stand
        Everything in place.

    Returns
    -------
    Table
        Who strikes whom, and where.
    """
    return tables_of([stand])[0]


def tables_of(stands: Sequence[Stand]) -> tuple[Table, ...]:
    """Do so for several stands at once, which is much quicker than one after the other.

    Parameters
    ----------
    stands
        One or more.

    Returns
    -------
    tuple of Table
        In the same order.
    """
    rows = rows_of(stands)
    rests = [resting(stand) for stand in stands]
    strikes = _strikes(rows, rests)
    grips = [
        (number, k, phase.grip, stands[line.stand].scene)
        for number, line in enumerate(rows.lines) for k, phase in enumerate(line.way.phases) if phase.grip is not None
    ]  # fmt: skip
    swings: dict[int, dict[int, tuple[Window, ...]]] = {}
    for (number, k, _, _), found in zip(grips, windows([each[2:] for each in grips]), strict=True):
        swings.setdefault(number, {})[k] = found
    entries: list[list[Entry]] = [[] for _ in stands]
    for number, line in enumerate(rows.lines):
        entries[line.stand].append(
            Entry(line.loose, line.place, tuple(strikes.get(number, ())), swings.get(number, {}))
        )
    return tuple(Table(tuple(own), rest.overlaps) for own, rest in zip(entries, rests, strict=True))


def _strikes(rows: Rows, rests: Sequence[Resting]) -> dict[int, list[Strike]]:
    if rows.empty:
        return {}
    n = len(rows.line)
    deep = np.full(n, np.nan)
    meant = np.zeros(n, dtype=bool)
    touching = _touching(rows, rests)
    for k in touching:
        line = rows.lines[rows.line[k]]
        one, other = rows.pieces[rows.mover[k]], rows.pieces[rows.struck[k]]
        deep[k] = rests[line.stand].deep_mm[one[0].name, one[1], other[0].name, other[1]]
        meant[k] = (
            rests[line.stand].meant(one[0].name, other[0].name)
            or deep[k] <= LEANS_MM
            or _apart_some_way(one[2], other[2], line.way.phases[rows.phase[k]].motion)
        )
    share, at = np.full(n, np.inf), np.zeros((n, 3))
    free = np.flatnonzero(np.isnan(deep))
    begins = rows.begin[free]
    swept = sweep(rows.begins.chosen(begins), rows.motions.chosen(begins), rows.solids.chosen(rows.struck[free]))
    share[free], at[free] = swept.share, swept.at_mm
    faulty = ~np.isnan(deep) & ~meant
    share[faulty], at[faulty] = 0.0, rows.solids.middle_mm[rows.mover[faulty]]
    _not_clear(rows, np.flatnonzero(meant), share, at)
    found: dict[int, dict[tuple[str, str], Strike]] = {}
    for k in np.flatnonzero(np.isfinite(share)):
        (mover, _, piece), (struck, _, against) = rows.pieces[rows.mover[k]], rows.pieces[rows.struck[k]]
        any_way = tuple(one.name for one, its in ((mover, piece), (struck, against)) if one.may_point_by(its))
        deep_at_rest = float(deep[k]) if faulty[k] and not (piece.all_round or against.all_round) else 0.0
        strike = Strike(
            int(rows.phase[k]), float(share[k]), mover.name, piece.name, struck.name, against.name, at[k],
            deep_at_rest, any_way,
        )  # fmt: skip
        own = found.setdefault(int(rows.line[k]), {})
        before = own.get((strike.mover, strike.struck))
        if before is None or (strike.phase, strike.share) < (before.phase, before.share):
            own[strike.mover, strike.struck] = strike
    return {line: list(own.values()) for line, own in found.items()}


def _apart_some_way(mover: Piece, struck: Piece, motion: Motion) -> bool:
    """Whether two pieces touch at rest only since room is kept all round one of them, and this motion cannot tell.

    They are apart as they really stand. Drawn straight, or turned about its own axis, one comes away from the other;
    but what is turned, and has room kept all round it, comes to every place in that room.
    """
    if not (mover.all_round or struck.all_round):
        return False
    return motion.turn_deg == 0 or (not mover.all_round and _is_round_about(mover, motion))


def _is_round_about(piece: Piece, motion: Motion) -> bool:
    if isinstance(piece.solid, Box | HalfSpace):
        return False
    ends = np.array([piece.solid.start_mm, piece.solid.end_mm]) - motion.on_mm
    return bool(np.linalg.norm(np.cross(ends, motion.along), axis=1).max() < _ON_AXIS_MM)


def _touching(rows: Rows, rests: Sequence[Resting]) -> Places:
    """Rows whose two pieces touch at rest."""
    names = [(thing.name, place) for thing, place, _ in rows.pieces]
    near = {(stand, *key) for stand, rest in enumerate(rests) for key in rest.deep_mm}
    involved = {(stand, *key[:2]) for stand, rest in enumerate(rests) for key in rest.deep_mm}
    stands = np.array([line.stand for line in rows.lines])[rows.line]
    may = np.array([(stand, *names[piece]) in involved for stand, piece in _pairs(stands, rows.mover)], dtype=bool)
    return np.array(
        [k for k in np.flatnonzero(may) if (stands[k], *names[rows.mover[k]], *names[rows.struck[k]]) in near],
        dtype=np.intp,
    )


def _pairs(one: Places, other: Places) -> Iterable[tuple[int, int]]:
    return zip(one.tolist(), other.tolist(), strict=True)


def _not_clear(rows: Rows, meant: Places, share: Array, at: Array) -> None:
    """Pairs that touch at rest by intention, and are not clear when the last motion ends, stop the way there."""
    last = np.array(
        [
            k for k in meant.tolist()
            if rows.phase[k] == moves_in(rows.lines[rows.line[k]], rows.pieces[rows.mover[k]][0].name)[-1]
        ],
        dtype=np.intp,
    )  # fmt: skip
    if not len(last):
        return
    begins = rows.begin[last]
    ends = rows.motions.chosen(begins).moved(rows.begins.chosen(begins), np.ones(len(last)))
    clear = apart(ends, rows.solids.chosen(rows.struck[last]), TOUCH_MM)
    stays = last[clear.most_mm < TOUCH_MM]
    share[stays], at[stays] = 1.0, clear.at_mm[clear.most_mm < TOUCH_MM]
