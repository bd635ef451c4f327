"""Ways tried one after the other: no bend, one, two, three; each held against what stands round it.

Source: `docs/methods/routes.md`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trialfit.finding import Figure
from trialfit.fitup.attempts import Path, no_bend, one_bend, path_of, short_of_straight
from trialfit.fitup.bends import bend_table
from trialfit.fitup.clearing import clear_of_themselves, closest, which_clear
from trialfit.fitup.corners import Bender
from trialfit.fitup.families import three_bends_of, two_bends_of
from trialfit.fitup.obstacles import Around
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.route_records import Counted, Stopped
from trialfit.fitup.seek import Sought, Wish, seek
from trialfit.fitup.spanner_swing import Swing, sampled
from trialfit.fitup.two_bends import shortest_two_bends, straights_snapped
from trialfit.fitup.ways import Flags, Ways, ways_of

# A centre line this many times the distance between the faces goes a long way round: then one more bend is tried even
# where fewer would do (assumed).
LONG_WAY = 2.5
# With two bends next to nothing is thrown away that might hold a shorter way; with three there are too many to keep.
# So few are kept of two bends where a quick look will do, which now and then misses the last way there is.
TWO_CELLS, THREE_CELLS, QUICK_CELLS = 2500, 120, 300

Allowed = tuple[tuple[float, float], tuple[float, float]]
_NO_BEND_DEG = 0.05
_WORDS = ("no bend", "one bend", "two bends", "three bends")


@dataclass(frozen=True, eq=False)
class Asked:
    """What is asked of a way.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    bends_most
        The most bends allowed, three at most. [-]
    allowed_deg
        What a pipe without a bend, and one with a single bend, may miss the start's and the end's axis by. [deg]
    swings
        Spanners that must be left a window.
    any_way
        Whether any way will do, since it is only asked if there is one.
    most_cells
        How many cells are kept of ways with two bends. [-]
    """

    start: EndFace
    end: EndFace
    bender: Bender
    bends_most: int
    allowed_deg: Allowed
    swings: tuple[Swing, ...] = ()
    any_way: bool = False
    most_cells: int = TWO_CELLS


@dataclass(frozen=True, eq=False)
class Outcome:
    """What came of it.

    Parameters
    ----------
    path
        The way; None where none was found.
    reasons
        Why there is none with so many bends even if nothing stood round it, as clauses.
    stopped
        Ways there are but for something that stands in them.
    counted
        How many ways of each family each thing stands in.
    """

    path: Path | None
    reasons: tuple[str, ...]
    stopped: tuple[Stopped, ...]
    counted: tuple[Counted, ...]


def sought(asked: Asked, around: Around) -> Outcome:
    """Find the way with the fewest bends that clears, and with those the shortest.

    Parameters
    ----------
    asked
        Faces, bender, bends.
    around
        What stands round it.

    Returns
    -------
    Outcome
        The way, or why not.
    """
    search = _Search(asked, around)
    best = search.few_bends()
    if asked.bends_most >= 2 and search.goes_far(best):
        best = search.shorter(best, search.two_bends())
    if asked.bends_most >= 3 and search.goes_far(best):
        best = search.shorter(best, search.three_bends())
    return Outcome(best, tuple(search.reasons), tuple(search.stopped), tuple(search.counted))


def straights_alone(asked: Asked, around: Around) -> tuple[Stopped, ...]:
    """Hold the straight that each end cannot do without against what stands round it.

    Parameters
    ----------
    asked
        Faces and the straights they want.
    around
        What stands round them.

    Returns
    -------
    tuple of Stopped
        One for each straight that does not clear.
    """
    found = []
    for face, end in ((asked.start, "start"), (asked.end, "end")):
        if face.straight_mm <= 0:
            continue
        far = face.position_mm + face.straight_mm * face.direction
        straight = ways_of(np.array([[face.position_mm, far]]), asked.bender.radius_mm)
        # Along this straight the end's own fitting is passed over, and the other end's is not.
        let_in = (face.straight_mm + 1.0, 0.0) if end == "start" else (0.0, face.straight_mm + 1.0)
        here = replace(around, let_in_mm=let_in)
        if not which_clear(straight, here)[0]:
            found.append(_stopped_at(f"the straight needed at {face.name}", straight, here, ""))
    return tuple(found)


def will_do(ways: Ways, swings: tuple[Swing, ...], tube_radius_mm: float) -> Flags:
    """Say which ways leave every spanner its window and do not run into themselves.

    Parameters
    ----------
    ways
        n ways.
    swings
        The spanners.
    tube_radius_mm
        Half the tube's outside diameter. [mm]

    Returns
    -------
    Array
        (n,) true where both hold. [-]
    """
    return clear_of_themselves(ways, 2 * tube_radius_mm) & leaves_swings(ways, swings, tube_radius_mm)


def leaves_swings(ways: Ways, swings: tuple[Swing, ...], tube_radius_mm: float | Array) -> Flags:
    """Say which ways leave every spanner its window.

    Parameters
    ----------
    ways
        n ways.
    swings
        The spanners.
    tube_radius_mm
        Half the tube's outside diameter; or (n,) one for each way. [mm]

    Returns
    -------
    Array
        (n,) true where all have one. [-]
    """
    left = np.ones(len(ways.lengths_mm), dtype=bool)
    if swings:
        along = sampled(ways, tube_radius_mm)
        left = np.logical_and.reduce([swing.left_by(along) for swing in swings])
    return left


def where_along(ways: Ways, at_mm: float) -> str:
    """Say in which straight or bend of one way a place lies.

    Parameters
    ----------
    ways
        One way.
    at_mm
        How far along its centre line. [mm]

    Returns
    -------
    str
        Such as ``in bend 2``.
    """
    pieces = ways.pieces_mm[0]
    piece = min(int(np.sum(at_mm > np.cumsum(pieces))), len(pieces) - 1)
    if piece % 2:
        return f"in bend {(piece + 1) // 2}"
    if len(pieces) == 1:
        return "on its way"
    if piece == 0:
        return "in the straight before bend 1"
    return f"in the straight after bend {piece // 2}"


def _stopped_at(words: str, ways: Ways, around: Around, where: str | None = None) -> Stopped:
    touches = closest(ways, around)
    worst = min(touches, key=lambda touch: touch.spare_mm)
    obstacle = around.obstacles[worst.obstacle]
    return Stopped(
        words,
        obstacle.words,
        where_along(ways, worst.at_mm) if where is None else where,
        Figure(worst.at_mm, "mm", None, 0),
        Figure(worst.spare_mm + obstacle.needs_mm, "mm", None, 1),
        Figure(obstacle.needs_mm, "mm", None, 1),
    )


class _Search:
    """One search, and what it notes down on its way."""

    def __init__(self, asked: Asked, around: Around) -> None:
        self.asked, self.around = asked, around
        self.reasons: list[str] = []
        self.stopped: list[Stopped] = []
        self.counted: list[Counted] = []

    def few_bends(self) -> Path | None:
        asked = self.asked
        for bends, attempt in enumerate((no_bend, one_bend)[: asked.bends_most + 1]):
            found = attempt(asked.start, asked.end, asked.bender, asked.allowed_deg[bends])
            if isinstance(found, str):
                self.reasons.append(found)
            elif self.clears(found):
                return found
        return None

    def two_bends(self) -> Path | None:
        asked = self.asked
        vertices = shortest_two_bends(asked.start, asked.end, asked.bender)
        if vertices is None:
            self.reasons.append(short_of_straight(asked.start, asked.end, asked.bender))
            return None
        path = self._on_axes(vertices)
        # Between faces in line the shortest way of two bends is the straight one, which was looked at before.
        bends = [line.angle_deg for line in bend_table(vertices, asked.bender.radius_mm).lines]
        if min(bends) > _NO_BEND_DEG and self.clears(path):
            return path
        family = two_bends_of(asked.start, asked.end, asked.bender)
        found = seek(family, asked.bender.radius_mm, self.around, self._wish(asked.most_cells))
        self._count(2, found)
        return None if found.vertices_mm is None else self._exactly(self._on_axes(found.vertices_mm))

    def three_bends(self) -> Path | None:
        asked = self.asked
        family = three_bends_of(asked.start, asked.end, asked.bender)
        found = seek(family, asked.bender.radius_mm, self.around, self._wish(THREE_CELLS))
        self._count(3, found)
        if found.vertices_mm is None:
            self.reasons.append("three bends: none found")
            return None
        return self._on_axes(found.vertices_mm)

    def clears(self, path: Path) -> bool:
        ways = self._ways(path)
        words = f"{_WORDS[len(path.vertices_mm) - 2]}, {float(ways.lengths_mm[0]):.1f} mm"
        if not which_clear(ways, self.around)[0]:
            self.stopped.append(_stopped_at(words, ways, self.around))
            return False
        if not clear_of_themselves(ways, 2 * self.around.tube_radius_mm)[0]:
            self.stopped.append(Stopped(words, "the pipe itself", "", because="it would run into itself"))
            return False
        for swing in self.asked.swings:
            if not leaves_swings(ways, (swing,), self.around.tube_radius_mm)[0]:
                because = f"it leaves no window of {swing.window_deg:.0f} deg for a spanner on {swing.nut}"
                self.stopped.append(Stopped(words, swing.nut, "", because=because))
                return False
        return True

    def goes_far(self, path: Path | None) -> bool:
        if path is None or self.asked.any_way:
            return path is None
        apart = float(np.linalg.norm(path.vertices_mm[-1] - path.vertices_mm[0]))
        return self._length_mm(path) > LONG_WAY * apart

    def shorter(self, one: Path | None, other: Path | None) -> Path | None:
        if one is None or other is None:
            return one or other
        return other if self._length_mm(other) < self._length_mm(one) else one

    def _length_mm(self, path: Path) -> float:
        return bend_table(path.vertices_mm, self.asked.bender.radius_mm).centre_line_mm

    def _ways(self, path: Path) -> Ways:
        return ways_of(path.vertices_mm[None], self.asked.bender.radius_mm)

    def _on_axes(self, vertices: Array) -> Path:
        # The corners lie on the axes by construction; what is computed otherwise is rounding.
        return replace(path_of(self.asked.start, self.asked.end, self.asked.bender, vertices), misses_deg=(0.0, 0.0))

    def _exactly(self, path: Path) -> Path:
        """The same with straights that are within a hair of the least allowed brought to it, where that clears too."""
        asked = self.asked
        snapped = straights_snapped(asked.start, asked.end, asked.bender, path.vertices_mm)
        if snapped is None:
            return path
        exact = self._on_axes(snapped)
        ways = self._ways(exact)
        return exact if which_clear(ways, self.around)[0] and self._also(ways)[0] else path

    def _wish(self, most_cells: int) -> Wish:
        return Wish(self._also, self._keeps, most_cells=most_cells, any_way=self.asked.any_way)

    def _also(self, ways: Ways) -> Flags:
        return will_do(ways, self.asked.swings, self.around.tube_radius_mm)

    def _keeps(self, ways: Ways, moves_mm: Array) -> Flags:
        return leaves_swings(ways, self.asked.swings, self.around.tube_radius_mm - moves_mm)

    def _count(self, bends: int, found: Sought) -> None:
        if not self.around.obstacles:
            return
        totals: dict[str, int] = {}
        for obstacle, count in zip(self.around.obstacles, found.stops, strict=True):
            totals[obstacle.words] = totals.get(obstacle.words, 0) + count
        by = sorted(((name, count) for name, count in totals.items() if count), key=lambda each: -each[1])
        self.counted.append(Counted(bends, found.looked_at, tuple(by)))
