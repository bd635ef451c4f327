"""The least move of a union that stands, along its pipe, that frees the order of fitting.

All the unions a stuck pipe goes to are moved by five millimetres more at a time until one of them frees the order; then
the last step is halved down to one millimetre.

Source: none; the moves are tried, not reasoned out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from trialfit.finding import Figure
from trialfit.fitup.ends_in_place import ends_in_place
from trialfit.fitup.in_place import InPlace
from trialfit.fitup.order.standing_unions import StandingUnion, standing_unions
from trialfit.fitup.order.table import table_of
from trialfit.fitup.order.union_trial import Standing, UnionTrial
from trialfit.fitup.records import PipePlan
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parts.build import build_parts
from trialfit.parts.place import Surveyed

STEP_MM, MOST_MM, NEAREST_MM = 5.0, 30.0, 1.0


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
    stand, _ = standing(placed, laid)
    first = table_of(stand)
    trials = [UnionTrial(job, placed, ends, shop, laid, each, standing, first) for each in unions]
    found = _least([_Line(each, sense) for each in trials for sense in each.senses])
    return UnionMoves(
        tuple(sorted(found, key=lambda each: abs(each.by.value))),
        unions,
        sum(len(each.known) for each in trials),
        sum(each.cannot for each in trials),
        tuple(dict.fromkeys(left_out)),
    )


def _least(lines: list[_Line]) -> tuple[UnionMove, ...]:
    """Go farther with all of them at once until one frees the order; then see how little that takes."""
    frees: dict[int, float] = {}
    limit_mm = float("inf")
    for far, k in sorted((far, k) for k, line in enumerate(lines) for far in line.steps_mm()):
        if far > limit_mm:
            break
        if lines[k].frees(far):
            frees[k] = limit_mm = far
    for k in frees:
        frees[k] = lines[k].least_mm(frees[k])
    if frees:
        less_mm = min(frees.values()) - NEAREST_MM
        for k, line in enumerate(lines):
            # What was not yet tried so far may free it with less.
            if (
                k not in frees
                and less_mm > line.fails_mm
                and less_mm >= line.trial.union.least_mm
                and line.frees(less_mm)
            ):
                frees[k] = line.least_mm(less_mm)
    return tuple(lines[k].move(far) for k, far in frees.items())


class _Line:
    """One union moved one way, and how far it was moved in vain."""

    def __init__(self, trial: UnionTrial, sense: float) -> None:
        self.trial, self.sense = trial, sense
        self.fails_mm = 0.0

    def steps_mm(self) -> list[float]:
        """Five, ten ... millimetres; of a distance piece its least first."""
        least = max(self.trial.union.least_mm, STEP_MM)
        return [least + STEP_MM * k for k in range(round((MOST_MM + self.trial.union.least_mm - least) / STEP_MM) + 1)]

    def frees(self, far_mm: float) -> bool:
        goes = self.trial.anew(self.sense * far_mm) is not None
        if not goes:
            self.fails_mm = max(self.fails_mm, far_mm)
        return goes

    def least_mm(self, frees_mm: float) -> float:
        """Halve the step between what frees it and what does not; less than a distance piece can be is not tried."""
        low = max(self.fails_mm, self.trial.union.least_mm - NEAREST_MM)
        while frees_mm - low > NEAREST_MM:
            middle = low + max(round((frees_mm - low) / 2), 1.0)
            low, frees_mm = (low, middle) if self.frees(middle) else (middle, frees_mm)
        return frees_mm

    def move(self, frees_mm: float) -> UnionMove:
        trial, union = self.trial, self.trial.union
        anew = trial.anew(self.sense * frees_mm)
        assert anew is not None
        k2, known = trial.k2_mm()
        # To the printed tenth: a hair over a millimetre asks for no other.
        sure = float(ceil(round(frees_mm + k2, 1)))
        advised = trial.anew(self.sense * sure)
        return UnionMove(
            union,
            Figure(self.sense * frees_mm, "mm", k2, 1),
            anew,
            tuple(each for each in trial.pipes if each.name in union.pipes),
            self.fails_mm,
            None if advised is None else sure,
            advised or anew,
            known,
        )
