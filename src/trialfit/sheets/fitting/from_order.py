"""The order of removal and of fitting as the owner does it: one step for each thing that moves by itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from trialfit.fitup.order.loose import Phase
from trialfit.fitup.order.records import FittingStep, Order
from trialfit.fitup.scene import Scene, Thing
from trialfit.job.records import Job
from trialfit.parts.placement import Array
from trialfit.sheets.fitting.doings import Doing, FittingOrder, Move, Towards
from trialfit.sheets.seen.motion import Motion
from trialfit.sheets.seen.steps import SeenStep

# The card's frame as somebody at the card's foot sees it.
_WAYS: tuple[tuple[Towards, tuple[int, int, int]], ...] = (
    ("right", (1, 0, 0)), ("left", (-1, 0, 0)), ("from you", (0, 1, 0)), ("to you", (0, -1, 0)),
    ("up", (0, 0, 1)), ("down", (0, 0, -1)),
)  # fmt: skip
# A slide this short beside a screw needs no words.
_SLIDE_MM = 5.0
_NAMED: dict[str, Towards] = {
    "front": "to you", "back": "from you", "rear": "from you", "top": "up", "above": "up", "below": "down",
    "bottom": "down", "left": "left", "right": "right",
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class OwnerSteps:
    """What the owner does, in words' terms and as it is drawn, numbered alike.

    Parameters
    ----------
    order
        For the words.
    seen
        For the pictures.
    scene
        All things that are there at any time.
    """

    order: FittingOrder
    seen: tuple[SeenStep, ...]
    scene: Scene


def owner_steps(job: Job, removal: Order | None, fitting: Order | None, placed: Scene) -> OwnerSteps:
    """Turn both orders into the owner's steps.

    Parameters
    ----------
    job
        The job.
    removal, fitting
        In which order things come off, and go on; None where nothing has to.
    placed
        Everything in place, for a job in which neither is to be done.

    Returns
    -------
    OwnerSteps
        Complete. An order that could not be found to its end gives none of its steps.
    """
    scenes = [order.scene for order in (removal, fitting) if order is not None] or [placed]
    doings: dict[str, tuple[Doing, ...] | None] = {}
    seen: list[SeenStep] = []
    for order, what in ((removal, "off"), (fitting, "on")):
        if order is None:
            doings[what] = ()
        elif order.left:
            doings[what] = None
        else:
            made, drawn = _steps(job, order, len(seen) + 1)
            doings[what] = made
            seen += drawn
    return OwnerSteps(FittingOrder(doings["off"], doings["on"]), tuple(seen), _all_of(scenes))


def towards(way: Array) -> Towards:
    """Name a direction of the card's frame as somebody at the card's foot would.

    Parameters
    ----------
    way
        (3,) unit vector. [-]

    Returns
    -------
    Towards
        The nearest of six.
    """
    return max(_WAYS, key=lambda each: float(np.dot(way, each[1])))[0]


def _steps(job: Job, order: Order, first: int) -> tuple[tuple[Doing, ...], list[SeenStep]]:
    on = order.do == "on"
    names = [thing.name for thing in order.scene.things]
    moved = {name for step in order.steps for name in step.things}
    there = [name for name in names if not on or name not in moved]
    doings: list[Doing] = []
    seen: list[SeenStep] = []
    for step in order.steps:
        parts = _parts_of(step)
        for place, (movers, phases) in enumerate(reversed(parts) if on else parts):
            number = first + len(doings)
            doings.append(_doing(job, order, step, movers, phases, number, stand=place == 0))
            still = [*there, *(step.things if on else ())] if place or not on else there
            seen.append(_seen(movers, phases, tuple(name for name in still if name not in movers), number, on=on))
        there = [*there, *step.things] if on else [name for name in there if name not in step.things]
    return tuple(doings), seen


def _parts_of(step: FittingStep) -> list[tuple[tuple[str, ...], tuple[Phase, ...]]]:
    """Phases that follow each other, put together as long as the same things move."""
    own = {name for phase in step.way.phases for name in phase.moves}
    parts: list[tuple[tuple[str, ...], tuple[Phase, ...]]] = []
    for phase in step.way.phases:
        movers = tuple(
            name for name in step.things if name in phase.moves or (name not in own and own <= set(phase.moves))
        )
        if parts and parts[-1][0] == movers:
            parts[-1] = (movers, (*parts[-1][1], phase))
        else:
            parts.append((movers, (phase,)))
    return parts


def _doing(
    job: Job,
    order: Order,
    step: FittingStep,
    movers: tuple[str, ...],
    phases: Sequence[Phase],
    number: int,
    *,
    stand: bool,
) -> Doing:
    on = order.do == "on"
    part = step.part if step.part in movers or not movers else movers[0]
    side = _side(job, step.side) if stand and step.go_round else None
    told = _told(phases)
    moves = [_move(phase, on=on) for phase in (reversed(told) if on else told)]
    others = tuple(_called(job, order.scene, name) for name in movers if name != part)
    return Doing(part, _called(job, order.scene, part), tuple(moves), others, side, f"step-{number}")


def _told(phases: Sequence[Phase]) -> list[Phase]:
    """What is worth saying: not the last millimetres that a nut slides back once it is unscrewed."""
    screwed = any(phase.motion.do == "unscrew" for phase in phases)
    slide = ("pull", "lift")
    return [
        phase for phase in phases
        if not (screwed and phase.motion.do in slide and phase.motion.travel_mm <= _SLIDE_MM)
    ]  # fmt: skip


def _move(phase: Phase, *, on: bool) -> Move:
    motion = phase.motion
    out = towards(motion.along)
    if motion.do == "unscrew":
        turns, left = abs(motion.turn_deg) / 360.0, motion.turn_deg < 0
        return Move("screw" if on else "unscrew", out, turns=turns, left_hand=left)
    if motion.do == "turn":
        return Move("turn back" if on else "turn away", out, angle_deg=abs(motion.turn_deg))
    if on:
        return Move("push", towards(-motion.along), far_mm=motion.travel_mm)
    return Move("pull", out, far_mm=motion.travel_mm)


def _seen(
    movers: tuple[str, ...], phases: Iterable[Phase], there: tuple[str, ...], number: int, *, on: bool
) -> SeenStep:
    motions = tuple(
        Motion(each.motion.along, each.motion.on_mm, each.motion.turn_deg / 360.0, each.motion.travel_mm)
        for each in phases
    )
    return SeenStep(number, movers, motions, there, on)


def _called(job: Job, scene: Scene, name: str) -> str:
    entry = job.fitting.get(name)
    if entry is not None and entry.called:
        return entry.called
    thing = scene.thing(name)
    return thing.what if thing is not None and thing.what else name


def _side(job: Job, side: str) -> Towards | None:
    said = job.order.directions.get(side) if job.order is not None else None
    if said is not None:
        way = np.array(said, dtype=float)
        return towards(way / np.linalg.norm(way))
    return _NAMED.get(side.lower())


def _all_of(scenes: Iterable[Scene]) -> Scene:
    found: dict[str, Thing] = {}
    for scene in scenes:
        for thing in scene.things:
            found.setdefault(thing.name, thing)
    return Scene(tuple(found.values()))
