"""What would fix a point that is not fixed at all: a second mark, or a photograph that shows it.

Source: two rays that cross fix a point; how well, by their crossing with the photographs taken as they stand, JCGM
100:2008 section 5.2. A point on one ray is taken to lie about as far away as the others marked in that photograph.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.survey.ask_words import point_words
from trialfit.survey.asks import Ask, Kind
from trialfit.survey.gather import Sighted
from trialfit.survey.possible_marks import mark_sigma_px, projected_px, upright
from trialfit.survey.problem import Problem, State
from trialfit.survey.project import straighten
from trialfit.survey.rays import sighted as projected
from trialfit.survey.rays import slopes_of
from trialfit.survey.sensor import to_sensor
from trialfit.survey.solve import Solved
from trialfit.survey.stands import in_frame

Array = NDArray[np.float64]

_NOT_CROSSING_MM = 10.0


def unfixed(job: Job, sighted: Sighted, solved: Solved) -> tuple[tuple[Ask, ...], tuple[Ask, ...], tuple[Ask, ...]]:
    """Say what would fix the points that are not.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its photographs.
    solved
        Its survey.

    Returns
    -------
    tuple
        What the repairer can mark himself for a port that waits for it; likewise for what nothing waits for; and which
        photographs to ask the owner for, since a port waits for them.
    """
    waited_for = {
        name for part in job.parts.values() for port in part.ports.values() for name in (port.face, port.axis_from)
    }
    here: list[Ask] = []
    idle: list[Ask] = []
    asked: list[Ask] = []
    for name in (each.name for each in solved.left_out):
        marked = [place for place, taken in enumerate(solved.names.photographs) if name in job.marks.get(taken, {})]
        second = _second_mark(job, sighted, solved, name, marked[0]) if len(marked) == 1 else None
        if second is not None:
            (here if name in waited_for else idle).append(second)
        elif name in waited_for:
            asked.append(_photograph(job, name, bool(marked)))
    return tuple(here), tuple(idle), tuple(asked)


def _second_mark(job: Job, sighted: Sighted, solved: Solved, name: str, first: int) -> Ask | None:
    adjusted = solved.snooped.adjusted
    problem, state = adjusted.layout.problem, adjusted.state
    place = _on_ray(job, sighted, solved, name, first)
    sigma = mark_sigma_px(job)
    told = _told(problem, state, first, place)
    best: tuple[float, int] | None = None
    for other in np.flatnonzero(in_frame(problem, state, place[None])[:, 0]).tolist():
        if other == first:
            continue
        weight = (told + _told(problem, state, other, place)) / sigma**2
        k2_mm = 2.0 * float(np.linalg.eigvalsh(weight)[0]) ** -0.5
        if k2_mm < _NOT_CROSSING_MM and (best is None or k2_mm < best[0]):
            best = (k2_mm, other)
    if best is None:
        return None
    k2_mm, other = best
    photographs = solved.names.photographs
    which = np.array([other])
    px = upright(sighted, photographs, which, projected_px(solved, which, place[None]))[0]
    there = photographs[other]
    do = (
        f"Mark {name} in photograph {there} ({job.photographs[there].file}) too, somewhere about "
        f"({px[0]:.0f}, {px[1]:.0f}), if it can be made out; so far it is marked in {photographs[first]} only."
    )
    why = f"then it is fixed, to about ± {k2_mm:.1f} mm"
    return Ask(Kind.MARK, do, why, None, (), (name,), 2.0 * sigma, "px")


def _photograph(job: Job, name: str, marked: bool) -> Ask:
    words = point_words(job, name)
    do = (
        f"One more photograph, from well to one side, that shows {words}."
        if marked
        else f"Two photographs, from places well apart, that show {words}."
    )
    return Ask(Kind.PHOTOGRAPH, do, "so far nothing says where it is", None, (), (name,), 0.0, "px")


def _on_ray(job: Job, sighted: Sighted, solved: Solved, name: str, photograph: int) -> Array:
    """(3,) a place on the only ray to a point, as far away as the other points of its photograph."""
    adjusted, taken = solved.snooped.adjusted, solved.names.photographs[photograph]
    problem, state = adjusted.layout.problem, adjusted.state
    picture = sighted.photographs[taken]
    px = to_sensor(
        np.array([job.marks[taken][name].px]), picture.width_px, picture.height_px, picture.quarter_turns
    )  # fmt: skip
    lens = int(problem.lens_of_photograph[photograph])
    values, breathing = state.lenses[lens], state.breathing[photograph]
    focal = problem.focal_start_px[lens] * np.exp(values[0]) * (1.0 + breathing[0])
    centre = problem.centre_start_px[lens] + values[1:3] + breathing[1:]
    flat = straighten(px, np.array([focal]), centre[None], values[None, 3:])[0]
    rotation, shift = state.rotations[photograph], state.translations_mm[photograph]
    others = np.unique(problem.mark_point[problem.mark_photograph == photograph])
    depths = (state.points_mm[others if len(others) else slice(None)] @ rotation.T + shift)[:, 2]
    camera = np.array([flat[0], flat[1], 1.0]) * float(np.median(depths))
    return np.asarray(rotation.T @ (camera - shift))


def _told(problem: Problem, state: State, photograph: int, place: Array) -> Array:
    which = np.array([photograph])
    rays = projected(problem, state, which, place[None])
    by_point = slopes_of(rays, state, which)[1][0]
    return np.asarray(by_point.T @ by_point)
