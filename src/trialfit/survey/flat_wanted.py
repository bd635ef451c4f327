"""The flat prints a job calls for: each photograph placed, its plane, and what of it is printed.

Source: `flat_view`, `flat_plane`, `flat_window`, `flat_band`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from trialfit.errors import Refusal
from trialfit.finding import Answer, Figure, Finding, Reason
from trialfit.job.flat_prints import FlatPrintEntry
from trialfit.job.records import Job
from trialfit.survey.at_scale import Surveyed
from trialfit.survey.card import board_of
from trialfit.survey.flat_band import band_mm, refuse_if_too_proud
from trialfit.survey.flat_limits import MOST_BAND_MM, Window, lattice_of, refuse_if_nothing
from trialfit.survey.flat_plane import FlatPlane, plane_for
from trialfit.survey.flat_view import FlatView, placed_in
from trialfit.survey.flat_window import USUAL_SIZE_MM, shown_at, square, useful_window

PROUD_MM = 5.0
_COARSE_MM = 10.0


@dataclass(frozen=True, eq=False)
class FlatWanted:
    """A photograph that is to be printed flat.

    Parameters
    ----------
    name
        The print's name in the job.
    photograph
        The photograph's.
    view
        The placed photograph.
    plane
        The plane it is flattened to.
    window
        What of the plane is printed.
    height_mm
        How far the things stand proud that the arrows are for. [mm]
    marked
        A named place to be marked: its name, and x and y in the plane; or None. [mm]
    """

    name: str
    photograph: str
    view: FlatView = field(metadata={"in_json": False})
    plane: FlatPlane
    window: Window
    height_mm: float
    marked: tuple[str, tuple[float, float]] | None = None


def flat_wanted(
    job: Job,
    view: FlatView,
    around: str | None = None,
    size_mm: float = USUAL_SIZE_MM,
    through: tuple[str, ...] = (),
    height_mm: float = PROUD_MM,
    name: str = "",
) -> FlatWanted:
    """Choose the plane of a photograph, and what of it is printed.

    Parameters
    ----------
    job
        The job document.
    view
        The placed photograph.
    around
        The point to print round, or None for the middle of what sets the plane.
    size_mm
        Side of the square to print. [mm]
    through
        Names of the surveyed points the plane goes through; none takes the card's.
    height_mm
        How far the things stand proud that arrows are drawn for. [mm]
    name
        What the job calls the print.

    Returns
    -------
    FlatWanted
        Ready to be shared out over pages.

    Raises
    ------
    Refusal
        There is no such plane or point, or nothing would be shown.
    """
    plane = plane_for(view, board_of(job.card).centre_mm if job.card is not None else None, through)
    refuse_if_too_proud(view, plane, height_mm)
    marked, middle = None, plane.middle_mm
    if around is not None:
        middle = shown_at(view, plane, around)
        marked = (around, (float(middle[0]), float(middle[1])))
    window = useful_window(view, plane, square(middle, size_mm))
    return FlatWanted(name, view.photograph.name, view, plane, window, height_mm, marked)


def flats_wanted(job: Job, surveyed: Surveyed | None) -> tuple[tuple[FlatWanted, ...], tuple[Finding, ...]]:
    """Work out every flat print a job calls for.

    Parameters
    ----------
    job
        The job document.
    surveyed
        The survey with its photographs, or None where there is none.

    Returns
    -------
    tuple
        The prints that can be made, and one finding each that the job names.
    """
    made: list[FlatWanted] = []
    findings: list[Finding] = []
    for name, entry in job.flat_prints.items():
        try:
            wanted = _wanted(job, name, entry, surveyed)
        except Refusal as refusal:
            fault = refusal.faults[0]
            because = Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}.")
            findings.append(_finding(name, Answer.LOOK, because=(because,), do=fault.remedy))
            continue
        made.append(wanted)
        findings.append(_sure(wanted))
    return tuple(made), tuple(findings)


def _wanted(job: Job, name: str, entry: FlatPrintEntry, surveyed: Surveyed | None) -> FlatWanted:
    if surveyed is None:
        raise Refusal(
            f"flat print {name}", "a job without a survey", "photographs with points marked in them",
            "Mark points in two photographs or more, or print it by itself with trialfit flat-print.",
        )  # fmt: skip
    wanted = flat_wanted(
        job,
        placed_in(surveyed.sighted, surveyed.solved, surveyed.survey, entry.photograph),
        entry.around,
        USUAL_SIZE_MM if entry.size is None else float(entry.size.to("mm")),
        entry.through,
        PROUD_MM if entry.height is None else float(entry.height.to("mm")),
        name,
    )
    looked = lattice_of(wanted.view, wanted.plane, wanted.window, _COARSE_MM, wanted.height_mm)
    refuse_if_nothing(wanted.view, wanted.plane, looked)
    return wanted


def _sure(wanted: FlatWanted) -> Finding:
    window = wanted.window
    x, y = np.meshgrid([window.left_mm, window.right_mm], [window.low_mm, window.high_mm])
    middle = np.array([[(window.left_mm + window.right_mm) / 2.0, (window.low_mm + window.high_mm) / 2.0]])
    places = np.concatenate([middle, np.column_stack([x.ravel(), y.ravel()])])
    bands = band_mm(wanted.view, wanted.plane, places)
    reasons = (
        Reason(f"Photograph {wanted.photograph}, flattened to {wanted.plane.name}."),
        Reason(f"In its middle what lies in that plane is within {bands[0]:.1f} mm, in its corners within "
               f"{bands[1:].max():.1f} mm, 95 times in 100. What stands proud of it is not."),
    )  # fmt: skip
    return _finding(wanted.name, Answer.GO, Figure(float(bands[0]), "mm", None, 1), reasons)


def _finding(
    name: str, answer: Answer, figure: Figure | None = None, because: tuple[Reason, ...] = (), do: str = ""
) -> Finding:
    limit = None if figure is None else Figure(MOST_BAND_MM, "mm", None, 1)
    question = "Can work be laid out over the flat print?"
    return Finding("survey", f"flat print {name}", question, answer, figure, limit, because, do)
