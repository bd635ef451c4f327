"""Marks on edges and rims held against their own covariance.

Source: Baarda (1968); a residual's variance is the mark's less what the answer explains of it, and for a mark left out
of the answer the two add.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted
from trialfit.survey.feet import arc_feet, edge_feet
from trialfit.survey.layout import Layout
from trialfit.survey.outline_rows import outline_rows
from trialfit.survey.outlines import Outlines

Array = NDArray[np.float64]

_SEEN = 0.02


@dataclass(frozen=True)
class OutlineTest:
    """One mark on an outline against everything else.

    Parameters
    ----------
    off_px
        How far outside the outline it lies; inside is negative. [px]
    slip_px
        (2,) the same as a way in the photograph: x right, y down, in sensor pixels. [px]
    square
        The residual over its own standard deviation, squared; nought where nothing else checks the mark. [-]
    checked
        Share of the mark that the other observations check, from 0 to 1. [-]
    """

    off_px: float
    slip_px: Array
    square: float
    checked: float


def outline_tests(adjusted: Adjusted, left_out: Outlines | None = None) -> tuple[OutlineTest, ...]:
    """Hold every mark on an outline against its own covariance.

    Parameters
    ----------
    adjusted
        An adjusted problem with outlines.
    left_out
        The same tubes and rims with marks that the answer does not rest on, to be held against it; None for the marks
        it rests on.

    Returns
    -------
    tuple of OutlineTest
        Marks on edges, then marks on rims, in the outlines' order.
    """
    outlines = adjusted.layout.problem.outlines if left_out is None else left_out
    if not outlines.mark_count:
        return ()
    problem = replace(adjusted.layout.problem, outlines=outlines)
    layout, marks = Layout(problem), outlines.mark_count
    rows = outline_rows(layout, adjusted.state)
    by = np.zeros((marks, layout.unknown_count))
    by[:, : layout.active_count] = rows.by_head[:marks, : layout.active_count]
    by[:, layout.outline_start : layout.head_count] = rows.by_head[:marks, layout.active_count + 1 :]
    arcs = np.flatnonzero(rows.point[:marks] >= 0)
    columns = layout.point_columns[rows.point[arcs]]
    by[arcs[:, None], columns] = rows.by_point[arcs]
    explained = np.einsum("ni,ni->n", by @ adjusted.covariance, by)
    checked = 1.0 - explained if left_out is None else 1.0 + explained
    square = np.where(checked > _SEEN, rows.off[:marks] ** 2 / np.maximum(checked, _SEEN), 0.0)
    off, outside = _offs(adjusted, outlines)
    return tuple(
        OutlineTest(float(off[k]), off[k] * outside[k], float(square[k]), float(min(checked[k], 1.0)))
        for k in range(marks)
    )


def _offs(adjusted: Adjusted, outlines: Outlines) -> tuple[Array, Array]:
    problem, state = replace(adjusted.layout.problem, outlines=outlines), adjusted.state
    off, outside = [np.zeros(0)], [np.zeros((0, 2))]
    if len(outlines.edge_px):
        feet, _ = edge_feet(problem, state)
        off.append(feet.off_px - state.outlined.outside_px[0])
        outside.append(feet.outside)
    if len(outlines.arc_px):
        arcs = arc_feet(problem, state)
        off.append(arcs.off_px - state.outlined.outside_px[1])
        outside.append(arcs.outside)
    return np.concatenate(off), np.concatenate(outside)
