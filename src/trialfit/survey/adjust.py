"""The joint adjustment: Gauss-Newton with damping on the normal equations, and the full covariance.

Source: least squares by normal equations with the points eliminated in 3 x 3 blocks (Brown 1958, "bundle"
adjustment; Schur complement), damping after Levenberg (1944) and Marquardt (1963). The optimum is held against
pycolmap's bundle adjuster and the lens against OpenCV's calibrateCamera in `tests/outside/`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lapack

from trialfit.errors import Refusal
from trialfit.survey.layout import BREATHING, POSE, Layout
from trialfit.survey.normal import Normal, normal_equations
from trialfit.survey.outline_columns import moved_outlined
from trialfit.survey.problem import FREE, HELD, Problem, State
from trialfit.survey.project import LENS_SIZE, turn
from trialfit.survey.threads import one_thread

Array = NDArray[np.float64]
_MOST_STEPS = 60
_POOR_GAIN = 0.5  # share of the promised fall of the cost that a step near the answer must keep
_ROUNDING = 1e-11  # share of the cost below which a fall that was promised and not kept is rounding
_NEAR = 10.0  # standard deviations from the answer: nearer than that a step ought to keep what it promises


@dataclass(frozen=True)
class Adjusted:
    """The answer of an adjustment.

    Parameters
    ----------
    layout
        Columns of the unknowns.
    state
        The values found.
    normal
        Normal equations there, undamped.
    steps
        How many steps it took. [-]
    """

    layout: Layout
    state: State
    normal: Normal
    steps: int

    @property
    def chi_square(self) -> float:
        """Weighted sum of squares, priors included. [-]"""
        return self.normal.cost

    @cached_property
    def covariance(self) -> Array:
        """(u, u) joint covariance of all unknowns: those of the head as `Layout` has them, then the other points."""
        with one_thread():
            inverse_blocks, gain = _eliminate(self.normal)
            head = _inverse(self.normal.head - _fold(self.normal.cross, gain))
            f, h = len(inverse_blocks), len(head)
            flat = gain.reshape(3 * f, h)
            out = np.empty((h + 3 * f, h + 3 * f))
            out[:h, :h] = head
            out[h:, :h] = -flat @ head
            out[:h, h:] = out[h:, :h].T
            out[h:, h:] = -out[h:, :h] @ flat.T
        on_diagonal = h + np.arange(3 * f).reshape(f, 3)
        out[on_diagonal[:, :, None], on_diagonal[:, None, :]] += inverse_blocks
        return out

    @cached_property
    def point_covariance_mm2(self) -> Array:
        """(3n, 3n) joint covariance of the points, in the problem's order. [mm2]"""
        columns = self.layout.point_columns.ravel()
        return self.covariance[np.ix_(columns, columns)]


def freedom(problem: Problem) -> int:
    """Observations and priors less unknowns.

    Parameters
    ----------
    problem
        The problem.

    Returns
    -------
    int
        Degrees of freedom. [-]
    """
    layout = Layout(problem)
    rays = 2 * (len(problem.card_px) + len(problem.mark_px))
    others = len(problem.reading_mm) + 3 * len(problem.known_mm) + len(problem.line_ratio)
    others += problem.outlines.observation_count
    believed = int(((layout.prior_sigma != HELD) & (layout.prior_sigma != FREE)).sum())
    return rays + others + believed - layout.unknown_count


def adjust(problem: Problem, start: State, mark_weight: Array | None = None, tolerance: float = 1e-6) -> Adjusted:
    """Find the values that agree best with everything observed and believed.

    Parameters
    ----------
    problem
        What was observed.
    start
        Where to begin; the nearer the fewer steps.
    mark_weight
        (j,) share of its full weight each mark is given, or None for all. [-]
    tolerance
        Stop when a step is shorter than this in standard deviations of all unknowns together. [-]

    Returns
    -------
    Adjusted
        Values, normal equations and covariance.

    Raises
    ------
    Refusal
        The observations leave some unknown open, or no minimum is reached.
    """
    with one_thread():
        return _descend(Layout(problem), start, mark_weight, tolerance)


def _descend(layout: Layout, start: State, mark_weight: Array | None, tolerance: float) -> Adjusted:
    state, damping = start, 0.0
    normal = normal_equations(layout, state, mark_weight)
    for step in range(1, _MOST_STEPS + 1):
        solved = solved_step(normal, damping)
        if solved is None:
            if damping > 1e8:
                raise _open()
            damping = max(1e-4, 10.0 * damping)
            continue
        head_step, point_step, length = solved
        trial = moved(layout, state, head_step, point_step)
        trial_normal = normal_equations(layout, trial, mark_weight)
        fall = normal.cost - trial_normal.cost
        share = _share(fall, length)
        if share < 1.0 and abs(fall) < _ROUNDING * normal.cost:
            return Adjusted(layout, state, normal, step)
        if share < 1.0:
            shorter = moved(layout, state, share * head_step, share * point_step)
            shorter_normal = normal_equations(layout, shorter, mark_weight)
            if shorter_normal.cost < trial_normal.cost:
                trial, trial_normal = shorter, shorter_normal
        if np.isfinite(trial_normal.cost) and trial_normal.cost <= normal.cost * (1.0 + 1e-12):
            state, normal = trial, trial_normal
            damping = 0.0 if damping < 1e-5 else damping / 10.0
            if length < tolerance and damping < 1e-3:
                return Adjusted(layout, state, normal, step)
        elif length < 10.0 * tolerance:
            return Adjusted(layout, state, normal, step)
        else:
            damping = max(1e-4, 10.0 * damping)
            if damping > 1e12:
                raise _open()
    raise Refusal(
        "survey", f"no answer after {_MOST_STEPS} steps", "an answer that settles",
        "The marks contradict each other badly: look for a point marked on the wrong thing in one photograph.",
    )  # fmt: skip


