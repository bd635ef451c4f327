"""Points that might be marked in photographs that are there already: free, since nobody has to be asked.

Source: bookkeeping; whether a point can be made out is for the repairer to see.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.survey.ask_words import mark_words
from trialfit.survey.asks import Kind
from trialfit.survey.gather import DEFAULT_MARK_SIGMA_PX, Sighted
from trialfit.survey.possible_lengths import unseen
from trialfit.survey.rays import sighted as projected
from trialfit.survey.sensor import to_upright
from trialfit.survey.solve import Solved
from trialfit.survey.stands import in_frame
from trialfit.survey.telling import of_marks
from trialfit.survey.weighing import Pool, Possible

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


def marks(job: Job, sighted: Sighted, solved: Solved) -> Pool | None:
    """Marks that are not there yet, of fixed points that lie within a photograph's edges.

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
    Pool or None
        One a point and photograph; a mark that was set aside counts as not there.
    """
    names, adjusted, kept = solved.names, solved.snooped.adjusted, solved.snooped.kept
    problem, state = adjusted.layout.problem, adjusted.state
    if not problem.photograph_count:
        return None
    there = np.zeros((problem.photograph_count, problem.point_count), dtype=bool)
    there[problem.mark_photograph[kept], problem.mark_point[kept]] = True
    to_be_seen = np.array([name not in unseen(job, solved) for name in names.points])
    photograph, point = np.nonzero(in_frame(problem, state, state.points_mm) & ~there & to_be_seen)
    if not len(point):
        return None
    doubted = set(zip(problem.mark_photograph[~kept].tolist(), problem.mark_point[~kept].tolist(), strict=True))
    px = upright(sighted, names.photographs, photograph, projected_px(solved, photograph, state.points_mm[point]))
    sigma_px = mark_sigma_px(job)
    possible = tuple(
        Possible(
            Kind.MARK,
            mark_words(job, names.points[q], names.photographs[p], (at[0], at[1]), (p, q) in doubted),
            (names.points[q],),
            2.0 * sigma_px,
            "px",
        )
        for p, q, at in zip(photograph.tolist(), point.tolist(), px.tolist(), strict=True)
    )
    return Pool(possible, of_marks(adjusted, photograph, point, sigma_px))


def projected_px(solved: Solved, photograph: Indices, places_mm: Array) -> Array:
    """Where places are expected in photographs.

    Parameters
    ----------
    solved
        The survey.
    photograph
        (n,) which photograph. [-]
    places_mm
        (n, 3) places in the job frame. [mm]

    Returns
    -------
    Array
        (n, 2) sensor pixels. [px]
    """
    adjusted = solved.snooped.adjusted
    return projected(adjusted.layout.problem, adjusted.state, photograph, places_mm).px


def upright(sighted: Sighted, photographs: tuple[str, ...], photograph: Indices, px: Array) -> Array:
    """Sensor pixels as pixels of the upright photographs.

    Parameters
    ----------
    sighted
        The photographs.
    photographs
        Their names, in the survey's order.
    photograph
        (n,) which photograph. [-]
    px
        (n, 2) sensor pixels. [px]

    Returns
    -------
    Array
        (n, 2) upright pixels. [px]
    """
    out = px.copy()
    for place, name in enumerate(photographs):
        here, taken = photograph == place, sighted.photographs[name]
        out[here] = to_upright(px[here], taken.width_px, taken.height_px, taken.quarter_turns)
    return out


def mark_sigma_px(job: Job) -> float:
    """One standard deviation of an ordinary mark.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    float
        What the job says, else the default. [px]
    """
    return float(job.survey.mark_pm.to("px")) / 2.0 if job.survey is not None else DEFAULT_MARK_SIGMA_PX
