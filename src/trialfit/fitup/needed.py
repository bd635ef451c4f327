"""What the pipes of a job need of its survey, as figures that move with surveyed points.

A pipe that is laid out needs its cut length, and its far end to land on its union; one that is not, its two faces.
The limits are what a small cone union is taken to draw in (`trialfit.tables.rules`, assumed).

Source: first-order propagation, JCGM 100:2008 section 5.2, through `pipe.py` and `landing.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import degrees

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.ends_in_place import EndsInPlace
from trialfit.fitup.landing import stray_slopes
from trialfit.fitup.pipe import figure_slopes
from trialfit.fitup.placed_ends import PlacedEnds
from trialfit.fitup.records import Array, PipePlan
from trialfit.job.records import Job
from trialfit.parts.build import find_port
from trialfit.parts.place import Surveyed, faces_with_slopes
from trialfit.parts.records import Part, Port
from trialfit.survey.needed import Needed, all_points
from trialfit.survey.records import Survey
from trialfit.tables.rules import rule

_POINTS_AT = 6


def needed_of(
    job: Job, parts: Iterable[Part], survey: Survey, pipes: Iterable[PipePlan], ends: EndsInPlace | None = None
) -> tuple[Needed, ...]:
    """Say what a job needs of its survey.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built.
    survey
        Its survey.
    pipes
        Those of its pipes that could be laid out.
    ends
        Their faces; without it, those that were surveyed.

    Returns
    -------
    tuple of Needed
        For each pipe; where none can be placed, for the points that give ports their faces; else for all points.
    """
    parts, laid = tuple(parts), {pipe.name: pipe for pipe in pipes}
    ends = ends or EndsInPlace(parts, survey)
    found: list[Needed] = []
    for name, entry in job.pipes.items():
        ports = find_port(ends.parts, entry.start.port), find_port(ends.parts, entry.end.port)
        which = "the new pipe" if len(job.pipes) == 1 else f"the new pipe “{name}”"
        try:
            slopes, points = _by_points(ends.survey, ports)
        except Refusal:
            continue
        if name in laid:
            found += _of_pipe(laid[name], which, slopes, tuple(points))
        else:
            found += _of_faces(f"pipe {name}", which, ports, slopes, tuple(points))
    if not found:
        found += _of_ports(parts, survey)
    off = _high("off its face")
    return tuple(found) or (all_points(tuple(point.name for point in survey.points), off),)


def _by_points(survey: Surveyed, ports: tuple[Port, Port]) -> tuple[Array, list[str]]:
    """How two faces move with surveyed points.

    A face that follows from its part's place moves with the points that the place rests on. What joints, sizes and a
    clocking leave open is left out, as no answer to the letter makes it surer.
    """
    _, slopes, names = faces_with_slopes(survey, *ports)
    if not isinstance(survey, PlacedEnds):
        return slopes, names
    by_names, points = survey.slopes(names)
    return slopes @ by_names, points


def _of_pipe(pipe: PipePlan, which: str, by_points: Array, points: tuple[str, ...]) -> list[Needed]:
    names, by_faces = figure_slopes(pipe)
    off, turned = _high("off its face"), _high("out of line")
    about = f"pipe {pipe.name}"
    found = []
    for (what, unit), row in zip(names, by_faces, strict=True):
        is_length = unit == "mm"
        hangs = f"the {'length' if is_length else 'bends'} of {which} {'hangs' if is_length else 'hang'} on it"
        slopes = (row @ by_points)[None]
        found.append(Needed(about, what, hangs, unit, points, slopes, off if is_length else turned, is_length))
    strays = stray_slopes(pipe.start, pipe.end) @ by_points
    comes = f"it says where the far end of {which} has to come"
    points_at = f"it says which way the ends of {which} have to point"
    found.append(Needed(about, "far end off", comes, "mm", points, strays[:3], off))
    found.append(Needed(about, "far end out of line", points_at, "deg", points, degrees(1.0) * strays[3:], turned))
    return found


def _of_faces(
    about: str, which: str, ports: tuple[Port, Port], by_points: Array, points: tuple[str, ...]
) -> list[Needed]:
    off, turned = _high("off its face"), _high("out of line")
    found = []
    for port, at in zip(ports, (0, _POINTS_AT), strict=True):
        comes, points_at = f"it says where {which} has to come", f"it says which way {which} has to point"
        rows, ways = by_points[at : at + 3], degrees(1.0) * by_points[at + 3 : at + 6]
        found.append(Needed(about, f"face of {port.full_name}", comes, "mm", points, rows, off))
        found.append(Needed(about, f"way of {port.full_name}", points_at, "deg", points, ways, turned))
    return found


def _of_ports(parts: tuple[Part, ...], survey: Survey) -> list[Needed]:
    surveyed = {point.name for point in survey.points}
    off = _high("off its face")
    found = []
    for part in parts:
        for port in part.ports:
            points = (port.face, port.axis_from)
            if port.face in surveyed:
                names = tuple(name for name in points if name in surveyed and name is not None)
                hangs = f"it says where {part.name} sits"
                slopes = np.eye(3 * len(names))
                found.append(Needed(part.name, f"face of {port.full_name}", hangs, "mm", names, slopes, off))
    return found


def _high(name: str) -> float:
    law = rule("union", name)
    high = law.high if law.high is not None else law.low
    return 0.0 if high is None else high
