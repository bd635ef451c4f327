"""The job's tubes and rims, and the marks on them, as numbered outlines.

Source: bookkeeping only. That a hand marks edges up to 1 px (k = 2) too far out or in on average is common practice,
no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.job.records import Job
from trialfit.job.rims import RimEntry
from trialfit.job.tubes import Clicks, TubeEntry
from trialfit.survey.beliefs import FREE, HELD
from trialfit.survey.gather import DEFAULT_MARK_SIGMA_PX, Sighted
from trialfit.survey.outline_names import MarkName, OutlineNames
from trialfit.survey.outlines import Outlines
from trialfit.survey.photograph import Photograph
from trialfit.survey.sensor import to_sensor

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_OUTSIDE_SIGMA_PX = 0.5


def gather_outlines(
    job: Job, sighted: Sighted, photographs: tuple[str, ...], points: tuple[str, ...]
) -> tuple[Outlines, OutlineNames]:
    """Number everything that bears on the job's tubes and rims.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its photographs.
    photographs
        Names of the photographs, in the problem's order.
    points
        Names of the points that are solved for; every rim's middle is among them.

    Returns
    -------
    tuple
        The outlines, no mark on a side yet, and the names behind their numbers.

    Raises
    ------
    Refusal
        A mark lies outside its photograph.
    """
    tubes, rims = tuple(job.tubes), tuple(name for name, rim in job.rims.items() if rim.centre in points)
    edges, all_arcs = _edges(job, sighted, photographs, tubes), _arcs(job, sighted, photographs)
    arcs = [row for row in all_arcs if row.name.on in rims]
    legs = tuple(f"{name}.leg{n + 1}" for name in tubes for n in range(job.tubes[name].bends + 1))
    axis = {name: place for place, name in enumerate((*legs, *rims))}
    number = {name: place for place, name in enumerate(points)}
    on = [(number[point], axis[which], sigma) for point, which, sigma in _on_axis(job, tubes, rims) if point in number]
    sigma = _edge_sigma_px(job)
    radii = [_bend_radius(job.tubes[name]) for name in tubes]
    diameters = [_half_diameter(job.rims[name]) for name in rims]
    outlines = Outlines(
        tube_bends=np.array([job.tubes[name].bends for name in tubes], dtype=np.intp),
        od_mm=np.array([job.tubes[name].od.value_mm for name in tubes]),
        od_sigma_mm=np.array([job.tubes[name].od.sigma_mm for name in tubes]),
        bend_radius_mm=np.array([radius for radius, _ in radii]),
        bend_radius_sigma_mm=np.array([spread for _, spread in radii]),
        rim_centre=np.array([number[job.rims[name].centre] for name in rims], dtype=np.intp),
        rim_radius_mm=np.array([radius for radius, _ in diameters]),
        rim_radius_sigma_mm=np.array([spread for _, spread in diameters]),
        edge_photograph=np.array([row.photograph for row in edges], dtype=np.intp),
        edge_tube=np.array([row.on for row in edges], dtype=np.intp),
        edge_piece=np.array([row.piece for row in edges], dtype=np.intp),
        edge_side=np.zeros(len(edges)),
        edge_px=np.array([row.px for row in edges]).reshape(-1, 2),
        edge_sigma_px=np.full(len(edges), sigma),
        edge_number=np.arange(len(edges)),
        arc_photograph=np.array([row.photograph for row in arcs], dtype=np.intp),
        arc_rim=np.array([rims.index(row.name.on) for row in arcs], dtype=np.intp),
        arc_px=np.array([row.px for row in arcs]).reshape(-1, 2),
        arc_sigma_px=np.full(len(arcs), sigma),
        arc_number=np.array([k for k, row in enumerate(all_arcs) if row.name.on in rims], dtype=np.intp),
        on_point=np.array([point for point, _, _ in on], dtype=np.intp),
        on_axis=np.array([which for _, which, _ in on], dtype=np.intp),
        on_sigma_mm=np.array([spread for _, _, spread in on]),
        outside_sigma_px=_OUTSIDE_SIGMA_PX,
    )
    named = tuple(row.name for row in edges), tuple(row.name for row in all_arcs)
    return outlines, OutlineNames(tubes, rims, legs, *named)


@dataclass(frozen=True)
class _Marked:
    photograph: int
    on: int
    piece: int
    px: Array
    name: MarkName


def _edges(job: Job, sighted: Sighted, photographs: tuple[str, ...], tubes: tuple[str, ...]) -> list[_Marked]:
    out: list[_Marked] = []
    for place, photograph in enumerate(photographs):
        for tube, pieces in job.edges.get(photograph, {}).items():
            for piece, clicks in pieces.items():
                number = 2 * (int(piece.lstrip("legbnd")) - 1) + piece.startswith("bend")
                name = f"{tube}.{piece}"
                out += _marked(
                    sighted.photographs[photograph], place, photograph, tubes.index(tube), number, name, clicks
                )
    return out


def _arcs(job: Job, sighted: Sighted, photographs: tuple[str, ...]) -> list[_Marked]:
    out: list[_Marked] = []
    for place, photograph in enumerate(photographs):
        for rim, clicks in job.rim_marks.get(photograph, {}).items():
            out += _marked(sighted.photographs[photograph], place, photograph, 0, 0, rim, clicks)
    return out


def _marked(
    picture: Photograph, place: int, photograph: str, on: int, piece: int, name: str, clicks: Clicks
) -> list[_Marked]:
    px = np.array(clicks, dtype=np.float64).reshape(-1, 2)
    outside = (px < -0.5).any(axis=1) | (px[:, 0] >= picture.width_px) | (px[:, 1] >= picture.height_px)
    if outside.any():
        x, y = px[int(outside.argmax())]
        raise Refusal(
            f"mark on {name} in photograph {photograph}", f"({x:g}, {y:g}) px",
            f"inside the picture of {picture.width_px} x {picture.height_px} px",
            "Marks count from the top left of the upright original; was it read off a smaller copy?",
        )  # fmt: skip
    stored = to_sensor(px, picture.width_px, picture.height_px, picture.quarter_turns)
    return [_Marked(place, on, piece, at, MarkName(name, photograph, n + 1)) for n, at in enumerate(stored)]


def _edge_sigma_px(job: Job) -> float:
    if job.survey is None:
        return DEFAULT_MARK_SIGMA_PX
    return float((job.survey.edge_pm or job.survey.mark_pm).to("px")) / 2.0


def _bend_radius(tube: TubeEntry) -> tuple[float, float]:
    if not tube.bends:
        return 1.0, HELD
    return (1.0, FREE) if tube.bend_radius is None else (tube.bend_radius.value_mm, tube.bend_radius.sigma_mm)


def _half_diameter(rim: RimEntry) -> tuple[float, float]:
    return (1.0, FREE) if rim.diameter is None else (rim.diameter.value_mm / 2.0, rim.diameter.sigma_mm / 2.0)


def _on_axis(job: Job, tubes: tuple[str, ...], rims: tuple[str, ...]) -> list[tuple[str, str, float]]:
    """Points said to lie on axes: point, axis, one standard deviation each way across."""
    held: list[tuple[TubeEntry | RimEntry, Mapping[str, tuple[str, ...]]]] = [
        *((job.tubes[name], {f"{name}.{leg}": on for leg, on in job.tubes[name].on_axis.items()}) for name in tubes),
        *((job.rims[name], {name: job.rims[name].on_axis}) for name in rims),
    ]
    return [
        (point, axis, float(entry.on_axis_pm.to("mm")) / 2.0)
        for entry, axes in held
        for axis, points in axes.items()
        for point in points
        if entry.on_axis_pm is not None
    ]
