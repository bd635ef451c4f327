"""Whether a union that stands, moved along its pipe, frees the order of fitting: tried, with its pipes laid out anew.

Each union is moved by five millimetres more at a time until the order is free; then the last step is halved down to one
millimetre. Its pipes are laid out anew every time, with the same far ends, bends, radius and straights, and room for
their nuts to be slid back; where that cannot be done the move is none.

Source: none; the moves are tried, not reasoned out. Plus-or-minus: JCGM 100:2008 section 5.2.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from trialfit.errors import Refusal
from trialfit.finding import Figure
from trialfit.fitup.ends_in_place import EndsInPlace, ends_in_place
from trialfit.fitup.hand_spanner import spanners_of
from trialfit.fitup.in_place import InPlace, with_pipes
from trialfit.fitup.order.loose import Stand
from trialfit.fitup.order.resting import LEANS_MM
from trialfit.fitup.order.search import take_off
from trialfit.fitup.order.standing_unions import (
    StandingUnion,
    points_moved,
    standing_unions,
    with_union_moved,
)
from trialfit.fitup.order.table import Table, table_of
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Scene
from trialfit.fitup.tubes_in_place import pipe_thing
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parts.build import build_parts, find_port
from trialfit.parts.place import Surveyed, two_faces

STEP_MM, MOST_MM, NEAREST_MM = 5.0, 30.0, 1.0

Standing = Callable[[InPlace, tuple[PipePlan, ...]], tuple[Stand, tuple[str, ...]]]


@dataclass(frozen=True, eq=False)
class UnionMove:
    """The least move of one union that frees the order.

    Parameters
    ----------
    union
        The union, where it stood.
    by
        How far it is moved the way its pipe leaves it, below nought the other way; k = 2 of its own place and of what
        is in the way, along the move. [mm]
    anew, before
        Its pipes as they are then, and as they were.
    too_little_mm
        The most that was tried and does not free it. [mm]
    surely_mm
        How far frees it with its k = 2 added; None where that was tried and does not. [mm]
    advised
        Its pipes as they are with that; moved by no more than the least where it does not.
    placed
        Whether the places of all that is in the way are known with a k = 2.
    """

    union: StandingUnion
    by: Figure
    anew: tuple[PipePlan, ...]
    before: tuple[PipePlan, ...]
    too_little_mm: float
    surely_mm: float | None
    advised: tuple[PipePlan, ...]
    placed: bool

    @property
    def words(self) -> str:
        """The move, as a clause."""
        far = abs(self.by.value)
        if not self.union.in_a_run:
            return f"{self.union.name} brought {far:.0f} mm out along {self.union.pipe} by a distance piece"
        towards = self.union.pipe if self.by.value > 0 else self.union.far_pipe
        return f"{self.union.name} moved {far:.0f} mm along its run, into {towards}"


@dataclass(frozen=True, eq=False)
class UnionMoves:
    """What came of moving the unions that stuck pipes go to.

    Parameters
    ----------
    found
        The least move of each union that frees the order, the least first.
    tried
        The unions that were moved.
    count
        How many moves were tried. [-]
    cannot
        How many of those left no way for a pipe. [-]
    left_out
        Pipes that follow an old one: they are not laid out anew.
    """

    found: tuple[UnionMove, ...]
    tried: tuple[StandingUnion, ...]
    count: int
    cannot: int
    left_out: tuple[str, ...]


def moves_that_free(
    job: Job,
    placed: InPlace,
    survey: Surveyed | None,
    shop: Shop | None,
    pipes: Iterable[PipePlan],
    stuck: Iterable[str],
    standing: Standing,
) -> UnionMoves | None:
    """Move the unions that stuck pipes go to along them, one at a time.

    Parameters
    ----------
    job
        The job document.
    placed
        What stands where, its new pipes included.
    survey
        Where the points are, or None.
    shop
        The workshop that bends the pipes, or None.
    pipes
        The pipes as they were laid out.
    stuck
        The things that hold each other in.
    standing
        Gives, for other places and pipes, everything as it then stands for the order and what has to come off.

    Returns
    -------
    UnionMoves or None
        None where no stuck pipe goes to a union that stands.
    """
    laid = tuple(pipes)
    unions = standing_unions(job, placed, laid, tuple(stuck))
    if survey is None or shop is None or not unions:
        return None
    left_out = tuple(name for each in unions for name in each.pipes if job.pipes[name].like is not None)
    unions = tuple(each for each in unions if not set(each.pipes) & set(left_out))
    ends = ends_in_place(job, build_parts(job), survey, placed)
    trials = [_Trial(job, placed, ends, shop, laid, each, standing) for each in unions]
    found = [move for each in trials if (move := each.least()) is not None]
    return UnionMoves(
        tuple(sorted(found, key=lambda each: abs(each.by.value))),
        unions,
        sum(len(each.known) for each in trials),
        sum(each.cannot for each in trials),
        tuple(dict.fromkeys(left_out)),
    )


class _Trial:
    """One union, moved and moved again, and what is known of it already."""

    def __init__(
        self, job: Job, placed: InPlace, ends: EndsInPlace, shop: Shop, pipes: tuple[PipePlan, ...],
        union: StandingUnion, standing: Standing,
    ) -> None:  # fmt: skip
        self.job, self.placed, self.ends, self.shop, self.pipes = job, placed, ends, shop, pipes
        self.union, self.standing = union, standing
        self.known: dict[float, tuple[PipePlan, ...] | None] = {}
        self.barred: Table | None = None
        self.cannot = 0
        stand, _ = standing(placed, pipes)
        self.first = table_of(stand)
        self.before = {(each.one, each.other) for each in self.first.overlaps}

    def least(self) -> UnionMove | None:
        senses = (1.0, -1.0) if self.union.in_a_run else (1.0,)
        fails = dict.fromkeys(senses, 0.0)
        far = max(self.union.least_mm, STEP_MM)
        while far <= self.union.least_mm + MOST_MM:
            for sense in senses:
                if self.anew(sense * far) is not None:
                    return self._move(sense, fails[sense], far)
                fails[sense] = far
            far += STEP_MM
        return None

    def anew(self, by_mm: float) -> tuple[PipePlan, ...] | None:
        """The pipes laid out anew for a move that frees the order; None where it does not, or they cannot be."""
        if by_mm not in self.known:
            self.known[by_mm] = self._tried(by_mm)
        return self.known[by_mm]

    def _tried(self, by_mm: float) -> tuple[PipePlan, ...] | None:
        scene = with_union_moved(self.placed, self.union, by_mm)
        anew: list[PipePlan] = []
        for name in (each for each in self.job.pipes if each in self.union.pipes):
            try:
                anew.append(self._laid(name, scene, by_mm))
            except Refusal:
                self.cannot += 1
                return None
            scene = Scene((*scene.things, pipe_thing(anew[-1], self.job.pipes[name].what or name, ())))
        told = {each.name: each for each in anew}
        bare = Scene(tuple(each for each in scene.things if each.name not in self.job.pipes or each.kind != "pipe"))
        all_pipes = tuple(told.get(each.name, each) for each in self.pipes)
        stand, goal = self.standing(with_pipes(self.job, replace(self.placed, scene=bare), all_pipes), all_pipes)
        table = table_of(stand)
        worse = any(
            each.deep_mm > LEANS_MM and (each.one, each.other) not in self.before for each in table.overlaps
        )  # fmt: skip
        return None if worse or take_off(stand, table, goal).left else tuple(anew)

    def _laid(self, name: str, scene: Scene, by_mm: float) -> PipePlan:
        entry = self.job.pipes[name]
        ports = [find_port(self.ends.parts, each.port) for each in (entry.start, entry.end)]
        survey = points_moved(self.ends.survey, ports, self.union, by_mm)
        spanners = spanners_of(self.job, self.shop)
        return wanted_pipe(
            name, entry, self.ends.parts, survey, self.shop, scene, self.job.joints, spanners, only_try=True
        )

    def _move(self, sense: float, fails_mm: float, frees_mm: float) -> UnionMove:
        # Less than the least length of a distance piece is not tried, so nothing is known of it.
        low = max(fails_mm, self.union.least_mm - NEAREST_MM)
        while frees_mm - low > NEAREST_MM:
            middle = low + max(round((frees_mm - low) / 2), 1.0)
            low, frees_mm = (low, middle) if self.anew(sense * middle) is not None else (middle, frees_mm)
        anew = self.anew(sense * frees_mm)
        assert anew is not None
        k2, known = self._k2_mm()
        # To the printed tenth: a hair over a millimetre asks for no other.
        sure = float(ceil(round(frees_mm + k2, 1)))
        before = tuple(each for each in self.pipes if each.name in self.union.pipes)
        advised = self.anew(sense * sure)
        return UnionMove(
            self.union, Figure(sense * frees_mm, "mm", k2, 1), anew, before, low,
            None if advised is None else sure, advised or anew, known,
        )  # fmt: skip

    def _k2_mm(self) -> tuple[float, bool]:
        """k = 2 along the move of where the union stands and of what it was moved clear of."""
        entry = self.job.pipes[self.union.pipe]
        ports = find_port(self.ends.parts, entry.start.port), find_port(self.ends.parts, entry.end.port)
        _, _, covariance = two_faces(self.ends.survey, *ports)
        at = 0 if entry.start.port == self.union.port else 6
        out = self.union.out
        variance, known = float(out @ covariance[at : at + 3, at : at + 3] @ out), True
        worst = 0.0
        for name in sorted(self._in_the_way()):
            thing = self.placed.scene.thing(name)
            if thing is None or thing.covariance is None:
                known = False
            else:
                worst = max(worst, float(out @ thing.covariance[:3, :3] @ out))
        return 2 * float(np.sqrt(max(variance + worst, 0.0))), known

    def _in_the_way(self) -> set[str]:
        """What the stuck pipes struck, or their spanners, before the union was moved."""
        mine = {*self.union.pipes, *self.union.slides, self.union.name}
        names: set[str] = set()
        for entry in self.first.entries:
            if entry.loose.name in self.union.pipes:
                names |= {each.struck for each in entry.strikes}
                for own in entry.windows.values():
                    names |= {name for window in own for name in window.blockers}
        return names - mine
