"""Tubes and rims settled on their marks while the cameras stand still: the last step before the joint adjustment.

Source: least squares with damping (Levenberg 1944, Marquardt 1963), weights that fall off for marks that disagree
(Cauchy weights; Holland & Welsch 1977).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.feet import edge_feet
from trialfit.survey.layout import Layout
from trialfit.survey.outline_columns import moved_outlined
from trialfit.survey.outline_rows import outline_rows, rim_axes
from trialfit.survey.outlines import Outlines, with_marks
from trialfit.survey.problem import Problem, State

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_STEPS = 40
_ROUNDS = 3
_CAUCHY = 3.0
_SHORT = 0.1


@dataclass(frozen=True)
class Settled:
    """Tubes and rims on their marks.

    Parameters
    ----------
    state
        With the tubes and rims as they settled, and the free points.
    square
        Weighted sum of squares of everything observed of them, large residuals held down. [-]
    mark_rms
        Root mean square of the marks' residuals over their standard deviations, largest tenth left out. [-]
    seen
        Whether everything marked lies before its camera.
    """

    state: State
    square: float
    mark_rms: float
    seen: bool


def only(outlines: Outlines, tubes: Indices, rims: Indices) -> Outlines:
    """The outlines of some tubes and some rims.

    Parameters
    ----------
    outlines
        All of them.
    tubes, rims
        (n,) which to keep, rising. [-]

    Returns
    -------
    Outlines
        Theirs alone, numbered anew.
    """
    tube_place, rim_place = np.full(outlines.tube_count, -1), np.full(outlines.rim_count, -1)
    tube_place[tubes], rim_place[rims] = np.arange(len(tubes)), np.arange(len(rims))
    edge, arc = tube_place[outlines.edge_tube] >= 0, rim_place[outlines.arc_rim] >= 0
    legs = [np.arange(outlines.first_leg[tube], outlines.first_leg[tube + 1]) for tube in tubes]
    axes = np.concatenate([np.zeros(0, dtype=np.intp), *legs, outlines.leg_count + rims]).astype(np.intp)
    axis_place = np.full(outlines.axis_count, -1, dtype=np.intp)
    axis_place[axes] = np.arange(len(axes))
    on = axis_place[outlines.on_axis] >= 0
    marked = with_marks(outlines, edge, arc)
    return replace(
        marked,
        tube_bends=outlines.tube_bends[tubes],
        od_mm=outlines.od_mm[tubes],
        od_sigma_mm=outlines.od_sigma_mm[tubes],
        bend_radius_mm=outlines.bend_radius_mm[tubes],
        bend_radius_sigma_mm=outlines.bend_radius_sigma_mm[tubes],
        rim_centre=outlines.rim_centre[rims],
        rim_radius_mm=outlines.rim_radius_mm[rims],
        rim_radius_sigma_mm=outlines.rim_radius_sigma_mm[rims],
        edge_tube=tube_place[marked.edge_tube],
        arc_rim=rim_place[marked.arc_rim],
        on_point=outlines.on_point[on],
        on_axis=axis_place[outlines.on_axis[on]],
        on_sigma_mm=outlines.on_sigma_mm[on],
    )


def sided(problem: Problem, state: State) -> Problem:
    """Say of each mark on an edge which of the two edges is nearer.

    Parameters
    ----------
    problem
        What was observed.
    state
        With the tubes nearly in place.

    Returns
    -------
    Problem
        With a side for every mark.
    """
    outlines = problem.outlines
    count = len(outlines.edge_px)
    if not count:
        return problem
    off = []
    for side in (1.0, -1.0):
        trial = replace(problem, outlines=replace(outlines, edge_side=np.full(count, side)))
        off.append(np.abs(edge_feet(trial, state)[0].off_px))
    return replace(problem, outlines=replace(outlines, edge_side=np.where(off[0] <= off[1], 1.0, -1.0)))


def settled_with_sides(problem: Problem, state: State, free_points: Indices) -> tuple[Problem, Settled]:
    """Settle tubes and rims on their marks, and each mark on the nearer edge, until no mark changes its edge.

    Parameters
    ----------
    problem
        What was observed, sides not known.
    state
        With everything nearly in place.
    free_points
        (n,) points that nothing but rims fixes. [-]

    Returns
    -------
    tuple
        The problem with sides, and the answer.
    """
    problem = sided(problem, state)
    for _ in range(_ROUNDS):
        found = settled(problem, state, free_points)
        again = sided(problem, found.state)
        if np.array_equal(again.outlines.edge_side, problem.outlines.edge_side):
            break
        problem, state = again, found.state
    return problem, found


def settled(problem: Problem, state: State, free_points: Indices, steps: int = _STEPS) -> Settled:
    """Settle tubes and rims on their marks, the cameras standing still.

    Parameters
    ----------
    problem
        What was observed, its sides known.
    state
        With everything nearly in place.
    free_points
        (n,) points that nothing but rims fixes; all others stand still. [-]
    steps
        How many steps at most; none only looks. [-]

    Returns
    -------
    Settled
        The answer, such as it is.
    """
    layout = Layout(problem)
    marks = problem.outlines.mark_count
    damping, rows = 1e-3, _rows(layout, state, free_points)
    square = _square(rows.off, marks)
    for _ in range(steps):
        weight = _weights(rows.off, marks)
        normal, right = (rows.by.T * weight) @ rows.by, (rows.by.T * weight) @ rows.off
        normal += np.diag(damping * np.diag(normal) + 1e-9)
        step = -np.asarray(np.linalg.solve(normal, right), dtype=np.float64)
        trial = _stepped(layout, state, step, free_points)
        trial_rows = _rows(layout, trial, free_points)
        trial_square = _square(trial_rows.off, marks) if trial_rows.seen else float("inf")
        if not trial_square < square:
            damping *= 10.0
            if damping > 1e8:
                break
            continue
        short = float(np.sqrt(max(-float(step @ right), 0.0))) < _SHORT
        state, rows, square, damping = trial, trial_rows, trial_square, max(damping / 10.0, 1e-9)
        if short:
            break
    off = np.sort(np.abs(rows.off[:marks]))
    kept = off[: max(1, int(np.ceil(0.9 * marks)))]
    rms = float(np.sqrt((kept**2).mean())) if marks else 0.0
    return Settled(state, square, rms, rows.seen)


@dataclass(frozen=True)
class _Rows:
    """Whitened residuals with their slopes by the outlines' own unknowns and the free points."""

    off: Array
    by: Array
    seen: bool


