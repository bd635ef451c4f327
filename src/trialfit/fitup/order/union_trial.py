"""One union moved along its pipe: its pipes laid out anew, and the order of fitting looked for again.

Source: none; the move is tried, not reasoned out. Plus-or-minus: JCGM 100:2008 section 5.2.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.ends_in_place import EndsInPlace
from trialfit.fitup.hand_spanner import spanners_of
from trialfit.fitup.in_place import InPlace, with_pipes
from trialfit.fitup.order.loose import Stand
from trialfit.fitup.order.resting import LEANS_MM
from trialfit.fitup.order.search import take_off
from trialfit.fitup.order.standing_unions import StandingUnion, points_moved, with_union_moved
from trialfit.fitup.order.table import Table, table_of
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Scene
from trialfit.fitup.tubes_in_place import pipe_thing
from trialfit.fitup.vectors import cross
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parts.build import find_port
from trialfit.parts.place import two_faces

Standing = Callable[[InPlace, tuple[PipePlan, ...]], tuple[Stand, tuple[str, ...]]]


class UnionTrial:
    """One union, moved and moved again, and what is known of it already.

    Parameters
    ----------
    job
        The job document.
    placed
        What stands where, its new pipes included.
    ends
        The faces its pipes go to.
    shop
        The workshop that bends them.
    pipes
        The pipes as they were laid out.
    union
        The union.
    standing
        Gives, for other places and pipes, everything as it then stands for the order and what has to come off.
    first
        Who strikes whom before anything is moved.
    """

    def __init__(
        self, job: Job, placed: InPlace, ends: EndsInPlace, shop: Shop, pipes: tuple[PipePlan, ...],
        union: StandingUnion, standing: Standing, first: Table,
    ) -> None:  # fmt: skip
        self.job, self.placed, self.ends, self.shop, self.pipes = job, placed, ends, shop, pipes
        self.union, self.standing = union, standing
        self.known: dict[float, tuple[PipePlan, ...] | None] = {}
        self.cannot = 0
        self.first, self.before = first, {(each.one, each.other) for each in first.overlaps}
        self.senses = (1.0, -1.0) if union.in_a_run else (1.0,)

    def anew(self, by_mm: float) -> tuple[PipePlan, ...] | None:
        """Lay out its pipes anew for a move, and look whether that frees the order.

        Parameters
        ----------
        by_mm
            How far, the way its pipe leaves it. [mm]

        Returns
        -------
        tuple of PipePlan or None
            None where it does not, or they cannot be laid out.
        """
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

    def k2_mm(self) -> tuple[float, bool]:
        """Say how surely the union stands where it does beside what is in the way, along the move.

        Returns
        -------
        tuple
            k = 2 [mm]; and whether the places of all that is in the way are known with one.
        """
        entry = self.job.pipes[self.union.pipe]
        ports = find_port(self.ends.parts, entry.start.port), find_port(self.ends.parts, entry.end.port)
        _, _, covariance = two_faces(self.ends.survey, *ports)
        at = 0 if entry.start.port == self.union.port else 6
        out = self.union.out
        own, worst, known = float(out @ covariance[at : at + 3, at : at + 3] @ out), 0.0, True
        for name in sorted(self._in_the_way()):
            thing = self.placed.scene.thing(name)
            if thing is None or thing.covariance is None or thing.placement is None:
                known = False
                continue
            # A small turn of the thing moves it by its lever.
            by_steps = np.concatenate([out, cross(self.union.face_mm - thing.placement.shift_mm, out)])
            worst = max(worst, float(by_steps @ thing.covariance @ by_steps))
        return 2 * float(np.sqrt(max(own + worst, 0.0))), known

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
