"""Wrong marks, readings and check lines, found and named.

Each observation is held against its own covariance. The worst is set aside, the survey adjusted again, and what was
set aside is taken back if it then agrees; so on until nothing stands out. A mark is *pinned* when no other mark of
its point explains the trouble nearly as well; with two rays to a point nothing can be pinned.

Source: Baarda (1968), "A testing procedure for use in geodetic networks" (data snooping); start by iterated
re-weighting with Cauchy weights (Holland & Welsch 1977).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri

from trialfit.errors import Refusal
from trialfit.survey.adjust import Adjusted, adjust
from trialfit.survey.normal import rays_of
from trialfit.survey.problem import Problem, State
from trialfit.survey.residuals import MarkTest, mark_tests
from trialfit.survey.trust import ALPHA, Trust, judge_lengths, trusting, weights

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_TAKE_BACK_ALPHA = 0.01
_PINNED_ODDS = 20.0
_GROSS_SIGMAS = 6.0
_CAUCHY = 3.0
_ROUNDS = 4


@dataclass(frozen=True)
class Doubt:
    """One mark that disagrees with everything else.

    Parameters
    ----------
    mark
        Its place among the problem's marks. [-]
    slip_px
        (2,) how far it lies from where the others expect it: x right, y down, in sensor pixels. [px]
    square
        Its squared disagreement over its own covariance. [-]
    rivals
        Places of other marks of the same point that would explain the trouble nearly as well; none where it is
        pinned. [-]
    set_aside
        Whether the answer does without it.
    """

    mark: int
    slip_px: Array
    square: float
    rivals: tuple[int, ...]
    set_aside: bool


@dataclass(frozen=True)
class Snooped:
    """An adjustment with its doubts.

    Parameters
    ----------
    adjusted
        The answer, without what was set aside.
    kept
        (j,) which marks it rests on.
    trust
        Which readings it rests on, and whether the card's check lines.
    doubts
        Marks set aside or not to be pinned, the gravest first.
    """

    adjusted: Adjusted
    kept: Flags
    trust: Trust
    doubts: tuple[Doubt, ...]


def snoop(problem: Problem, start: State, alpha: float = ALPHA, tolerance: float = 1e-6) -> Snooped:
    """Adjust, setting wrong marks, readings and check lines aside.

    Marks are judged first on how their rays meet, readings left out of it; then readings and check lines are judged
    on the marks that remain; then the marks once more with everything.

    Parameters
    ----------
    problem
        What was observed.
    start
        Where to begin.
    alpha
        Share of good marks that may be called wrong by chance. [-]
    tolerance
        As for `adjust`. [-]

    Returns
    -------
    Snooped
        The answer and the doubts.

    Raises
    ------
    Refusal
        The adjustment does not settle.
    """
    rays_only = trusting(problem, Trust(np.zeros(len(problem.reading_mm), dtype=bool), True))
    adjusted, kept = _marks_judged(rays_only, start, alpha)
    trust, adjusted = judge_lengths(problem, adjusted.state, kept, alpha)
    trusted = trusting(problem, trust)
    adjusted, kept = _one_by_one(trusted, adjusted, kept, alpha)
    adjusted = adjust(trusted, adjusted.state, weights(kept), tolerance)
    return Snooped(adjusted, kept, trust, _doubts(trusted, adjusted, kept, alpha))


def _marks_judged(problem: Problem, start: State, alpha: float) -> tuple[Adjusted, Flags]:
    kept = np.ones(len(problem.mark_px), dtype=bool)
    try:
        adjusted = adjust(problem, start, tolerance=1e-2)
        good = all(test.square <= _limit(alpha, test.ways) for test in mark_tests(adjusted, kept))
    except Refusal:
        good = False
    if not good:
        state = _robust(problem, start)
        gross = _offs(problem, state) > _GROSS_SIGMAS
        kept = _spare(problem, ~gross, gross)
        adjusted = adjust(problem, state, weights(kept), 1e-2)
    return _one_by_one(problem, adjusted, kept, alpha)


def _one_by_one(problem: Problem, adjusted: Adjusted, kept: Flags, alpha: float) -> tuple[Adjusted, Flags]:
    """Set the worst mark aside, or take the best back, until nothing stands out."""
    for _ in range(len(kept)):
        tests = mark_tests(adjusted, kept)
        back = _to_take_back(kept, tests)
        worst = _worst(problem, kept, tests, alpha)
        if worst is None and back is None:
            break
        kept = kept.copy()
        if worst is not None:
            kept[worst] = False
        elif back is not None:
            kept[back] = True
        adjusted = adjust(problem, adjusted.state, weights(kept), 1e-2)
    return adjusted, kept


@cache
def _limit(alpha: float, ways: int) -> float:
    return float(chdtri(ways, alpha)) if ways else float("inf")


def _robust(problem: Problem, start: State) -> State:
    """Adjust with weights that fall off for marks that disagree."""
    state, weights = start, np.ones(len(problem.mark_px))
    for round_ in range(_ROUNDS):
        off = _offs(problem, state)
        scale = _CAUCHY * (4.0 if round_ == 0 else 1.0)
        weights = 1.0 / (1.0 + (off / scale) ** 2)
        state = adjust(problem, state, weights, 1e-1).state
    return state


def _offs(problem: Problem, state: State) -> Array:
    off = rays_of(problem, state)[2][len(problem.card_px) :]
    return np.asarray(np.linalg.norm(off, axis=1) / problem.mark_sigma_px)


def _spare(problem: Problem, kept: Flags, gross: Flags) -> Flags:
    """Keep at least two marks a point: better a doubtful point than none."""
    out = kept.copy()
    known = set(problem.known_point.tolist())
    for point in set(problem.mark_point[gross].tolist()) - known:
        rows = np.flatnonzero(problem.mark_point == point)
        if out[rows].sum() < 2:
            out[rows] = True
    return out


def _worst(problem: Problem, kept: Flags, tests: tuple[MarkTest, ...], alpha: float) -> int | None:
    known = set(problem.known_point.tolist())
    rays = np.bincount(problem.mark_point[kept], minlength=problem.point_count)
    worst: tuple[float, int] | None = None
    for row in np.flatnonzero(kept).tolist():
        test, point = tests[row], int(problem.mark_point[row])
        spare = rays[point] > 2 or point in known
        excess = test.square - _limit(alpha, test.ways)
        if spare and excess > 0 and (worst is None or excess > worst[0]):
            worst = (excess, row)
    return None if worst is None else worst[1]


def _to_take_back(kept: Flags, tests: tuple[MarkTest, ...]) -> int | None:
    good = [
        (tests[row].square, row)
        for row in np.flatnonzero(~kept).tolist()
        if tests[row].square < _limit(_TAKE_BACK_ALPHA, tests[row].ways)
    ]
    return min(good)[1] if good else None


def _doubts(problem: Problem, adjusted: Adjusted, kept: Flags, alpha: float) -> tuple[Doubt, ...]:
    tests = mark_tests(adjusted, kept)
    out = []
    for row in np.flatnonzero(~kept).tolist():
        rivals = _rivals(problem, adjusted, kept, row)
        out.append(Doubt(row, tests[row].slip_px, tests[row].square, rivals, True))
    known = set(problem.known_point.tolist())
    for point in range(problem.point_count):
        rows = np.flatnonzero((problem.mark_point == point) & kept)
        if len(rows) != 2 or point in known:
            continue
        first = max(rows.tolist(), key=lambda row: tests[row].square)
        if tests[first].square > _limit(alpha, tests[first].ways):
            others = tuple(int(row) for row in rows if row != first)
            out.append(Doubt(first, tests[first].slip_px, tests[first].square, others, False))
    return tuple(sorted(out, key=lambda doubt: -doubt.square))


def _rivals(problem: Problem, adjusted: Adjusted, kept: Flags, row: int) -> tuple[int, ...]:
    """Other marks of the point that, set aside in place of this one, leave nearly as good an agreement.

    With the mark back in, what setting any one of them aside would gain is that mark's own square.
    """
    point = int(problem.mark_point[row])
    others = [k for k in np.flatnonzero(problem.mark_point == point).tolist() if k != row and kept[k]]
    if len(others) < 2:
        return tuple(others)
    whole = kept.copy()
    whole[row] = True
    try:
        tests = mark_tests(adjust(problem, adjusted.state, weights(whole), 1e-1), whole)
    except Refusal:
        return ()
    least = tests[row].square - 2.0 * float(np.log(_PINNED_ODDS))
    return tuple(other for other in others if tests[other].square > least)
