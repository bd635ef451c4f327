"""An adjusted problem as a record with names.

Source: residuals against their own covariance after Baarda (1968); the rest is bookkeeping.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.survey.adjust import Adjusted, freedom
from trialfit.survey.gather import Names, Sighted
from trialfit.survey.outline_judge import SetAside
from trialfit.survey.outline_report import outline_report, outline_residuals
from trialfit.survey.outline_suspects import outline_suspects
from trialfit.survey.problem import Problem
from trialfit.survey.records import LeftOut, Lens, Residual, Station, Survey, SurveyedPoint
from trialfit.survey.residuals import card_tests, mark_tests, reading_tests, sigmas_of
from trialfit.survey.sensor import camera_upright, lens_upright, to_upright
from trialfit.survey.snoop import Snooped
from trialfit.survey.suspects import suspects

Array = NDArray[np.float64]


def survey_record(
    job: Job,
    sighted: Sighted,
    names: Names,
    snooped: Snooped,
    left_out: tuple[LeftOut, ...],
    aside: tuple[SetAside, ...] = (),
    with_residuals: bool = True,
) -> Survey:
    """Write an adjusted problem as the survey's record.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its photographs and cards.
    names
        Names behind the problem's numbers.
    snooped
        The answer, with what was set aside.
    left_out
        The points, tubes and rims that could not be fixed.
    aside
        Marks on outlines that were set aside.
    with_residuals
        Whether the residuals are wanted; while a mark is dragged nobody reads them.

    Returns
    -------
    Survey
        The record.
    """
    adjusted = snooped.adjusted
    problem = adjusted.layout.problem
    covariance = adjusted.point_covariance_mm2
    outlines = outline_report(adjusted, names)
    return Survey(
        points=_points(problem, names, adjusted, covariance),
        covariance_mm2=covariance,
        left_out=left_out,
        lenses=_lenses(problem, names, adjusted),
        stations=tuple(_station(problem, names, sighted, adjusted, place) for place in range(problem.photograph_count)),
        card_stretch=_stretch(adjusted),
        chi_square=adjusted.chi_square,
        freedom=freedom(problem) - 2 * int((~snooped.kept).sum()) - int((~snooped.trust.readings).sum()),
        residuals=_residuals(job, names, snooped) if with_residuals else (),
        suspects=(*suspects(job, sighted, names, snooped), *outline_suspects(sighted, names, aside)),
        tubes=outlines.tubes,
        rims=outlines.rims,
        covariance_with_axes=outlines.covariance,
    )


def _points(problem: Problem, names: Names, adjusted: Adjusted, covariance: Array) -> tuple[SurveyedPoint, ...]:
    k2 = 2.0 * np.sqrt(np.diag(covariance)).reshape(-1, 3)
    rays = np.bincount(problem.mark_point, minlength=problem.point_count)
    return tuple(
        SurveyedPoint(name, _triple(adjusted.state.points_mm[place]), _triple(k2[place]), int(rays[place]))
        for place, name in enumerate(names.points)
    )


def _triple(values: Array) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])


def _lenses(problem: Problem, names: Names, adjusted: Adjusted) -> tuple[Lens, ...]:
    out = []
    columns = adjusted.layout.camera_columns
    for place, name in enumerate(names.lenses):
        values = adjusted.state.lenses[place]
        focal = float(problem.focal_start_px[place] * np.exp(values[0]))
        photograph = int(np.flatnonzero(problem.lens_of_photograph == place)[0])
        column = columns[photograph, 9]
        sigma = float(np.sqrt(adjusted.covariance[column, column])) if column < adjusted.layout.active_count else 0.0
        centre = problem.centre_start_px[place] + values[1:3]
        k1, k2, p1, p2, k3 = (float(v) for v in values[3:])
        out.append(Lens(name, focal, 2.0 * sigma * focal, (float(centre[0]), float(centre[1])), (k1, k2, p1, p2, k3)))
    return tuple(out)


def _station(problem: Problem, names: Names, sighted: Sighted, adjusted: Adjusted, place: int) -> Station:
    name, state = names.photographs[place], adjusted.state
    photograph = sighted.photographs[name]
    lens = int(problem.lens_of_photograph[place])
    values, breathing, turns = state.lenses[lens], state.breathing[place], photograph.quarter_turns
    rotation, translation = camera_upright(state.rotations[place], state.translations_mm[place], turns)
    centre = problem.centre_start_px[lens] + values[1:3] + breathing[1:]
    upright = to_upright(centre[None], photograph.width_px, photograph.height_px, turns)[0]
    k1, k2, p1, p2, k3 = (float(v) for v in lens_upright(values[3:], turns))
    return Station(
        name,
        rotation,
        translation,
        float(problem.focal_start_px[lens] * np.exp(values[0]) * (1.0 + breathing[0])),
        (float(upright[0]), float(upright[1])),
        (k1, k2, p1, p2, k3),
        int((problem.card_photograph == place).sum()),
    )


def _stretch(adjusted: Adjusted) -> tuple[tuple[float, float], tuple[float, float]]:
    layout, card = adjusted.layout, adjusted.state.card
    columns = layout.column[-5:-3]
    ratios = (1.0 + card[0] + card[1] / 2.0, 1.0 + card[0] - card[1] / 2.0)
    if (columns >= layout.active_count).any():
        return (float(ratios[0]), float(ratios[1])), (0.0, 0.0)
    block = adjusted.covariance[np.ix_(columns, columns)]
    k2 = [2.0 * float(np.sqrt(by @ block @ by)) for by in (np.array([1.0, 0.5]), np.array([1.0, -0.5]))]
    return (float(ratios[0]), float(ratios[1])), (k2[0], k2[1])


def _residuals(job: Job, names: Names, snooped: Snooped) -> tuple[Residual, ...]:
    adjusted = snooped.adjusted
    problem = adjusted.layout.problem
    out: list[Residual] = list(outline_residuals(adjusted, names))
    for j, test in enumerate(mark_tests(adjusted, snooped.kept)):
        if not snooped.kept[j]:
            continue
        point, photograph = names.points[problem.mark_point[j]], names.photographs[problem.mark_photograph[j]]
        sigmas = float(np.sqrt(test.square / max(test.ways, 1)))
        out.append(
            Residual(f"mark of {point} in photograph {photograph}", float(np.linalg.norm(test.off_px)), "px", sigmas)
        )
    covariance, points = adjusted.point_covariance_mm2, adjusted.state.points_mm
    for pair, reading, sigmas, trusted in zip(
        problem.reading_points, problem.reading_mm, reading_tests(adjusted), snooped.trust.readings, strict=True
    ):
        if not trusted:
            continue
        length = float(np.linalg.norm(points[pair[1]] - points[pair[0]]))
        what = f"reading between {names.points[pair[0]]} and {names.points[pair[1]]}"
        out.append(Residual(what, abs(float(reading) - length), "mm", sigmas))
    for point, at, sigma in zip(problem.known_point, problem.known_mm, problem.known_sigma_mm, strict=True):
        block = covariance[3 * point : 3 * point + 3, 3 * point : 3 * point + 3]
        off = at - points[point]
        variance = sigma**2 - float(np.trace(block)) / 3.0
        length = float(np.linalg.norm(off))
        sigmas = sigmas_of(length, 3.0 * variance, sigma)
        out.append(Residual(f"known place of {names.points[point]}", length, "mm", sigmas))
    lines = job.card.check_lines if job.card is not None else ()
    for (off, sigmas), line in zip(card_tests(adjusted), lines, strict=True):
        if not snooped.trust.check_lines:
            continue
        what = f"check line along the card's {line.along} side"
        out.append(Residual(what, abs(off) * float(line.nominal.to("mm")), "mm", sigmas))
    return tuple(sorted(out, key=lambda residual: -residual.sigmas))
