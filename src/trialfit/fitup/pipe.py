"""A pipe to be made between two union faces: route, bend table, cut length, and how sure each figure is.

Every figure's k = 2 comes from the joint covariance of the two faces through the derivative of the whole construction,
the straights at the faces held as they were chosen.

Source: `docs/methods/fitup.md`; first-order propagation of covariance, JCGM 100:2008 section 5.2.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees

import numpy as np

from trialfit.finding import Figure
from trialfit.fitup.attempts import Path
from trialfit.fitup.bends import bend_table, legs_mm, start_pose
from trialfit.fitup.carried import slopes_at_once
from trialfit.fitup.clearing import closest
from trialfit.fitup.corners import Bender
from trialfit.fitup.held_shape import shape_of
from trialfit.fitup.landing import Scatter, Strays, amplifications, bench_strays, survey_strays
from trialfit.fitup.many_faces import as_rows, corners_between, crossings, figures_along
from trialfit.fitup.obstacles import Around
from trialfit.fitup.old_route import OldTube, followed
from trialfit.fitup.other_way import departs_mm
from trialfit.fitup.passes import passes_of
from trialfit.fitup.records import Array, Bend, EndFace, Landing, PipePlan, TubeStock
from trialfit.fitup.route import Settled, way_among
from trialfit.fitup.route_records import OldRoute, OtherWay, Routing
from trialfit.fitup.sought import Allowed
from trialfit.fitup.spanner_swing import Swing
from trialfit.fitup.vectors import cross
from trialfit.fitup.ways import ways_of

# A bend too small to make is left out: always below the first, never above the second (assumed; see the docs).
MISS_ALWAYS_DEG = 0.3
MISS_NEVER_DEG = 1.0

# A spread below this is no spread: the figure was chosen.
_CHOSEN = 1e-6
# Sine of the angle between two axes under which one bend would be of less than a tenth of a degree.
_AS_GOOD_AS_PARALLEL = 1e-3


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What stands round a pipe, and what is asked of its way among it.

    Parameters
    ----------
    around
        The obstacles.
    swings
        Spanners that must be left a window.
    wanted
        The clearance asked for. [mm]
    assumed
        Whether that is assumed.
    unknown
        Things without a place or a shape.
    no_swing
        Nuts that no spanner can be swung on, with or without the pipe.
    nuts
        What stands where its own nuts are slid back to, as clauses.
    taken
        What is assumed of the spanners on nuts nearby, as sentences.
    """

    around: Around
    swings: tuple[Swing, ...] = ()
    wanted: Figure | None = None
    assumed: bool = False
    unknown: tuple[str, ...] = ()
    no_swing: tuple[str, ...] = ()
    nuts: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()


