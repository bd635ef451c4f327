"""Invented jobs with one plane, a card in it, and photographs of known truth, as the flat print takes them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scenes import SIZE_PX, SQUARE_MM, SQUARES, Scene, card_corners, exact_px, looking_at, scene
from trialfit.job.records import Job
from trialfit.survey.detect import CardSighting
from trialfit.survey.flat_plane import FlatPlane
from trialfit.survey.flat_view import FlatView
from trialfit.survey.gather import Sighted
from trialfit.survey.photograph import Photograph
from trialfit.survey.problem import Problem, State
from trialfit.survey.project import project, straighten

Array = NDArray[np.float64]

HEAD = {
    "format": 1,
    "job": {"name": "flat", "owner": "P. Holmwood", "date": "2026-03-14"},
    "engine": {"name": "Teal", "working_pressure": "60 psi"},
    "survey": {"mark_pm": "3 px"},
    "phones": {"owner": {}},
    "card": {
        "page": ["148 mm", "105 mm"],
        "squares": list(SQUARES),
        "square": f"{SQUARE_MM} mm",
        "marker": "12 mm",
        "dictionary": "DICT_4X4_50",
    },
}


@dataclass(frozen=True)
class FlatScene:
    """A job as the program is given it, and the truth behind it."""

    job: Job
    sighted: Sighted
    truth: Scene


def photograph(name: str, focal_px: float | None = 2950.0) -> Photograph:
    """A photograph of which only what the survey needs is there."""
    k2 = None if focal_px is None else 0.08 * focal_px
    grey = np.zeros((SIZE_PX[1], SIZE_PX[0]), dtype=np.uint8)
    grey.flags.writeable = False
    return Photograph(name, f"{name}.jpg", *SIZE_PX, grey, focal_px, k2, "", 1.0, "", (), name)


def flat_scene(rng: np.random.Generator, photographs: int) -> FlatScene:
    """Draw a scene; lens and card are drawn from what the program is told to believe of them."""
    made = scene(rng, photographs, readings=2 if photographs > 1 else 0)
    lens = np.array([[rng.normal(0, 0.04), *rng.normal(0, 15.0, 2), *made.truth.lenses[0, 3:]]])
    truth = replace(made.truth, lenses=lens)
    k = len(made.problem.card_px)
    px = exact_px(made.problem, truth)
    px[:k] += rng.normal(0, made.problem.card_sigma_px, (k, 2))
    px[k:] += rng.normal(0, made.problem.mark_sigma_px[:, None], (len(px) - k, 2))
    made = Scene(replace(made.problem, card_px=px[:k], mark_px=px[k:]), truth)
    names = [f"p{number}" for number in range(photographs)]
    return FlatScene(_job(made, names), _sighted(made, names), made)


def _job(made: Scene, names: list[str]) -> Job:
    problem = made.problem
    marks: dict[str, dict[str, list[float]]] = {name: {} for name in names}
    if len(names) > 1:
        for where, point, px in zip(problem.mark_photograph, problem.mark_point, problem.mark_px, strict=True):
            if (px >= 0).all() and (px < SIZE_PX).all():
                marks[names[where]][f"q{point}"] = px.tolist()
    lines = [
        {"along": along, "nominal": "100 mm", "reading": {"value": f"{100 * ratio} mm", "pm": "0.2 mm", "by": "rule"}}
        for along, ratio in zip(("long", "short"), problem.line_ratio, strict=True)
    ]
    readings = [
        {"between": [f"q{a}", f"q{b}"], "value": f"{value} mm", "pm": "0.3 mm", "by": "caliper"}
        for (a, b), value in zip(problem.reading_points, problem.reading_mm, strict=True)
    ]
    return Job.model_validate(
        {
            **HEAD,
            "card": {**HEAD["card"], "check_lines": lines},  # type: ignore[dict-item]
            "photographs": {name: {"file": f"{name}.jpg", "phone": "owner"} for name in names},
            "points": {f"q{number}": {} for number in range(problem.point_count)} if len(names) > 1 else {},
            "marks": {name: each for name, each in marks.items() if each},
            "readings": readings,
        }
    )


def _sighted(made: Scene, names: list[str]) -> Sighted:
    problem, cards = made.problem, {}
    columns, rows = SQUARES[0] - 1, SQUARES[1] - 1
    for place, name in enumerate(names):
        here = problem.card_photograph == place
        xy = np.rint(problem.card_xy_mm[here] / SQUARE_MM).astype(np.int64) - 1
        ids = (rows - 1 - xy[:, 1]) * columns + xy[:, 0]
        px = problem.card_px[here]
        seen = ((px >= 0) & (px < SIZE_PX)).all(axis=1)
        order = np.argsort(ids[seen])
        cards[name] = CardSighting(name, ids[seen][order], px[seen][order], "")
    return Sighted({name: photograph(name) for name in names}, cards)


def true_px(truth: State, focal_start_px: float, points_mm: Array, place: int = 0) -> Array:
    """(n, 2) where points are really seen in one photograph."""
    n, (shift, own) = len(points_mm), (truth.lenses[0], truth.breathing[place])
    focal = focal_start_px * np.exp(shift[0]) * (1.0 + own[0])
    centre = (np.array(SIZE_PX) - 1.0) / 2.0 + shift[1:3] + own[1:]
    return project(
        points_mm, np.tile(truth.rotations[place], (n, 1, 1)), np.tile(truth.translations_mm[place], (n, 1)),
        np.full(n, focal), np.tile(centre, (n, 1)), np.tile(shift[3:], (n, 1)),
    ).px  # fmt: skip


def printed_at(view: FlatView, plane: FlatPlane, px: Array) -> Array:
    """(n, 2) where a flat print shows pixels: their rays, cut by the plane."""
    station, n = view.station, len(px)
    flat = straighten(
        px, np.full(n, station.focal_px), np.tile(station.centre_px, (n, 1)), np.tile(station.distortion, (n, 1))
    )
    rays = np.column_stack([flat, np.ones(n)]) @ station.rotation
    eye = -station.rotation.T @ station.translation_mm
    along = ((plane.origin_mm - eye) @ plane.normal) / (rays @ plane.normal)
    return plane.places(eye + along[:, None] * rays)


def looking(eye: Array, target: Array) -> State:
    """One camera looking at a place, with a lens as noted and nothing else drawn."""
    rotation, translation = looking_at(eye, target, 0.0)
    return State(
        rotation[None], translation[None], np.zeros((1, 3)), np.zeros((1, 8)), np.zeros(5), np.zeros((0, 3))
    )  # fmt: skip


def carded(truth: State) -> FlatScene:
    """A job of one photograph that shows the card and nothing else."""
    xy = card_corners()
    px = true_px(truth, 2950.0, np.column_stack([xy, np.zeros(len(xy))]))
    problem = Problem(
        lens_of_photograph=np.zeros(1, dtype=np.intp), focal_start_px=np.array([2950.0]),
        centre_start_px=np.array([[1999.5, 1499.5]]), focal_prior=np.array([0.04]), point_count=0,
        card_photograph=np.zeros(len(xy), dtype=np.intp), card_xy_mm=xy, card_px=px,
        line_ratio=np.ones(2),
    )  # fmt: skip
    made = Scene(problem, truth)
    return FlatScene(_job(made, ["p0"]), _sighted(made, ["p0"]), made)


def knowing(truth: State, points_mm: Array, given_mm: Array, mark_px: Array, pm: str = "0.5 mm") -> FlatScene:
    """A job of one photograph without the card, in which points of known place are marked."""
    px = true_px(truth, 2950.0, points_mm) + mark_px
    names = [f"k{number}" for number in range(len(points_mm))]
    points = {
        name: {"at": [f"{v} mm" for v in at], "pm": pm, "by": "owner, rule"}
        for name, at in zip(names, given_mm.tolist(), strict=True)
    }
    job = Job.model_validate(
        {
            **{key: value for key, value in HEAD.items() if key != "card"},
            "photographs": {"p0": {"file": "p0.jpg", "phone": "owner"}},
            "points": points,
            "marks": {"p0": dict(zip(names, px.tolist(), strict=True))},
        }
    )
    problem = Problem(
        lens_of_photograph=np.zeros(1, dtype=np.intp), focal_start_px=np.array([2950.0]),
        centre_start_px=np.array([[1999.5, 1499.5]]), focal_prior=np.array([0.04]), point_count=0,
    )  # fmt: skip
    return FlatScene(job, Sighted({"p0": photograph("p0")}, {}), Scene(problem, truth))