def _rows(layout: Layout, state: State, free_points: Indices) -> _Rows:
    rows = outline_rows(layout, state)
    on_rim, by_head = rim_axes(layout, state)
    by_point = [np.where((rows.point == point)[:, None], rows.by_point, 0.0) for point in free_points]
    first = [layout.active_count + 3 * int(layout.linked_place[point]) for point in free_points]
    tied = [by_head[:, at : at + 3] if at >= layout.active_count else np.zeros((len(on_rim), 3)) for at in first]
    own = np.concatenate([rows.by_head[:, layout.active_count + 1 :], *by_point], axis=1)
    others = np.concatenate([by_head[:, layout.outline_start :], *tied], axis=1)
    return _Rows(np.concatenate([rows.off, on_rim]), np.concatenate([own, others]), rows.seen)


def _weights(off: Array, marks: int) -> Array:
    weight = np.ones(len(off))
    weight[:marks] = 1.0 / (1.0 + (off[:marks] / _CAUCHY) ** 2)
    return weight


def _square(off: Array, marks: int) -> float:
    """What Cauchy weights make least: the logarithm holds large residuals down."""
    held_down = _CAUCHY**2 * np.log1p((off[:marks] / _CAUCHY) ** 2).sum()
    return float(held_down + (off[marks:] ** 2).sum())


def _stepped(layout: Layout, state: State, step: Array, free_points: Indices) -> State:
    columns = layout.outline_columns
    points = state.points_mm.copy()
    points[free_points] += step[columns.count :].reshape(-1, 3)
    return replace(state, points_mm=points, outlined=moved_outlined(columns, state.outlined, step[: columns.count]))