def pipe_between(
    name: str,
    start: EndFace,
    end: EndFace,
    covariance: Array,
    tube: TubeStock,
    radius_mm: float,
    grip_mm: float,
    file_allowance_mm: float,
    scatter: Scatter,
    springs_back_deg: float | None = None,
    bends_most: int = 2,
    surroundings: Surroundings | None = None,
    old: OldTube | None = None,
    only_try: bool = False,
    formers: tuple[Bender, ...] | None = None,
    with_other: bool = True,
) -> PipePlan:
    """Lay out the pipe from one union face to another.

    Parameters
    ----------
    name
        Its name in the job.
    start, end
        The two faces: where, which way, the straight they want, how far the tube goes in.
    covariance
        (12, 12) joint covariance of start position, start direction, end position, end direction. [mm2, mm, 1]
    tube
        What it is bent from.
    radius_mm
        Centre-line radius of the former. [mm]
    grip_mm
        Straight the bender needs between two bends. [mm]
    file_allowance_mm
        Left on at the far end for facing to length. [mm]
    scatter
        The bench's own, k = 2.
    springs_back_deg
        What the shop's 90 deg test piece sprang back by; None where there is none. [deg]
    bends_most
        The most bends allowed, three at most. [-]
    surroundings
        What it must clear; None where nothing is known of it.
    old
        The old pipe it follows; None for the shortest way that clears.
    only_try
        Whether to give up at once where there is no way with all of the clearance, without working out a remedy.
    formers
        The shop's formers for this tube, where it bends round nothing else; None where any radius may be bent.
    with_other
        Whether the next best way is looked for too.

    Returns
    -------
    PipePlan
        Complete, with k = 2 from the survey on every figure.

    Raises
    ------
    Refusal
        No path with these figures; the remedy says which to change, and to what.
    """
    allowed = allowed_misses(start, end, covariance)
    bender, known = Bender(radius_mm, grip_mm), surroundings or Surroundings(Around((), tube.od_mm / 2))
    as_old: OldRoute | None = None
    if old is None:
        settled = way_among(
            start,
            end,
            bender,
            bends_most,
            allowed,
            known.around,
            known.swings,
            f"pipe {name}",
            only_try,
            formers,
            with_other,
        )
    else:
        path, as_old = followed(start, end, bender, old, f"pipe {name}")
        settled = Settled(path, None, (), (), None)
    path = settled.path
    table = bend_table(path.vertices_mm, radius_mm)
    shape = shape_of(path.vertices_mm, radius_mm)

    def figures(faces: Array) -> Array:
        corners = corners_between(faces, shape, start, end)
        return figures_along(corners, radius_mm, start.enters_mm, end.enters_mm + file_allowance_mm)

    values = figures(as_rows(start, end))[0]
    slopes = slopes_at_once(figures, start, end, _is_turn(len(table.lines)))
    k2s = 2 * np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", slopes, covariance, slopes), 0.0))
    legs, rows, ends = _split(values, k2s, len(table.lines))
    survey, bench = survey_strays(start, end, covariance), bench_strays(table, start_pose(path.vertices_mm), scatter)
    return PipePlan(
        name=name,
        start=start,
        end=end,
        tube=tube,
        radius_mm=radius_mm,
        vertices_mm=path.vertices_mm,
        legs=legs,
        bends=tuple(_bend(k + 1, row, springs_back_deg) for k, row in enumerate(rows)),
        centre_line=ends[0],
        cut_length=ends[1],
        file_allowance_mm=file_allowance_mm,
        last_straight=ends[2],
        amplifications=amplifications(table, start_pose(path.vertices_mm)),
        far_end_scatter=Figure(bench.off_mm, "mm"),
        landing=_landing(survey, bench, path),
        routing=Routing(
            passes=passes_of(path.vertices_mm, radius_mm, known.around, start, end, covariance, scatter),
            other=_other(settled, radius_mm, known.around),
            stopped=settled.stopped,
            counted=settled.counted,
            wanted=known.wanted,
            assumed=known.assumed,
            kept=None if settled.kept_mm is None else Figure(settled.kept_mm, "mm", None, 1),
            old=as_old,
            unknown=known.unknown,
            spanners=known.no_swing,
            nuts=known.nuts,
            taken=known.taken,
        ),
    )


def allowed_misses(start: EndFace, end: EndFace, covariance: Array) -> Allowed:
    """Say how far a pipe with no bend, or with one, may miss the two axes before it is given another bend.

    Parameters
    ----------
    start, end
        The two faces.
    covariance
        (12, 12) joint covariance of start position, start direction, end position, end direction. [mm2, mm, 1]

    Returns
    -------
    tuple
        For no bend and for one: at the start and at the end. [deg]

    Notes
    -----
    Two surveyed axes never meet exactly. A miss the survey cannot tell from nought (its own k = 2) needs no bend; less
    than 0.3 deg is never worth one, and more than 1 deg always is. Both limits are assumed: nothing is published on
    what angle a small cone union takes.
    """
    limits = []
    if not np.any(end.position_mm != start.position_mm):
        return (0.0, 0.0), (0.0, 0.0)
    turn = float(np.linalg.norm(cross(start.direction, end.direction)))
    for bends in (0, 1):
        # Axes as good as parallel meet nowhere in particular, and how far a corner there misses says nothing.
        if bends and turn < _AS_GOOD_AS_PARALLEL:
            limits.append((MISS_ALWAYS_DEG, MISS_ALWAYS_DEG))
            continue

        def off(faces: Array, bends: int = bends) -> Array:
            corner = [crossings(faces)] if bends else []
            legs = np.diff(np.stack([faces[:, 0], *corner, faces[:, 2]], axis=1), axis=1)
            legs /= np.linalg.norm(legs, axis=2, keepdims=True)
            return np.concatenate([legs[:, 0] - faces[:, 1], legs[:, -1] + faces[:, 3]], axis=1)

        slopes = slopes_at_once(off, start, end, np.zeros(6, dtype=bool))
        spread = slopes @ covariance @ slopes.T
        k2s = [
            degrees(2 * max(float(np.linalg.eigvalsh(spread[at : at + 3, at : at + 3])[-1]), 0.0) ** 0.5)
            for at in (0, 3)
        ]
        limits.append((_within(k2s[0]), _within(k2s[1])))
    return limits[0], limits[1]


