"""Where tubes begin: a bent tube's vertices are where the axes of its straight lengths cross.

Source: the point nearest to two lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.beliefs import FREE, HELD
from trialfit.survey.outline_settle import settled_with_sides
from trialfit.survey.outlines import Outlined
from trialfit.survey.problem import Problem, State
from trialfit.survey.tube_axis import FITS_SIGMAS, Cannot, Line, Plane, axis_of, planes_of

Array = NDArray[np.float64]

_LEAST_BEND_DEG = 4.0
_NO_POINTS = np.zeros(0, dtype=np.intp)


def tube_start(problem: Problem, state: State) -> tuple[Problem, State] | Cannot:
    """Find where a tube is, near enough for the adjustment to take over.

    Parameters
    ----------
    problem
        What was observed, the outlines those of one tube alone.
    state
        With cameras, lenses and points as adjusted without it.

    Returns
    -------
    tuple or Cannot
        The problem with a side for every mark, and the state with the tube in it; or why it cannot be found.
    """
    outlines = problem.outlines
    if not len(outlines.edge_px):
        return Cannot("No mark lies on its edges.", "Mark both its edges in two photographs or more.")
    legs = int(outlines.tube_bends[0]) + 1
    planes = [planes_of(problem, state, leg) for leg in range(legs)]
    lines: list[Line | Cannot] = [axis_of(problem, state, planes[leg], leg) for leg in range(legs)]
    vertices = _vertices(lines, planes)
    if isinstance(vertices, Cannot):
        return vertices
    radius = _radius(problem, vertices)
    outlined = Outlined(np.zeros(2), vertices, outlines.od_mm.copy(), np.array([radius]))
    held = replace(problem, outlines=replace(outlines, bend_radius_sigma_mm=_radius_sigma(problem)))
    held, found = settled_with_sides(held, replace(state, outlined=outlined), _NO_POINTS)
    if not found.seen or found.mark_rms > FITS_SIGMAS:
        return Cannot(
            f"The marks on its edges do not lie on one round tube of {outlines.od_mm[0]:.2f} mm: they are out by "
            f"{found.mark_rms:.0f} times their plus-or-minus (one standard deviation).",
            "See that each straight length has the same name in every photograph, that nothing but its two edges is "
            "marked, and that the outside diameter is right.",
        )
    return held, found.state


def _radius_sigma(problem: Problem) -> Array:
    """A bend radius that was not measured is free where bends are marked, else nothing depends on it."""
    outlines = problem.outlines
    marked = bool((outlines.edge_piece % 2 == 1).any())
    unknown = outlines.bend_radius_sigma_mm == FREE
    return np.where(unknown & (not marked), HELD, outlines.bend_radius_sigma_mm)


def _radius(problem: Problem, vertices: Array) -> float:
    outlines = problem.outlines
    if outlines.bend_radius_sigma_mm[0] not in (FREE, HELD):
        return float(outlines.bend_radius_mm[0])
    return 3.0 * float(outlines.od_mm[0]) if len(vertices) > 2 else 1.0


def _vertices(lines: Sequence[Line | Cannot], planes: list[list[Plane]]) -> Array | Cannot:
    if len(lines) == 1:
        only = lines[0]
        return only if isinstance(only, Cannot) else np.stack(only.ends)
    corners: list[Array] = []
    for leg in range(len(lines) - 1):
        corner = _corner(lines, planes, leg)
        if isinstance(corner, Cannot):
            return corner
        corners.append(corner)
    first, last = lines[0], lines[-1]
    if isinstance(first, Cannot):
        return first
    if isinstance(last, Cannot):
        return last
    return np.stack([_farther(first, corners[0]), *corners, _farther(last, corners[-1])])


def _farther(line: Line, corner: Array) -> Array:
    one, two = line.ends
    return one if np.linalg.norm(one - corner) > np.linalg.norm(two - corner) else two


def _corner(lines: Sequence[Line | Cannot], planes: list[list[Plane]], leg: int) -> Array | Cannot:
    """Where two straight lengths would cross; one of them may be no more than a plane."""
    one, two = lines[leg], lines[leg + 1]
    if isinstance(one, Cannot) or isinstance(two, Cannot):
        solid, hidden = (two, leg) if isinstance(one, Cannot) else (one, leg + 1)
        middle = [plane for plane in planes[hidden] if not plane.beside_mm]
        inside = 0 < hidden < len(lines) - 1
        if isinstance(solid, Cannot) or not middle or not inside:
            cannot = one if isinstance(one, Cannot) else two
            assert isinstance(cannot, Cannot)
            return cannot
        plane = middle[0]
        run = float(plane.normal @ (plane.eye - solid.point) / (plane.normal @ solid.way))
        return np.asarray(solid.point + run * solid.way)
    cosine = float(one.way @ two.way)
    if 1.0 - cosine**2 < np.sin(np.radians(_LEAST_BEND_DEG)) ** 2:
        return Cannot(
            f"Its straight lengths leg{leg + 1} and leg{leg + 2} lie in one line.",
            "Call them one straight length, with one bend less.",
        )
    rows = np.stack([one.way, -two.way], axis=1)
    runs, *_ = np.linalg.lstsq(rows, two.point - one.point, rcond=None)
    return np.asarray((one.point + runs[0] * one.way + two.point + runs[1] * two.way) / 2.0)
