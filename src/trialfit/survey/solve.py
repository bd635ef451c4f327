"""The survey of a job, from marks to positions.

Source: the joint adjustment described in `docs/methods/survey.md`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.job.records import Job
from trialfit.survey.gather import Names, Sighted, gather, is_known
from trialfit.survey.outline_judge import SetAside
from trialfit.survey.outlining import with_outlines
from trialfit.survey.problem import Problem
from trialfit.survey.records import LeftOut, Survey
from trialfit.survey.report import survey_record
from trialfit.survey.snoop import Snooped, snoop
from trialfit.survey.start import Start, start_of

Array = NDArray[np.float64]

_FLAT_MM = 1.0


@dataclass(frozen=True)
class Solved:
    """A survey before it is written down: the whole adjustment, from which a further observation can be weighed.

    Parameters
    ----------
    snooped
        The answer, with what was set aside.
    names
        Names behind its numbers.
    left_out
        The points, tubes and rims that could not be fixed.
    aside
        Marks on outlines that were set aside.
    """

    snooped: Snooped
    names: Names
    left_out: tuple[LeftOut, ...]
    aside: tuple[SetAside, ...] = ()


def survey_of(job: Job, sighted: Sighted) -> Survey:
    """Find where every point of a job is, and how surely.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its decoded photographs, and the card found in them.

    Returns
    -------
    Survey
        Points with joint covariance, lenses, stations, residuals, and the points that could not be fixed.

    Raises
    ------
    Refusal
        As `solved_of`.
    """
    return written(job, sighted, solved_of(job, sighted))


def written(job: Job, sighted: Sighted, solved: Solved) -> Survey:
    """Write a solved survey as its record.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its decoded photographs, and the card found in them.
    solved
        Its adjustment.

    Returns
    -------
    Survey
        The record.
    """
    return survey_record(job, sighted, solved.names, solved.snooped, solved.left_out, solved.aside)


def solved_of(job: Job, sighted: Sighted) -> Solved:
    """Adjust everything that a job observed of its points.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its decoded photographs, and the card found in them.

    Returns
    -------
    Solved
        The adjustment with its names, and the points that could not be fixed.

    Raises
    ------
    Refusal
        Nothing sets the frame, a photograph shows too little, all photographs stand in one place, or the
        observations leave something open.

    Valid
    -----
    Photographs of single shots, all of the engine as it stands; nothing moved between them.
    """
    points, left_out = _worth_solving(job, sighted)
    if not points and left_out:
        raise _nothing_fixed(left_out)
    problem, names = gather(job, sighted, points)
    _refuse_without_frame(problem)
    start = start_of(problem, names.photographs)
    if not all(start.crossed):
        left_out += [_not_crossed(name) for name, ok in zip(points, start.crossed, strict=True) if not ok]
        kept = tuple(name for name, ok in zip(points, start.crossed, strict=True) if ok)
        if problem.photograph_count and not any(not is_known(job, name) for name in kept):
            raise _one_place(problem.photograph_count)
        problem, names = gather(job, sighted, kept)
        start = _kept(start)
    snooped = snoop(problem, start.state)
    if not (job.tubes or job.rims):
        return Solved(snooped, names, tuple(left_out))
    found = with_outlines(job, sighted, names, snooped, tuple(left_out))
    return Solved(found.snooped, found.names, found.left_out, found.aside)


def _worth_solving(job: Job, sighted: Sighted) -> tuple[tuple[str, ...], list[LeftOut]]:
    """Points with two marks or a given place; the others cannot be fixed by anything."""
    named = dict.fromkeys(job.points)
    for marks in job.marks.values():
        named.update(dict.fromkeys(marks))
    points: list[str] = []
    left_out: list[LeftOut] = []
    for name in named:
        seen = [taken for taken, marks in job.marks.items() if name in marks and taken in sighted.photographs]
        if is_known(job, name) or len(seen) >= 2:
            points.append(name)
        elif seen:
            left_out.append(
                LeftOut(
                    name,
                    f"It is marked in one photograph only ({seen[0]}): one ray says which way it lies, not how far.",
                    "Mark it in a second photograph taken from well to one side.",
                )
            )
        else:
            left_out.append(LeftOut(name, "It is marked in no photograph.", "Mark it in two photographs or more."))
    return tuple(points), left_out


def _nothing_fixed(left_out: list[LeftOut]) -> Refusal:
    first = left_out[0]
    return Refusal(
        "survey", f"{len(left_out)} points, none of which can be fixed ({first.name}: {first.because})",
        "at least one point marked in two photographs", first.do,
    )  # fmt: skip


def _refuse_without_frame(problem: Problem) -> None:
    if not problem.photograph_count or len(problem.card_photograph):
        return
    known = problem.known_mm[np.isin(problem.known_point, problem.mark_point)]
    spread = np.linalg.svd(known - known.mean(axis=0), compute_uv=False) if len(known) > 2 else np.zeros(3)
    if len(known) < 3 or spread[1] < _FLAT_MM:
        raise Refusal(
            "survey", f"no card in any photograph and {len(known)} known points marked",
            "the scale card, or three known points that are not in one line",
            "Ask for a photograph with the scale card lying beside the engine: it sets the scale and the frame.",
        )  # fmt: skip
    free_focal = bool((problem.focal_prior > 0.2).any())
    if free_focal and (len(known) < 4 or spread[2] < _FLAT_MM):
        raise Refusal(
            "survey", "known points all in one plane, no card, and a lens of unknown focal length",
            "the scale card, known points at different depths, or the lens's focal length",
            "Ask for the photographs as the phone stored them, or type the phone's focal_35mm.",
        )  # fmt: skip


def _not_crossed(name: str) -> LeftOut:
    return LeftOut(
        name,
        "Its rays run nearly side by side, or do not meet: the photographs that show it were taken from nearly one "
        "place, or a mark is on the wrong thing.",
        "Look at its marks; if they are right, ask for one more photograph from well to one side.",
    )


def _one_place(photographs: int) -> Refusal:
    return Refusal(
        "survey", f"{photographs} photographs from nearly one place", "photographs from places well apart",
        "Ask for at least one more photograph from about 40 degrees to one side, the card in view.",
    )  # fmt: skip


def _kept(start: Start) -> Start:
    crossed = np.array(start.crossed)
    return Start(replace(start.state, points_mm=start.state.points_mm[crossed]), (True,) * int(crossed.sum()))
