"""What a laid-out pipe passes, how near, and how sure that is.

A gap moves with the pipe and with the thing. Between its two unions the pipe is taken to follow each of them the more
the nearer it is: what survey or bench would put its far end out by is drawn back to the far face in proportion. Pipe
and thing are taken as independent; what moves both together, as the card's scale does, then counts twice over.

Source: first-order propagation, JCGM 100:2008 section 5.2; `docs/methods/routes.md`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.finding import Figure
from trialfit.fitup.bends import BendLine, BendTable, Pose, bend_table, replay, start_pose
from trialfit.fitup.clearing import closest
from trialfit.fitup.landing import Scatter
from trialfit.fitup.obstacles import Around, Obstacle
from trialfit.fitup.offer import mismade, slip_k2s
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.route_records import Pass
from trialfit.fitup.sought import where_along
from trialfit.fitup.vectors import cross, cross_matrix
from trialfit.fitup.ways import ways_of
from trialfit.parts.solids import distance_mm

_STEP_MM = 1e-4
_SLIP = 1e-3


@dataclass(frozen=True, eq=False)
class _Slip:
    """One of the bench's own slips: the pipe mismade a little both ways, its end so moved, and the slip's k = 2."""

    fore: BendTable
    back: BendTable
    end_mm: Array
    k2: float


@dataclass(frozen=True, eq=False)
class _Pipe:
    """The pipe whose strays are wanted."""

    start: EndFace
    end: EndFace
    covariance: Array
    table: BendTable
    pose: Pose
    slips: tuple[_Slip, ...]


def passes_of(
    vertices_mm: Array,
    radius_mm: float,
    around: Around,
    start: EndFace,
    end: EndFace,
    covariance: Array,
    scatter: Scatter,
) -> tuple[Pass, ...]:
    """Say what a pipe passes.

    Parameters
    ----------
    vertices_mm
        (k + 2, 3) start face, k corners, end face. [mm]
    radius_mm
        Centre-line radius of its bends. [mm]
    around
        What stands round it.
    start, end
        The two faces.
    covariance
        (12, 12) joint covariance of start position, start direction, end position, end direction. [mm2, mm, 1]
    scatter
        The bench's own, k = 2.

    Returns
    -------
    tuple of Pass
        One a thing, the least room beyond what is wanted first.
    """
    ways = ways_of(vertices_mm[None], radius_mm)
    table, pose = bend_table(vertices_mm, radius_mm), start_pose(vertices_mm)
    pipe = _Pipe(start, end, covariance, table, pose, _slips(table, pose, scatter))
    found: dict[str, tuple[float, Pass]] = {}
    for touch in closest(ways, around):
        obstacle = around.obstacles[touch.obstacle]
        nearest = found.get(obstacle.name)
        if not np.isfinite(touch.spare_mm) or (nearest is not None and nearest[0] <= touch.spare_mm):
            continue
        point = ways.points_mm(np.zeros(1, dtype=int), np.array([touch.at_mm]))[0]
        sigma = _sigma_mm(pipe, obstacle, point, touch.at_mm)
        gap = Figure(touch.spare_mm + obstacle.needs_mm, "mm", 2 * sigma if sigma > 0 else None, 1)
        found[obstacle.name] = (
            touch.spare_mm,
            Pass(
                obstacle.words,
                where_along(ways, touch.at_mm),
                Figure(touch.at_mm, "mm", None, 0),
                gap,
                Figure(obstacle.needs_mm, "mm", None, 1),
                obstacle.covariance is not None,
                point,
            ),
        )
    return tuple(each for _, each in sorted(found.values(), key=lambda pair: pair[0]))


def _sigma_mm(pipe: _Pipe, obstacle: Obstacle, point: Array, at_mm: float) -> float:
    """One standard deviation of the gap."""
    steps = np.concatenate([np.eye(3), -np.eye(3)]) * _STEP_MM
    ends = distance_mm(obstacle.solid, point + steps)
    out = (ends[:3] - ends[3:]) / (2 * _STEP_MM)
    out = out / max(float(np.linalg.norm(out)), 1e-9)
    stray = _stray_covariance(pipe, point, at_mm)
    square = float(out @ stray @ out)
    if obstacle.covariance is not None and obstacle.origin_mm is not None:
        skin = point - float(distance_mm(obstacle.solid, point[None])[0]) * out
        row = np.concatenate([out, cross(skin - obstacle.origin_mm, out)])
        square += float(row @ obstacle.covariance @ row)
    return float(max(square, 0.0) ** 0.5)


def _stray_covariance(pipe: _Pipe, point: Array, at_mm: float) -> Array:
    """(3, 3) covariance of a place on the pipe once both its ends are home."""
    share = min(max(at_mm / pipe.table.centre_line_mm, 0.0), 1.0)
    rest = point - pipe.start.position_mm - share * (pipe.end.position_mm - pipe.start.position_mm)
    nought = np.zeros((3, 3))
    slopes = np.hstack(
        [
            (1 - share) * np.eye(3),
            -cross_matrix(rest) @ cross_matrix(pipe.start.direction),
            share * np.eye(3),
            nought,
        ]
    )
    columns = []
    piece, part = _piece(pipe.table, at_mm)
    for slip in pipe.slips:
        here = _place(slip.fore, pipe.pose, piece, part) - _place(slip.back, pipe.pose, piece, part)
        columns.append((here - share * slip.end_mm) / (2 * _SLIP) * slip.k2 / 2)
    bench = np.array(columns).T
    return np.asarray(slopes @ pipe.covariance @ slopes.T + bench @ bench.T)


def _slips(table: BendTable, pose: Pose, scatter: Scatter) -> tuple[_Slip, ...]:
    found, k2s = [], slip_k2s(table, scatter)
    for by, k2 in zip(np.eye(len(k2s)) * _SLIP, k2s, strict=True):
        fore, back = mismade(table, by), mismade(table, -by)
        found.append(_Slip(fore, back, replay(fore, pose).position_mm - replay(back, pose).position_mm, float(k2)))
    return tuple(found)


def _piece(table: BendTable, at_mm: float) -> tuple[int, float]:
    """In which straight or arc a place lies, counted from nought, and how far along it as a share."""
    pieces = [length for line, arc in zip(table.lines, table.arcs_mm, strict=True) for length in (line.feed_mm, arc)]
    rest = at_mm
    for place, length in enumerate(pieces):
        if rest <= length:
            return place, rest / length if length > 0 else 0.0
        rest -= length
    return len(pieces), rest / table.last_straight_mm if table.last_straight_mm > 0 else 0.0


def _place(table: BendTable, start: Pose, piece: int, part: float) -> Array:
    """The place at a share of a piece of a table."""
    whole, arc = divmod(piece, 2)
    lines = table.lines[:whole]
    if arc:
        line = table.lines[whole]
        return replay(
            BendTable(table.radius_mm, (*lines, BendLine(line.feed_mm, line.rotation_deg, part * line.angle_deg)), 0.0),
            start,
        ).position_mm
    last = table.lines[whole].feed_mm if whole < len(table.lines) else table.last_straight_mm
    return replay(BendTable(table.radius_mm, lines, part * last), start).position_mm
