"""The account of a job's parcel, whole.

Source: plain counting; masses of turned parts by `trialfit.making.turned.solid`, of tube by its section and density.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import pi

import numpy as np

from trialfit.fitup.records import PipePlan
from trialfit.job.parcel import ParcelEntry
from trialfit.job.records import Job
from trialfit.making.turned.plan import TurnedJob
from trialfit.parcel.findings import parcel_findings
from trialfit.parcel.mass import mass_of
from trialfit.parcel.records import Fate, Lacking, NewPiece, ParcelAccount, PieceLine
from trialfit.tables.loose_pieces import loose_pieces
from trialfit.tables.metals import find_metal

# What of a union is a part of its own in the job.
_UNION_PIECES = {"union nut": "union nut", "cone": "union cone"}


def parcel_of(job: Job, turned: TurnedJob, pipes: tuple[PipePlan, ...]) -> ParcelAccount | None:
    """Account for every piece of a job's parcel.

    Parameters
    ----------
    job
        The job.
    turned
        Its turned parts.
    pipes
        Its pipes that could be laid out.

    Returns
    -------
    ParcelAccount or None
        None where the job has no parcel.
    """
    parcel = job.parcel
    if parcel is None:
        return None
    lines = tuple(PieceLine(name, entry, _fates(parcel, name)) for name, entry in parcel.lines.items())
    new = tuple(each for each in _new(job, turned, pipes) if each.name not in parcel.stays)
    mass, lacks = mass_of(parcel, lines, new)
    account = ParcelAccount(
        lines=lines,
        lacking=_lacking(job, parcel),
        new=new,
        transit=tuple(parcel.transit.items()),
        enclosed=tuple(parcel.enclosed.items()),
        closes=parcel.whole and all(line.over == 0 for line in lines) and not _without_leave(lines),
        mass=mass,
        mass_lacks=lacks,
        bags=_bags(parcel),
        findings=(),
    )
    return replace(account, findings=parcel_findings(job, parcel, account))


def _fates(parcel: ParcelEntry, name: str) -> tuple[Fate, ...]:
    """Its own, or where it has none, that of the whole it lies inside of, if that goes back."""
    entry = parcel.lines[name]
    own = tuple(Fate(out.goes, out.count or entry.count, out) for out in parcel.out if out.piece == name)
    if own or entry.inside is None:
        return own
    outer = _fates(parcel, entry.inside)
    goes_whole = bool(outer) and all(fate.goes == "returned" for fate in outer)
    return (Fate("returned", entry.count, None, entry.inside),) if goes_whole else ()


def _without_leave(lines: tuple[PieceLine, ...]) -> bool:
    return any(fate.needs_leave for line in lines for fate in line.fates)


def _lacking(job: Job, parcel: ParcelEntry) -> tuple[Lacking, ...]:
    found = []
    for part, entry in job.parts.items():
        came = [line for line in parcel.lines.values() if line.part == part]
        if not any(not line.piece for line in came):
            continue
        seen = {line.piece for line in came} | {piece for line in came for piece in line.has}
        lacks = tuple(
            piece
            for piece in loose_pieces(entry.kind)
            if piece not in seen and not _is_a_part(job, part, piece)
        )  # fmt: skip
        if lacks:
            found.append(Lacking(part, entry.kind, lacks))
    return tuple(found)


def _is_a_part(job: Job, part: str, piece: str) -> bool:
    """Whether a nut or cone of a union is a part of its own in the job, joined to this one."""
    kind = _UNION_PIECES.get(piece)
    joined = [
        other.rpartition(".")[0]
        for joint in job.joints
        for one, other in ((joint.a, joint.b), (joint.b, joint.a))
        if one.rpartition(".")[0] == part
    ]
    return kind is not None and any(name in job.parts and job.parts[name].kind == kind for name in joined)


def _new(job: Job, turned: TurnedJob, pipes: tuple[PipePlan, ...]) -> Iterator[NewPiece]:
    joined: Mapping[str, str] = job.parcel.joined if job.parcel else {}
    for pipe in pipes:
        name = f"pipes.{pipe.name}"
        what = job.pipes[pipe.name].what or f"pipe {pipe.name}"
        yield NewPiece(name, what, 1, tube_mass_g(pipe), _longest_mm(pipe), joined.get(name, ""))
    for plan in turned.parts:
        name, entry = f"turned.{plan.part.name}", job.turned[plan.part.name]
        longest_mm = max(plan.lengths.finished.value, plan.part.swing_mm)
        mass_g = plan.mass.value * entry.count
        yield NewPiece(name, entry.what or plan.part.name, entry.count, mass_g, longest_mm, joined.get(name, ""))


def tube_mass_g(pipe: PipePlan) -> float:
    """Mass of a pipe as cut.

    Parameters
    ----------
    pipe
        The pipe.

    Returns
    -------
    float
        pi (od - wall) wall times its cut length and density. [g]
    """
    section_mm2 = pi * (pipe.tube.od_mm - pipe.tube.wall_mm) * pipe.tube.wall_mm
    return section_mm2 * pipe.cut_length.value * find_metal(pipe.tube.metal).density_kg_m3 * 1e-6


def _longest_mm(pipe: PipePlan) -> float:
    apart = pipe.vertices_mm[:, None, :] - pipe.vertices_mm[None, :, :]
    return float(np.linalg.norm(apart, axis=2).max()) + pipe.tube.od_mm


def _bags(parcel: ParcelEntry) -> tuple[tuple[str, tuple[str, ...]], ...]:
    bags: dict[str, list[str]] = {}
    for name, line in parcel.lines.items():
        bag = line.bag or _bag_of_outer(parcel, name)
        if bag:
            bags.setdefault(bag, []).append(name)
    return tuple((bag, tuple(names)) for bag, names in bags.items())


def _bag_of_outer(parcel: ParcelEntry, name: str) -> str:
    inside = parcel.lines[name].inside
    return "" if inside is None else parcel.lines[inside].bag or _bag_of_outer(parcel, inside)
