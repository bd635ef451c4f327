"""Scenes for routes: two union faces and things between them, drawn at random, with distances of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trialfit.fitup.corners import Bender
from trialfit.fitup.obstacles import Around, Obstacle
from trialfit.fitup.records import Array, EndFace
from trialfit.parts.solids import Box, Capsule, Cylinder, Solid

BENDER = Bender(12.7, 10.0)
TUBE_RADIUS_MM = 2.38
ALLOWED = ((0.3, 0.3), (0.3, 0.3))
WANTED_MM = 2.0


@dataclass(frozen=True, eq=False)
class RouteScene:
    """Two faces, and what stands between them."""

    start: EndFace
    end: EndFace
    around: Around


def unit(way: Array) -> Array:
    """The unit vector of a way."""
    return np.asarray(way / np.linalg.norm(way))


def faces() -> tuple[EndFace, EndFace]:
    """A face that looks down and one that looks back at it, askew."""
    start = EndFace("clack.inlet", np.zeros(3), np.array([0, 0, -1.0]), 14.0, 6.5)
    end = EndFace("tank.face", np.array([60, 30, -70.0]), unit(np.array([-1, 0.2, 0.1])), 14.0, 3.5)
    return start, end


def scene(seed: int, count: int = 10) -> RouteScene:
    """Things of three kinds round the way between the two faces, clear of the straights that both need."""
    random = np.random.default_rng(seed)
    start, end = faces()
    solids: list[Solid] = []
    while len(solids) < count:
        solid = _solid(random, len(solids) % 3)
        if all(_straight_is_free(face, solid) for face in (start, end)):
            solids.append(solid)
    return RouteScene(start, end, around_of(solids))


def around_of(solids: list[Solid], wanted_mm: float = WANTED_MM) -> Around:
    """Obstacles named after their place in a list."""
    return Around(tuple(Obstacle(f"thing {k}", "", each, wanted_mm) for k, each in enumerate(solids)), TUBE_RADIUS_MM)


def own_distance_mm(solid: Solid, points: Array) -> Array:
    """Distance outside a solid by the nearest point of it, worked out apart from the program's own; 0 inside."""
    if isinstance(solid, Box):
        seen = (points - solid.middle_mm) @ solid.axes.T
        return np.asarray(np.linalg.norm(seen - np.clip(seen, -solid.halves_mm, solid.halves_mm), axis=1))
    assert isinstance(solid, Capsule | Cylinder)
    axis = unit(solid.end_mm - solid.start_mm)
    long = float(np.linalg.norm(solid.end_mm - solid.start_mm))
    seen = points - solid.start_mm
    height = seen @ axis
    across = np.linalg.norm(np.cross(seen, axis), axis=1)
    beyond = height - np.clip(height, 0.0, long)
    if isinstance(solid, Capsule):
        return np.asarray(np.maximum(np.hypot(across, beyond) - solid.radius_mm, 0.0))
    return np.asarray(np.hypot(np.maximum(across - solid.radius_mm, 0.0), beyond))


def _solid(random: np.random.Generator, kind: int) -> Solid:
    middle = random.uniform([0, -20, -80], [80, 60, 0])
    if kind == 0:
        return Capsule(middle, middle + random.normal(size=3) * 15, random.uniform(3, 8))
    if kind == 1:
        return Cylinder(middle, middle + random.normal(size=3) * 15, random.uniform(3, 10))
    turn, _ = np.linalg.qr(random.normal(size=(3, 3)))
    return Box(middle, turn, random.uniform(3, 12, 3))


def _straight_is_free(face: EndFace, solid: Solid) -> bool:
    along = face.position_mm + np.linspace(0, face.straight_mm, 60)[:, None] * face.direction
    return bool(own_distance_mm(solid, along).min() > TUBE_RADIUS_MM + WANTED_MM + 0.5)
