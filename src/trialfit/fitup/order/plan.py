"""The order in which things come off before the work, and go on again after it.

Source: `trialfit.fitup.order.search`; cautions are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Literal

import numpy as np

from trialfit.finding import Basis
from trialfit.fitup.in_place import InPlace
from trialfit.fitup.order.changes import freeing
from trialfit.fitup.order.findings import order_findings
from trialfit.fitup.order.from_job import stand_of
from trialfit.fitup.order.loose import Phase, Stand
from trialfit.fitup.order.moved_unions import UnionMoves, moves_that_free
from trialfit.fitup.order.no_order import Stuck, why_stuck
from trialfit.fitup.order.records import FittingStep, Order, SpannerTurn
from trialfit.fitup.order.search import Found, Move, Reader, take_off
from trialfit.fitup.order.table import Entry, Table, table_of
from trialfit.fitup.order.words import motion_words, swing_words
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Scene, Thing
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.job.taking_off import OrderEntry
from trialfit.parts.place import Surveyed
from trialfit.parts.placement import Array

CAUTIONS = (
    "Cold, fire out, and no pressure: open a valve and see that nothing comes before a spanner touches a nut.",
    "Drain the boiler below what is taken off, and the tank where its union is opened.",
    "Nothing is forced. What does not turn by hand or with the spanner named here is left, and the workshop is asked.",
    "What bears on the boiler's safety is for the boiler inspector, the insurer and the local code.",
)
_BACK = "Fingers first: three turns at least before a spanner, or the thread is crossed."
_HOLD = "Hold what it is screwed into with a second spanner, so that it does not turn too."
_TURNS_ASSUMED = "How many turns hold it is assumed: as deep as its thread is thick."
_PULL_ASSUMED = "How far it is drawn until it is clear is assumed."
_TORQUE = "How hard to pull is said where its tail was worked out; no harder than that."


def orders_of(
    job: Job,
    placed: InPlace,
    survey: Surveyed | None,
    shop: Shop | None = None,
    pipes: Iterable[PipePlan] = (),
) -> tuple[Order | None, Order | None]:
    """Work out the order of removal and the order of fitting.

    Parameters
    ----------
    job
        The job document.
    placed
        What stands where.
    survey
        Where the points are, or None.
    shop
        The workshop, for the spanners it could send; or None.
    pipes
        The new pipes, for the room they leave their nuts.

    Returns
    -------
    tuple
        Removal, from the photographs alone, and fitting; None where nothing has to come off, or go on.

    Raises
    ------
    Refusal
        The job names points for an axis that the survey does not have.
    """
    removal = removal_of(job, placed, survey, shop=shop)
    fitting = fitting_of(job, placed, survey, removal, shop, pipes)
    moved = {thing for step in fitting.steps for thing in step.things} if fitting else set()
    off = {thing for step in removal.steps for thing in step.things} if removal else set()
    in_the_way = tuple(each for each in moved if each in _before_the_work(job, placed) and each not in off)
    if in_the_way:
        # What goes on again only because it would bar the way has to come off first.
        removal = removal_of(job, placed, survey, tuple(sorted(in_the_way)), shop)
    return removal, fitting


def _before_the_work(job: Job, placed: InPlace) -> dict[str, Thing]:
    """What stands on the engine before anything comes off."""
    told = job.order or OrderEntry.model_validate({})
    absent = {*told.new, *_soldered_to_new(job)}
    return {each.name: each for each in placed.scene.things if each.kind != "pipe" and each.name not in absent}


def removal_of(
    job: Job,
    placed: InPlace,
    survey: Surveyed | None,
    in_the_way: tuple[str, ...] = (),
    shop: Shop | None = None,
) -> Order | None:
    """Work out in which order things come off before the work.

    Parameters
    ----------
    job
        The job document.
    placed
        What stands where.
    survey
        Where the points are, or None.
    in_the_way
        What would bar the way of what goes on.
    shop
        The workshop, for the spanners it could send; or None.

    Returns
    -------
    Order or None
        None where nothing that has a place has to come off.

    Raises
    ------
    Refusal
        The job names points for an axis that the survey does not have.
    """
    told = job.order or OrderEntry.model_validate({})
    scene = Scene(tuple(_before_the_work(job, placed).values()))
    old = [each.name for each in scene.things if each.kind == "old pipe" and each.name not in told.stays]
    return _order("off", job, scene, stand_of(job, placed, scene, survey, shop), (*told.off, *old, *in_the_way))


def fitting_of(
    job: Job,
    placed: InPlace,
    survey: Surveyed | None,
    removal: Order | None,
    shop: Shop | None = None,
    pipes: Iterable[PipePlan] = (),
) -> Order | None:
    """Work out in which order things go on after the work.

    Parameters
    ----------
    job
        The job document.
    placed
        What stands where.
    survey
        Where the points are, or None.
    removal
        What came off before: it goes on again, unless the job says it is gone.
    shop
        The workshop, for the spanners it could send; or None.
    pipes
        The new pipes, for the room they leave their nuts.

    Returns
    -------
    Order or None
        None where nothing has to go on.

    Raises
    ------
    Refusal
        The job names points for an axis that the survey does not have.
    """
    told = job.order or OrderEntry.model_validate({})
    laid = tuple(pipes)
    scene = _after_the_work(job, placed)
    new = [each.name for each in scene.things if each.kind == "pipe"]
    back = [thing for step in removal.steps for thing in step.things] if removal else []
    wanted = (*told.on, *new, *told.new, *job.pipes, *back)

    def standing(placed: InPlace, pipes: tuple[PipePlan, ...]) -> tuple[Stand, tuple[str, ...]]:
        stand = stand_of(job, placed, _after_the_work(job, placed), survey, shop, pipes)
        return stand, _goal(stand, wanted)

    def moved(stuck: Stuck) -> UnionMoves | None:
        return moves_that_free(job, placed, survey, shop, laid, stuck.things, standing)

    return _order("on", job, scene, stand_of(job, placed, scene, survey, shop, laid), wanted, moved)


def _after_the_work(job: Job, placed: InPlace) -> Scene:
    """What stands on the engine once all is on."""
    gone = job.order.gone if job.order else ()
    return Scene(tuple(each for each in placed.scene.things if each.kind != "old pipe" and each.name not in gone))


def _goal(stand: Stand, wanted: Iterable[str]) -> tuple[str, ...]:
    """What comes off as one, of the things that have to."""
    owners = stand.owners
    return tuple(dict.fromkeys(owners[name] for name in wanted if name in owners))


def _soldered_to_new(job: Job) -> set[str]:
    """Cones that are soldered to a pipe not yet made are not there before it."""
    found: set[str] = set()
    for joint in job.joints:
        one, other = joint.a.rpartition(".")[0], joint.b.rpartition(".")[0]
        found |= {here for here, there in ((one, other), (other, one)) if there in job.pipes and here in job.parts}
    return found


def _order(
    do: Literal["off", "on"],
    job: Job,
    scene: Scene,
    stand: Stand,
    wanted: tuple[str, ...],
    moved: Callable[[Stuck], UnionMoves | None] | None = None,
) -> Order | None:
    owners, goal = stand.owners, _goal(stand, wanted)
    fixed = tuple(dict.fromkeys(name for name in wanted if name not in owners and scene.thing(name) is not None))
    nowhere = dict.fromkeys(name for name in wanted if name not in owners and scene.thing(name) is None)
    unplaced = tuple(name for name in nowhere if name not in job.pipes)
    not_laid = tuple(name for name in nowhere if name in job.pipes)
    if not goal and not fixed:
        return None
    table = table_of(stand)
    found = take_off(stand, table, goal)
    named = directions_of(job)
    stuck = tuple(why_stuck(stand, table, each, found.stuck) for each in found.left)
    # What bars a pipe by its own nut, nothing else frees but another place for its union.
    barred = any(way.bars for each in stuck[:1] for way in stand.named(each.wanted).ways)
    tried = () if barred else stuck[:1]
    changes = tuple(dict.fromkeys(change for each in tried for change in freeing(stand, each, goal, named)))
    steps = _steps(do, stand, table, found, named)
    union_moves = moved(stuck[0]) if moved and stuck else None
    order = Order(
        do, scene, stand, goal, steps, found.turns, (*found.left, *fixed), unplaced, not_laid, stuck, changes,
        table.overlaps, (*CAUTIONS, *((_TORQUE,) if any(step.spanners for step in steps) else ())), (), union_moves,
    )  # fmt: skip
    return replace(order, findings=order_findings(order))


def directions_of(job: Job) -> dict[str, Array]:
    """What the job calls its directions.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    dict
        (3,) by name; none where it calls them nothing. [-]

    Source
    ------
    The job document.
    """
    given = job.order.directions if job.order else {}
    return {name: np.array(way, dtype=np.float64) for name, way in given.items()}


def _steps(
    do: Literal["off", "on"], stand: Stand, table: Table, found: Found, named: Mapping[str, Array]
) -> tuple[FittingStep, ...]:
    reader = Reader(stand, table)
    there = {each.name for each in stand.loose}
    made: list[FittingStep] = []
    for move in found.moves:
        made.append(_step(do, stand, reader, move, frozenset(there), found.moves, named))
        there -= {move.name, *move.rides}
    ordered = made if do == "off" else made[::-1]
    sides = [step.side for step in ordered]
    return tuple(
        replace(step, number=k + 1, go_round=bool(step.side) and _before(sides[:k]) not in ("", step.side))
        for k, step in enumerate(ordered)
    )


def _before(sides: list[str]) -> str:
    return next((side for side in reversed(sides) if side), "")


def _step(
    do: Literal["off", "on"],
    stand: Stand,
    reader: Reader,
    move: Move,
    there: frozenset[str],
    moves: tuple[Move, ...],
    named: Mapping[str, Array],
) -> FittingStep:
    loose, entry = stand.named(move.name), reader.entry(move.name, move.way)
    way = loose.ways[move.way]
    gone = frozenset(each.name for each in stand.loose) - there
    spanners = tuple(
        _spanner(entry, phase, k, gone, stand) for k, phase in enumerate(way.phases) if phase.grip is not None
    )
    own = set(loose.things)
    words = [
        motion_words(phase.motion, named, do == "on", " and ".join(phase.moves) if set(phase.moves) < own else "it")
        for phase in way.phases
    ]
    cautions = [_HOLD] if spanners else []
    if do == "on" and any(phase.motion.do == "unscrew" for phase in way.phases):
        cautions.insert(0, _BACK)
    return FittingStep(
        0, move.name, loose.what, do, (*loose.things, *(t for each in move.rides for t in stand.named(each).things)),
        move.rides, way, tuple(words if do == "off" else words[::-1]), move.side, False,
        spanners if do == "off" else spanners[::-1], _frees(reader, move, moves), tuple(cautions), _assumed(way.phases),
    )  # fmt: skip


def _spanner(entry: Entry, phase: Phase, place: int, gone: frozenset[str], stand: Stand) -> SpannerTurn:
    assert phase.grip is not None
    spanner = phase.grip.spanner
    words, swing = swing_words(entry, place, gone, stand)
    assumed = f" (assumed: {', '.join(spanner.assumed)})" if spanner.assumed else ""
    said = (
        f"{spanner.flats_mm:g} mm spanner, {spanner.length_mm:.0f} mm long, on {phase.grip.thing}: its handle swings "
        f"{words}{assumed}"
    )
    return SpannerTurn(
        phase.grip.thing, spanner.flats_mm, spanner.length_mm, swing, said, spanner.whose, spanner.assumed
    )


def _frees(reader: Reader, move: Move, moves: tuple[Move, ...]) -> tuple[str, ...]:
    """What comes off later and could not while this was there."""
    later = moves[moves.index(move) + 1 :]
    found = []
    for k, other in enumerate(later):
        left = {each.name for each in later[k:]} | {name for each in later[k:] for name in each.rides}
        left |= _never_off(reader, moves)
        entry = reader.entry(other.name, other.way)
        if reader.free(entry, left) and not reader.free(entry, left | {move.name}):
            found.append(other.name)
    return tuple(found)


def _never_off(reader: Reader, moves: tuple[Move, ...]) -> set[str]:
    """What never comes off in an order.

    Parameters
    ----------
    reader
        The table's reader.
    moves
        The order.

    Returns
    -------
    set
        Names.
    """
    off = {name for each in moves for name in (each.name, *each.rides)}
    return set(reader.names) - off


def _assumed(phases: tuple[Phase, ...]) -> tuple[str, ...]:
    told = []
    for phase in phases:
        if phase.basis is Basis.ASSUMED:
            turned = phase.motion.do == "unscrew"
            told.append(_TURNS_ASSUMED if turned else _PULL_ASSUMED)
    return tuple(dict.fromkeys(told))
