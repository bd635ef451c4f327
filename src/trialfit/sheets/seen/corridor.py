"""How far to either side of where it is drawn a pipe may lie."""

from __future__ import annotations

import numpy as np

from trialfit.fitup.carried import spread_of
from trialfit.fitup.held_shape import shape_of, vertices_of
from trialfit.fitup.records import EndFace, PipePlan
from trialfit.parts.placement import Array
from trialfit.sheets.pose import rounded
from trialfit.sheets.seen.eye import Eye
from trialfit.survey.project import project

STATIONS = 90


def centre_line(pipe: PipePlan) -> Array:
    """Points along a pipe's centre line, evenly apart.

    Parameters
    ----------
    pipe
        The pipe.

    Returns
    -------
    Array
        (STATIONS, 3) from face to face. [mm]
    """
    return _evenly(pipe.vertices_mm, pipe.radius_mm, STATIONS)


def centre_line_spread(pipe: PipePlan, covariance: Array) -> Array:
    """Covariance of each point of a pipe's centre line, from that of its two faces.

    Parameters
    ----------
    pipe
        The pipe.
    covariance
        (12, 12) joint covariance of start position, start direction, end position, end direction. [mm2, mm, 1]

    Returns
    -------
    Array
        (STATIONS, 3, 3) covariance of each. [mm2]

    Source
    ------
    First-order propagation of covariance, JCGM 102:2011 section 6.2.
    """
    shape = shape_of(pipe.vertices_mm, pipe.radius_mm)

    def line(start: EndFace, end: EndFace) -> Array:
        return _evenly(vertices_of(start, end, shape), pipe.radius_mm, STATIONS).ravel()

    spread = spread_of(line, pipe.start, pipe.end, covariance, np.zeros(3 * STATIONS, dtype=bool))
    own = np.arange(3 * STATIONS).reshape(STATIONS, 3)
    return np.asarray(spread[own[:, :, None], own[:, None, :]])


def aside_k2_px(line_mm: Array, spread_mm2: Array, eye: Eye) -> tuple[Array, Array, Array]:
    """How far a line may lie to either side of where it is seen.

    Parameters
    ----------
    line_mm
        (n, 3) points along it. [mm]
    spread_mm2
        (n, 3, 3) covariance of each. [mm2]
    eye
        From where it is seen.

    Returns
    -------
    tuple
        (n, 2) where the points are seen [px]; (n, 2) unit vectors across the line there [-]; (n,) k = 2 along those
        [px].
    """
    count = len(line_mm)
    px, _ = eye.seen(line_mm)
    rays = project(
        line_mm, np.broadcast_to(eye.turn, (count, 3, 3)), np.broadcast_to(eye.shift_mm, (count, 3)),
        np.full(count, eye.focal_px), np.broadcast_to(eye.centre_px, (count, 2)), np.broadcast_to(eye.lens, (count, 5)),
    )  # fmt: skip
    slopes = rays.by_camera @ eye.turn
    along = np.gradient(px, axis=0)
    across = np.column_stack([-along[:, 1], along[:, 0]])
    across = across / np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-9)
    row = np.einsum("nj,njk->nk", across, slopes)
    return px, across, 2.0 * np.sqrt(np.maximum(np.einsum("nj,njk,nk->n", row, spread_mm2, row), 0.0))


def _evenly(vertices_mm: Array, radius_mm: float, count: int) -> Array:
    line, _ = rounded(vertices_mm, radius_mm, 1.0)
    lengths = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    at = np.linspace(0.0, lengths[-1], count)
    return np.column_stack([np.interp(at, lengths, line[:, k]) for k in range(3)])
