"""Where a rim begins: of all the ways its ellipses allow it to lean, the one that all photographs agree on.

Seen in one photograph a round face could always lean in two ways. Photographs from different sides agree on one only;
so does a second point on its axis.

Source: `rim_views.py`; middles by crossing rays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.beliefs import FREE
from trialfit.survey.looks import eye_mm, flat_marks, focal_px
from trialfit.survey.outline_settle import Settled, settled
from trialfit.survey.outlines import Outlined, with_marks
from trialfit.survey.problem import Problem, State
from trialfit.survey.rim_views import RimView, rim_view
from trialfit.survey.tube_axis import FITS_SIGMAS, Cannot

Array = NDArray[np.float64]

_EDGE_ON_SIGMAS = 4.0
_LEAST_CROSSING_DEG = 3.0
_MOST_SETTLED = 4
_APART_DEG = 6.0
_TOLD_APART = 9.0  # by so much the sum of squares must differ before one way of leaning is taken for the other


@dataclass(frozen=True)
class _Seen:
    """A rim's ellipse in one photograph."""

    photograph: int
    view: RimView


def rim_start(problem: Problem, state: State, free: bool, towards: Array | None) -> tuple[Problem, State] | Cannot:
    """Find how a rim lies, near enough for the adjustment to take over.

    Parameters
    ----------
    problem
        What was observed, the outlines those of one rim alone.
    state
        With cameras, lenses and points as adjusted without it.
    free
        Whether nothing but the rim fixes its middle.
    towards
        (3,) about which way it faces, from another point on its axis; None where there is none. [-]

    Returns
    -------
    tuple or Cannot
        The problem, without photographs that show the rim edge-on, and the state with the rim in it; or why it
        cannot be found.
    """
    problem, seen = _without_edge_on(problem, state)
    if not seen:
        return Cannot(
            "No photograph shows enough of its rim for an ellipse: it is seen nearly edge-on, or too little of it is "
            "marked.",
            "Mark five places or more, well spread round the rim, in a photograph that looks at its face.",
        )
    outlines = problem.outlines
    measured = outlines.rim_radius_sigma_mm[0] != FREE
    if len(seen) == 1 and free and not measured:
        return Cannot(
            "Its face is seen in one photograph only and its diameter was not measured: a small one near by looks like "
            "a large one far away.",
            "Measure its diameter, or mark it in a second photograph from well to one side.",
        )
    centre = _middle(problem, state, seen, free)
    ranges = [np.linalg.norm(centre - eye_mm(state, each.photograph)) for each in seen]
    if measured:
        radius = float(outlines.rim_radius_mm[0])
    else:
        radius = float(
            np.mean([r / np.linalg.norm(each.view.middles[0]) for r, each in zip(ranges, seen, strict=True)])
        )
    points = state.points_mm.copy()
    points[outlines.rim_centre[0]] = centre
    free_points = outlines.rim_centre[:1] if free else outlines.rim_centre[:0]
    found = []
    for normal in _normals(problem, replace(state, points_mm=points), seen, radius):
        trial = replace(
            state, points_mm=points, outlined=Outlined(normals=normal[None], rim_radius_mm=np.array([radius]))
        )
        found.append(settled(problem, trial, free_points))
    return _chosen(problem, [each for each in found if each.seen], towards)


def _without_edge_on(problem: Problem, state: State) -> tuple[Problem, list[_Seen]]:
    outlines = problem.outlines
    kept = np.zeros(len(outlines.arc_px), dtype=bool)
    seen: list[_Seen] = []
    for photograph in np.unique(outlines.arc_photograph).tolist():
        rows = outlines.arc_photograph == photograph
        view = rim_view(flat_marks(problem, state, photograph, outlines.arc_px[rows]))
        least = _EDGE_ON_SIGMAS * float(outlines.arc_sigma_px[rows].mean()) / focal_px(problem, state, photograph)
        if view is not None and view.half_axes[1] > least:
            seen.append(_Seen(photograph, view))
            kept |= rows
    cut = with_marks(outlines, np.ones(len(outlines.edge_px), dtype=bool), kept)
    return replace(problem, outlines=cut), seen


