"""Photographs that might be asked for. Source: `stands.py` for the places, `new_photograph.py` for what they tell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.survey.ask_words import photograph_words
from trialfit.survey.asks import Kind, Scenery, Stand, Stood
from trialfit.survey.card import CardBoard, board_of, corner_positions_mm
from trialfit.survey.new_photograph import of_photographs
from trialfit.survey.possible_marks import mark_sigma_px
from trialfit.survey.solve import Solved
from trialfit.survey.standing import Bearing, Ground, eyes_mm, ground_of
from trialfit.survey.stands import Stands, grid, stands_at
from trialfit.survey.weighing import Pool, Possible, Scales

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_LEAST_CORNERS = 6
_LEAST_MARKS = 4
# Nobody marks a hundred points; with this many and the card a photograph is placed as well as it will be (chosen).
_MOST_MARKS = 30
# The card is only asked for where it gains this much more than the same place without it (chosen).
_CARD_IS_WORTH = 1.1
_APART_DEG = 25.0


def ground(solved: Solved, there: tuple[str, ...]) -> Ground:
    """The engine as one stands before it.

    Parameters
    ----------
    solved
        Its survey.
    there
        The points that are still on the engine.

    Returns
    -------
    Ground
        Aimed at the points that were marked and are still there, else at all.
    """
    names, problem = solved.names, solved.snooped.adjusted.layout.problem
    seen = set(problem.mark_point.tolist())
    aimed = [k for k, name in enumerate(names.points) if name in there and k in seen]
    which = np.array(aimed or range(len(names.points)), dtype=np.intp)
    return ground_of(solved.snooped.adjusted.state, names.photographs, which)


def photographs(job: Job, solved: Solved, there: tuple[str, ...], engine: Ground, scales: Scales) -> Pool | None:
    """Photographs from places round the engine, each with the card or without, as is better.

    Parameters
    ----------
    job
        The job document.
    solved
        Its survey.
    there
        The points that are still on the engine.
    engine
        The engine as one stands before it.
    scales
        What to weigh them by.

    Returns
    -------
    Pool or None
        One a place; None where the job has no photographs to go by.
    """
    names, adjusted = solved.names, solved.snooped.adjusted
    problem = adjusted.layout.problem
    if not problem.photograph_count:
        return None
    corners = np.zeros((0, 2))
    if job.card is not None and len(problem.card_px):
        corners = corner_positions_mm(board_of(job.card))[:, :2]
    still = np.array([name in there for name in names.points])
    dark = _never_marked(job, solved, there)
    bearings = grid(engine, eyes_mm(adjusted.state))
    stands = stands_at(adjusted, solved.snooped.kept, engine, bearings, corners, still, dark)
    enough = (stands.points.sum(axis=1) >= _LEAST_MARKS) | (stands.corners.sum(axis=1) >= _LEAST_CORNERS)
    useful = enough & (stands.corners.any(axis=1) | ~stands.with_card)
    if not useful.any():
        return None
    stands = stands.some(np.flatnonzero(useful))
    counted = replace(stands, points=stands.points & _counted(scales, solved))
    telling = of_photographs(adjusted, counted, mark_sigma_px(job))
    cut = scales.cut(telling)
    better, otherwise = _card_or_not(stands, cut)
    called = [(job.photographs[name].file, engine.bearing(eye)) for name, eye in _stood(solved)]
    possible = tuple(
        _possible(job, solved, engine, stands, place, other, called, tuple(dark))
        for place, other in zip(better.tolist(), otherwise, strict=True)
    )
    return Pool(possible, telling.some(better))


def apart(pool: Pool, places: Indices, most: int, taken: tuple[Bearing, ...] = ()) -> Indices:
    """Leave out places next to one that is better.

    Parameters
    ----------
    pool
        Photographs that might be asked for.
    places
        (q,) which of them, the best first. [-]
    most
        How many to keep. [-]
    taken
        Places that are asked for already.

    Returns
    -------
    Indices
        (r,) those kept. [-]
    """
    kept: list[int] = []
    ways = [_way(each) for each in taken]
    for place in places.tolist():
        stand = pool.possible[place].stand
        assert stand is not None
        way = _way(stand.bearing)
        if all(float(way @ other) < np.cos(np.radians(_APART_DEG)) for other in ways):
            kept.append(place)
            ways.append(way)
        if len(kept) == most:
            break
    return np.array(kept, dtype=np.intp)


def scenery(job: Job, solved: Solved, engine: Ground) -> Scenery:
    """What lies where, as one stands before the engine.

    Parameters
    ----------
    job
        The job document.
    solved
        Its survey.
    engine
        The engine as one stands before it.

    Returns
    -------
    Scenery
        Points, card, and where the photographs were taken from.
    """
    adjusted = solved.snooped.adjusted
    axes = np.array([engine.right, engine.front, engine.up])
    points = (adjusted.state.points_mm - engine.aim_mm) @ axes.T
    card = np.zeros((0, 3))
    if job.card is not None and len(adjusted.layout.problem.card_px):
        card = (_paper(board_of(job.card)) - engine.aim_mm) @ axes.T
    stood = tuple(Stood(name, engine.bearing(eye)) for name, eye in _stood(solved))
    return Scenery(_triples(points), _triples(card), stood)


def _counted(scales: Scales, solved: Solved) -> NDArray[np.bool_]:
    """(n,) the points that are counted on to be marked: those the job needs, then those marked most often so far."""
    names, problem = solved.names.points, solved.snooped.adjusted.layout.problem
    needed = {name for each in scales.needed if not each.mean for name in each.points}
    often = np.bincount(problem.mark_point, minlength=problem.point_count)
    order = sorted(range(problem.point_count), key=lambda k: (names[k] not in needed, -int(often[k]), k))
    out = np.zeros(problem.point_count, dtype=bool)
    out[order[:_MOST_MARKS]] = True
    return out


def _card_or_not(stands: Stands, cut: Array) -> tuple[Indices, list[float | None]]:
    """For each place the better of its two photographs, and what the other would take off."""
    both: dict[Bearing, dict[bool, int]] = {}
    for place, bearing in enumerate(stands.bearings):
        both.setdefault(bearing, {})[bool(stands.with_card[place])] = place
    better: list[int] = []
    otherwise: list[float | None] = []
    for ways in both.values():
        with_card, without = ways.get(True), ways.get(False)
        if with_card is None or without is None:
            better.append(with_card if with_card is not None else ways[False])
            otherwise.append(None)
            continue
        card = bool(cut[with_card] > _CARD_IS_WORTH * cut[without])
        better.append(with_card if card else without)
        otherwise.append(float(cut[without if card else with_card]))
    return np.array(better, dtype=np.intp), otherwise


def _possible(
    job: Job,
    solved: Solved,
    engine: Ground,
    stands: Stands,
    place: int,
    otherwise: float | None,
    called: list[tuple[str, Bearing]],
    dark: tuple[int, ...],
) -> Possible:
    bearing, with_card = stands.bearings[place], bool(stands.with_card[place])
    shown = np.flatnonzero(stands.points[place]).tolist()
    names = solved.names.points
    lamp_on = tuple(names[k] for k in shown if k in dark)
    words = photograph_words(job, bearing, called, with_card, lamp_on)
    x, y, z = engine.eye_mm(bearing).tolist()
    shows = tuple(names[k] for k in shown)
    stand = Stand(bearing, (x, y, z), with_card, otherwise, shows, lamp_on)
    return Possible(Kind.PHOTOGRAPH, words, shows, 2.0 * mark_sigma_px(job), "px", stand)


def _never_marked(job: Job, solved: Solved, there: tuple[str, ...]) -> dict[int, Array]:
    """Faces that were measured and never marked, with the way their ports point."""
    names, adjusted = solved.names.points, solved.snooped.adjusted
    number = {name: place for place, name in enumerate(names)}
    marked = set(adjusted.layout.problem.mark_point.tolist())
    found: dict[int, Array] = {}
    for part in job.parts.values():
        for port in part.ports.values():
            face, behind = number.get(port.face or ""), number.get(port.axis_from or "")
            if face is None or behind is None or face in marked or names[face] not in there:
                continue
            way = adjusted.state.points_mm[face] - adjusted.state.points_mm[behind]
            found[face] = way / np.linalg.norm(way)
    return found


def _stood(solved: Solved) -> list[tuple[str, Array]]:
    return list(zip(solved.names.photographs, eyes_mm(solved.snooped.adjusted.state), strict=True))


def _paper(board: CardBoard) -> Array:
    (x, y), (wide, high) = board.page_corner_mm, board.page_mm
    return np.array([[x, y, 0.0], [x + wide, y, 0.0], [x + wide, y + high, 0.0], [x, y + high, 0.0]])


def _triples(places: Array) -> tuple[tuple[float, float, float], ...]:
    return tuple((float(x), float(y), float(z)) for x, y, z in places.tolist())


def _way(bearing: Bearing) -> Array:
    turn, height = np.radians(bearing.azimuth_deg), np.radians(bearing.height_deg)
    return np.array([np.sin(turn) * np.cos(height), np.cos(turn) * np.cos(height), np.sin(height)])
