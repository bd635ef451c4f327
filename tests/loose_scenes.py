"""Scenes for the order of removal: elbows, posts and valves that stand on a plate, placed by hand or at random."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np

from trialfit.fitup.order.loose import Loose, Phase, Stand, Way
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.parts.placement import Array
from trialfit.parts.solids import Capsule, Cylinder, HalfSpace, Hexagon

UP = np.array([0.0, 0.0, 1.0])
PLATE = Thing("plate", "the plate", "engine", (Piece("body", HalfSpace(np.zeros(3), UP)),))
TAIL_MM = 6.0


def out(angle_deg: float) -> Array:
    """Unit vector in the plate at an angle. [-]"""
    return np.array([cos(radians(angle_deg)), sin(radians(angle_deg)), 0.0])


def elbow(
    name: str,
    x: float,
    y: float,
    angle_deg: float,
    arm_mm: float = 30.0,
    high_mm: float = 8.0,
    arm_radius_mm: float = 3.0,
) -> Thing:
    """An elbow screwed into the plate: tail, round body, and an arm that points somewhere."""
    at = np.array([x, y, 0.0])
    start = at + high_mm * UP
    pieces = (
        Piece("tail", Cylinder(at - TAIL_MM * UP, at, 3.0)),
        Piece("body", Cylinder(at, at + (high_mm + 4.0) * UP, 4.0)),
        Piece("arm", Capsule(start, start + arm_mm * out(angle_deg), arm_radius_mm)),
    )
    return Thing(name, name, "part", pieces, None, None, ("plate",))


def post(name: str, x: float, y: float, high_mm: float = 20.0, radius_mm: float = 2.0) -> Thing:
    """A stud that stands on the plate."""
    at = np.array([x, y, 0.0])
    return Thing(
        name, name, "part", (Piece("body", Cylinder(at, at + high_mm * UP, radius_mm)),), None, None, ("plate",)
    )


def nut(name: str, x: float, y: float, flats_mm: float = 8.0, high_mm: float = 6.0) -> Thing:
    """A hexagon on the plate."""
    at = np.array([x, y, 0.0])
    solid = Hexagon(at, at + high_mm * UP, flats_mm, out(0))
    return Thing(name, name, "part", (Piece("hexagon", solid),), None, None, ("plate",))


def screwed(thing: Thing, turns: float = 6.0, pitch_mm: float = 1.0, pull_mm: float = 30.0, *sides: str) -> Loose:
    """Unscrewed straight up, then pulled."""
    at = _foot(thing)
    moves = (thing.name,)
    unscrew = Phase(moves, Motion("unscrew", at, UP, turns * pitch_mm, 360 * turns))
    pull = Phase(moves, Motion("pull", at, UP, pull_mm, 0.0))
    return Loose(thing.name, thing.name, moves, (Way((unscrew, pull), sides),), mates=frozenset({"plate"}))


def pulled(thing: Thing, pull_mm: float = 30.0, along: Array = UP, *sides: str) -> Loose:
    """Pulled straight out."""
    pull = Phase((thing.name,), Motion("pull", _foot(thing), along, pull_mm, 0.0))
    return Loose(thing.name, thing.name, (thing.name,), (Way((pull,), sides),), mates=frozenset({"plate"}))


def standing(*pairs: tuple[Thing, Loose]) -> Stand:
    """All of them on the plate."""
    return Stand(Scene((PLATE, *(thing for thing, _ in pairs))), tuple(loose for _, loose in pairs))


def random_elbows(random: np.random.Generator, n: int, field_mm: float) -> Stand:
    """Elbows and posts that stand at random without standing in each other's bodies; arms may well overhang."""
    at: list[Array] = []
    while len(at) < n:
        place = random.uniform(0, field_mm, 2)
        if all(np.linalg.norm(place - other) > 9.0 for other in at):
            at.append(place)
    pairs: list[tuple[Thing, Loose]] = []
    for k, (x, y) in enumerate(at):
        if random.random() < 0.25:
            thing = post(f"P{k}", x, y, float(random.uniform(8, 30)))
            pairs.append((thing, pulled(thing)))
        else:
            thing = elbow(
                f"E{k}", x, y, float(random.uniform(0, 360)), float(random.uniform(8, 26)), 8.0 + 8.0 * (k % 4), 2.5
            )
            pairs.append((thing, screwed(thing, float(random.uniform(1, 6)))))
    return standing(*pairs)


def _foot(thing: Thing) -> Array:
    solid = thing.pieces[-1].solid if thing.pieces[0].name == "tail" else thing.pieces[0].solid
    start = solid.start_mm if isinstance(solid, Capsule | Cylinder | Hexagon) else np.zeros(3)
    return np.asarray(start * np.array([1.0, 1.0, 0.0]))
