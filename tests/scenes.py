"""Invented scenes with a known answer: points of an engine, a printed card, a phone that refocuses, a hand."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.problem import Priors, Problem, State, card_points
from trialfit.survey.project import project

Array = NDArray[np.float64]
SIZE_PX = (4000, 3000)
SQUARE_MM, SQUARES = 16.0, (8, 5)


@dataclass(frozen=True)
class Scene:
    """What was observed, and the truth behind it."""

    problem: Problem
    truth: State


def card_corners() -> Array:
    """(28, 2) inner corners of the A6 card, from the board's lower left corner."""
    x, y = np.meshgrid(np.arange(1, SQUARES[0]) * SQUARE_MM, np.arange(1, SQUARES[1]) * SQUARE_MM)
    return np.stack([x.ravel(), y.ravel()], axis=1)


def looking_at(eye: Array, target: Array, roll: float) -> tuple[Array, Array]:
    """Rotation and translation of a camera at `eye` (x right, y down, z forward)."""
    forward = (target - eye) / np.linalg.norm(target - eye)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    c, s = np.cos(roll), np.sin(roll)
    rotation = np.stack([c * right + s * down, -s * right + c * down, forward])
    return rotation, -rotation @ eye


def scene(
    rng: np.random.Generator,
    photographs: int = 5,
    points: int = 12,
    readings: int = 2,
    mark_px: float = 1.5,
    spread_deg: float = 70.0,
    card_in: int | None = None,
    priors: Priors | None = None,
    seen: float = 0.85,
    world: Array | None = None,
) -> Scene:
    """Make one scene; every unknown of the model is drawn from the prior the program is told.

    The points are drawn too, unless `world` says where they are.
    """
    priors = priors or Priors()
    drawn = rng.uniform([-50.0, 90.0, 5.0], [150.0, 200.0, 135.0], (points, 3))
    world = drawn if world is None else world
    target = np.array([60.0, 90.0, 45.0])
    turns = np.radians(np.linspace(-spread_deg / 2, spread_deg / 2, photographs) + rng.normal(0, 3, photographs))
    rotations, translations = [], []
    for k, turn_rad in enumerate(turns):
        height = np.radians(rng.uniform(20, 55) if k % 2 else rng.uniform(25, 40))
        distance = rng.uniform(300, 420)
        away = np.array([np.sin(turn_rad) * np.cos(height), -np.cos(turn_rad) * np.cos(height), np.sin(height)])
        rotation, translation = looking_at(target + distance * away, target + rng.normal(0, 10, 3), rng.normal(0, 0.1))
        rotations.append(rotation)
        translations.append(translation)
    noted = 2950.0
    lens = np.array([[rng.normal(0, 0.02), *rng.normal(0, 8.0, 2), 0.05, -0.1, 4e-4, -3e-4, 0.05]])
    breathing = np.stack(
        [
            rng.normal(0, priors.breathing_focal, photographs),
            rng.normal(0, priors.breathing_centre_px, photographs),
            rng.normal(0, priors.breathing_centre_px, photographs),
        ],
        axis=1,
    )
    card = np.array(
        [rng.normal(0, 0.003), rng.normal(0, priors.card_difference), *rng.normal(0, priors.card_bow_mm, 3)]
    )
    truth = State(np.array(rotations), np.array(translations), breathing, lens, card, world)
    shown = range(photographs) if card_in is None else range(card_in)
    xy = card_corners()
    card_photograph = np.repeat(np.array(list(shown), dtype=np.intp), len(xy))
    card_xy = np.tile(xy, (len(list(shown)), 1))
    wanted = rng.random((photographs, points)) < seen
    for q in range(points):
        wanted[rng.choice(photographs, min(3, photographs), replace=False), q] = True
    pairs = [(p, q) for p in range(photographs) for q in range(points) if wanted[p, q]]
    mark_photograph, mark_point = np.array(pairs, dtype=np.intp).T
    chosen = [tuple(rng.choice(points, 2, replace=False)) for _ in range(readings)]
    reading_points = np.array(chosen, dtype=np.intp).reshape(-1, 2)
    problem = Problem(
        lens_of_photograph=np.zeros(photographs, dtype=np.intp),
        focal_start_px=np.array([noted]),
        centre_start_px=np.array([[(SIZE_PX[0] - 1) / 2, (SIZE_PX[1] - 1) / 2]]),
        focal_prior=np.array([priors.focal]),
        point_count=points,
        card_photograph=card_photograph,
        card_xy_mm=card_xy,
        card_px=np.zeros((len(card_xy), 2)),
        card_middle_mm=np.array([SQUARES[0], SQUARES[1]]) * SQUARE_MM / 2,
        card_half_mm=SQUARES[0] * SQUARE_MM / 2,
        mark_photograph=mark_photograph,
        mark_point=mark_point,
        mark_px=np.zeros((len(mark_point), 2)),
        mark_sigma_px=np.full(len(mark_point), mark_px),
        reading_points=reading_points,
        reading_mm=np.zeros(readings),
        reading_sigma_mm=np.full(readings, 0.15),
        line_axis=np.array([0, 1], dtype=np.intp),
        line_ratio=np.zeros(2),
        line_sigma=np.full(2, 0.1 / 100.0),
        priors=priors,
    )
    exact = exact_px(problem, truth)
    k = len(card_xy)
    ratio = 1.0 + card[0] + np.array([0.5, -0.5]) * card[1]
    lengths = np.linalg.norm(world[reading_points[:, 0]] - world[reading_points[:, 1]], axis=1)
    problem = replace(
        problem,
        card_px=exact[:k] + rng.normal(0, problem.card_sigma_px, (k, 2)),
        mark_px=exact[k:] + rng.normal(0, mark_px, (len(mark_point), 2)),
        reading_mm=lengths + rng.normal(0, 0.15, readings),
        line_ratio=ratio + rng.normal(0, 0.001, 2),
    )
    return Scene(problem, truth)


def exact_px(problem: Problem, state: State) -> Array:
    """(k + j, 2) pixels of card corners and marks without any slip."""
    corners, _ = card_points(problem, state.card)
    photograph = np.concatenate([problem.card_photograph, problem.mark_photograph])
    lens = problem.lens_of_photograph[photograph]
    focal = problem.focal_start_px[lens] * np.exp(state.lenses[lens, 0]) * (1 + state.breathing[photograph, 0])
    centre = problem.centre_start_px[lens] + state.lenses[lens, 1:3] + state.breathing[photograph, 1:]
    return project(
        np.concatenate([corners, state.points_mm[problem.mark_point]]),
        state.rotations[photograph],
        state.translations_mm[photograph],
        focal,
        centre,
        state.lenses[lens, 3:],
    ).px
