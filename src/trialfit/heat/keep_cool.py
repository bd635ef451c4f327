"""Where a wet rag, or a clamp, keeps something cool and still lets the joint come up; and how near it may come.

Source: `trialfit.heat.outcome`; a rag boils at 100 °C, and how well rag and clamp take heat is assumed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from trialfit.heat.network import Pipe, Sink
from trialfit.heat.outcome import CLAMP_W_M2_K, RAG_MM, RAG_W_M2_K, outcome
from trialfit.heat.records import Outcome, Watched, Work
from trialfit.heat.run import heat, ledger, stall_c
from trialfit.tables.metals import find_metal

CLAMP_KG = 0.25
"""A clamp of steel as lies on a bench, jaws and all; assumed. [kg]"""
_CLAMP_METAL = "MS070M20"
_PLACES = 6
_BOILS_AWAY_J_G = 2256.0
_LONGEST_S = 900.0

Means = Literal["wet rag", "clamp"]


@dataclass(frozen=True)
class KeepCool:
    """What to put where.

    Parameters
    ----------
    means
        A wet rag or a clamp.
    on
        The pipe or body it goes round.
    middle_mm
        From the pipe's start to its middle; of no account on a body. [mm]
    outcome
        What the heat then comes to.
    boils_g
        Water a rag boils away in the likely heat; 0 for a clamp. [g]
    clear_mm
        How near to the flame's end of that pipe its nearer edge may come before the joint no longer comes up; None
        where it may come as near as it will go, or it is on a body. [mm]
    """

    means: Means
    on: str
    middle_mm: float
    outcome: Outcome
    boils_g: float
    clear_mm: float | None


@dataclass(frozen=True)
class Stopped:
    """A rag or clamp of the job that keeps the joint from coming up.

    Parameters
    ----------
    sink
        The rag or clamp.
    with_c, without_c
        Where the joint stalls with it and without it, likely flame. [°C]
    clear_mm
        How far its nearer edge has to be from the flame's end of the pipe; None where nowhere on it will do. [mm]
    """

    sink: Sink
    with_c: float
    without_c: float
    clear_mm: float | None


def keep_cool(work: Work, saves: Watched, without: Outcome) -> tuple[KeepCool | None, KeepCool | None]:
    """Find where a wet rag and where a clamp keeps something cool and still lets the joint come up.

    Parameters
    ----------
    work
        The heat.
    saves
        What has to be kept cool.
    without
        What the heat comes to without them.

    Returns
    -------
    tuple
        The rag and the clamp with which it comes up soonest; None where none does both. A clamp is tried beside the
        rag that does, and everywhere where no rag does.
    """
    places = list(_tried(work, saves))
    rag = _best(work, saves, without, "wet rag", places)
    return rag, _best(work, saves, without, "clamp", places if rag is None else [(rag.on, rag.middle_mm)])


def stopping(work: Work) -> tuple[Stopped, ...]:
    """Find what of the job's own rags and clamps keeps the joint from coming up.

    Parameters
    ----------
    work
        The heat.

    Returns
    -------
    tuple of Stopped
        Empty where the joint comes up with them, or would not without them either.
    """
    found = []
    for n, sink in enumerate(work.sinks):
        others = (*work.sinks[:n], *work.sinks[n + 1 :])
        with_c, without_c = _stall_c(work, work.sinks), _stall_c(work, others)
        if with_c <= work.needs_c < without_c:
            on_pipe = any(pipe.name == sink.on for pipe in work.pipes)
            clear_mm = _clear_mm(work, sink, others) if on_pipe else None
            found.append(Stopped(sink, with_c, without_c, clear_mm))
    return tuple(found)


def _stall_c(work: Work, sinks: tuple[Sink, ...]) -> float:
    """Where the joint stalls with the likely flame and these sinks only."""
    net = work.net(sinks, own=False)
    return float(work.joint(net) @ stall_c(net, work.torch.flames()[1]))


def _sink(means: Means, on: str, middle_mm: float) -> Sink:
    if means == "wet rag":
        return Sink(on, middle_mm, RAG_MM, rag_w_m2_k=RAG_W_M2_K)
    stores = CLAMP_KG * find_metal(_CLAMP_METAL).heat_j_kg_k
    return Sink(on, middle_mm, RAG_MM, clamp_j_k=stores, clamp_w_m2_k=CLAMP_W_M2_K)


def _best(
    work: Work, saves: Watched, without: Outcome, means: Means, places: list[tuple[str, float]]
) -> KeepCool | None:
    best: KeepCool | None = None
    for on, middle_mm in places:
        sink = _sink(means, on, middle_mm)
        if _stall_c(work, (*work.sinks, sink)) <= work.needs_c:
            continue
        found = outcome(work, (sink,))
        if not _comes_up(found, without) or found.most[saves.name].high >= saves.limit.most_c:
            continue
        if best is None or _quick_s(found) < _quick_s(best.outcome):
            best = KeepCool(means, on, middle_mm, found, 0.0, None)
        if on == saves.on and on in work.entry.bodies:
            break
    if best is None or means == "clamp":
        return best
    sink = _sink(means, best.on, best.middle_mm)
    net, likely = work.net((sink,)), work.torch.flames()[1]
    run = heat(net, likely, work.joint(net), work.needs_c, longest_s=_LONGEST_S)
    boils_g = ledger(net, run, likely).rag_j / _BOILS_AWAY_J_G
    on_pipe = any(pipe.name == best.on for pipe in work.pipes)
    clear_mm = _clear_mm(work, sink, work.sinks) if on_pipe else None
    return KeepCool(means, best.on, best.middle_mm, best.outcome, boils_g, clear_mm)


def _comes_up(found: Outcome, without: Outcome) -> bool:
    """Whether every flame that could bring it up still can, and the likely one among them."""
    pairs = zip(found.reached_s, without.reached_s, strict=True)
    return found.reached_s[1] is not None and all(now is not None for now, bare in pairs if bare is not None)


def _quick_s(found: Outcome) -> float:
    return found.time.likely if found.time else _LONGEST_S


def _clear_mm(work: Work, sink: Sink, others: tuple[Sink, ...]) -> float | None:
    """How far the nearer edge has to be from the hot end of its pipe, by halving; None where it makes no odds."""
    pipe = next(each for each in work.pipes if each.name == sink.on)
    low, high = sink.long_mm / 2.0, pipe.long_mm - sink.long_mm / 2.0

    def stops(off_mm: float) -> bool:
        middle_mm = pipe.long_mm - off_mm if _hot_at_end(work, pipe) else off_mm
        moved = Sink(
            sink.on, middle_mm, sink.long_mm, sink.rag_w_m2_k, sink.clamp_j_k, sink.clamp_w_m2_k
        )  # fmt: skip
        return _stall_c(work, (*others, moved)) <= work.needs_c

    if high <= low or not stops(low) or stops(high):
        return None
    for _ in range(7):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if stops(middle) else (low, middle)
    return high - sink.long_mm / 2.0


def _hot_at_end(work: Work, pipe: Pipe) -> bool:
    return pipe.end == work.entry.flame_on and pipe.start != work.entry.flame_on


def _tried(work: Work, saves: Watched) -> Iterator[tuple[str, float]]:
    """The body that is saved, and places on the pipes that touch it, clear of it and of the pipe's ends."""
    body = saves.on not in work.entry.pipes
    if body and saves.on in (work.entry.flame_on, work.joint_on):
        return
    if body:
        yield saves.on, 0.0
    for pipe in work.pipes:
        if saves.on not in (pipe.name, pipe.start, pipe.end):
            continue
        clear, last = RAG_MM / 2.0 + 1.0, pipe.long_mm - RAG_MM / 2.0 - 1.0
        places = [clear + n * (last - clear) / (_PLACES - 1.0) for n in range(_PLACES)] if last > clear else []
        at = {pipe.name: saves.along_mm, pipe.start: 0.0, pipe.end: pipe.long_mm}[saves.on]
        yield from ((pipe.name, place) for place in places if abs(place - at) >= clear - 1e-6 or not body)
