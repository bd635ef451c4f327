"""Every moving piece against every piece that stands, as rows of one long list, so that all are swept at once.

Source: none; this only lines things up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from trialfit.fitup.order.apart import Forms, Places, forms, joined
from trialfit.fitup.order.loose import Loose, Stand, Way
from trialfit.fitup.order.motion import Helices, Motion, helices
from trialfit.fitup.scene import Piece, Thing


@dataclass(frozen=True, eq=False)
class Line:
    """One way of one thing in one stand.

    Parameters
    ----------
    stand
        Which stand, counted from 0. [-]
    loose
        What comes off.
    place
        Which of its ways, counted from 0. [-]
    way
        The way.
    """

    stand: int
    loose: Loose
    place: int
    way: Way


@dataclass(frozen=True, eq=False)
class Rows:
    """All of them.

    Parameters
    ----------
    lines
        The ways.
    pieces
        Every piece of the room of every thing of every stand, with its thing and its place in that room.
    solids
        Their shapes at rest, in the same order.
    begins
        Shapes where a phase begins.
    motions
        One for each of `begins`.
    line, phase, mover, begin, struck
        Of each row: places in `lines`, in the way's phases, in `pieces`, in `begins`, in `pieces`.
    """

    lines: tuple[Line, ...]
    pieces: tuple[tuple[Thing, int, Piece], ...]
    solids: Forms
    begins: Forms
    motions: Helices
    line: Places
    phase: Places
    mover: Places
    begin: Places
    struck: Places

    @property
    def empty(self) -> bool:
        """Whether there is nothing to sweep."""
        return not len(self.line)


def rows_of(stands: Sequence[Stand]) -> Rows:
    """Line up all that moves against all that stands.

    Parameters
    ----------
    stands
        One or more stands.

    Returns
    -------
    Rows
        Of all stands together.
    """
    lines = tuple(
        Line(number, each, k, way)
        for number, stand in enumerate(stands) for each in stand.loose for k, way in enumerate(each.ways)
    )  # fmt: skip
    pieces: list[tuple[Thing, int, Piece]] = []
    places: list[dict[str, list[int]]] = []
    for stand in stands:
        own: dict[str, list[int]] = {}
        for thing in stand.scene.things:
            own[thing.name] = list(range(len(pieces), len(pieces) + len(thing.room)))
            pieces += [(thing, place, piece) for place, piece in enumerate(thing.room)]
        places.append(own)
    solids = forms(piece.solid for *_, piece in pieces)
    begins: list[Forms] = []
    motions: list[Motion] = []
    columns: list[list[Places]] = [[], [], [], [], []]
    for number, line in enumerate(lines):
        own = places[line.stand]
        carried = {name for each in stands[line.stand].carried(line.loose)
                   for name in stands[line.stand].named(each).things}  # fmt: skip
        still = np.array([place for name, each in own.items() if name not in carried for place in each], dtype=np.intp)
        for name in carried:
            mine = np.array(own[name], dtype=np.intp)
            for phase, motion, here in _phases(line, name, solids.chosen(mine)):
                first = len(motions)
                begins.append(here)
                motions += [motion] * len(mine)
                n = len(mine) * len(still)
                for column, values in zip(
                    columns,
                    (
                        np.full(n, number), np.full(n, phase), np.repeat(mine, len(still)),
                        np.repeat(np.arange(first, first + len(mine)), len(still)), np.tile(still, len(mine)),
                    ),
                    strict=True,
                ):  # fmt: skip
                    column.append(values)
    if not motions:
        none = np.zeros(0, dtype=np.intp)
        nothing = Helices(np.zeros((0, 3)), np.zeros((0, 3)), np.zeros(0), np.zeros(0))
        return Rows(lines, tuple(pieces), solids, forms([]), nothing, none, none, none, none, none)
    line_, phase_, mover, begin, struck = (np.concatenate(each) for each in columns)
    return Rows(
        lines, tuple(pieces), solids, joined(begins), helices(motions), line_, phase_, mover, begin, struck
    )  # fmt: skip


def moves_in(line: Line, thing: str) -> tuple[int, ...]:
    """In which phases of a way a thing moves.

    Parameters
    ----------
    line
        The way.
    thing
        The thing; what does not belong to it rides on it and moves when all of it moves.

    Returns
    -------
    tuple of int
        Their places.
    """
    own = set(line.loose.things)
    if thing in own:
        return tuple(k for k, phase in enumerate(line.way.phases) if thing in phase.moves)
    return tuple(k for k, phase in enumerate(line.way.phases) if set(phase.moves) >= own)


def _phases(line: Line, thing: str, here: Forms) -> Iterable[tuple[int, Motion, Forms]]:
    for k in moves_in(line, thing):
        motion = line.way.phases[k].motion
        yield k, motion, here
        here = helices([motion] * len(here)).moved(here, np.ones(len(here)))
