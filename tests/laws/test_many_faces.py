"""A law: what is worked out for many pairs of faces at once is what is worked out for each alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from trialfit.fitup.bends import bend_table, legs_mm
from trialfit.fitup.carried import slopes_at_once, slopes_by_faces
from trialfit.fitup.corners import crossing
from trialfit.fitup.held_shape import shape_of, vertices_of
from trialfit.fitup.many_faces import corners_between, crossings, figures_along
from trialfit.fitup.records import Array, EndFace

RADIUS_MM = 12.0
EVERY = np.array([[0, 0, 0], [40, 0, 0], [60, 40, 10], [90, 50, 60], [90, 20, 90.0]])
NO_TURN = np.zeros(1, dtype=bool)


def laid(bends: int) -> tuple[EndFace, EndFace, Array]:
    vertices = EVERY[[0, *range(1, bends + 1), 4]]
    legs = np.diff(vertices, axis=0)
    way = legs / np.linalg.norm(legs, axis=1, keepdims=True)
    return EndFace("a", vertices[0], way[0], 2.0, 4.0), EndFace("b", vertices[-1], -way[-1], 2.0, 5.0), vertices


def shaken(start: EndFace, end: EndFace, count: int) -> tuple[Array, list[tuple[EndFace, EndFace]]]:
    moves = np.random.default_rng(8).normal(size=(count, 4, 3)) * np.array([0.4, 0.01, 0.4, 0.01])[:, None]
    rows = moves + np.array([start.position_mm, start.direction, end.position_mm, end.direction])
    rows[:, [1, 3]] /= np.linalg.norm(rows[:, [1, 3]], axis=2, keepdims=True)
    pairs = [
        (replace(start, position_mm=row[0], direction=row[1]), replace(end, position_mm=row[2], direction=row[3]))
        for row in rows
    ]
    return rows, pairs


@pytest.mark.parametrize("bends", [0, 1, 2, 3])
def test_corners_and_every_figure_are_those_of_each_pair_alone(bends: int) -> None:
    start, end, vertices = laid(bends)
    shape = shape_of(vertices, RADIUS_MM)
    rows, pairs = shaken(start, end, 30)
    corners = corners_between(rows, shape, start, end)
    assert corners == pytest.approx(np.array([vertices_of(*pair, shape) for pair in pairs]), abs=1e-9)
    for row, one in zip(figures_along(corners, RADIUS_MM, 4.0, 7.0), corners, strict=True):
        table = bend_table(one, RADIUS_MM)
        straight, arcs = table.straights_mm, table.arcs_mm
        wanted, along = list(legs_mm(one)), 4.0
        for k, line in enumerate(table.lines):
            begins, along = along + straight[k], along + straight[k] + arcs[k]
            wanted += [straight[k] + (0.0 if k else 4.0), line.rotation_deg, line.angle_deg, begins, along]
        line_mm = sum(straight) + sum(arcs)
        wanted += [line_mm, line_mm + 4.0 + 7.0, straight[-1] + 7.0 + (0.0 if bends else 4.0)]
        assert row == pytest.approx(wanted, abs=1e-8)


def test_axes_cross_where_each_pair_alone_says_and_slopes_are_those_of_one_step_after_another() -> None:
    start, end, vertices = laid(2)
    rows, pairs = shaken(start, end, 30)
    alone = [crossing(*pair) for pair in pairs]
    assert crossings(rows) == pytest.approx(np.array([each.corner_mm for each in alone if each]), abs=1e-8)
    shape = shape_of(vertices, RADIUS_MM)

    def at_once(faces: Array) -> Array:
        return figures_along(corners_between(faces, shape, start, end), RADIUS_MM, 4.0, 7.0)[:, -3:-2]

    def alone_mm(one: EndFace, other: EndFace) -> Array:
        return np.array([bend_table(vertices_of(one, other, shape), RADIUS_MM).centre_line_mm])

    found = slopes_at_once(at_once, start, end, NO_TURN)
    assert found == pytest.approx(slopes_by_faces(alone_mm, start, end, NO_TURN), abs=1e-6)