def _share(fall: float, length: float) -> float:
    """How much of a step to take, where it overshot because something is curved more than its slope says.

    A parabola through the cost before, its slope there and the cost behind the step.
    """
    if length > _NEAR or not np.isfinite(fall) or fall > _POOR_GAIN * length**2:
        return 1.0
    return float(np.clip(length**2 / (2.0 * length**2 - fall), 0.1, 0.9)) if length else 1.0


def _eliminate(normal: Normal) -> tuple[Array, Array]:
    inverse = np.asarray(np.linalg.inv(normal.blocks), dtype=np.float64)
    return inverse, inverse @ normal.cross


def _fold(cross: Array, gain: Array) -> Array:
    h = cross.shape[2]
    folded: Array = cross.reshape(3 * len(cross), h).T @ gain.reshape(3 * len(gain), h)
    return folded


def solved_step(normal: Normal, damping: float) -> tuple[Array, Array, float] | None:
    """Solve the normal equations for one step.

    Parameters
    ----------
    normal
        The equations at one state.
    damping
        Share of the diagonal added to it; nought for the whole step. [-]

    Returns
    -------
    tuple or None
        (h,) step of the head and (f, 3) of the eliminated points, and how long it is in standard deviations of all
        unknowns together [-]; None where the equations leave something open.
    """
    head, blocks = normal.head, normal.blocks
    if damping:
        head = head + damping * np.diag(np.diag(head))
        blocks = blocks * (1.0 + damping * np.eye(3))
    damped = Normal(head, normal.head_right, normal.cross, blocks, normal.block_right, normal.cost)
    try:
        inverse, gain = _eliminate(damped)
    except np.linalg.LinAlgError:
        return None
    reduced = head - _fold(normal.cross, gain)
    right = normal.head_right - normal.block_right.ravel() @ gain.reshape(3 * len(gain), len(head))
    scale = np.diag(reduced)
    if not (scale > 0).all() or not np.isfinite(reduced).all():
        return None
    head_step = np.zeros(0)
    if len(head):
        per = 1.0 / np.sqrt(scale)
        factor, wrong = lapack.dpotrf(reduced * per[:, None] * per, lower=1)
        if wrong:
            return None
        head_step = np.asarray(-per * lapack.dpotrs(factor, per * right, lower=1)[0], dtype=np.float64)
    hanging = normal.block_right + normal.cross @ head_step
    point_step = -(inverse @ hanging[:, :, None])[:, :, 0]
    gain_in_cost = -(head_step @ normal.head_right + (point_step * normal.block_right).sum())
    return head_step, np.asarray(point_step), float(np.sqrt(max(gain_in_cost, 0.0)))


def _inverse(matrix: Array) -> Array:
    if not len(matrix):  # points measured outright, no photograph and no reading: nothing but blocks
        return matrix
    scale = np.diag(matrix)
    if not (scale > 0).all():
        raise _open()
    per = 1.0 / np.sqrt(scale)
    factor, wrong = lapack.dpotrf(matrix * per[:, None] * per, lower=1)
    if wrong:
        raise _open()
    half, _ = lapack.dpotri(factor, lower=1)
    full = half + half.T - np.diag(np.diag(half))
    return np.asarray(full * per[:, None] * per)


def moved(layout: Layout, state: State, head_step: Array, point_step: Array) -> State:
    """Take a step in all unknowns.

    Parameters
    ----------
    layout
        Columns of the unknowns.
    state
        Where everything is taken to be.
    head_step
        (h,) step of the camera, lens and card unknowns, of the linked points, then of tubes and rims. [-]
    point_step
        (f, 3) step of the other points. [mm]

    Returns
    -------
    State
        The values after the step; rotations stay rotations.
    """
    problem, c = layout.problem, layout.active_count
    spread = np.append(head_step[:c], 0.0)[layout.column]
    cut = (POSE + BREATHING) * problem.photograph_count
    per_photograph = spread[:cut].reshape(-1, POSE + BREATHING)
    turned = turn(per_photograph[:, :3])
    points = state.points_mm.copy()
    points[layout.linked] += head_step[c : layout.outline_start].reshape(-1, 3)
    points[layout.single] += point_step
    return State(
        turned @ state.rotations,
        state.translations_mm + per_photograph[:, 3:6],
        state.breathing + per_photograph[:, 6:],
        state.lenses + spread[cut:-5].reshape(-1, LENS_SIZE),
        state.card + spread[-5:],
        points,
        moved_outlined(layout.outline_columns, state.outlined, head_step[layout.outline_start :])
        if layout.outline_columns.count
        else state.outlined,
    )


def _open() -> Refusal:
    return Refusal(
        "survey", "observations that leave something open", "enough to fix every photograph and point",
        "Mark more points in the photographs that show little of the card, or add a reading between two points.",
    )  # fmt: skip
