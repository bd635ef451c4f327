"""Everything in a job that says where its parts are: surveyed faces and axes, joints, bodies, clocking.

Source: the job document and its survey; what is assumed where nothing is said is common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from trialfit.errors import Refusal
from trialfit.finding import Figure
from trialfit.fitup.bodies import Body
from trialfit.fitup.clocking import PROMISED_DEG, off_by_deg
from trialfit.fitup.clocking_findings import stopped_at
from trialfit.fitup.place_rolls import Clock, TurnedBy
from trialfit.fitup.place_ties import AxisSurveyed, Joined, PointOnAxis, PointOnFace, Tie
from trialfit.fitup.records import Array
from trialfit.fitup.vectors import cross_matrix
from trialfit.job.clocking import ClockingEntry
from trialfit.job.records import Job
from trialfit.parts.build import build_joints
from trialfit.parts.envelope import Envelope, PortPlace
from trialfit.parts.made_up import MadeUp, made_up
from trialfit.parts.place import Surveyed
from trialfit.parts.records import Part, Port
from trialfit.tables.designations import find_thread

# How truly a bush or union stands square to the plate that carries it; how truly a fitting is clocked. Assumed, k = 2.
_SQUARE_K2_DEG = 2.0
_TRIED_K2_DEG = 5.0
_ANGLE_K2_DEG = 10.0
_STANDS_SQUARE = ("bush", "union body")


@dataclass(frozen=True, eq=False)
class Gathered:
    """All ties of a job, and the surveyed figures they rest on.

    Parameters
    ----------
    ties
        The ties.
    names
        The m surveyed points and axes, and the directions of bodies' faces.
    figures
        (m, 3) of them. [mm, -]
    covariance
        (3m, 3m) of them. [mm2, mm, 1]
    joints
        Every joint between parts that have an envelope, made up.
    """

    ties: tuple[Tie, ...]
    names: tuple[str, ...]
    figures: Array
    covariance: Array
    joints: tuple[MadeUp, ...]


def gathered(
    job: Job,
    parts: Sequence[Part],
    envelopes: Mapping[str, Envelope],
    survey: Surveyed | None,
    bodies: Mapping[str, Body],
) -> Gathered:
    """Gather what says where the parts of a job are.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built.
    envelopes
        Their envelopes, by name.
    survey
        Where the points are, or None.
    bodies
        The bodies of the engine in their places, by name.

    Returns
    -------
    Gathered
        Points that the survey could not fix are passed over.
    """
    ties: list[Tie] = []
    for envelope in envelopes.values():
        for place in envelope.places.values():
            ties += _surveyed(place, survey)
        ties += _square(job, envelope, bodies, ties)
    joints = []
    for joint, ends in zip(job.joints, build_joints(job, parts), strict=True):
        places = [_place(envelopes, each.part, each.name) for each in (ends.a, ends.b)]
        made = made_up(joint, ends.a, ends.b)
        if places[0] is not None and places[1] is not None:
            joints.append(made)
            ties.append(Joined(places[0], places[1], made))
            if joint.angle is not None:
                pm = _ANGLE_K2_DEG if joint.angle_pm is None else float(joint.angle_pm.to("deg"))
                ties.append(TurnedBy(places[0], places[1], float(joint.angle.to("deg")), pm))
    ties += _clocks(job, envelopes, joints, survey)
    return _with_figures(tuple(ties), survey, bodies, tuple(joints))


def _place(envelopes: Mapping[str, Envelope], part: str, port: str) -> PortPlace | None:
    envelope = envelopes.get(part)
    return envelope.places.get(port) if envelope else None


def is_fixed(survey: Surveyed | None, name: str | None) -> bool:
    """Whether the survey has a point or axis.

    Parameters
    ----------
    survey
        Where the points are, or None.
    name
        A point or axis, or None.

    Returns
    -------
    bool
        False where it could not be fixed.
    """
    if survey is None or name is None:
        return False
    try:
        survey.joint([name])
    except Refusal:
        return False
    return True


def _surveyed(place: PortPlace, survey: Surveyed | None) -> list[Tie]:
    port, ties = place.port, list[Tie]()
    if port.face is not None and is_fixed(survey, port.face):
        ties.append(PointOnFace(place, port.face))
    if port.axis_of is not None and is_fixed(survey, port.axis_of):
        ties.append(AxisSurveyed(place, port.axis_of, -1.0 if port.axis_against else 1.0, _as_axis(port)))
    elif port.axis_from is not None and is_fixed(survey, port.axis_from):
        ties.append(PointOnAxis(place, port.axis_from))
    return ties


def _square(job: Job, envelope: Envelope, bodies: Mapping[str, Body], ties: Sequence[Tie]) -> list[Tie]:
    """A bush or union on a plate stands square to it, where nothing else says which way it looks."""
    part = envelope.part
    body = bodies.get(job.parts[part.name].on or "")
    known = any(isinstance(tie, AxisSurveyed | PointOnAxis) and tie.parts == (part.name,) for tie in ties)
    if body is None or body.face is None or known or part.kind not in _STANDS_SQUARE or not envelope.places:
        return []
    first = next(iter(envelope.places.values()))
    what = f"the squareness of {first.port.full_name} to {body.thing.name}"
    return [AxisSurveyed(first, _facing(body), 1.0, what, _SQUARE_K2_DEG)]


def _as_axis(port: Port) -> str:
    return f"the axis of {port.axis_of} as that of {port.full_name}"


def _facing(body: Body) -> str:
    return f"the face of {body.thing.name}"


def _clocks(
    job: Job, envelopes: Mapping[str, Envelope], joints: Sequence[MadeUp], survey: Surveyed | None
) -> list[Tie]:
    ties: list[Tie] = []
    for name, entry in job.clocking.items():
        part, _, port = (entry.port or "").rpartition(".")
        arm, axis = _place(envelopes, part, port), _screwed(entry, part, envelopes, joints)
        if arm is None or axis is None or entry.twelve_at is None or not is_fixed(survey, entry.twelve_at):
            continue
        stops = _stops(entry, survey)
        ties.append(Clock(axis, arm, entry.twelve_at, stops.value, stops.k2 or _TRIED_K2_DEG, name))
    return ties


def _stops(entry: ClockingEntry, survey: Surveyed | None) -> Figure:
    """Where a fitting points in the end, not where its trial stopped.

    A taper thread stops hand tight and is turned on; a parallel one that stops elsewhere is packed, or its shoulder is
    faced back, until it points where it must. One that stops near enough is left as it stops.
    """
    try:
        stops = None if find_thread(entry.thread).taper else stopped_at(entry, survey)
    except Refusal:
        stops = None
    wanted = float(entry.wanted.to("deg"))
    if stops is not None:
        tight = stops.value + (float(entry.nip.to("deg")) if entry.nip else 0.0)
        if abs(off_by_deg(tight, wanted)) <= PROMISED_DEG:
            return Figure(tight, "deg", stops.k2)
    return Figure(wanted, "deg", PROMISED_DEG)


def _screwed(
    entry: ClockingEntry, part: str, envelopes: Mapping[str, Envelope], joints: Sequence[MadeUp]
) -> PortPlace | None:
    """The port of a fitting that is screwed in by the thread its clocking names."""
    wanted = find_thread(entry.thread)
    for made in joints:
        for full in (made.a, made.b):
            place = _place(envelopes, *full.rpartition(".")[::2])
            if place is not None and place.port.part == part and place.port.thread == wanted:
                return place
    return None


def _with_figures(
    ties: tuple[Tie, ...], survey: Surveyed | None, bodies: Mapping[str, Body], joints: tuple[MadeUp, ...]
) -> Gathered:
    asked: list[str] = []
    for tie in ties:
        if isinstance(tie, PointOnFace | PointOnAxis):
            asked.append(tie.point)
        elif isinstance(tie, AxisSurveyed):
            asked.append(tie.axis)
        elif isinstance(tie, Clock):
            asked.append(tie.twelve)
    faces = {_facing(body): body.face for body in bodies.values() if body.face is not None}
    names = [name for name in dict.fromkeys(asked) if name not in faces]
    faced = [name for name in dict.fromkeys(asked) if name in faces]
    figures, covariance = np.zeros((0, 3)), np.zeros((0, 0))
    if names and survey is not None:
        figures, covariance = survey.joint(names)
    size = len(covariance)
    whole = np.zeros((size + 3 * len(faced), size + 3 * len(faced)))
    whole[:size, :size] = covariance
    for k, name in enumerate(faced):
        face = faces[name]
        turning = -cross_matrix(face.out)
        here = slice(size + 3 * k, size + 3 * k + 3)
        whole[here, here] = turning @ face.covariance[3:, 3:] @ turning.T
    outs = [faces[name].out for name in faced]
    every = np.vstack([figures, *[out[None] for out in outs]]) if faced else figures
    return Gathered(ties, (*names, *faced), every, whole, joints)
