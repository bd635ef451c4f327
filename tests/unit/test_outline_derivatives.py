"""Unit: every derivative of edges, rims and axes through points against numeric differences."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from outlined_scenes import OnAxis, TrueRim, TrueTube, outlined
from scenes import Scene, scene
from trialfit.survey.adjust import moved
from trialfit.survey.layout import Layout
from trialfit.survey.normal import normal_equations
from trialfit.survey.outline_columns import axis_slopes, moved_outlined
from trialfit.survey.problem import FREE, HELD

BENT = np.array([[60.0, 150.0, 80.0], [62.0, 148.0, 55.0], [80.0, 120.0, 45.0], [90.0, 95.0, 43.0]])
STRAIGHT = np.array([[0.0, 150.0, 60.0], [5.0, 110.0, 62.0]])


def _everything(seed: int = 1) -> Scene:
    """Two tubes, two rims, points on axes of both kinds; radii believed, free and held."""
    rng = np.random.default_rng(seed)
    made = scene(rng, 3, 6, readings=2)
    tubes = [
        TrueTube(BENT, per_edge=2, per_bend=2),
        TrueTube(STRAIGHT, per_edge=2),
        TrueTube(BENT[::-1] + 20.0, radius_sigma_mm=HELD, per_edge=2, per_bend=0),
    ]
    rims = [TrueRim(0, np.array([0.1, -1.0, 0.3])), TrueRim(3, np.array([-0.3, -1.0, 0.2]), radius_sigma_mm=FREE)]
    # None of these points lies on its axis: the wider their plus-or-minus, the less that matters here.
    on_axis = [OnAxis(1, 0, 5.0), OnAxis(2, 4, 6.0), OnAxis(5, 7, 50.0), OnAxis(3, 7, 50.0)]
    return outlined(rng, made, tubes, rims, on_axis)


def test_gradient_is_that_of_the_cost() -> None:
    made = _everything()
    layout = Layout(made.problem)
    normal = normal_equations(layout, made.truth)
    slope = np.concatenate([normal.head_right, normal.block_right.ravel()])
    h = layout.head_count
    # The hand 2, outside diameters 3, one bend radius not held, rims' radii 2, their leaning 2 x 2, vertices: a tube of
    # two bends has 2 + 3 + 3 + 2, a straight one 2 + 2.
    assert layout.outline_columns.count == 2 + 3 + 1 + 2 + 4 + (10 + 4 + 10)
    for unknown in range(len(slope)):
        step = np.zeros(len(slope))
        step[unknown] = 1e-6
        above = normal_equations(layout, moved(layout, made.truth, step[:h], step[h:].reshape(-1, 3))).cost
        below = normal_equations(layout, moved(layout, made.truth, -step[:h], -step[h:].reshape(-1, 3))).cost
        assert (above - below) / 4e-6 == pytest.approx(slope[unknown], rel=1e-4, abs=1e-2), unknown


def test_axes_turn_as_their_slopes_say() -> None:
    made = _everything(2)
    columns = Layout(made.problem).outline_columns
    _, slopes = axis_slopes(columns, made.truth.outlined)
    for unknown in range(columns.count):
        step = np.zeros(columns.count)
        step[unknown] = 1e-5
        above, _ = axis_slopes(columns, moved_outlined(columns, made.truth.outlined, step))
        below, _ = axis_slopes(columns, moved_outlined(columns, made.truth.outlined, -step))
        assert (above - below) / 2e-5 == pytest.approx(slopes[:, :, unknown], abs=1e-7)


def test_marks_beyond_the_ends_of_a_bend_lie_on_its_legs() -> None:
    made = _everything(3)
    outlines = made.problem.outlines
    # Marks of the first leg, said to be of the bend behind it: they are as far off as before.
    chosen = (outlines.edge_tube == 0) & (outlines.edge_piece == 0)
    as_bend = replace(outlines, edge_piece=np.where(chosen, 1, outlines.edge_piece))
    costs = [
        normal_equations(Layout(problem), made.truth).cost
        for problem in (made.problem, replace(made.problem, outlines=as_bend))
    ]
    assert costs[0] == pytest.approx(costs[1], rel=1e-6)
