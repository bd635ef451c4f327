"""Marks on edges and rims, axes through points and what is believed of tubes and rims, as rows of the adjustment.

Source: the slopes of `feet.py` and `centre_line.py`, carried to the survey's unknowns by the chain rule; held against
numeric differences in `tests/unit/`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.beliefs import FREE, HELD
from trialfit.survey.centre_line import pulled_back
from trialfit.survey.feet import Feet, arc_feet, edge_feet
from trialfit.survey.layout import Layout
from trialfit.survey.outline_columns import across, axis_slopes, vertex_slopes
from trialfit.survey.problem import State
from trialfit.survey.rays import slopes_of

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

EDGE, ARC = 0, 1


@dataclass(frozen=True)
class OutlineRows:
    """Whitened observations of outlines at one state, with their slopes.

    Parameters
    ----------
    off
        (n,) expected less observed over its standard deviation: marks on edges, marks on rims, axes through points
        (two each), beliefs. [-]
    by_head
        (n, c + 1 + s) slope by the c unknowns of cameras, lenses and card, a spare one, and the s of the outlines. [-]
    point
        (n,) the point a row depends on as well, -1 for none. [-]
    by_point
        (n, 3) slope by that point. [1/mm]
    seen
        Whether everything marked lies before its camera.
    """

    off: Array
    by_head: Array
    point: Indices
    by_point: Array
    seen: bool


def outline_rows(layout: Layout, state: State) -> OutlineRows:
    """Lay out all rows of the outlines.

    Parameters
    ----------
    layout
        Columns of the unknowns.
    state
        Where everything is taken to be.

    Returns
    -------
    OutlineRows
        The rows.
    """
    parts = [_edges(layout, state), _arcs(layout, state), _axes(layout, state), _beliefs(layout, state)]
    return OutlineRows(
        np.concatenate([part.off for part in parts]),
        np.concatenate([part.by_head for part in parts]),
        np.concatenate([part.point for part in parts]),
        np.concatenate([part.by_point for part in parts]),
        all(part.seen for part in parts),
    )


def _empty(layout: Layout, rows: int) -> OutlineRows:
    width = layout.active_count + 1 + layout.outline_columns.count
    point = np.full(rows, -1, dtype=np.intp)
    return OutlineRows(np.zeros(rows), np.zeros((rows, width)), point, np.zeros((rows, 3)), True)


def _marked(
    layout: Layout, state: State, feet: Feet, photograph: Indices, sigma: Array, kind: int
) -> tuple[OutlineRows, Array]:
    """Rows of marks with their slopes by the camera; and (n, 3) their slope by the place they stand on."""
    blank = _empty(layout, len(photograph))
    by_camera, by_place = slopes_of(feet.rays, state, photograph)
    across_px = (feet.outside / sigma[:, None])[:, None, :]
    np.put_along_axis(blank.by_head, layout.camera_columns[photograph], (across_px @ by_camera)[:, 0], axis=1)
    # Several held unknowns share the spare column; what stands there is nobody's.
    blank.by_head[:, layout.active_count] = 0.0
    blank.by_head[:, layout.active_count + 1 + kind] = 1.0 / sigma
    off = (state.outlined.outside_px[kind] - feet.off_px) / sigma
    return OutlineRows(off, blank.by_head, blank.point, blank.by_point, feet.seen), (across_px @ by_place)[:, 0]


def _edges(layout: Layout, state: State) -> OutlineRows:
    outlines, columns, own = layout.problem.outlines, layout.outline_columns, layout.active_count + 1
    if not len(outlines.edge_px):
        return _empty(layout, 0)
    feet, pieces = edge_feet(layout.problem, state)
    rows, by_place = _marked(layout, state, feet, outlines.edge_photograph, outlines.edge_sigma_px, EDGE)
    by_three, by_radius = pulled_back(pieces, feet.along, by_place)
    vertices = len(state.outlined.vertices_mm)
    by_vertex = np.zeros((len(by_place), vertices + 1, 3))
    place = np.minimum(pieces.vertex[:, None] + np.arange(3), vertices)
    np.put_along_axis(by_vertex, place[:, :, None], by_three, axis=1)
    by_vertex = by_vertex[:, :vertices]
    rows.by_head[:, own:] += by_vertex.reshape(len(by_place), -1) @ vertex_slopes(columns, state.outlined)
    each = np.arange(len(by_place))
    rows.by_head[each, own + columns.od[outlines.edge_tube]] += (by_place * feet.outward).sum(axis=1) / 2.0
    radius = columns.bend_radius[outlines.edge_tube]
    loose = radius >= 0
    rows.by_head[each[loose], own + radius[loose]] += by_radius[loose]
    return rows


def _arcs(layout: Layout, state: State) -> OutlineRows:
    outlines, columns, own = layout.problem.outlines, layout.outline_columns, layout.active_count + 1
    if not len(outlines.arc_px):
        return _empty(layout, 0)
    feet = arc_feet(layout.problem, state)
    rows, by_place = _marked(layout, state, feet, outlines.arc_photograph, outlines.arc_sigma_px, ARC)
    rim = outlines.arc_rim
    normals = state.outlined.normals
    # A rim that leans carries its places along its axis.
    lean = -state.outlined.rim_radius_mm[rim] * (by_place * normals[rim]).sum(axis=1)
    by_lean = lean[:, None] * (feet.outward[:, None, :] @ across(normals)[rim])[:, 0]
    np.put_along_axis(rows.by_head, own + columns.normal[rim], by_lean, axis=1)
    radius = columns.rim_radius[rim]
    loose = radius >= 0
    each = np.flatnonzero(loose)
    rows.by_head[each, own + radius[loose]] = (by_place * feet.outward).sum(axis=1)[loose]
    return OutlineRows(rows.off, rows.by_head, outlines.rim_centre[rim], by_place, rows.seen)


def _axes(layout: Layout, state: State) -> OutlineRows:
    """Points that lie on the axis of a leg: how far off it, in two directions across it."""
    outlines, own = layout.problem.outlines, layout.active_count + 1
    on_leg = np.flatnonzero(outlines.on_axis < outlines.leg_count)
    rows = _empty(layout, 2 * len(on_leg))
    if not len(on_leg):
        return rows
    off, by_point, by_outlines = _off_axis(layout, state, on_leg)
    rows.off[:], rows.by_point[:], rows.by_head[:, own:] = off, by_point, by_outlines
    rows.point[:] = np.repeat(outlines.on_point[on_leg], 2)
    return rows


def rim_axes(layout: Layout, state: State) -> tuple[Array, Array]:
    """Points that lie on the axis of a rim: how far off it, in two directions across it.

    Parameters
    ----------
    layout
        Columns of the unknowns; such points and the rims' middles are not eliminated.
    state
        Where everything is taken to be.

    Returns
    -------
    tuple
        (n,) distances over their standard deviations [-], and (n, h) their slopes by all of the head [-].
    """
    outlines, first = layout.problem.outlines, layout.active_count
    on_rim = np.flatnonzero(outlines.on_axis >= outlines.leg_count)
    by_head = np.zeros((2 * len(on_rim), layout.head_count))
    if not len(on_rim):
        return np.zeros(0), by_head
    off, by_point, by_head[:, layout.outline_start :] = _off_axis(layout, state, on_rim)
    centre = outlines.rim_centre[outlines.on_axis[on_rim] - outlines.leg_count]
    for points, sign in ((outlines.on_point[on_rim], 1.0), (centre, -1.0)):
        columns = first + 3 * layout.linked_place[np.repeat(points, 2)][:, None] + np.arange(3)
        np.put_along_axis(by_head, columns, sign * by_point, axis=1)
    return off, by_head


def _off_axis(layout: Layout, state: State, chosen: Indices) -> tuple[Array, Array, Array]:
    """(2n,) how far points lie off axes, (2n, 3) slope by the point, (2n, s) by the outlines' own unknowns."""
    outlines, columns, outlined = layout.problem.outlines, layout.outline_columns, state.outlined
    directions, slopes = axis_slopes(columns, outlined)
    vertex = vertex_slopes(columns, outlined).reshape(-1, 3, columns.count)
    ways = across(directions)
    off, by_point, by_outlines = [], [], []
    for k in chosen.tolist():
        axis = int(outlines.on_axis[k])
        here = ways[axis].T / outlines.on_sigma_mm[k]
        point = state.points_mm[outlines.on_point[k]]
        if axis < outlines.leg_count:
            start = outlines.leg_vertex[axis]
            away = point - outlined.vertices_mm[start]
            moves = -here @ vertex[start]
        else:
            away = point - state.points_mm[outlines.rim_centre[axis - outlines.leg_count]]
            moves = np.zeros((2, columns.count))
        off.append(here @ away)
        by_point.append(here)
        # The ways across turn with the axis: what lies along it comes to lie across.
        by_outlines.append(moves - (away @ directions[axis]) * (here @ slopes[axis]))
    return np.concatenate(off), np.concatenate(by_point), np.concatenate(by_outlines)


def _beliefs(layout: Layout, state: State) -> OutlineRows:
    outlines, columns, outlined = layout.problem.outlines, layout.outline_columns, state.outlined
    own = layout.active_count + 1
    value = np.concatenate([outlined.outside_px, outlined.od_mm, outlined.bend_radius_mm, outlined.rim_radius_mm])
    expected = np.concatenate([np.zeros(2), outlines.od_mm, outlines.bend_radius_mm, outlines.rim_radius_mm])
    sigma = np.concatenate(
        [
            np.full(2, outlines.outside_sigma_px),
            outlines.od_sigma_mm,
            outlines.bend_radius_sigma_mm,
            outlines.rim_radius_sigma_mm,
        ]
    )
    column = np.concatenate([[0, 1], columns.od, columns.bend_radius, columns.rim_radius])
    believed = (sigma != FREE) & (sigma != HELD)
    rows = _empty(layout, int(believed.sum()))
    each = np.arange(len(rows.off))
    rows.by_head[each, own + column[believed]] = 1.0 / sigma[believed]
    rows.off[:] = (value - expected)[believed] / sigma[believed]
    return rows
