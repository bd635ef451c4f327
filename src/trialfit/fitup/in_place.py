"""The parts of a job in place on the engine, with its bodies, its pipes old and new.

Source: the adjustment described in `docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from trialfit.errors import Fault, Refusal
from trialfit.finding import Finding
from trialfit.fitup.bodies import Body, body_of
from trialfit.fitup.in_place_findings import (
    body_findings,
    contradiction_findings,
    overlap_findings,
    standing_finding,
    unplaced_findings,
    worst_of,
)
from trialfit.fitup.overlaps import overlaps
from trialfit.fitup.pivots import pivots_of
from trialfit.fitup.place_adjust import Adjusted, adjusted
from trialfit.fitup.place_gather import Gathered, gathered
from trialfit.fitup.place_start import first_places
from trialfit.fitup.place_ties import Tie
from trialfit.fitup.records import PipePlan
from trialfit.fitup.scene import Piece, Scene, Thing
from trialfit.fitup.tubes_in_place import old_pipe_thing, pipe_thing
from trialfit.job.records import Job
from trialfit.parts.envelope import Envelope
from trialfit.parts.made_up import MadeUp
from trialfit.parts.records import Part
from trialfit.parts.room import envelopes_of
from trialfit.parts.solids import placed
from trialfit.survey.records import Survey

# How many ties that disagree are looked for one after another.
_ROUNDS_MOST = 4


@dataclass(frozen=True, eq=False)
class InPlace:
    """What stands where on an engine.

    Parameters
    ----------
    scene
        Everything that has a place.
    envelopes
        Every part's envelope, by name, whether it has a place or not.
    joints
        Every joint between parts of the job, made up.
    bodies
        The engine's bodies that could be placed.
    cannot
        Bodies that could not, with what is lacking.
    adjusted
        How the parts were placed.
    findings
        What a person has to know or mend.
    """

    scene: Scene
    envelopes: Mapping[str, Envelope]
    joints: tuple[MadeUp, ...]
    bodies: Mapping[str, Body]
    cannot: Mapping[str, Fault]
    adjusted: Adjusted
    findings: tuple[Finding, ...]


def scene_of(
    job: Job, parts: Sequence[Part], survey: Survey | None, pipes: Iterable[PipePlan]
) -> tuple[Scene, tuple[Finding, ...]]:
    """Put everything of a job in its place.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built.
    survey
        Where the points are, or None.
    pipes
        The pipes that could be laid out.

    Returns
    -------
    tuple
        The scene, and what has to be said of it.
    """
    found = in_place(job, parts, survey, pipes)
    return found.scene, found.findings


def in_place(job: Job, parts: Sequence[Part], survey: Survey | None, pipes: Iterable[PipePlan]) -> InPlace:
    """Put everything of a job in its place, with how that was done.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built.
    survey
        Where the points are, or None.
    pipes
        The pipes that could be laid out.

    Returns
    -------
    InPlace
        Complete.
    """
    return with_pipes(job, without_pipes(job, parts, survey), pipes)


def with_pipes(job: Job, stood: InPlace, pipes: Iterable[PipePlan]) -> InPlace:
    """Add the pipes to what stands on the engine already.

    Parameters
    ----------
    job
        The job document.
    stood
        What stands there without them.
    pipes
        The pipes that could be laid out.

    Returns
    -------
    InPlace
        With what they stand into.
    """
    new = tuple(pipe_thing(pipe, job.pipes[pipe.name].what or pipe.name, _ends(job, pipe)) for pipe in pipes)
    scene = Scene((*stood.scene.things, *new))
    found = overlaps(job, scene, stood.joints, stood.envelopes, frozenset(thing.name for thing in new))
    return replace(stood, scene=scene, findings=(*overlap_findings(found), *stood.findings))


def without_pipes(job: Job, parts: Sequence[Part], survey: Survey | None) -> InPlace:
    """Put the parts and bodies of a job in their places, and the old pipes; what pipes to be made keep clear of.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built.
    survey
        Where the points are, or None.

    Returns
    -------
    InPlace
        Complete but for the pipes to be made.
    """
    bodies: dict[str, Body] = {}
    cannot: dict[str, Fault] = {}
    for name, entry in job.bodies.items():
        try:
            bodies[name] = body_of(name, entry, survey)
        except Refusal as refusal:
            cannot[name] = refusal.fault
    envelopes = envelopes_of(job, parts)
    told = gathered(job, parts, envelopes, survey, bodies)
    figures = dict(zip(told.names, told.figures, strict=True))
    round_ones = {name for name, envelope in envelopes.items() if envelope.is_round}
    first = first_places(told.ties, figures, tuple(envelopes), round_ones)
    ties = [tie for tie in told.ties if all(part in first for part in tie.parts)]
    found = adjusted(ties, first, told.names, told.figures, told.covariance)
    resting = rests(job)
    things = [body.thing for body in bodies.values()]
    things += [_thing(name, envelopes, found, resting, told.joints) for name in envelopes if _stands(name, found)]
    things += [old_pipe_thing(tube, job.tubes[tube.name].what or tube.name) for tube in survey.tubes] if survey else []
    scene = Scene(tuple(things))
    if survey is None and not bodies:
        return InPlace(scene, envelopes, told.joints, bodies, cannot, found, tuple(body_findings(bodies, cannot)))
    inside = overlaps(job, scene, told.joints, envelopes)
    rounds = _let_go(ties, found, told)
    doubtful = worst_of(rounds[0]) is not None
    findings = (
        *contradiction_findings(told, rounds),
        # What stands into something some ways round only is said of the part that may stand so.
        *overlap_findings([each for each in inside if not each.any_way], doubtful),
        *unplaced_findings(told, envelopes, found, inside),
        *body_findings(bodies, cannot),
        *([standing_finding(job.engine.name, envelopes, found, resting)] if found.places else []),
    )
    return InPlace(scene, envelopes, told.joints, bodies, cannot, found, findings)


def _let_go(ties: Sequence[Tie], found: Adjusted, told: Gathered) -> list[Adjusted]:
    """Adjust again without the tie that disagrees most, until none does."""
    rounds, left = [found], list(ties)
    while len(rounds) <= _ROUNDS_MOST and (worst := worst_of(rounds[-1])) is not None:
        left = [tie for tie in left if tie.words != worst.what]
        rounds.append(adjusted(left, found.places, told.names, told.figures, told.covariance))
    return rounds


def rests(job: Job) -> dict[str, tuple[str, ...]]:
    """Say of every part and pipe what it rests on, down to the engine.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    dict
        By name, nearest first; none for what is joined to nothing that rests on the engine.
    """
    beside: dict[str, list[str]] = {}
    for joint in job.joints:
        one, other = joint.a.rpartition(".")[0], joint.b.rpartition(".")[0]
        beside.setdefault(one, []).append(other)
        beside.setdefault(other, []).append(one)
    chains: dict[str, tuple[str, ...]] = {name: (entry.on,) for name, entry in job.parts.items() if entry.on}
    surveyed = [name for name, entry in job.parts.items() if any(port.face for port in entry.ports.values())]
    # What a body carries comes first; then what is surveyed but rests on nothing that is named.
    for starts in ([*chains], [name for name in surveyed if name not in _reached(chains, beside)]):
        for name in starts:
            chains.setdefault(name, ())
        chains = _reached(chains, beside)
    return chains


def _reached(chains: Mapping[str, tuple[str, ...]], beside: Mapping[str, Sequence[str]]) -> dict[str, tuple[str, ...]]:
    found = dict(chains)
    waiting = deque(found)
    while waiting:
        name = waiting.popleft()
        for other in beside.get(name, ()):
            if other not in found:
                found[other] = (name, *found[name])
                waiting.append(other)
    return found


def _ends(job: Job, pipe: PipePlan) -> tuple[str, ...]:
    """What holds a pipe at its two ends: what it is joined to, then what it goes to."""
    joined = [
        other.rpartition(".")[0]
        for joint in job.joints
        for one, other in ((joint.a, joint.b), (joint.b, joint.a))
        if one.rpartition(".")[0] == pipe.name
    ]
    return tuple(dict.fromkeys([*joined, *(end.name.rpartition(".")[0] for end in (pipe.start, pipe.end))]))


def _stands(name: str, found: Adjusted) -> bool:
    return name in found.places and name not in found.loose


def _thing(
    name: str, envelopes: Mapping[str, Envelope], found: Adjusted, resting: Mapping[str, tuple[str, ...]],
    joints: Sequence[MadeUp],
) -> Thing:  # fmt: skip
    placement, envelope = found.places[name], envelopes[name]
    pieces = tuple(Piece(each.name, placed(each.solid, placement)) for each in envelope.pieces)
    what = envelope.part.what or envelope.part.kind
    pivots = pivots_of(name, found, envelopes, joints)
    settled = found.settled[name] if pivots else None
    rests_on = resting.get(name, ())
    return Thing(name, what, "part", pieces, placement, found.covariance[name], rests_on, pivots, settled)
