"""The normal equations of the survey at one state of its unknowns.

Source: least squares by normal equations, the points kept in 3 x 3 blocks (Brown 1958, "bundle" adjustment).
Derivatives are held against numeric differences in `tests/unit/`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.layout import BREATHING, CAMERA_WIDTH, POSE, Layout
from trialfit.survey.outline_rows import outline_rows, rim_axes
from trialfit.survey.problem import FREE, HELD, Problem, State, card_points
from trialfit.survey.project import LENS_SIZE, Rays
from trialfit.survey.rays import NEAREST_MM, sighted, slopes_of

Array = NDArray[np.float64]
_CARD = slice(POSE + BREATHING + LENS_SIZE, CAMERA_WIDTH)


@dataclass(frozen=True)
class Rows:
    """Whitened observations at one state, with their derivatives.

    Parameters
    ----------
    off
        (n, 2) projected less marked, over its standard deviation. [-]
    by_camera
        (n, 2, 22) derivative by the photograph's pose, breathing, lens and the card. [-]
    by_point
        (n, 2, 3) derivative by the point; nought for card corners. [-]
    seen
        Whether every point lies in front of its camera.
    """

    off: Array
    by_camera: Array
    by_point: Array
    seen: bool


@dataclass(frozen=True)
class Normal:
    """Normal equations at one state.

    Parameters
    ----------
    head, head_right
        (h, h), (h,) cameras, lenses, card, linked points, tubes and rims. [-]
    cross
        (f, 3, h) between the eliminated points and those. [-]
    blocks, block_right
        (f, 3, 3), (f, 3) the eliminated points. [-]
    cost
        Sum of squares of all whitened residuals, priors included. [-]
    """

    head: Array
    head_right: Array
    cross: Array
    blocks: Array
    block_right: Array
    cost: float


def rays_of(problem: Problem, state: State) -> tuple[Rays, Array, Array]:
    """Project all card corners, then all marked points.

    Parameters
    ----------
    problem
        What was observed.
    state
        Where everything is taken to be.

    Returns
    -------
    tuple
        `Rays` of the k corners and j marks; (k, 3, 5) derivative of the corners by the card; (k + j, 2) marked
        less projected [px].
    """
    corners, by_card = card_points(problem, state.card)
    photograph = np.concatenate([problem.card_photograph, problem.mark_photograph])
    rays = sighted(problem, state, photograph, np.concatenate([corners, state.points_mm[problem.mark_point]]))
    return rays, by_card, np.concatenate([problem.card_px, problem.mark_px]) - rays.px


def whitened_rows(problem: Problem, state: State, mark_weight: Array | None = None) -> Rows:
    """All rays over their standard deviations, with derivatives.

    Parameters
    ----------
    problem
        What was observed.
    state
        Where everything is taken to be.
    mark_weight
        (j,) share of its full weight each mark is given, or None for all. [-]

    Returns
    -------
    Rows
        Card corners first, then marks, in the problem's order.
    """
    rays, by_card, off = rays_of(problem, state)
    k = len(problem.card_px)
    photograph = np.concatenate([problem.card_photograph, problem.mark_photograph])
    sigma = np.concatenate([np.full(k, problem.card_sigma_px), problem.mark_sigma_px])
    if mark_weight is not None:
        sigma[k:] = sigma[k:] / np.sqrt(np.maximum(mark_weight, 1e-300))
    by_camera, by_point = slopes_of(rays, state, photograph)
    by_camera[:k, :, _CARD] = by_point[:k] @ by_card
    by_point[:k] = 0.0
    per = 1.0 / sigma
    seen = bool((rays.depth_mm > NEAREST_MM).all())
    return Rows(-off * per[:, None], by_camera * per[:, None, None], by_point * per[:, None, None], seen)


def normal_equations(layout: Layout, state: State, mark_weight: Array | None = None) -> Normal:
    """Build the normal equations at one state.

    Parameters
    ----------
    layout
        Columns of the unknowns.
    state
        Where everything is taken to be.
    mark_weight
        (j,) share of its full weight each mark is given, or None for all. [-]

    Returns
    -------
    Normal
        The equations; their cost is infinite where a point lies behind a camera.
    """
    problem = layout.problem
    rows = whitened_rows(problem, state, mark_weight)
    n, c, o = problem.point_count, layout.active_count, layout.outline_columns.count
    # Behind the columns of cameras, lenses and card comes a spare one for all that is held, then tubes and rims.
    camera, camera_right = np.zeros((c + 1 + o, c + 1 + o)), np.zeros(c + 1 + o)
    k = len(problem.card_px)
    for photograph, columns in enumerate(layout.camera_columns):
        here = layout.ray_rows[photograph]
        flat = rows.by_camera[here].reshape(-1, CAMERA_WIDTH)
        camera[columns[:, None], columns] += flat.T @ flat
        camera_right[columns] += rows.off[here].ravel() @ flat
    by_point = rows.by_point[k:].transpose(0, 2, 1)
    crossed = by_point @ rows.by_camera[k:]
    summed = np.bincount(layout.cross_places, crossed.ravel(), n * 3 * (c + 1))
    cross = np.asarray(summed, dtype=np.float64).reshape(n, 3, c + 1)
    if o:
        cross = np.concatenate([cross, np.zeros((n, 3, o))], axis=2)
    blocks, block_right = np.zeros((n, 3, 3)), np.zeros((n, 3))
    np.add.at(blocks, problem.mark_point, by_point @ rows.by_point[k:])
    np.add.at(block_right, problem.mark_point, (by_point @ rows.off[k:, :, None])[:, :, 0])
    cost = float((rows.off**2).sum()) if rows.seen else float("inf")
    cost += _add_beliefs(layout, state, camera, camera_right)
    cost += _add_known(problem, state, blocks, block_right)
    if o:
        cost += _add_outlines(layout, state, camera, camera_right, cross, blocks, block_right)
    return _with_readings(layout, state, Normal(camera, camera_right, cross, blocks, block_right, cost))


def _add_beliefs(layout: Layout, state: State, camera: Array, right: Array) -> float:
    problem = layout.problem
    per_photograph = np.concatenate([np.zeros((problem.photograph_count, POSE)), state.breathing], axis=1)
    values = np.concatenate([per_photograph.ravel(), state.lenses.ravel(), state.card])
    believed = (layout.prior_sigma != HELD) & (layout.prior_sigma != FREE)
    columns, weight = layout.column[believed], layout.prior_sigma[believed] ** -2
    camera[columns, columns] += weight
    right[columns] += weight * values[believed]
    cost = float((weight * values[believed] ** 2).sum())
    card = layout.column[-5:]
    for axis, ratio, sigma in zip(problem.line_axis, problem.line_ratio, problem.line_sigma, strict=True):
        by = np.array([1.0, 0.5 if axis == 0 else -0.5]) / sigma
        off = (1.0 + state.card[0] + (0.5 if axis == 0 else -0.5) * state.card[1] - ratio) / sigma
        camera[np.ix_(card[:2], card[:2])] += np.outer(by, by)
        right[card[:2]] += by * off
        cost += float(off**2)
    return cost


def _add_known(problem: Problem, state: State, blocks: Array, right: Array) -> float:
    if not len(problem.known_point):
        return 0.0
    weight = problem.known_sigma_mm**-2
    off = state.points_mm[problem.known_point] - problem.known_mm
    np.add.at(blocks, problem.known_point, weight[:, None, None] * np.eye(3))
    np.add.at(right, problem.known_point, weight[:, None] * off)
    return float((weight[:, None] * off**2).sum())


def _add_outlines(
    layout: Layout, state: State, camera: Array, right: Array, cross: Array, blocks: Array, block_right: Array
) -> float:
    rows = outline_rows(layout, state)
    camera += rows.by_head.T @ rows.by_head
    right += rows.off @ rows.by_head
    for point in np.unique(rows.point[rows.point >= 0]).tolist():
        here = rows.point == point
        by_point = rows.by_point[here]
        cross[point] += by_point.T @ rows.by_head[here]
        blocks[point] += by_point.T @ by_point
        block_right[point] += rows.off[here] @ by_point
    return float(rows.off @ rows.off) if rows.seen else float("inf")


def _with_readings(layout: Layout, state: State, normal: Normal) -> Normal:
    problem, c, linked, single = layout.problem, layout.active_count, layout.linked, layout.single
    a, o = len(linked), layout.outline_columns.count
    head, right = np.zeros((c + 3 * a + o, c + 3 * a + o)), np.zeros(c + 3 * a + o)
    own, taken = slice(c + 3 * a, None), slice(c + 1, None)
    head[:c, :c], right[:c] = normal.head[:c, :c], normal.head_right[:c]
    if o:
        head[own, :c], head[own, own] = normal.head[taken, :c], normal.head[taken, taken]
        head[:c, own], right[own] = head[own, :c].T, normal.head_right[taken]
    if a:
        between = slice(c, c + 3 * a)
        head[between, :c] = normal.cross[linked, :, :c].reshape(3 * a, c)
        head[between, own] = normal.cross[linked, :, taken].reshape(3 * a, o)
        head[:c, between], head[own, between] = head[between, :c].T, head[between, own].T
        right[between] = normal.block_right[linked].ravel()
        for place, point in enumerate(linked):
            at = slice(c + 3 * place, c + 3 * place + 3)
            head[at, at] = normal.blocks[point]
    cost = normal.cost
    for (first, second), reading, sigma in zip(
        problem.reading_points, problem.reading_mm, problem.reading_sigma_mm, strict=True
    ):
        apart = state.points_mm[second] - state.points_mm[first]
        length = float(np.linalg.norm(apart))
        by = np.concatenate([-apart, apart]) / (length * sigma)
        off = (length - reading) / sigma
        places = layout.linked_place[[first, second]]
        columns = (c + 3 * places[:, None] + np.arange(3)).ravel()
        head[np.ix_(columns, columns)] += np.outer(by, by)
        right[columns] += by * off
        cost += off * off
    if len(problem.outlines.on_axis):
        apart_rows, by_head = rim_axes(layout, state)
        head += by_head.T @ by_head
        right += apart_rows @ by_head
        cost += float(apart_rows @ apart_rows)
    cross = np.zeros((len(single), 3, c + 3 * a + o))
    cross[:, :, :c], cross[:, :, own] = normal.cross[single, :, :c], normal.cross[single, :, taken]
    return Normal(head, right, cross, normal.blocks[single], normal.block_right[single], cost)
