"""Adjusted tubes and rims as records with names, with the joint covariance of their directions.

Source: first-order propagation of covariance, JCGM 100:2008 section 5.2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted
from trialfit.survey.beliefs import FREE, HELD
from trialfit.survey.gather import Names
from trialfit.survey.outline_columns import axis_slopes, vertex_slopes
from trialfit.survey.outline_records import SurveyedAxis, SurveyedBend, SurveyedRim, SurveyedTube, Triple
from trialfit.survey.outline_tests import outline_tests
from trialfit.survey.records import Residual
from trialfit.survey.residuals import sigmas_of

Array = NDArray[np.float64]


@dataclass(frozen=True)
class OutlineReport:
    """Tubes and rims, written down.

    Parameters
    ----------
    tubes, rims
        One record each.
    covariance
        (3n + 3a, 3n + 3a) joint covariance of the n points, then of the a directions, straight lengths before rims;
        none where there are no outlines. [mm2, mm, 1]
    """

    tubes: tuple[SurveyedTube, ...]
    rims: tuple[SurveyedRim, ...]
    covariance: Array


def outline_report(adjusted: Adjusted, names: Names) -> OutlineReport:
    """Write an adjusted problem's tubes and rims down.

    Parameters
    ----------
    adjusted
        The adjusted problem.
    names
        Names behind its numbers.

    Returns
    -------
    OutlineReport
        The records.
    """
    outlines = adjusted.layout.problem.outlines
    if not outlines.axis_count:
        return OutlineReport((), (), np.zeros((0, 0)))
    slopes = joint_slopes(adjusted)
    covariance = np.asarray(slopes @ adjusted.covariance @ slopes.T)
    n = 3 * adjusted.layout.problem.point_count
    directions, _ = axis_slopes(adjusted.layout.outline_columns, adjusted.state.outlined)
    blocks = [covariance[at : at + 3, at : at + 3] for at in range(n, n + 3 * outlines.axis_count, 3)]
    axes = [
        SurveyedAxis(name, _triple(direction), _lean_k2_deg(block))
        for name, direction, block in zip(names.outlines.axes, directions, blocks, strict=True)
    ]
    tubes = tuple(_tube(adjusted, names, axes, covariance[n:, n:], tube) for tube in range(outlines.tube_count))
    rims = tuple(_rim(adjusted, names, axes, rim) for rim in range(outlines.rim_count))
    return OutlineReport(tubes, rims, covariance)


def joint_slopes(adjusted: Adjusted) -> Array:
    """How all points, then all directions, move with the unknowns.

    Parameters
    ----------
    adjusted
        The adjusted problem.

    Returns
    -------
    Array
        (3n + 3a, u) derivative. [-]
    """
    layout = adjusted.layout
    columns, n = layout.point_columns.ravel(), 3 * layout.problem.point_count
    axes = layout.problem.outlines.axis_count
    out = np.zeros((n + 3 * axes, layout.unknown_count))
    out[np.arange(n), columns] = 1.0
    if axes:
        _, slopes = axis_slopes(layout.outline_columns, adjusted.state.outlined)
        out[n:, layout.outline_start : layout.head_count] = slopes.reshape(3 * axes, -1)
    return out


def outline_residuals(adjusted: Adjusted, names: Names) -> tuple[Residual, ...]:
    """Say of every mark on an outline, and of every size measured, how far off it is.

    Parameters
    ----------
    adjusted
        The adjusted problem.
    names
        Names behind its numbers.

    Returns
    -------
    tuple of Residual
        Marks on edges, then on rims, then sizes, then how far outside the hand marks on average.
    """
    outlines = adjusted.layout.problem.outlines
    edges, arcs = names.outlines.edges, names.outlines.arcs
    marks = [*(edges[k] for k in outlines.edge_number), *(arcs[k] for k in outlines.arc_number)]
    said = [
        Residual(str(mark), abs(test.off_px), "px", float(np.sqrt(test.square)))
        for mark, test in zip(marks, outline_tests(adjusted), strict=True)
    ]
    return (*said, *_sizes(adjusted, names))


def _sizes(adjusted: Adjusted, names: Names) -> tuple[Residual, ...]:
    """What was measured of tubes and rims, and what is believed of the hand, held against what came out."""
    layout, value = adjusted.layout, adjusted.state.outlined
    outlines, columns = layout.problem.outlines, layout.outline_columns
    tubes, rims = names.outlines.tubes, names.outlines.rims
    if not outlines.axis_count:
        return ()
    spread, hand = np.diag(adjusted.covariance)[layout.outline_start :], outlines.outside_sigma_px
    rows = [
        *zip((f"outside diameter measured of {name}" for name in tubes), columns.od, value.od_mm - outlines.od_mm,
             outlines.od_sigma_mm, strict=True),
        *zip((f"bend radius measured of {name}" for name in tubes), columns.bend_radius,
             value.bend_radius_mm - outlines.bend_radius_mm, outlines.bend_radius_sigma_mm, strict=True),
        *zip((f"radius measured of {name}" for name in rims), columns.rim_radius,
             value.rim_radius_mm - outlines.rim_radius_mm, outlines.rim_radius_sigma_mm, strict=True),
    ]  # fmt: skip
    out = [
        Residual(what, abs(float(off)), "mm", sigmas_of(float(off), float(sigma**2 - spread[column]), float(sigma)))
        for what, column, off, sigma in rows
        if sigma not in (FREE, HELD)
    ]
    for kind, marked in enumerate((len(outlines.edge_px), len(outlines.arc_px))):
        if marked:
            off = float(value.outside_px[kind])
            what = f"marks on {('edges', 'rims')[kind]}, all together {'out' if off > 0 else 'in'}side them"
            out.append(Residual(what, abs(off), "px", sigmas_of(off, hand**2 - float(spread[kind]), hand)))
    return tuple(out)


def _tube(adjusted: Adjusted, names: Names, axes: list[SurveyedAxis], covariance: Array, tube: int) -> SurveyedTube:
    layout, outlined = adjusted.layout, adjusted.state.outlined
    outlines, columns = layout.problem.outlines, layout.outline_columns
    own = slice(layout.outline_start, layout.head_count)
    head = adjusted.covariance[own, own]
    vertices = slice(outlines.first_vertex[tube], outlines.first_vertex[tube + 1])
    slopes = vertex_slopes(columns, outlined)[3 * vertices.start : 3 * vertices.stop]
    k2 = 2.0 * np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", slopes, head, slopes), 0.0)).reshape(-1, 3)
    first, after = int(outlines.first_leg[tube]), int(outlines.first_leg[tube + 1])
    name = names.outlines.tubes[tube]
    bends = tuple(_bend(f"{name}.bend{n + 1}", axes, covariance, first + n) for n in range(after - first - 1))
    radius = int(columns.bend_radius[tube])
    return SurveyedTube(
        name,
        float(outlined.od_mm[tube]),
        2.0 * float(np.sqrt(head[columns.od[tube], columns.od[tube]])),
        tuple(_triple(vertex) for vertex in outlined.vertices_mm[vertices]),
        tuple(_triple(vertex) for vertex in k2),
        tuple(axes[first:after]),
        bends,
        float(outlined.bend_radius_mm[tube]) if radius >= 0 else None,
        2.0 * float(np.sqrt(head[radius, radius])) if radius >= 0 else None,
        int((outlines.edge_tube == tube).sum()),
    )


def _bend(name: str, axes: list[SurveyedAxis], covariance: Array, leg: int) -> SurveyedBend:
    one, two = np.array(axes[leg].direction), np.array(axes[leg + 1].direction)
    cosine = float(np.clip(one @ two, -1.0, 1.0))
    sine = max(float(np.sqrt(1.0 - cosine**2)), 1e-9)
    by = -np.concatenate([two, one]) / sine
    block = covariance[3 * leg : 3 * leg + 6, 3 * leg : 3 * leg + 6]
    k2 = 2.0 * max(float(by @ block @ by), 0.0) ** 0.5
    return SurveyedBend(name, float(np.degrees(np.arccos(cosine))), float(np.degrees(k2)))


def _rim(adjusted: Adjusted, names: Names, axes: list[SurveyedAxis], rim: int) -> SurveyedRim:
    layout = adjusted.layout
    outlines, column = layout.problem.outlines, int(layout.outline_columns.rim_radius[rim])
    at = layout.outline_start + column
    return SurveyedRim(
        axes[outlines.leg_count + rim],
        names.points[outlines.rim_centre[rim]],
        float(adjusted.state.outlined.rim_radius_mm[rim]),
        2.0 * float(np.sqrt(adjusted.covariance[at, at])) if column >= 0 else 0.0,
        int((outlines.arc_rim == rim).sum()),
    )


def _lean_k2_deg(covariance: Array) -> float:
    return float(np.degrees(2.0 * np.sqrt(max(float(np.linalg.eigvalsh(covariance)[-1]), 0.0))))


def _triple(values: Array) -> Triple:
    return float(values[0]), float(values[1]), float(values[2])
