"""``trialfit what-stands-where``: every part, body and pipe in its place, and what has to be said of it."""

from __future__ import annotations

from math import degrees
from pathlib import Path

import click
import numpy as np
from numpy.typing import NDArray

from trialfit.cli.findings import findings_text
from trialfit.cli.looking import look_at
from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Answer
from trialfit.fitup.in_place import InPlace
from trialfit.fitup.in_place_findings import turned_k2_deg
from trialfit.fitup.scene import Thing
from trialfit.job.shop import assumed_shop
from trialfit.parts.solids import Box, Capsule, Cylinder, HalfSpace, Hexagon, Solid
from trialfit.plan import plan
from trialfit.store.folder import read_folder
from trialfit.survey.gather import Sighted

Array = NDArray[np.float64]

_AXES = ("+x", "+y", "+z", "-x", "-y", "-z")
_KINDS = {"engine": "BODIES OF THE ENGINE", "part": "PARTS", "pipe": "PIPES TO BE MADE", "old pipe": "OLD PIPES"}


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@as_json
def what_stands_where(job: Path, as_json: bool) -> int:
    """Say where every part of the job folder JOB stands on the engine, which way it points, and how surely.

    Exit code 0: nothing is in the way of anything. 1: a finding says stop.
    """
    folder = read_folder(job)
    if not folder.job.parts and not folder.job.bodies:
        raise Refusal(
            f"job {folder.job.job.name}", "no part and no body of the engine",
            "at least one table [parts.NAME] or [bodies.NAME]",
            "Add one to job.toml; docs/job-file.md says how its lines are written.",
        )  # fmt: skip
    sighted = look_at(folder).sighted if folder.photographs else Sighted()
    stood = plan(folder.job, assumed_shop(), sighted).in_place
    if not stood.scene.things and not stood.findings:
        raise Refusal(
            f"job {folder.job.job.name}", "no part and no body whose place is known",
            "one surveyed or typed place at least, from which joints lead on to the others",
            "Mark a face in two photographs or more, or give a body its place; docs/job-file.md says how.",
        )  # fmt: skip
    answer(as_json, as_text(stood), stood)
    return int(any(each.answer is Answer.STOP for each in stood.findings))


def as_text(stood: InPlace) -> str:
    """Write it for a person.

    Parameters
    ----------
    stood
        What stands where.

    Returns
    -------
    str
        The engine's bodies, the parts, the pipes; then the findings.
    """
    blocks = ["All places in the job's frame: x along the card's long side, y along its short one, z out of its print."]
    for kind, heading in _KINDS.items():
        things = [thing for thing in stood.scene.things if thing.kind == kind]
        if things:
            blocks.append(f"{heading}\n{'=' * len(heading)}")
            blocks += [_thing(thing, stood) for thing in things]
    if stood.findings:
        blocks += [findings_text(stood.findings)]
    return "\n\n".join(blocks)


def way_words(direction: Array) -> str:
    """Say which way something points, by the nearest axis of the job.

    Parameters
    ----------
    direction
        (3,) unit vector in the job frame. [-]

    Returns
    -------
    str
        Such as ``-z`` or ``+y, 7 deg towards +x``.
    """
    six = np.concatenate([direction, -direction])
    order = np.argsort(-six)
    lean = degrees(float(np.arccos(np.clip(six[order[0]], -1.0, 1.0))))
    return _AXES[order[0]] if lean < 0.5 else f"{_AXES[order[0]]}, {lean:.0f} deg towards {_AXES[order[1]]}"


def _thing(thing: Thing, stood: InPlace) -> str:
    lines = [f"{thing.name}: {thing.what}" if thing.what != thing.name else thing.name]
    if thing.placement is not None and thing.covariance is not None:
        lines.append(f"  at {_places(thing.placement.shift_mm)} mm, {_how_sure(thing, stood)}")
    envelope = stood.envelopes.get(thing.name)
    if envelope is not None and thing.placement is not None:
        for name, place in envelope.places.items():
            at = _places(thing.placement.points_mm(place.at_mm))
            way = way_words(thing.placement.directions(place.direction))
            lines.append(f"  {name} at {at} mm, looks to {way}")
        lines.append(
            f"  envelope {envelope.basis.value}: {', '.join(_piece(e.name, e.solid) for e in envelope.pieces)}"
        )
    elif thing.kind == "engine":
        lines.append(f"  {', '.join(_piece(piece.name, piece.solid) for piece in thing.pieces)}")
    else:
        lines.append(f"  from {_places(_end(thing, 0))} to {_places(_end(thing, -1))} mm")
    if thing.rests_on:
        joining = "held by" if thing.kind == "pipe" else "rests on"
        lines.append(f"  {joining} {', '.join(thing.rests_on)}")
    return "\n".join(lines)


def _how_sure(thing: Thing, stood: InPlace) -> str:
    if thing.covariance is None:
        return "nobody knows how surely"
    free = len(stood.adjusted.free.get(thing.name, ()))
    off = 2 * float(np.linalg.eigvalsh(thing.covariance[:3, :3])[-1]) ** 0.5
    if free > 1:
        return f"± {off:.2f} mm, and which way it points is not known: room is kept all round"
    turned = f"± {off:.2f} mm and ± {turned_k2_deg(thing.covariance, bool(free)):.1f} deg, k = 2"
    if not free:
        return turned
    envelope = stood.envelopes.get(thing.name)
    round_one = envelope is not None and envelope.is_round
    unknown = "; which way round is not known: room is kept all round"
    return turned + ("; any way round, which is all one" if round_one else unknown)


def _piece(name: str, solid: Solid) -> str:
    match solid:
        case Hexagon():
            hexagon = name if name == "hexagon" else f"{name} hexagon"
            return f"{hexagon} {solid.flats_mm:.1f} mm across flats, {_long(solid):.1f} mm long"
        case Cylinder():
            return f"{name} {2 * solid.radius_mm:.1f} mm diameter, {_long(solid):.1f} mm long"
        case Capsule():
            return f"{name} rod {2 * solid.radius_mm:.1f} mm thick, {_long(solid):.1f} mm long"
        case Box():
            return f"{name} box {' × '.join(f'{2 * half:.1f}' for half in solid.halves_mm)} mm"
        case HalfSpace():
            return f"{name} all behind a plane that looks to {way_words(solid.out)}"


def _long(solid: Hexagon | Cylinder | Capsule) -> float:
    return float(np.linalg.norm(solid.end_mm - solid.start_mm))


def _end(thing: Thing, which: int) -> Array:
    solid = thing.pieces[which].solid
    assert isinstance(solid, Capsule)  # a pipe is made of rods
    return solid.start_mm if which == 0 else solid.end_mm


def _places(point: Array) -> str:
    return ", ".join(f"{each:.2f}" for each in point)
