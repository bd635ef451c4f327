"""Order of removal of 30 parts, against the collision library python-fcl with a dense sweep."""

from __future__ import annotations

from functools import partial
from itertools import product
from typing import Any

import fcl
import numpy as np

from bench.clock import Row, least_ms
from loose_scenes import random_elbows
from trialfit.fitup.order.loose import Stand
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.order.search import take_off
from trialfit.fitup.order.table import table_of
from trialfit.fitup.scene import Thing
from trialfit.parts.placement import Array
from trialfit.parts.solids import Capsule, Cylinder

_Shape = tuple[Any, Array, Array]

_PARTS, _FIELD_MM = 30, 240.0
# A step of fcl's sweep moves no point of a 30 mm arm by more than 0.5 mm, which still proves nothing between samples.
_STEP_MM = 0.5
# Nothing of two parts can meet whose middles are further apart.
_REACH_MM = 90.0


def rows() -> list[Row]:
    """Time the table of who strikes whom, the search in it, and the same table by samples.

    Returns
    -------
    list of Row
        Ours and the alternative on the same scene.
    """
    stand = random_elbows(np.random.default_rng(3), _PARTS, _FIELD_MM)
    table = table_of(stand)
    wanted = [each.name for each in stand.loose]
    ours = {(entry.loose.name, strike.struck) for entry in table.entries for strike in entry.strikes}
    theirs = _sampled(stand)
    agreed = f"{len(ours)} strikes, {len(ours - theirs)} only here, {len(theirs - ours)} only there"
    return [
        Row("30 parts: trialfit, who strikes whom, certified", least_ms(partial(table_of, stand), 3)),
        Row("30 parts: trialfit, the order read from it", least_ms(partial(take_off, stand, table, wanted))),
        Row("30 parts: fcl, a sample every 0.5 mm", least_ms(partial(_sampled, stand), 1), agreed),
    ]


def _sampled(stand: Stand) -> set[tuple[str, str]]:
    """Every part through its way in steps, all others that it could reach tried at each."""
    shapes = {thing.name: _shapes(thing) for thing in stand.scene.things[1:]}
    middles = {name: np.mean([at for _, _, at in each], axis=0) for name, each in shapes.items()}
    objects = {
        name: [fcl.CollisionObject(shape, fcl.Transform(turn, at)) for shape, turn, at in each]
        for name, each in shapes.items()
    }
    found: set[tuple[str, str]] = set()
    for loose in stand.loose:
        near = [name for name in shapes if name != loose.name
                and np.linalg.norm((middles[name] - middles[loose.name])[:2]) < _REACH_MM]  # fmt: skip
        before = None
        for phase in loose.ways[0].phases:
            motion = phase.motion
            steps = max(2, int(np.hypot(np.radians(motion.turn_deg) * 30.0, motion.travel_mm) / _STEP_MM))
            for share in np.linspace(0, 1, steps):
                there = _moved(shapes[loose.name], motion, float(share), before)
                for name in [each for each in near if (loose.name, each) not in found]:
                    if any(
                        fcl.collide(one, other, fcl.CollisionRequest(), fcl.CollisionResult())
                        for one, other in product(there, objects[name])
                    ):
                        found.add((loose.name, name))
            before = motion
    return found


def _shapes(thing: Thing) -> list[_Shape]:
    found: list[_Shape] = []
    for piece in thing.pieces:
        solid = piece.solid
        assert isinstance(solid, Capsule | Cylinder)
        along = solid.end_mm - solid.start_mm
        long = float(np.linalg.norm(along))
        kind = fcl.Capsule if isinstance(solid, Capsule) else fcl.Cylinder
        found.append((kind(solid.radius_mm, long), _turn_to(along / long), (solid.start_mm + solid.end_mm) / 2))
    return found


def _turn_to(axis: Array) -> Array:
    """A rotation that takes z to the axis."""
    side = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    side /= np.linalg.norm(side)
    return np.asarray(np.column_stack([side, np.cross(axis, side), axis]))


def _moved(shapes: list[_Shape], motion: Motion, share: float, before: Motion | None) -> list[Any]:
    moved = motion.moved(share)
    if before is not None:
        began = before.moved(1.0)
        turn, shift = moved.turn @ began.turn, moved.turn @ began.shift_mm + moved.shift_mm
    else:
        turn, shift = moved.turn, moved.shift_mm
    return [fcl.CollisionObject(shape, fcl.Transform(turn @ own, turn @ at + shift)) for shape, own, at in shapes]
