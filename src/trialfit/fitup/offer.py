"""How a pipe lies when it is offered up: how far its end is off the face, axis and all, and how far that may stray.

The pipe is made from the bend table at the bench and seated in its first union as it stands on the engine, which is
not quite where the survey says. What is left at the far end is, to first order, the sum of what each of these does.

Source: rigid motions, as `docs/methods/fitup.md` has them; first-order propagation, JCGM 100:2008 section 5.2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.bends import BendLine, BendTable, Pose, bend_table, replay, start_pose
from trialfit.fitup.landing import Scatter
from trialfit.fitup.records import Array, EndFace, PipePlan
from trialfit.fitup.vectors import cross, cross_matrix

_SLIP = 1e-3


@dataclass(frozen=True)
class Offer:
    """The far end of a pipe against its union, before it is rolled to suit.

    Parameters
    ----------
    off
        (6,) where the end is meant to be: off the face [mm], out of line [-].
    survey, bench
        (6, 6) covariance of the same from the survey and from the bench. [mm2, mm, 1]
    swing
        (6,) what one radian of roll about the first axis does. [mm, -]
    axis
        (3,) unit vector of the far union, the way the pipe runs into it. [-]
    """

    off: Array
    survey: Array
    bench: Array
    swing: Array
    axis: Array


def offer_of(pipe: PipePlan, covariance: Array, scatter: Scatter) -> Offer:
    """Offer a pipe up to its far union.

    Parameters
    ----------
    pipe
        The pipe, laid out.
    covariance
        (12, 12) of start position, start direction, end position, end direction. [mm2, mm, 1]
    scatter
        The bench's own, k = 2.

    Returns
    -------
    Offer
        What is left at the far end.
    """
    table, start = bend_table(pipe.vertices_mm, pipe.radius_mm), start_pose(pipe.vertices_mm)
    there = replay(table, start)
    off = np.concatenate([there.position_mm - pipe.end.position_mm, there.direction + pipe.end.direction])
    slopes = face_slopes(pipe.start, pipe.end)
    bench = bench_columns(table, start, scatter)
    lever = there.position_mm - pipe.start.position_mm
    swing = np.concatenate([cross(pipe.start.direction, lever), cross(pipe.start.direction, there.direction)])
    return Offer(off, slopes @ covariance @ slopes.T, bench @ bench.T, swing, -pipe.end.direction)


def face_slopes(start: EndFace, end: EndFace) -> Array:
    """How the far end of a pipe made to the table strays when the two faces are not where they were said to be.

    Parameters
    ----------
    start, end
        The two faces as surveyed.

    Returns
    -------
    Array
        (6, 12) derivative of off [-, mm] and out of line [1/mm, -] by start position, start direction, end position,
        end direction; the pipe goes with its first union and is not rolled.
    """
    lever, inward = end.position_mm - start.position_mm, -end.direction
    tilt = cross_matrix(start.direction)
    one, nought = np.eye(3), np.zeros((3, 3))
    off = np.hstack([one, -cross_matrix(lever) @ tilt, -one, nought])
    turned = np.hstack([nought, -cross_matrix(inward) @ tilt, nought, one])
    return np.vstack([off, turned])


def bench_columns(table: BendTable, start: Pose, scatter: Scatter) -> Array:
    """What one standard deviation of each of the bench's slips does at the far end.

    Parameters
    ----------
    table
        The pipe from face to face.
    start
        Where it begins.
    scatter
        The bench's own, k = 2.

    Returns
    -------
    Array
        (6, m) a column a slip: moved [mm], turned [-]. The turn of the first bend is roll, and no slip.
    """
    k2s = slip_k2s(table, scatter)
    columns = []
    for place, k2 in enumerate(k2s):
        by = np.zeros(len(k2s))
        by[place] = _SLIP
        fore, back = (replay(mismade(table, slip), start) for slip in (by, -by))
        moved = np.concatenate([fore.position_mm - back.position_mm, fore.direction - back.direction])
        columns.append(moved / (2 * _SLIP) * k2 / 2)
    return np.array(columns).T


def slip_k2s(table: BendTable, scatter: Scatter) -> list[float]:
    """Two standard deviations of every slip that a bench makes on one pipe, in the order of `mismade`.

    Parameters
    ----------
    table
        The pipe from face to face.
    scatter
        The bench's own, k = 2.

    Returns
    -------
    list
        One a slip. [mm or deg]
    """
    return [k2 for k in range(len(table.lines)) for k2 in _of_line(k, scatter)] + [scatter.length_mm]


def mismade(table: BendTable, by: Array) -> BendTable:
    """A bend table as a bench that slips makes it.

    Parameters
    ----------
    table
        The pipe from face to face.
    by
        (m,) slips: feed and angle of the first bend; feed, rotation and angle of each other; the last straight.
        [mm or deg]

    Returns
    -------
    BendTable
        What comes out.
    """
    left = iter(by.tolist())
    lines = []
    for k, line in enumerate(table.lines):
        feed = next(left)
        rotation = next(left) if k else 0.0
        lines.append(BendLine(line.feed_mm + feed, line.rotation_deg + rotation, line.angle_deg + next(left)))
    return BendTable(table.radius_mm, tuple(lines), table.last_straight_mm + next(left))


def _of_line(place: int, scatter: Scatter) -> tuple[float, ...]:
    turn = (scatter.rotation_deg,) if place else ()
    return (scatter.length_mm, *turn, scatter.bend_deg)
