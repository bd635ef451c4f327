"""The photograph a flat print is made from: where it was taken from, through which lens, and how surely.

The job's whole survey is taken where it can be solved. Otherwise the one photograph is placed alone, by the card in it
or by four known points marked in it, through the same adjustment with the same beliefs about the lens.

Source: the joint adjustment described in `docs/methods/survey.md`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.job.nearest import did_you_mean
from trialfit.job.records import Job
from trialfit.survey.gather import Sighted, gather, is_known
from trialfit.survey.photograph import Photograph
from trialfit.survey.records import Station, Survey
from trialfit.survey.snoop import snoop
from trialfit.survey.solve import Solved, solved_of, written
from trialfit.survey.start import start_of

Array = NDArray[np.float64]

_FEWEST_CORNERS = 6
_FEWEST_KNOWN = 4
_IN_LINE_MM = 5.0


@dataclass(frozen=True, eq=False)
class FlatView:
    """A placed photograph with all that is known of how surely it is placed.

    Parameters
    ----------
    photograph
        The photograph.
    station
        Where it was taken from and through which lens, for the upright picture.
    place
        Its place among the adjustment's photographs. [-]
    solved
        The adjustment.
    survey
        The same as a record.
    marked_px
        What the job marks in it: x right, y down, by the point's name. [px]
    alone
        Whether it was placed without the others.
    because
        Why it was placed alone, as a sentence, or empty.
    """

    photograph: Photograph
    station: Station
    place: int
    solved: Solved
    survey: Survey
    marked_px: dict[str, tuple[float, float]]
    alone: bool
    because: str

    @property
    def eye_mm(self) -> Array:
        """(3,) where the lens stood, in the job frame. [mm]"""
        return np.asarray(-self.station.rotation.T @ self.station.translation_mm)

    @property
    def card_sets_frame(self) -> bool:
        """Whether the card was found by the adjustment, so that its plane is z = 0."""
        return len(self.solved.snooped.adjusted.layout.problem.card_photograph) > 0

    @property
    def known_points(self) -> tuple[str, ...]:
        """Known points marked in it, in the job's order."""
        problem = self.solved.snooped.adjusted.layout.problem
        here = problem.mark_point[problem.mark_photograph == self.place]
        known = sorted(set(here.tolist()) & set(problem.known_point.tolist()))
        return tuple(self.solved.names.points[point] for point in known)

    def covariance(self, points: tuple[str, ...]) -> Array:
        """Joint covariance of this photograph's camera and some points.

        Parameters
        ----------
        points
            Names of p surveyed points.

        Returns
        -------
        Array
            (22 + 3p, 22 + 3p) the camera as `rays.slopes_of` has its columns, then x, y, z of each point. [-]
        """
        adjusted = self.solved.snooped.adjusted
        layout, names = adjusted.layout, self.solved.names.points
        camera = layout.camera_columns[self.place]
        own = [layout.point_columns[names.index(name)] for name in points]
        columns = np.concatenate([camera, *own])
        held = np.concatenate([camera >= layout.active_count, np.zeros(3 * len(points), dtype=bool)])
        block = adjusted.covariance[np.ix_(np.where(held, 0, columns), np.where(held, 0, columns))]
        block[held, :] = 0.0
        block[:, held] = 0.0
        return np.asarray(block)


def view_of(job: Job, sighted: Sighted, name: str) -> FlatView:
    """Place one photograph as surely as the job allows.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its decoded photographs, and the card found in them.
    name
        The photograph's name in the job.

    Returns
    -------
    FlatView
        The placed photograph.

    Raises
    ------
    Refusal
        The job has no such photograph, it is one of the bench, or it shows neither the card nor four known points.
    """
    refuse_if_of_bench(name, job)
    refuse_unknown(name, sighted.photographs)
    try:
        return _view(job, sighted, name, solved_of(job, sighted), "")
    except Refusal as refusal:
        fault = refusal.faults[0]
        because = f"The job's survey cannot be solved ({fault.what}: {fault.got})."
    return placed_alone(job, sighted, name, because)


