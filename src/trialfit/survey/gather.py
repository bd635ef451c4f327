"""The job's photographs, marks and readings as one numbered problem.

Source: bookkeeping only. The default of 1 % for a card whose check lines were not measured, and 1.5 px for a mark,
are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.job.records import Job, PointEntry
from trialfit.survey.card import CardBoard, board_of, corner_positions_mm
from trialfit.survey.detect import CardSighting
from trialfit.survey.outline_names import OutlineNames
from trialfit.survey.photograph import Photograph, focal_of_equivalent
from trialfit.survey.problem import Priors, Problem
from trialfit.survey.sensor import sensor_size_px, to_sensor

Array = NDArray[np.float64]

DEFAULT_MARK_SIGMA_PX = 1.5
_UNKNOWN_FOCAL_35MM_MM = 28.0
_UNKNOWN_FOCAL_SIGMA = 0.5
_TYPED_FOCAL_SIGMA = 0.04


@dataclass(frozen=True)
class Names:
    """Names behind the numbers of a problem.

    Parameters
    ----------
    photographs
        One a photograph, in the problem's order.
    points
        One a point.
    lenses
        One a lens: the phone, and the picture format where one phone has several.
    outlines
        Names of tubes and rims.
    """

    photographs: tuple[str, ...]
    points: tuple[str, ...]
    lenses: tuple[str, ...]
    outlines: OutlineNames = field(default_factory=OutlineNames)


@dataclass(frozen=True)
class Sighted:
    """Everything the survey is given besides the job: decoded photographs and where the card was found in them.

    Parameters
    ----------
    photographs
        By their names in the job.
    cards
        By the same names; a photograph without the card has no corners.
    """

    photographs: Mapping[str, Photograph] = field(default_factory=dict)
    cards: Mapping[str, CardSighting] = field(default_factory=dict)


def gather(job: Job, sighted: Sighted, points: tuple[str, ...]) -> tuple[Problem, Names]:
    """Number everything that bears on some of the job's points.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its photographs, and the card in them.
    points
        Names of the points to solve for; marks and readings of others are left aside.

    Returns
    -------
    tuple
        The problem, and the names behind its numbers.

    Raises
    ------
    Refusal
        A mark lies outside its photograph.
    """
    photographs = tuple(name for name in job.photographs if name in sighted.photographs)
    lens_keys = {name: _lens_key(job, sighted.photographs[name], name) for name in photographs}
    lenses = tuple(dict.fromkeys(lens_keys.values()))
    first = {key: next(name for name in photographs if lens_keys[name] == key) for key in lenses}
    focal = [_focal(job, sighted.photographs[first[key]], first[key]) for key in lenses]
    sizes = [_stored(sighted.photographs[first[key]]) for key in lenses]
    board = board_of(job.card) if job.card is not None else None
    card = _card_rows(sighted, photographs, board)
    marks = _mark_rows(job, sighted, photographs, points)
    readings = [r for r in job.readings if r.between[0] in points and r.between[1] in points]
    known = [(points.index(name), *_known(job.points[name])) for name in points if is_known(job, name)]
    lines = job.card.check_lines if job.card is not None else ()
    half = board.board_mm[0] / 2.0 if board else 1.0
    problem = Problem(
        lens_of_photograph=np.array([lenses.index(lens_keys[name]) for name in photographs], dtype=np.intp),
        focal_start_px=np.array([f for f, _ in focal]).reshape(-1),
        centre_start_px=(np.array(sizes).reshape(-1, 2) - 1.0) / 2.0,
        focal_prior=np.array([s for _, s in focal]).reshape(-1),
        point_count=len(points),
        card_photograph=card[0],
        card_xy_mm=card[1],
        card_px=card[2],
        card_middle_mm=np.array(board.board_mm) / 2.0 if board else np.zeros(2),
        card_half_mm=half,
        mark_photograph=marks[0],
        mark_point=marks[1],
        mark_px=marks[2],
        mark_sigma_px=marks[3],
        reading_points=np.array([[points.index(n) for n in r.between] for r in readings], dtype=np.intp).reshape(-1, 2),
        reading_mm=np.array([r.value_mm for r in readings]),
        reading_sigma_mm=np.array([r.sigma_mm for r in readings]),
        known_point=np.array([k for k, _, _ in known], dtype=np.intp),
        known_mm=np.array([at for _, at, _ in known]).reshape(-1, 3),
        known_sigma_mm=np.array([sigma for _, _, sigma in known]),
        line_axis=np.array([0 if line.along == "long" else 1 for line in lines], dtype=np.intp),
        line_ratio=np.array([line.reading.value_mm / float(line.nominal.to("mm")) for line in lines]),
        line_sigma=np.array([line.reading.sigma_mm / float(line.nominal.to("mm")) for line in lines]),
        priors=Priors(),
    )
    return problem, Names(photographs, points, lenses)


def is_known(job: Job, point: str) -> bool:
    """Whether a point's place was given outright.

    Parameters
    ----------
    job
        The job document.
    point
        The point's name.

    Returns
    -------
    bool
        True where x, y and z are given.
    """
    entry = job.points.get(point)
    return entry is not None and entry.at is not None


def _known(entry: PointEntry) -> tuple[list[float], float]:
    assert entry.at is not None
    assert entry.pm is not None
    return [float(value.to("mm")) for value in entry.at], float(entry.pm.to("mm")) / 2.0


def _stored(photograph: Photograph) -> tuple[float, float]:
    return sensor_size_px(photograph.width_px, photograph.height_px, photograph.quarter_turns)


def _lens_key(job: Job, photograph: Photograph, name: str) -> str:
    width, height = _stored(photograph)
    zoom = f", zoom {photograph.zoom:g}" if photograph.zoom != 1 else ""
    return f"{job.photographs[name].phone} {width:.0f} x {height:.0f}{zoom}"


def _focal(job: Job, photograph: Photograph, name: str) -> tuple[float, float]:
    typed = job.phones[job.photographs[name].phone].focal_35mm
    width, height = photograph.width_px, photograph.height_px
    if typed is not None:
        return focal_of_equivalent(float(typed.to("mm")), width, height), _TYPED_FOCAL_SIGMA
    if photograph.focal_px is not None and photograph.focal_k2_px is not None:
        return photograph.focal_px, photograph.focal_k2_px / 2.0 / photograph.focal_px
    return focal_of_equivalent(_UNKNOWN_FOCAL_35MM_MM, width, height), _UNKNOWN_FOCAL_SIGMA


def _card_rows(
    sighted: Sighted, photographs: tuple[str, ...], board: CardBoard | None
) -> tuple[NDArray[np.intp], Array, Array]:
    rows: list[NDArray[np.intp]] = [np.zeros(0, dtype=np.intp)]
    xy: list[Array] = [np.zeros((0, 2))]
    px: list[Array] = [np.zeros((0, 2))]
    nominal = corner_positions_mm(board)[:, :2] if board is not None else np.zeros((0, 2))
    for place, name in enumerate(photographs):
        card = sighted.cards.get(name)
        if card is None or board is None or not len(card.corner_ids):
            continue
        photograph = sighted.photographs[name]
        rows.append(np.full(len(card.corner_ids), place, dtype=np.intp))
        xy.append(nominal[card.corner_ids])
        px.append(to_sensor(card.corners_px, photograph.width_px, photograph.height_px, photograph.quarter_turns))
    return np.concatenate(rows), np.concatenate(xy), np.concatenate(px)


def _mark_rows(
    job: Job, sighted: Sighted, photographs: tuple[str, ...], points: tuple[str, ...]
) -> tuple[NDArray[np.intp], NDArray[np.intp], Array, Array]:
    ordinary = float(job.survey.mark_pm.to("px")) / 2.0 if job.survey is not None else DEFAULT_MARK_SIGMA_PX
    number = {name: place for place, name in enumerate(points)}
    rows: list[tuple[int, int, Array, float]] = []
    for place, name in enumerate(photographs):
        photograph = sighted.photographs[name]
        for point, mark in job.marks.get(name, {}).items():
            if not (-0.5 <= mark.px[0] < photograph.width_px and -0.5 <= mark.px[1] < photograph.height_px):
                raise Refusal(
                    f"mark of {point} in photograph {name}", f"({mark.px[0]:g}, {mark.px[1]:g}) px",
                    f"inside the picture of {photograph.width_px} x {photograph.height_px} px",
                    "Marks count from the top left of the upright original; was it read off a smaller copy?",
                )  # fmt: skip
            if point not in number:
                continue
            px = np.array([mark.px])
            stored = to_sensor(px, photograph.width_px, photograph.height_px, photograph.quarter_turns)[0]
            rows.append((place, number[point], stored, float(mark.pm.to("px")) / 2.0 if mark.pm else ordinary))
    return (
        np.array([row[0] for row in rows], dtype=np.intp),
        np.array([row[1] for row in rows], dtype=np.intp),
        np.array([row[2] for row in rows]).reshape(-1, 2),
        np.array([row[3] for row in rows]),
    )
