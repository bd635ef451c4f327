"""All parts placed at once by weighted least squares, with the survey's full covariance and each joint's own slack.

Source: the Gauss-Helmert model with the surveyed figures as observations; test of one tie against all others by
Baarda (1968), in its form for several rows at a time; `docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import pi, sqrt

import numpy as np

from trialfit.fitup.place_slopes import Rows
from trialfit.fitup.place_ties import Joined, Tie
from trialfit.fitup.records import Array
from trialfit.fitup.vectors import turned
from trialfit.parts.placement import Placement

# A turn is weighed against a shift by what it moves at this distance, when it is asked whether anything fixes it.
_LEVER_MM = 20.0
_FREE = 1e-9
# A joint gapes along its axis alone where what it gapes besides is less than this share of that.
_ASIDE_SHARE = 0.3
_STEPS_MOST = 60
_STILL = 1e-9
# Standard deviation of an angle of which nothing is known: even over the whole circle.
FULL_CIRCLE_RAD = pi / sqrt(3.0)


@dataclass(frozen=True, eq=False)
class FreeTurn:
    """A turn that nothing fixes.

    Parameters
    ----------
    axis
        (3,) unit vector it is about. [-]
    moves
        (3,) how the part's own origin moves with it. [mm]
    """

    axis: Array
    moves: Array

    def on_mm(self, origin_mm: Array) -> Array:
        """Give the point of its axis nearest to the part's own origin, where it is a turn and no more.

        Parameters
        ----------
        origin_mm
            (3,) the part's own origin. [mm]

        Returns
        -------
        Array
            (3,) the point. [mm]
        """
        return np.asarray(origin_mm + np.cross(self.axis, self.moves))


@dataclass(frozen=True, eq=False)
class Tested:
    """One tie held against all others.

    Parameters
    ----------
    what
        The tie, in words.
    parts
        The parts it ties.
    is_joint
        Whether it is a joint; else it ties a part to the survey.
    gap_mm, gap_deg
        How far it would gape if it were let go, in place and in line. [mm, deg]
    rests_on
        The figures it rests on, in words.
    closes_at_mm
        How deep a joint would have to go in to close, where its depth alone gapes; None elsewhere. [mm]
    statistic, rows
        Its test statistic, and the number of rows that anything checks: chi-square with so much freedom where all is
        well. [-]
    """

    what: str
    parts: tuple[str, ...]
    is_joint: bool
    gap_mm: float
    gap_deg: float
    rests_on: str
    closes_at_mm: float | None
    statistic: float
    rows: int


@dataclass(frozen=True, eq=False)
class Jointly:
    """How the steps of n parts hang together, by the m surveyed figures they rest on and besides.

    Parameters
    ----------
    parts
        The parts, six steps each: shift, then turn about the job's axes at the part's own origin.
    names
        The surveyed points and axes, and the directions of bodies' faces.
    figures_covariance
        (3m, 3m) of them. [mm2, mm, 1]
    gain
        (6n, 3m) derivative of the steps by them. [-, 1/mm, mm]
    own_covariance
        (6n, 6n) of the steps from what joints and sizes are out by themselves. [mm2, mm, 1]
    unfixed
        (6n, k) orthogonal steps that nothing fixes; they have no part in gain and covariance. [mm and rad]
    """

    parts: tuple[str, ...]
    names: tuple[str, ...]
    figures_covariance: Array
    gain: Array
    own_covariance: Array
    unfixed: Array


@dataclass(frozen=True, eq=False)
class Adjusted:
    """Where all parts are.

    Parameters
    ----------
    places
        Their placements on the job.
    covariance
        (6, 6) of each, small shift [mm] then small turn [rad] about the job's axes at its own origin; a free turn
        counts as a full circle. [mm and rad]
    settled
        (6, 6) of each without its free turns. [mm and rad]
    free
        The turns of each that nothing fixes.
    loose
        Parts that nothing fixes in place: they may slide or lie anywhere.
    chi_square, freedom
        Weighted sum of squares, and how many rows there are over what is fixed. [-]
    tested
        Every tie that others check, the worst first.
    jointly
        How the places of all of them hang together, and on the survey.
    """

    places: Mapping[str, Placement]
    covariance: Mapping[str, Array]
    settled: Mapping[str, Array]
    free: Mapping[str, tuple[FreeTurn, ...]]
    loose: tuple[str, ...]
    chi_square: float
    freedom: int
    tested: tuple[Tested, ...]
    jointly: Jointly = field(metadata={"in_json": False})


@dataclass(frozen=True, eq=False)
class _System:
    """All rows at one set of places."""

    off: Array
    slopes: Array
    seen: Array
    own_sigma: Array
    weight: Array
    blocks: tuple[tuple[int, int], ...]
    units: tuple[str, ...]


def adjusted(
    ties: Sequence[Tie], first: Mapping[str, Placement], names: Sequence[str], figures: Array, covariance: Array
) -> Adjusted:
    """Place all parts at once.

    Parameters
    ----------
    ties
        What ties them, all of placed parts.
    first
        Their first places.
    names
        The m surveyed points and axes.
    figures
        (m, 3) of them. [mm, -]
    covariance
        (3m, 3m) of them. [mm2, mm, 1]

    Returns
    -------
    Adjusted
        At the least weighted sum of squares.
    """
    by_name = dict(zip(names, figures, strict=True))
    places = dict(first)
    order = {part: 6 * k for k, part in enumerate(places)}
    scale = np.tile([1.0, 1.0, 1.0, *[1 / _LEVER_MM] * 3], len(order))
    system = _system(ties, places, order, names, by_name, covariance, scale)
    for _ in range(_STEPS_MOST):
        step = _step(system)
        tried, found = _stepped(ties, places, order, names, by_name, covariance, scale, step, system)
        places, system = tried, found
        if float(np.abs(step).max(initial=0.0)) < _STILL:
            break
    return _written(ties, places, order, system, scale, (tuple(names), covariance))


def _stepped(
    ties: Sequence[Tie], places: dict[str, Placement], order: Mapping[str, int], names: Sequence[str],
    by_name: Mapping[str, Array], covariance: Array, scale: Array, step: Array, before: _System,
) -> tuple[dict[str, Placement], _System]:  # fmt: skip
    """Go the step, or a part of it where the whole makes things worse."""
    least = _sum(before)
    for _ in range(8):
        tried = {part: _moved(place, (step * scale)[order[part] : order[part] + 6]) for part, place in places.items()}
        found = _system(ties, tried, order, names, by_name, covariance, scale)
        if _sum(found) <= least * (1 + 1e-9) + 1e-12:
            break
        step = step / 2
    return tried, found


def _moved(place: Placement, step: Array) -> Placement:
    angle = float(np.linalg.norm(step[3:]))
    turn = place.turn
    if angle > 0:
        axis = step[3:] / angle
        turn = np.column_stack([turned(column, axis, angle) for column in place.turn.T])
    return Placement(place.of, place.on, turn, place.shift_mm + step[:3])


def _system(
    ties: Sequence[Tie], places: Mapping[str, Placement], order: Mapping[str, int], names: Sequence[str],
    by_name: Mapping[str, Array], covariance: Array, scale: Array,
) -> _System:  # fmt: skip
    found: list[Rows] = [tie.rows(places, by_name) for tie in ties]
    count = sum(len(each.off) for each in found)
    slopes, seen = np.zeros((count, 6 * len(order))), np.zeros((count, 3 * len(names)))
    column = {name: 3 * k for k, name in enumerate(names)}
    blocks, at = [], 0
    for rows in found:
        here = slice(at, at + len(rows.off))
        for part, block in rows.by_part.items():
            slopes[here, order[part] : order[part] + 6] += block
        for name, block in rows.by_point.items():
            seen[here, column[name] : column[name] + 3] += block
        blocks.append((at, at + len(rows.off)))
        at += len(rows.off)
    own = np.concatenate([rows.own_sigma for rows in found]) if found else np.zeros(0)
    spread = seen @ covariance @ seen.T + np.diag(own**2)
    off = np.concatenate([rows.off for rows in found]) if found else np.zeros(0)
    units = tuple(unit for rows in found for unit in rows.units)
    weight = np.asarray(np.linalg.inv(spread), dtype=np.float64)
    return _System(off, slopes * scale, seen, own, weight, tuple(blocks), units)


def _sum(system: _System) -> float:
    return float(system.off @ system.weight @ system.off)


def _known(system: _System) -> tuple[Array, Array]:
    """Inverse of what is known, and an orthonormal basis of what is not."""
    normal = system.slopes.T @ system.weight @ system.slopes
    values, vectors = np.linalg.eigh((normal + normal.T) / 2)
    known = values > _FREE * max(float(values[-1]), 1e-300) if len(values) else np.zeros(0, dtype=bool)
    inverse = (vectors[:, known] / values[known]) @ vectors[:, known].T
    return inverse, vectors[:, ~known]


def _step(system: _System) -> Array:
    inverse, _ = _known(system)
    return np.asarray(-inverse @ system.slopes.T @ system.weight @ system.off)


def _written(
    ties: Sequence[Tie], places: Mapping[str, Placement], order: Mapping[str, int], system: _System, scale: Array,
    surveyed: tuple[tuple[str, ...], Array],
) -> Adjusted:  # fmt: skip
    inverse, unknown = _known(system)
    covariance: dict[str, Array] = {}
    settled: dict[str, Array] = {}
    free: dict[str, list[FreeTurn]] = {}
    loose: list[str] = []
    for part, start in order.items():
        here = slice(start, start + 6)
        own, sizes, _ = np.linalg.svd(unknown[here], full_matrices=False)
        ways = own[:, sizes > 1e-5]
        turns = ways[3:]
        fixed = inverse[here, here] * np.outer(scale[here], scale[here])
        settled[part] = (fixed + fixed.T) / 2
        if np.linalg.matrix_rank(turns, tol=1e-4) < ways.shape[1]:
            loose.append(part)
        # Each direction that nothing fixes is scaled to a full circle of turn.
        for way in (ways @ np.linalg.svd(turns)[2].T).T if ways.shape[1] else ():
            plain = way * scale[here]
            size = float(np.linalg.norm(plain[3:]))
            if size > 0:
                round_it = plain * FULL_CIRCLE_RAD / size
                fixed = fixed + np.outer(round_it, round_it)
                free.setdefault(part, []).append(FreeTurn(plain[3:] / size, plain[:3] / size))
        covariance[part] = (fixed + fixed.T) / 2
    tested = sorted(_tests(ties, system, inverse), key=lambda each: -each.statistic / max(each.rows, 1))
    freedom = len(system.off) - (len(scale) - unknown.shape[1])
    kept = {part: tuple(turns) for part, turns in free.items()}
    # At the least sum of squares the steps follow the rows by this, and the rows follow the survey and their own slack.
    by_rows = -scale[:, None] * (inverse @ system.slopes.T @ system.weight)
    own = by_rows * system.own_sigma
    jointly = Jointly(tuple(order), *surveyed, by_rows @ system.seen, own @ own.T, unknown * scale[:, None])
    return Adjusted(
        dict(places), covariance, settled, kept, tuple(loose), _sum(system), freedom, tuple(tested), jointly
    )  # fmt: skip


def _tests(ties: Sequence[Tie], system: _System, inverse: Array) -> list[Tested]:
    """Each tie let go by itself: how far it then gapes, and how unlikely that is."""
    weight = system.weight
    checked = weight - weight @ system.slopes @ inverse @ system.slopes.T @ weight
    found = []
    for tie, (first, last) in zip(ties, system.blocks, strict=True):
        here = slice(first, last)
        block, pull = checked[here, here], weight[here] @ system.off
        values, vectors = np.linalg.eigh((block + block.T) / 2)
        # What nothing checks has no say; the rest is weighed against how surely it would show.
        own = np.linalg.eigvalsh(weight[here, here])[-1]
        kept = values > 1e-6 * own
        if not kept.any():
            continue
        gape = (vectors[:, kept] / values[kept]) @ vectors[:, kept].T @ pull
        is_mm = np.array([unit == "mm" for unit in system.units[here]])
        found.append(
            Tested(
                tie.words,
                tie.parts,
                isinstance(tie, Joined),
                float(np.linalg.norm(gape[is_mm])),
                float(np.degrees(np.linalg.norm(gape[~is_mm]))),
                tie.rests_on,
                _closes_at_mm(tie, gape),
                float(pull @ gape),
                int(kept.sum()),
            )
        )
    return found


def _closes_at_mm(tie: Tie, gape: Array) -> float | None:
    """How deep a joint would have to go in, where nearly all of what it gapes is along its axis."""
    if not isinstance(tie, Joined) or tie.made.slides:
        return None
    beside = float(np.linalg.norm(gape[:2])), float(np.linalg.norm(gape[2:4]) * _LEVER_MM)
    return float(tie.made.depth_mm + gape[4]) if max(beside) < _ASIDE_SHARE * abs(float(gape[4])) else None