def figure_slopes(pipe: PipePlan) -> tuple[tuple[tuple[str, str], ...], Array]:
    """How the figures of a pipe's bend table move with its two faces, the straights at the faces held as chosen.

    Parameters
    ----------
    pipe
        The pipe, laid out.

    Returns
    -------
    tuple
        Name and unit of each of n figures: the cut length, then turn and angle of each bend (the first bend's turn
        is chosen and left out); (n, 12) derivative by start position, start direction, end position, end direction
        [figure's unit by mm or 1].
    """
    table, shape = bend_table(pipe.vertices_mm, pipe.radius_mm), shape_of(pipe.vertices_mm, pipe.radius_mm)
    legs = legs_mm(pipe.vertices_mm)

    def figures(faces: Array) -> Array:
        corners = corners_between(faces, shape, pipe.start, pipe.end)
        return figures_along(corners, pipe.radius_mm, pipe.start.enters_mm, pipe.end.enters_mm + pipe.file_allowance_mm)

    slopes = slopes_at_once(figures, pipe.start, pipe.end, _is_turn(len(table.lines)))
    bends, legs_count = len(table.lines), len(legs)
    names, rows = [("cut length", "mm")], [len(slopes) - 2]
    for k in range(bends):
        if k:
            names.append((f"turn before bend {k + 1}", "deg"))
            rows.append(legs_count + 5 * k + 1)
        names.append((f"angle of bend {k + 1}", "deg"))
        rows.append(legs_count + 5 * k + 2)
    return tuple(names), slopes[rows]


def _within(k2_deg: float) -> float:
    return min(max(k2_deg, MISS_ALWAYS_DEG), MISS_NEVER_DEG)


def _other(settled: Settled, radius_mm: float, around: Around) -> OtherWay | None:
    if settled.other_mm is None:
        return None
    ways, taken = (ways_of(each[None], radius_mm) for each in (settled.other_mm, settled.path.vertices_mm))
    nearest = min(closest(ways, around), key=lambda touch: touch.spare_mm)
    return OtherWay(
        settled.other_mm,
        Figure(float(ways.lengths_mm[0]), "mm", None, 1),
        Figure(float(departs_mm(ways, taken)[0]), "mm", None, 0),
        around.obstacles[nearest.obstacle].words,
    )


def _is_turn(bends: int) -> Array:
    row = [False] * (bends + 1) + [False, True, False, False, False] * bends + [False] * 3
    return np.array(row)


def _split(
    values: Array, k2s: Array, bends: int
) -> tuple[tuple[Figure, ...], list[tuple[Figure, ...]], tuple[Figure, ...]]:
    turns = bends * [False, True, True, False, False]
    units = ["mm"] * (bends + 1) + ["deg" if turn else "mm" for turn in turns] + ["mm"] * 3
    figures = [
        Figure(float(value), unit, None if k2 < _CHOSEN else float(k2), 1 if unit == "deg" else 2)
        for value, unit, k2 in zip(values, units, k2s, strict=True)
    ]
    legs, rest = figures[: bends + 1], figures[bends + 1 :]
    return tuple(legs), [tuple(rest[5 * k : 5 * k + 5]) for k in range(bends)], tuple(rest[-3:])


def _bend(number: int, row: tuple[Figure, ...], springs_back_deg: float | None) -> Bend:
    feed, rotation, angle, starts, ends = row
    set_to = None
    if springs_back_deg is not None:
        grows = 1 + springs_back_deg / 90.0
        set_to = Figure(angle.value * grows, "deg", None if angle.k2 is None else angle.k2 * grows, 1)
    return Bend(number, feed, rotation, angle, starts, ends, set_to)


def _landing(survey: Strays, bench: Strays, path: Path) -> Landing:
    return Landing(
        survey_off=Figure(survey.off_mm, "mm"),
        bench_off=Figure(bench.off_mm, "mm"),
        survey_turned=Figure(survey.turned_deg, "deg", None, 1),
        bench_turned=Figure(bench.turned_deg, "deg", None, 1),
        misses=(Figure(path.misses_deg[0], "deg", None, 2), Figure(path.misses_deg[1], "deg", None, 2)),
    )
