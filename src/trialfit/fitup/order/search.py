"""The order with the fewest turns of the engine, from the table of who strikes whom.

Things only leave, and what has left is in nobody's way: whatever could come off still can when more has gone. So at
each side everything that can come off may be taken to come off, and to try the sides breadth first finds the fewest
turns of the engine. What was not needed is put back afterwards, one by one.

Source: closure of a monotone system is the same in whatever order it is worked out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from trialfit.fitup.order.loose import Stand, Way
from trialfit.fitup.order.table import Entry, Table

ANY_SIDE = ""


@dataclass(frozen=True)
class Move:
    """One thing coming off, in its turn.

    Parameters
    ----------
    name
        What comes off.
    way
        Which of its ways, counted from 0. [-]
    side
        Which side one stands at; empty where no way names one.
    rides
        What comes off with it.
    """

    name: str
    way: int
    side: str
    rides: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """How far taking off gets.

    Parameters
    ----------
    moves
        In order; as far as it goes.
    left
        What was wanted off and cannot come off; empty where all could.
    stuck
        Everything that is still there when nothing more comes off, at any side.
    """

    moves: tuple[Move, ...]
    left: tuple[str, ...]
    stuck: frozenset[str]

    @property
    def turns(self) -> int:
        """How often one has to go round, or turn the engine round."""
        sides = [move.side for move in self.moves if move.side]
        return sum(one != other for one, other in pairwise(sides))


def take_off(stand: Stand, table: Table, wanted: Iterable[str]) -> Found:
    """Find an order in which things come off, with the fewest turns of the engine and nothing taken off in vain.

    Parameters
    ----------
    stand
        Everything in place.
    table
        Who strikes whom.
    wanted
        What has to come off.

    Returns
    -------
    Found
        The order, or how far one gets.
    """
    reader = Reader(stand, table)
    goal = frozenset(wanted)
    everything = frozenset(each.name for each in stand.loose)
    sides = sorted({side for each in stand.loose for way in each.ways for side in way.sides}) or [ANY_SIDE]
    states: dict[frozenset[str], tuple[Move, ...]] = {everything: ()}
    seen = {everything}
    least = everything
    while states:
        reached: dict[frozenset[str], tuple[Move, ...]] = {}
        for there, moves in states.items():
            for side in sides:
                left, more = _cleared(reader, there, side)
                if left not in seen:
                    seen.add(left)
                    reached[left] = moves + more
                    if len(left & goal) < len(least & goal) or (left & goal == least & goal and len(left) < len(least)):
                        least = left
        done = [(there, moves) for there, moves in reached.items() if not there & goal]
        if done:
            best = min((_spared(reader, moves, goal) for _, moves in done), key=lambda m: (_turns(m), len(m)))
            return Found(best, (), frozenset())
        states = reached
    stuck = least
    return Found((), tuple(sorted(stuck & goal)), stuck)


def _cleared(reader: Reader, there: frozenset[str], side: str) -> tuple[frozenset[str], tuple[Move, ...]]:
    """All that can come off at one side, those that free nothing else among them."""
    left, moves = set(there), []
    again = True
    while again:
        again = False
        for name in reader.names:
            if name in left and (way := reader.way_off(name, left, side)) is not None:
                rides = tuple(each for each in reader.carried[name][1:] if each in left)
                moves.append(Move(name, way, side if reader.side_matters(name, way) else ANY_SIDE, rides))
                left -= {name, *rides}
                again = True
    return frozenset(left), tuple(moves)


def _spared(reader: Reader, moves: tuple[Move, ...], goal: frozenset[str]) -> tuple[Move, ...]:
    """Leave on what need not come off."""
    kept = list(moves)
    for move in moves:
        fewer = [each for each in kept if each != move]
        played = _played(reader, fewer, goal)
        if played is not None and _turns(played) <= _turns(kept):
            kept = played
    return tuple(kept)


def _played(reader: Reader, moves: list[Move], goal: frozenset[str]) -> list[Move] | None:
    """The same moves made again, with what rides along now; None where one cannot be made or the goal is missed."""
    left = set(reader.names)
    made: list[Move] = []
    for move in moves:
        if move.name not in left:
            continue
        if not reader.free(reader.entry(move.name, move.way), left):
            return None
        rides = tuple(each for each in reader.carried[move.name][1:] if each in left)
        made.append(Move(move.name, move.way, move.side, rides))
        left -= {move.name, *rides}
    return made if not left & goal else None


def _turns(moves: Iterable[Move]) -> int:
    return Found(tuple(moves), (), frozenset()).turns


class Reader:
    """Reads from the table whether something can come off now.

    Parameters
    ----------
    stand
        Everything in place.
    table
        Who strikes whom.
    """

    def __init__(self, stand: Stand, table: Table) -> None:
        self._owners = stand.owners
        self._entries = {(entry.loose.name, entry.way): entry for entry in table.entries}
        self._loose = {each.name: each for each in stand.loose}
        self.names = tuple(self._loose)
        self.carried = {each.name: stand.carried(each) for each in stand.loose}

    def entry(self, name: str, way: int) -> Entry:
        """A line of the table.

        Parameters
        ----------
        name, way
            What comes off, and which of its ways.

        Returns
        -------
        Entry
            The line.
        """
        return self._entries[name, way]

    def ways(self, name: str) -> tuple[Way, ...]:
        """The ways of one.

        Parameters
        ----------
        name
            What comes off.

        Returns
        -------
        tuple of Way
            In the table's order.
        """
        return self._loose[name].ways

    def side_matters(self, name: str, way: int) -> bool:
        """Whether a way can only be done from some sides.

        Parameters
        ----------
        name, way
            What comes off, and which of its ways.

        Returns
        -------
        bool
            False where any side will do.
        """
        return bool(self._loose[name].ways[way].sides)

    def way_off(self, name: str, there: Iterable[str], side: str) -> int | None:
        """The first way in which something can come off.

        Parameters
        ----------
        name
            What comes off.
        there
            What is still there.
        side
            Where one stands.

        Returns
        -------
        int or None
            Its place; None where there is none.
        """
        here = set(there)
        for way, told in enumerate(self._loose[name].ways):
            if (not told.sides or side in told.sides) and self.free(self._entries[name, way], here):
                return way
        return None

    def free(self, entry: Entry, there: set[str]) -> bool:
        """Whether nothing that is there stands in a way.

        Parameters
        ----------
        entry
            The line of the table.
        there
            What is still there.

        Returns
        -------
        bool
            True where it can come off so.
        """
        return not any(True for _ in self.hindrances(entry, there))

    def hindrances(self, entry: Entry, there: set[str]) -> Iterable[object]:
        """What stands in a way: who holds it, what it strikes, what its spanner strikes.

        Parameters
        ----------
        entry
            The line of the table.
        there
            What is still there.

        Yields
        ------
        object
            Bars, names of what holds it, strikes, and numbers of phases whose spanner has no window.
        """
        yield from entry.loose.ways[entry.way].bars
        moving = set(self.carried[entry.loose.name])
        for name in self.carried[entry.loose.name]:
            if name in there:
                yield from (each for each in self._loose[name].held_by if each in there and each not in moving)
        for strike in entry.strikes:
            if self._owners[strike.mover] in there and self._stands(strike.struck, there, moving):
                yield strike
        for phase, windows in entry.windows.items():
            if not any(self._swings(each.blockers, there) for each in windows):
                yield phase

    def _stands(self, thing: str, there: set[str], moving: set[str]) -> bool:
        owner = self._owners.get(thing)
        return owner is None or (owner in there and owner not in moving)

    def _swings(self, blockers: Iterable[str], there: set[str]) -> bool:
        return not any(self._owners.get(each) is None or self._owners[each] in there for each in blockers)
