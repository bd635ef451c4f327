"""What a mark being dragged does to the survey, the pipes and the chance of fit: quick, and nothing is saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from time import monotonic
from typing import Any

import numpy as np
from pydantic import ValidationError

from trialfit.app.desk import Desk
from trialfit.app.rest.documents import Changing
from trialfit.app.tables import tables_of
from trialfit.app.working import job_at, looked_at, shop_now
from trialfit.errors import Fault, Refusal, Refusals
from trialfit.finding import Figure
from trialfit.fitup.chance import drops_on, fixed_draws, share, strays_drawn
from trialfit.fitup.ends_in_place import EndsInPlace, ends_in_place, unsurveyed_ends
from trialfit.fitup.hand_spanner import Spanners, spanners_of
from trialfit.fitup.in_place import InPlace, without_pipes
from trialfit.fitup.landing import scatter_of
from trialfit.fitup.offer import offer_of
from trialfit.fitup.records import Array, PipePlan
from trialfit.fitup.scene import Scene, Thing
from trialfit.fitup.tubes_in_place import pipe_thing
from trialfit.fitup.wanted import wanted_pipe
from trialfit.fitup.ways_out import union_play
from trialfit.job.change import Change, changed
from trialfit.job.records import Job, Mark
from trialfit.job.shop import Shop
from trialfit.parts.build import build_parts, find_port
from trialfit.parts.place import two_faces
from trialfit.parts.records import Part
from trialfit.store.database.records import Revision
from trialfit.store.plain import plain
from trialfit.survey.again import again
from trialfit.survey.gather import Sighted, gather
from trialfit.survey.records import Survey
from trialfit.survey.report import survey_record
from trialfit.survey.solve import Solved, solved_of, survey_of, written
from trialfit.survey.threads import on_one_thread
from trialfit.survey.trust import weights

_ALIKE_MM = 1e-3
# What a trial rests on is read from the database no more often than this.
_FRESH_S = 2.0
_BUT_MARKS = tuple(key for key in Job.model_fields if key != "marks")
# Of a survey: what nobody draws while a mark is under way.
_LEFT_OUT = ("covariance_mm2", "covariance_with_axes", "residuals")


def survey_at(desk: Desk, name: str, number: int = 0) -> tuple[Revision, Survey | None]:
    """Survey a job at a revision, without the rest of the plan.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    number
        Which revision; 0 for the one that holds. [-]

    Returns
    -------
    tuple of Revision and Survey
        The survey is None where the job has no points.

    Raises
    ------
    Refusal
        The document has faults, or the survey cannot be solved at all.
    """
    found, job = job_at(desk, name, number)
    if not job.points:
        return found, None
    sighted = looked_at(desk, name, job).sighted
    return found, written(job, sighted, _solved(desk, found, job, sighted))


def standing(desk: Desk, name: str) -> tuple[Thing, ...]:
    """Say what stands on the engine, its new pipes left out, without the rest of the plan.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.

    Returns
    -------
    tuple of Thing
        Everything that has a place; nothing where the job has no points.

    Raises
    ------
    Refusal
        The document has faults, or the survey cannot be solved at all.
    """
    found, survey = survey_at(desk, name)
    if survey is None:
        return ()
    stood = _stood(desk, _at_hand(desk, name, found.number), survey)
    return () if stood is None else stood.scene.things


@on_one_thread
def tried(desk: Desk, name: str, changing: Changing) -> dict[str, Any]:
    """Work out what changes would give.

    Parameters
    ----------
    desk
        The desk.
    name
        The job's name.
    changing
        The changes, and the revision they are made to.

    Returns
    -------
    dict
        ``revision``; ``survey``, or null, with each point's ``covariance_mm2``; ``pipes`` and ``chances`` by the pipe's
        name; ``refused``, one fault for each thing that could not be worked out.

    Raises
    ------
    Refusals
        The changes do not make a document at all.
    """
    at_hand = _at_hand(desk, name, changing.base)
    found, before, sighted = at_hand.found, at_hand.job, at_hand.sighted
    refused: list[Fault] = []
    survey: Survey | None = None
    moved = _with_marks(before, changing)
    job = moved or _whole(desk, found, changing)
    try:
        if moved is not None:
            survey = _moved(desk, found, before, moved, sighted)
        if survey is None and job.points:
            survey = survey_of(job, sighted if moved else looked_at(desk, name, job).sighted)
    except Refusal as refusal:
        refused += refusal.faults
    laid: Mapping[str, tuple[PipePlan, Figure]] = {}
    if survey is not None:
        clear = _clear(desk, at_hand) if moved else frozenset()
        laid = _pipes(desk, job, at_hand, survey, clear, refused)
    return {
        "revision": found.number,
        "survey": None if survey is None else _drawn(survey),
        "pipes": {pipe: plain(plan) for pipe, (plan, _) in laid.items()},
        "chances": {pipe: plain(chance) for pipe, (_, chance) in laid.items()},
        "refused": [vars(fault) for fault in refused],
    }


@dataclass(frozen=True)
class _AtHand:
    """What every trial of one revision rests on; `besides` is a hash of all but the marks."""

    found: Revision
    job: Job
    sighted: Sighted
    shop: Shop
    besides: str
    spanners: Spanners


def _at_hand(desk: Desk, name: str, number: int) -> _AtHand:
    """Read anew every few seconds: a revision stays what it is, and no finger waits for the database at each move."""

    def read() -> _AtHand:
        found, job = job_at(desk, name, number)
        _, shop = shop_now(desk)
        besides = sha256(job.model_copy(update={"marks": {}}).model_dump_json().encode()).hexdigest()
        return _AtHand(found, job, looked_at(desk, name, job).sighted, shop, besides, spanners_of(job, shop))

    kept: _AtHand = desk.at_hand.get((name, number, int(monotonic() / _FRESH_S)), read)
    return kept


def _clear(desk: Desk, at_hand: _AtHand) -> frozenset[str]:
    """The pipes that go the same way whether or not anything stands in it: while a mark moves, that need not be asked.

    It follows from all but the marks, which move little; so it is not asked again after each mark that is let go.
    """
    job, sighted = at_hand.job, at_hand.sighted

    def work() -> frozenset[str]:
        survey = written(job, sighted, _solved(desk, at_hand.found, job, sighted))
        with_all = _pipes(desk, job, at_hand, survey, frozenset(), [], _stood(desk, at_hand, survey))
        alone = _pipes(desk, job, at_hand, survey, frozenset(job.pipes), [])
        return frozenset(
            name
            for name, (pipe, _) in with_all.items()
            if name in alone and _alike(pipe.vertices_mm, alone[name][0].vertices_mm)
        )

    clear: frozenset[str] = desk.solved.get(("clear", at_hand.besides, _pictures(sighted)), work)
    return clear


def _parts(desk: Desk, job: Job, besides: str) -> tuple[Part, ...]:
    parts: tuple[Part, ...] = desk.jobs.get(("parts", besides), lambda: build_parts(job))
    return parts


def _stood(desk: Desk, at_hand: _AtHand, survey: Survey) -> InPlace | None:
    """What stands where at rest; None where the parts cannot be built, which is said with the pipes."""
    key = ("stood", at_hand.found.sha256, _pictures(at_hand.sighted))
    try:
        parts = _parts(desk, at_hand.job, at_hand.besides)
    except Refusal:
        return None
    stood: InPlace = desk.solved.get(key, lambda: without_pipes(at_hand.job, parts, survey))
    return stood


def _alike(a: Array, b: Array) -> bool:
    return a.shape == b.shape and bool(np.allclose(a, b, atol=_ALIKE_MM))


def _solved(desk: Desk, found: Revision, job: Job, sighted: Sighted) -> Solved:
    solved: Solved = desk.solved.get((found.sha256, _pictures(sighted)), lambda: solved_of(job, sighted))
    return solved


def _pictures(sighted: Sighted) -> tuple[tuple[str, str], ...]:
    return tuple((name, photograph.digest) for name, photograph in sighted.photographs.items())


def _with_marks(before: Job, changing: Changing) -> Job | None:
    """The job with marks moved; None where anything but the places of marks that are there changes."""
    marks = {photograph: dict(seen) for photograph, seen in before.marks.items()}
    for change in changing.changes:
        match change.path:
            case ("marks", str(photograph), str(point)) if point in marks.get(photograph, {}):
                try:
                    marks[photograph][point] = Mark.model_validate(change.value)
                except ValidationError:
                    return None
            case _:
                return None
    return before.model_copy(update={"marks": marks})


def _whole(desk: Desk, found: Revision, changing: Changing) -> Job:
    return _job(changed(tables_of(desk, found), [Change(each.path, each.value) for each in changing.changes]))


def _moved(desk: Desk, found: Revision, before: Job, job: Job, sighted: Sighted) -> Survey | None:
    """From the last answer: what was set aside there stays aside until the mark is let go."""
    solved = _solved(desk, found, before, sighted)
    last = solved.snooped.adjusted
    fresh, _ = gather(job, sighted, solved.names.points)
    problem = last.layout.problem
    same = fresh.mark_px.shape == problem.mark_px.shape and (fresh.mark_sigma_px == problem.mark_sigma_px).all()
    if not same:
        return None
    adjusted = again(last, replace(problem, mark_px=fresh.mark_px), weights(solved.snooped.kept))
    snooped = replace(solved.snooped, adjusted=adjusted)
    return survey_record(job, sighted, solved.names, snooped, solved.left_out, solved.aside, with_residuals=False)


def _drawn(survey: Survey) -> dict[str, Any]:
    said = {key: plain(value) for key, value in vars(survey).items() if key not in _LEFT_OUT}
    for place, point in enumerate(said["points"]):
        rows = slice(3 * place, 3 * place + 3)
        point["covariance_mm2"] = survey.covariance_mm2[rows, rows].tolist()
    return said


def _pipes(
    desk: Desk,
    job: Job,
    at_hand: _AtHand,
    survey: Survey,
    clear: frozenset[str],
    refused: list[Fault],
    stood: InPlace | None = None,
) -> Mapping[str, tuple[PipePlan, Figure]]:
    """The pipes laid out; those that are clear of everything without looking at what stands in the way.

    What is at hand serves a job that differs from it in nothing but where its marks are.
    """
    laid: dict[str, tuple[PipePlan, Figure]] = {}
    shop, alike = at_hand.shop, all(getattr(job, key) is getattr(at_hand.job, key) for key in _BUT_MARKS)
    try:
        parts = _parts(desk, job, at_hand.besides) if alike else build_parts(job)
    except Refusal as refusal:
        refused += refusal.faults
        return laid
    asked = job.pipes.keys() - clear or unsurveyed_ends(job, parts)
    stood = (stood or without_pipes(job, parts, survey)) if asked else None
    ends = EndsInPlace(parts, survey) if stood is None else ends_in_place(job, parts, survey, stood)
    spanners = at_hand.spanners if alike else spanners_of(job, shop)
    stands = None if stood is None else stood.scene
    for name, entry in job.pipes.items():
        try:
            pipe = wanted_pipe(
                name, entry, ends.parts, ends.survey, shop, None if name in clear else stands, job.joints, spanners
            )
            laid[name] = pipe, _chance(pipe, ends, shop)
            if stands is not None:
                stands = Scene((*stands.things, pipe_thing(pipe, entry.what or name, ())))
        except Refusal as refusal:
            refused += refusal.faults
    return laid


def _chance(pipe: PipePlan, ends: EndsInPlace, shop: Shop) -> Figure:
    """That it drops on as planned; the ways out wait until the mark is let go."""
    ports = find_port(ends.parts, pipe.start.name), find_port(ends.parts, pipe.end.name)
    offer = offer_of(pipe, two_faces(ends.survey, *ports)[2], scatter_of(shop.scatter))
    strays = strays_drawn(offer, offer.survey + offer.bench, fixed_draws())
    return share(drops_on(offer, strays, union_play()))


def _job(document: dict[str, Any]) -> Job:
    """The quick way: what disagrees within a sound document is asked when it is saved."""
    try:
        return Job.model_validate(document)
    except ValidationError as error:
        raise Refusals(
            Fault(
                ", ".join(str(key) for key in each["loc"]), str(each.get("input"))[:100],
                str(each.get("ctx", {}).get("wanted", each["msg"])),
                str(each.get("ctx", {}).get("remedy", "Look at docs/job-file.md.")),
            )
            for each in error.errors()
        ) from None  # fmt: skip