def placed_in(sighted: Sighted, solved: Solved, survey: Survey, name: str) -> FlatView:
    """Take one photograph as the job's survey has it.

    Parameters
    ----------
    sighted
        The survey's photographs.
    solved
        The adjustment.
    survey
        The same as a record.
    name
        The photograph's name.

    Returns
    -------
    FlatView
        The placed photograph.

    Raises
    ------
    Refusal
        It is none of the survey's.
    """
    refuse_unknown(name, solved.names.photographs)
    place = solved.names.photographs.index(name)
    return FlatView(sighted.photographs[name], survey.stations[place], place, solved, survey, {}, False, "")


def placed_alone(job: Job, sighted: Sighted, name: str, because: str = "") -> FlatView:
    """Place one photograph by itself.

    Parameters
    ----------
    job
        The job document.
    sighted
        Decoded photographs, this one among them, and the card found in them.
    name
        Its name.
    because
        Why it is placed alone, as a sentence, or empty.

    Returns
    -------
    FlatView
        The placed photograph.

    Raises
    ------
    Refusal
        It shows neither the card nor four known points.
    """
    only = Sighted({name: sighted.photographs[name]}, {key: card for key, card in sighted.cards.items() if key == name})
    others = len(sighted.photographs) > 1
    return _view(job, only, name, _alone(job, only, name, because if others else ""), because)


def refuse_if_of_bench(name: str, job: Job) -> None:
    """Refuse a photograph of a piece at the bench: nothing says where it was taken from, and no engine is in it.

    Parameters
    ----------
    name
        What was asked for.
    job
        The job document.

    Raises
    ------
    Refusal
        It is one of the bench.
    """
    asked = job.photographs.get(name)
    if asked is None or not asked.bench:
        return
    engine = ", ".join(each for each, entry in job.photographs.items() if not entry.bench)
    raise Refusal(
        f'photograph "{name}"', "one of the bench, which shows a piece and not the engine",
        "a photograph of the engine",
        (f"Name one of {engine}. " if engine else "The job has none of the engine yet: add one under [photographs]. ")
        + "Two photographs of a piece are compared at one scale under [before_and_after]; a photograph that does show "
        "the engine must not say bench = true.",
    )  # fmt: skip


def refuse_unknown(name: str, known: Iterable[str]) -> None:
    """Refuse a photograph that the job does not name.

    Parameters
    ----------
    name
        What was asked for.
    known
        Names of the job's photographs.

    Raises
    ------
    Refusal
        It is not among them.
    """
    names = list(known)
    if name not in names:
        remedy = did_you_mean(name, names, f"Name one of {', '.join(names) or 'none: the job has no photograph'}.")
        raise Refusal(f'photograph "{name}"', "a name the job does not know", "one of its photographs", remedy)


def _view(job: Job, sighted: Sighted, name: str, solved: Solved, because: str) -> FlatView:
    survey = written(job, sighted, solved)
    place = solved.names.photographs.index(name)
    marks = {point: mark.px for point, mark in job.marks.get(name, {}).items()}
    alone = len(solved.names.photographs) == 1
    return FlatView(
        sighted.photographs[name], survey.stations[place], place, solved, survey, marks, alone, because
    )  # fmt: skip


def _alone(job: Job, sighted: Sighted, name: str, because: str) -> Solved:
    """Place the one photograph by the card and the known points in it."""
    known = tuple(point for point in job.marks.get(name, {}) if is_known(job, point))
    problem, names = gather(job, sighted, known)
    corners = len(problem.card_px)
    across = problem.known_mm - problem.known_mm.mean(axis=0) if len(known) else np.zeros((1, 3))
    in_line = np.linalg.svd(across, compute_uv=False)[min(1, len(across) - 1)] < _IN_LINE_MM
    if corners < _FEWEST_CORNERS and (len(known) < _FEWEST_KNOWN or in_line):
        shows = f"{corners} corners of the card" if corners else "no card"
        those = "known points in one line" if in_line and len(known) >= _FEWEST_KNOWN else "known points marked in it"
        raise Refusal(
            f"photograph {name}", f"{shows} and {len(known)} {those}",
            f"at least {_FEWEST_CORNERS} corners of the card, or {_FEWEST_KNOWN} known points marked in it that are "
            "not in one line",
            "Take a photograph with the whole card in view, or give four points their `at` and mark them in it."
            + (f" {because}" if because else ""),
            sighted.photographs[name].file,
        )  # fmt: skip
    start = start_of(problem, names.photographs)
    return Solved(snoop(problem, start.state), names, ())