def _middle(problem: Problem, state: State, seen: list[_Seen], free: bool) -> Array:
    """The rim's middle: the point's own place, where rays to the ellipses cross, or as far as its size says."""
    outlines = problem.outlines
    if not free:
        return np.asarray(state.points_mm[outlines.rim_centre[0]])
    turns = state.rotations[[each.photograph for each in seen]]
    eyes = np.array([eye_mm(state, each.photograph) for each in seen])
    middles = np.einsum("rji,rj->ri", turns, np.array([each.view.middles.mean(axis=0) for each in seen]))
    rays = middles / np.linalg.norm(middles, axis=1)[:, None]
    widest = float(np.degrees(np.arccos(np.clip((rays @ rays.T).min(), -1.0, 1.0))))
    if widest < _LEAST_CROSSING_DEG and outlines.rim_radius_sigma_mm[0] != FREE:
        return np.asarray((eyes + outlines.rim_radius_mm[0] * middles).mean(axis=0))
    square = np.eye(3) - rays[:, :, None] * rays[:, None, :]
    right = (square @ eyes[:, :, None])[:, :, 0].sum(axis=0)
    return np.asarray(np.linalg.solve(square.sum(axis=0) + 1e-9 * np.eye(3), right))


def _normals(problem: Problem, state: State, seen: list[_Seen], radius: float) -> list[Array]:
    """Ways it could lean, the likeliest first, none twice."""
    tried = [state.rotations[each.photograph].T @ normal for each in seen for normal in each.view.normals]
    rough = []
    for place, normal in enumerate(tried):
        outlined = Outlined(normals=normal[None], rim_radius_mm=np.array([radius]))
        none = problem.outlines.rim_centre[:0]
        rough.append((settled(problem, replace(state, outlined=outlined), none, steps=0).square, place))
    out: list[Array] = []
    for _, place in sorted(rough):
        if all(_angle_deg(tried[place], other) > _APART_DEG for other in out):
            out.append(tried[place])
    return out[:_MOST_SETTLED]


def _angle_deg(one: Array, other: Array) -> float:
    return float(np.degrees(np.arccos(min(1.0, abs(float(one @ other))))))


def _chosen(problem: Problem, found: list[Settled], towards: Array | None) -> tuple[Problem, State] | Cannot:
    found = sorted(found, key=lambda each: each.square)
    if not found or found[0].mark_rms > FITS_SIGMAS:
        return Cannot(
            "The marks round it do not lie on one circle, in one photograph or from photograph to photograph.",
            "See that one and the same edge is marked everywhere (not a chamfer's other edge, nor a hexagon), and that "
            "its diameter is right.",
        )
    best = found[0]
    normal = best.state.outlined.normals[0]
    rivals = [
        each for each in found[1:]
        if each.square - best.square < _TOLD_APART and _angle_deg(each.state.outlined.normals[0], normal) > _APART_DEG
    ]  # fmt: skip
    if rivals and towards is None:
        apart = _angle_deg(rivals[0].state.outlined.normals[0], normal)
        return Cannot(
            f"Two ways for it to lean, {apart:.0f} deg apart, explain its marks equally well.",
            "Mark it in a photograph from well to one side, or name another point on its axis.",
        )
    if towards is not None:
        best = min([best, *rivals], key=lambda each: _angle_deg(each.state.outlined.normals[0], towards))
    return problem, _facing(problem, best.state)


def _facing(problem: Problem, state: State) -> State:
    """The normal turned towards those who see the rim."""
    centre = state.points_mm[problem.outlines.rim_centre[0]]
    eyes = np.array([eye_mm(state, photograph) for photograph in np.unique(problem.outlines.arc_photograph).tolist()])
    normal = state.outlined.normals
    facing = float(np.sign(((eyes - centre) @ normal[0]).sum())) or 1.0
    return replace(state, outlined=replace(state.outlined, normals=facing * normal))
