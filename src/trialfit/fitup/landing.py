"""How far the far end strays: from slips at the bench, and from what the survey does not know.

Source: first-order propagation of covariance through the rigid motions in `docs/methods/fitup.md`; the three figures
of a bench's scatter are the shop's own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import degrees

import numpy as np

from trialfit.finding import Figure
from trialfit.fitup.bends import BendLine, BendTable, Pose, replay
from trialfit.fitup.records import Amplification, Array, EndFace
from trialfit.fitup.vectors import angle_between_deg, cross, cross_matrix
from trialfit.job.shop import BenchScatter

# A lever shorter than this about the first union's axis cannot be rolled to any purpose.
_NO_LEVER_MM = 5.0


@dataclass(frozen=True)
class Scatter:
    """How far a bench's pipes stray from what was wanted, each two standard deviations.

    Parameters
    ----------
    length_mm
        A straight. [mm]
    bend_deg
        The angle of one bend. [deg]
    rotation_deg
        The turn between two bends. [deg]
    """

    length_mm: float
    bend_deg: float
    rotation_deg: float


@dataclass(frozen=True)
class Strays:
    """How far the far end strays, two standard deviations in the worst direction.

    Parameters
    ----------
    off_mm
        Off its face. [mm]
    turned_deg
        Off its axis. [deg]
    """

    off_mm: float
    turned_deg: float


@dataclass(frozen=True)
class _Slip:
    words: str
    table: BendTable
    size: float
    k2: float


def scatter_of(bench: BenchScatter) -> Scatter:
    """Take the scatter from what the shop has written down.

    Parameters
    ----------
    bench
        The shop's own figures, k = 2.

    Returns
    -------
    Scatter
        The same as plain numbers.
    """
    return Scatter(float(bench.length.to("mm")), float(bench.bend.to("deg")), float(bench.rotation.to("deg")))


def amplifications(table: BendTable, start: Pose) -> tuple[Amplification, ...]:
    """Say what one degree or one millimetre of slip does at the far face, the start held fast.

    Parameters
    ----------
    table
        The pipe from face to face.
    start
        Where it begins.

    Returns
    -------
    tuple
        Bend by bend: its rotation, its angle; then each leg.
    """
    meant = replay(table, start)
    found = []
    for slip in _slips(table, Scatter(1.0, 1.0, 1.0), 1.0):
        there = replay(slip.table, start)
        moves = float(np.linalg.norm(there.position_mm - meant.position_mm))
        turns = angle_between_deg(there.direction, meant.direction)
        found.append(Amplification(slip.words, Figure(moves, "mm", None, 1), Figure(turns, "deg", None, 1)))
    return tuple(found)


def bench_strays(table: BendTable, start: Pose, scatter: Scatter) -> Strays:
    """Far-end scatter of pipes made at this bench, each rolled in its first union to suit.

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
    Strays
        From the bench alone.
    """
    meant = replay(table, start)
    columns = []
    for slip in _slips(table, scatter, 1e-3):
        there = replay(slip.table, start)
        moved = np.concatenate([there.position_mm - meant.position_mm, there.direction - meant.direction])
        columns.append(moved / slip.size * slip.k2 / 2)
    slips = np.array(columns).T
    return _strays(slips @ slips.T, _roll(start, meant))


def survey_strays(start: EndFace, end: EndFace, covariance: Array) -> Strays:
    """How far off the far end of a pipe made exactly to the table may be, for what the survey does not know.

    Parameters
    ----------
    start, end
        The two faces as surveyed.
    covariance
        (12, 12) of start position, start direction, end position, end direction. [mm2, mm, 1]

    Returns
    -------
    Strays
        From the survey alone, the pipe rolled in its first union to suit.
    """
    slopes = stray_slopes(start, end)
    return _worst(slopes @ covariance @ slopes.T)


def stray_slopes(start: EndFace, end: EndFace) -> Array:
    """How the far end of a pipe made exactly to the table strays when the two faces are not quite where they were said.

    Parameters
    ----------
    start, end
        The two faces as surveyed.

    Returns
    -------
    Array
        (6, 12) derivative of how far it is off [-, mm] and turned [1/mm, -] by start position, start direction, end
        position, end direction, the pipe rolled in its first union to suit.
    """
    lever = end.position_mm - start.position_mm
    tilt = cross_matrix(start.direction)
    nought = np.zeros((3, 3))
    off = np.hstack([-np.eye(3), cross_matrix(lever) @ tilt, np.eye(3), nought])
    turned = np.hstack([nought, cross_matrix(end.direction) @ tilt, nought, np.eye(3)])
    here = Pose(start.position_mm, start.direction, start.direction)
    there = Pose(end.position_mm, -end.direction, start.direction)
    flip = np.diag([1.0, 1.0, 1.0, -1.0, -1.0, -1.0])
    return np.asarray(_roll(here, there) @ flip @ np.vstack([off, turned]))


def _slips(table: BendTable, scatter: Scatter, part: float) -> list[_Slip]:
    """The table with one figure slipped at a time, by `part` of a millimetre or degree."""
    slips = []
    for k, line in enumerate(table.lines):
        kinds = [("angle_deg", f"1 deg at bend {k + 1}", scatter.bend_deg)]
        if k:
            kinds.insert(0, ("rotation_deg", f"1 deg of rotation before bend {k + 1}", scatter.rotation_deg))
        for key, words, k2 in kinds:
            wrong = BendLine(
                line.feed_mm,
                line.rotation_deg + (part if key == "rotation_deg" else 0.0),
                line.angle_deg + (part if key == "angle_deg" else 0.0),
            )
            slips.append(_Slip(words, _with_line(table, k, wrong), part, k2))
    for k, line in enumerate(table.lines):
        wrong = replace(line, feed_mm=line.feed_mm + part)
        slips.append(_Slip(f"1 mm on leg {k + 1}", _with_line(table, k, wrong), part, scatter.length_mm))
    last = replace(table, last_straight_mm=table.last_straight_mm + part)
    slips.append(_Slip(f"1 mm on leg {len(table.lines) + 1}", last, part, scatter.length_mm))
    return slips


def _with_line(table: BendTable, place: int, line: BendLine) -> BendTable:
    return replace(table, lines=(*table.lines[:place], line, *table.lines[place + 1 :]))


def _roll(start: Pose, end: Pose) -> Array:
    """(6, 6) what is left of a stray when the pipe is rolled about its first axis to bring its end nearest."""
    lever = cross(start.direction, end.position_mm - start.position_mm)
    swing = np.concatenate([lever, cross(start.direction, end.direction)])
    reach = float(np.linalg.norm(lever))
    if reach < _NO_LEVER_MM:
        return np.eye(6)
    best = np.concatenate([lever, np.zeros(3)]) / reach**2
    return np.eye(6) - np.outer(swing, best)


def _strays(covariance: Array, roll: Array) -> Strays:
    return _worst(roll @ covariance @ roll.T)


def _worst(covariance: Array) -> Strays:
    off, turned = (float(np.linalg.eigvalsh(block)[-1]) for block in (covariance[:3, :3], covariance[3:, 3:]))
    return Strays(2 * max(off, 0.0) ** 0.5, degrees(2 * max(turned, 0.0) ** 0.5))
