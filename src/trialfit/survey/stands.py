"""Places to stand for one more photograph, and what would be seen from them.

What would be seen is guessed: a point is taken to show where the nearest photograph that has it within its edges
marks it, and not where that photograph leaves it unmarked or stands far round. A face that was measured and never
marked is taken to show, if it is lit, from wherever its port points.

Source: geometry; the grid, the least distance a phone focuses at and how far round a guess holds are assumed (common
practice).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.adjust import Adjusted
from trialfit.survey.problem import Problem, State
from trialfit.survey.project import Rays
from trialfit.survey.rays import NEAREST_MM, sighted
from trialfit.survey.standing import Bearing, Ground, eyes_mm, looking

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

_AZIMUTHS_DEG = (-80.0, -60.0, -40.0, -20.0, 0.0, 20.0, 40.0, 60.0, 80.0)
_HEIGHTS_DEG = (10.0, 25.0, 45.0, 65.0)
_SHARES = (0.7, 1.0, 1.4)
_FOCUS_MM = 180.0
_ABOVE_BENCH_MM = 30.0
_ROUND_DEG = 45.0
_FACING_DEG = 65.0
_EDGE = 0.03
_CARD_LEAST_DEG = 12.0
_LENS_REACH = 1.05


@dataclass(frozen=True)
class Stands:
    """Photographs that might be taken, by index.

    Parameters
    ----------
    bearings
        Where each is taken from; each stands twice, first with the card in view, then without.
    with_card
        (s,) whether the card is in view. [-]
    state
        The survey's state with these photographs in place of those that are there.
    problem
        The survey's problem with these photographs in place of those that are there, and every corner of the card.
    points
        (s, n) which points would show. [-]
    corners
        (s, k) which corners of the card would. [-]
    """

    bearings: tuple[Bearing, ...]
    with_card: Flags
    state: State
    problem: Problem
    points: Flags
    corners: Flags

    def some(self, places: Indices) -> Stands:
        """Keep some of them.

        Parameters
        ----------
        places
            (q,) which. [-]

        Returns
        -------
        Stands
            Those, in that order.
        """
        state = replace(
            self.state,
            rotations=self.state.rotations[places],
            translations_mm=self.state.translations_mm[places],
            breathing=self.state.breathing[places],
        )
        problem = replace(self.problem, lens_of_photograph=self.problem.lens_of_photograph[places])
        bearings = tuple(self.bearings[k] for k in places.tolist())
        return Stands(
            bearings, self.with_card[places], state, problem, self.points[places], self.corners[places]
        )  # fmt: skip


def grid(ground: Ground, eyes: Array) -> tuple[Bearing, ...]:
    """Places to stand round an engine, as near and as far as one stood before.

    Parameters
    ----------
    ground
        The engine.
    eyes
        (m, 3) where the photographs so far were taken from. [mm]

    Returns
    -------
    tuple of Bearing
        Above the bench, and not nearer than a phone focuses.
    """
    usual = float(np.median([ground.bearing(eye).distance_mm for eye in eyes]))
    found = []
    for share in _SHARES:
        distance = max(10.0 * round(share * usual / 10.0), _FOCUS_MM)
        for height in _HEIGHTS_DEG:
            for azimuth in _AZIMUTHS_DEG:
                bearing = Bearing(azimuth, height, distance)
                if float(ground.eye_mm(bearing) @ ground.up) >= _ABOVE_BENCH_MM:
                    found.append(bearing)
    return tuple(dict.fromkeys(found))


def stands_at(
    adjusted: Adjusted,
    kept: Flags,
    ground: Ground,
    bearings: tuple[Bearing, ...],
    corners_mm: Array,
    there: Flags,
    unmarked: Mapping[int, Array] | None = None,
) -> Stands:
    """Photographs from some places, each with and without the card, and what would be seen in them.

    Parameters
    ----------
    adjusted
        The survey.
    kept
        (j,) which of its marks it rests on. [-]
    ground
        The engine as one stands before it.
    bearings
        The places.
    corners_mm
        (k, 2) every corner of the card on the print; none where no photograph shows it. [mm]
    there
        (n,) which points are still on the engine. [-]
    unmarked
        (3,) unit vector each face points along that was measured and never marked, by the point in its middle. [-]

    Returns
    -------
    Stands
        Twice as many as there are places, less those with the card where too little of it would show.
    """
    problem, state = adjusted.layout.problem, adjusted.state
    lens = int(np.bincount(problem.lens_of_photograph).argmax())
    eyes = np.array([ground.eye_mm(bearing) for bearing in bearings])
    card_mm = np.concatenate([corners_mm, np.zeros((len(corners_mm), 1))], axis=1)
    between = (ground.aim_mm + card_mm.mean(axis=0)) / 2.0 if len(card_mm) else ground.aim_mm
    at = np.concatenate([np.tile(between, (len(eyes), 1)), np.tile(ground.aim_mm, (len(eyes), 1))])
    both = np.concatenate([eyes, eyes])
    rotations, translations = looking(both, at, ground.up)
    with_card = np.arange(len(both)) < len(eyes)
    made = replace(
        state, rotations=rotations, translations_mm=translations, breathing=np.zeros((len(both), 3))
    )  # fmt: skip
    as_new = replace(
        problem, lens_of_photograph=np.full(len(both), lens, dtype=np.intp), card_xy_mm=corners_mm
    )  # fmt: skip
    shows = _shows(adjusted, kept, both)
    for point, way in (unmarked or {}).items():
        shows[:, point] |= _ways(both, state.points_mm[point : point + 1])[:, 0] @ way >= np.cos(
            np.radians(_FACING_DEG)
        )
    points = in_frame(as_new, made, state.points_mm) & there & shows
    steep = _above_card_deg(both, card_mm) >= _CARD_LEAST_DEG
    corners = in_frame(as_new, made, card_mm) & (with_card & steep)[:, None]
    return Stands((*bearings, *bearings), with_card, made, as_new, points, corners)


def in_frame(problem: Problem, state: State, places_mm: Array) -> Flags:
    """Which places lie within the edges of which photographs.

    Parameters
    ----------
    problem
        With m photographs and their lenses.
    state
        Where they are taken to stand.
    places_mm
        (n, 3) places in the job frame. [mm]

    Returns
    -------
    Flags
        (m, n) whether each lies in the picture, not quite at its edge. [-]
    """
    m, n = problem.photograph_count, len(places_mm)
    photograph = np.repeat(np.arange(m), n)
    rays = sighted(problem, state, photograph, np.tile(places_mm, (m, 1)))
    size = 2.0 * problem.centre_start_px[problem.lens_of_photograph[photograph]] + 1.0
    inside = ((rays.px >= _EDGE * size) & (rays.px <= (1.0 - _EDGE) * size)).all(axis=1)
    return np.asarray((inside & (rays.depth_mm > NEAREST_MM) & _within_lens(problem, state, rays)).reshape(m, n))


def _within_lens(problem: Problem, state: State, rays: Rays) -> Flags:
    """Beyond the picture's corners the lens's polynomial means nothing and may fold back into the picture."""
    count = len(rays.px) // problem.photograph_count
    photograph = np.repeat(np.arange(problem.photograph_count), count)
    lens = problem.lens_of_photograph[photograph]
    camera = rays.turned + state.translations_mm[photograph]
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.linalg.norm(camera[:, :2], axis=1) / camera[:, 2]
    focal = problem.focal_start_px[lens] * np.exp(state.lenses[lens, 0])
    return np.asarray(off * focal <= _LENS_REACH * np.linalg.norm(problem.centre_start_px[lens], axis=1))


def _shows(adjusted: Adjusted, kept: Flags, eyes: Array) -> Flags:
    """(s, n) whether the nearest photograph that could show a point marks it, and stands near enough to go by."""
    problem, state = adjusted.layout.problem, adjusted.state
    marked = np.zeros((problem.photograph_count, problem.point_count), dtype=bool)
    marked[problem.mark_photograph[kept], problem.mark_point[kept]] = True
    could = in_frame(problem, state, state.points_mm) | marked
    before, after = _ways(eyes_mm(state), state.points_mm), _ways(eyes, state.points_mm)
    cosine = np.einsum("snx,mnx->smn", after, before)
    cosine = np.where(could[None], cosine, -2.0)
    nearest = cosine.argmax(axis=1)
    points = np.arange(problem.point_count)
    near = cosine.max(axis=1) >= np.cos(np.radians(_ROUND_DEG))
    return np.asarray(near & marked[nearest, points[None, :]])


def _ways(eyes: Array, points_mm: Array) -> Array:
    away = eyes[:, None] - points_mm[None]
    return np.asarray(away / np.linalg.norm(away, axis=2)[:, :, None])


def _above_card_deg(eyes: Array, card_mm: Array) -> Array:
    if not len(card_mm):
        return np.zeros(len(eyes))
    away = eyes - card_mm.mean(axis=0)
    return np.asarray(np.degrees(np.arctan2(away[:, 2], np.linalg.norm(away[:, :2], axis=1))))
