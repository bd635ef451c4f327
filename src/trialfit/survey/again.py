"""The answer once more, after a mark or two moved: from the last answer, not from the beginning.

The last answer's own equations say at once where the new one lies, since only what moved has a say; one look there
puts right what is curved. While a mark is dragged this keeps everything downstream following.

Source: one chord step and one Gauss-Newton step; any text on Newton's method. Held against the whole adjustment in
`tests/laws/test_again.py`.
"""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted, adjust, moved, solved_step
from trialfit.survey.layout import Layout
from trialfit.survey.normal import Normal, normal_equations
from trialfit.survey.problem import Problem
from trialfit.survey.rays import sighted, slopes_of
from trialfit.survey.threads import one_thread

Array = NDArray[np.float64]


def again(last: Adjusted, problem: Problem, mark_weight: Array | None = None, tolerance: float = 0.03) -> Adjusted:
    """Adjust a problem that differs from the last one in where some marks are.

    Parameters
    ----------
    last
        The last answer.
    problem
        The same observations with some marks moved; anything else that differs is adjusted from the last answer the
        long way.
    mark_weight
        (j,) share of its full weight each mark is given, the same as before, or None for all. [-]
    tolerance
        Stop when a step is shorter than this in standard deviations of all unknowns together. [-]

    Returns
    -------
    Adjusted
        The new answer.

    Raises
    ------
    Refusal
        The observations leave some unknown open, or no minimum is reached.
    """
    if not _only_marks_moved(last.layout.problem, problem):
        return adjust(problem, last.state, mark_weight, tolerance)
    with one_thread():
        found = _two_steps(last, problem, mark_weight, tolerance)
    return found if found is not None else adjust(problem, last.state, mark_weight, tolerance)


def _only_marks_moved(before: Problem, after: Problem) -> bool:
    if len(before.mark_px) != len(after.mark_px):
        return False
    return all(
        getattr(before, field.name) is getattr(after, field.name)
        for field in fields(Problem)
        if field.name != "mark_px"
    )


def _two_steps(last: Adjusted, problem: Problem, mark_weight: Array | None, tolerance: float) -> Adjusted | None:
    chord = solved_step(_pulled(last, problem, mark_weight), 0.0)
    if chord is None:
        return None
    layout = last.layout.of(problem)
    near = moved(layout, last.state, chord[0], chord[1])
    normal = normal_equations(layout, near, mark_weight)
    final = solved_step(normal, 0.0)
    if final is None or not np.isfinite(normal.cost) or final[2] > tolerance:
        return None
    settled = replace(normal, cost=normal.cost - final[2] ** 2)
    return Adjusted(layout, moved(layout, near, final[0], final[1]), settled, 2)


def _pulled(last: Adjusted, problem: Problem, mark_weight: Array | None) -> Normal:
    """The last answer's equations, pulled only by the marks that moved: all else is at rest there."""
    before, layout, state = last.layout.problem, last.layout, last.state
    rows = np.flatnonzero((before.mark_px != problem.mark_px).any(axis=1))
    photograph, point = problem.mark_photograph[rows], problem.mark_point[rows]
    by_camera, by_point = slopes_of(sighted(problem, state, photograph, state.points_mm[point]), state, photograph)
    weight = np.ones(len(rows)) if mark_weight is None else mark_weight[rows]
    pull = (before.mark_px[rows] - problem.mark_px[rows]) * (weight / problem.mark_sigma_px[rows] ** 2)[:, None]
    right = np.zeros(len(last.normal.head) + 1)
    np.add.at(right, _head_columns(layout, photograph), (pull[:, None, :] @ by_camera)[:, 0])
    everywhere = np.zeros((problem.point_count, 3))
    np.add.at(everywhere, point, (pull[:, None, :] @ by_point)[:, 0])
    linked = layout.point_columns[layout.linked].ravel()
    right[linked] += everywhere[layout.linked].ravel()
    return replace(last.normal, head_right=right[:-1], block_right=everywhere[layout.single])


def _head_columns(layout: Layout, photograph: NDArray[np.intp]) -> NDArray[np.intp]:
    """Columns of each photograph's camera; what is held goes to the spare last place."""
    columns = layout.camera_columns[photograph]
    return np.where(columns == layout.active_count, layout.head_count, columns)
