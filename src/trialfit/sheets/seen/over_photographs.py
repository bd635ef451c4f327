"""The sheet of the new pipe over the owner's photographs: does it begin and end where it should?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trialfit.fitup.records import PipePlan
from trialfit.job.records import Job
from trialfit.parts.placement import Array
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper, head
from trialfit.sheets.seen.eye import Eye, eye_of
from trialfit.sheets.seen.gathered import LaidBetween, corridor_of, new_pipe_mesh
from trialfit.sheets.seen.over import Colour, cut_round, drawn_over, scaled_photograph, share_in_sight
from trialfit.sheets.seen.picture import jpeg

LONG_SIDE_PX = 1100
_LEAST_IN_SIGHT = 0.5


@dataclass(frozen=True, eq=False)
class Over:
    """A pipe over one photograph.

    Parameters
    ----------
    photograph
        The photograph's name in the job.
    pipe
        The pipe's name in the job.
    picture
        (height, width, 3) red, green, blue. [-]
    eye
        The camera that sees it so.
    in_sight
        Share of the pipe that falls into the photograph. [-]
    """

    photograph: str
    pipe: str
    picture: Colour
    eye: Eye
    in_sight: float


def pipes_over(plan: LaidBetween, pictures: Mapping[str, NDArray[np.uint8]]) -> list[Over]:
    """Draw every pipe over every photograph that shows half of it or more.

    Parameters
    ----------
    plan
        The plan.
    pictures
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue. [-]

    Returns
    -------
    list of Over
        Pipe by pipe; of each the photographs that show most of it first, else in the survey's order.
    """
    drawn: list[Over] = []
    for pipe in plan.pipes if plan.survey is not None and pictures else ():
        corridor, mesh = corridor_of(plan, pipe), new_pipe_mesh(pipe)
        of_pipe = []
        for station in plan.survey.stations if plan.survey is not None else ():
            picture = pictures.get(station.photograph)
            if picture is None:
                continue
            eye = eye_of(station, (picture.shape[1], picture.shape[0]))
            in_sight = share_in_sight(corridor.line_mm, eye)
            if in_sight < _LEAST_IN_SIGHT:
                continue
            part, near = scaled_photograph(*cut_round(picture, eye, corridor.line_mm), LONG_SIDE_PX)
            made = drawn_over(part, near, [mesh], [corridor], _letters(pipe))
            of_pipe.append(Over(station.photograph, pipe.name, made, near, in_sight))
        drawn += sorted(of_pipe, key=lambda each: -round(each.in_sight, 1))
    return drawn


def over_sheet(job: Job, plan: LaidBetween, pipe: PipePlan, drawn: list[Over], paper: Paper = "a4") -> dict[str, Any]:
    """Write the sheet of one pipe over the photographs as a record for its template.

    Parameters
    ----------
    job
        The job.
    plan
        Its plan.
    pipe
        The pipe.
    drawn
        It over the photographs.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; pictures are called by name.
    """
    k2_mm = greatest_k2_mm(plan, pipe)
    return {
        "head": head(job, "seen over the photographs", f"pipe {pipe.name}", paper),
        "look": [
            f"A must lie in the middle of {_face(job, pipe.start.name)}, B in the middle of "
            f"{_face(job, pipe.end.name)}, in every picture.",
            "The pipe is drawn where it will be, by the camera as surveyed, its lens included, and as if nothing stood "
            "before it: where it seems to go through something, look whether it passes in front or behind.",
            f"White dashes: how far to either side it may lie (k = 2, up to {k2_mm:.1f} mm), from the survey of its "
            "two faces alone; what the bench adds is on the pipe's own sheet.",
            "If A or B lies beside its place in one picture only, look at the marks of that photograph; if in all, at "
            "the point's name or reading.",
        ],
        "pictures": [{"file": f"{place}.jpg", "note": _note(job, each)} for place, each in enumerate(drawn)],
    }


def over_files(
    job: Job, plan: LaidBetween, pictures: Mapping[str, NDArray[np.uint8]], paper: Paper = "a4"
) -> dict[str, bytes]:
    """Set the sheet of every pipe that a photograph shows.

    Parameters
    ----------
    job
        The job.
    plan
        Its plan.
    pictures
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue. [-]
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by the pipe's name.
    """
    drawn = pipes_over(plan, pictures)
    sheets = {}
    for pipe in plan.pipes:
        own = [each for each in drawn if each.pipe == pipe.name]
        if own:
            sheets[pipe.name] = over_pdf(job, plan, pipe, own, paper)
    return sheets


def over_pdf(job: Job, plan: LaidBetween, pipe: PipePlan, drawn: list[Over], paper: Paper = "a4") -> bytes:
    """Set the sheet of one pipe over the photographs.

    Parameters
    ----------
    job
        The job.
    plan
        Its plan.
    pipe
        The pipe.
    drawn
        It over the photographs.
    paper
        Size of the paper.

    Returns
    -------
    bytes
        The finished PDF.
    """
    files = {f"{place}.jpg": jpeg(each.picture) for place, each in enumerate(drawn)}
    title = f"{job.job.name}: pipe {pipe.name} over the photographs"
    return pdf("over.typ", over_sheet(job, plan, pipe, drawn, paper), title, job.job.date, files)


def greatest_k2_mm(plan: LaidBetween, pipe: PipePlan) -> float:
    """How far a pipe may lie from where it is drawn, at the worst place and in the worst direction.

    Parameters
    ----------
    plan
        The plan.
    pipe
        One of its pipes.

    Returns
    -------
    float
        k = 2. [mm]
    """
    spread = corridor_of(plan, pipe).spread_mm2
    return float(2.0 * np.sqrt(max(float(np.linalg.eigvalsh(spread)[:, -1].max()), 0.0)))


def _letters(pipe: PipePlan) -> list[tuple[str, Array]]:
    return [("A", pipe.start.position_mm), ("B", pipe.end.position_mm)]


def _face(job: Job, port: str) -> str:
    part, _, name = port.partition(".")
    what = job.parts[part].what if part in job.parts else ""
    return f"the {name} of {part} ({what})" if what else f"the {name} of {part}"


def _note(job: Job, over: Over) -> str:
    note = job.photographs[over.photograph].note
    whole = "" if over.in_sight > 0.99 else f" Shows {100 * over.in_sight:.0f} % of the pipe."
    return f"{over.photograph}: {note}.{whole}" if note else f"{over.photograph}.{whole}"
