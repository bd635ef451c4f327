"""A photograph with a plane of it at a known scale: by the card in it, by two marks a known distance apart, or by how
far a surveyed point is from the lens.

Source: similar triangles; the card and the survey by the joint adjustment of `docs/methods/survey.md`. Figures that are
assumed are named so in `docs/methods/before_and_after.md`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, hypot, radians, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.job.before_and_after import SideEntry
from trialfit.job.records import Job
from trialfit.survey.card import board_of
from trialfit.survey.flat_band import length_k2_share, view_angle_deg
from trialfit.survey.flat_limits import Window
from trialfit.survey.flat_plane import FlatPlane, card_plane
from trialfit.survey.flat_view import FlatView, placed_alone, placed_in
from trialfit.survey.flat_window import places_under
from trialfit.survey.flatten import pixels_by
from trialfit.survey.gather import DEFAULT_MARK_SIGMA_PX, Sighted
from trialfit.survey.photograph import Photograph
from trialfit.survey.records import Station, Survey
from trialfit.survey.solve import Solved

Array = NDArray[np.float64]
By = Literal["card", "marks", "point"]

# A photograph that stands alone is never called better than this; its own band is 0.5 mm up to 50 mm from the card's
# middle (`flat_band.SINGLE_MM`). Assumed of two marks too: held within 8 deg of square, the lens's bend included.
LEAST_SHARE = 0.01
HEIGHT_PM_MM = 1.0


@dataclass(frozen=True, eq=False)
class AtScale:
    """What one photograph shows of a piece, and its scale.

    Parameters
    ----------
    photograph
        Its name in the job.
    by
        What the scale is known by.
    window
        What is shown, in the x (right) and y (up) of the plane that is at scale.
    station, plane
        Where it was taken from, and the plane; None where two marks give the scale.
    nought_px
        Where the plane's nought is seen, where two marks give the scale: x right, y down. [px]
    px_per_mm
        Pixels a millimetre in the middle of what is shown. [px/mm]
    k2_share
        Two standard deviations of a length that is shown, as a share of it. [-]
    away_mm
        How far the plane is from the lens, square to it; None where nothing says. [mm]
    """

    photograph: str
    by: By
    window: Window
    station: Station | None
    plane: FlatPlane | None
    nought_px: tuple[float, float]
    px_per_mm: float
    k2_share: float
    away_mm: float | None

    def pixels(self, places_mm: Array) -> Array:
        """Where places of the plane are seen.

        Parameters
        ----------
        places_mm
            (n, 2) x right, y up. [mm]

        Returns
        -------
        Array
            (n, 2) x right, y down in the upright photograph. [px]
        """
        if self.station is not None and self.plane is not None:
            return pixels_by(self.station, self.plane.at(places_mm))
        return np.asarray(np.array(self.nought_px) + places_mm * np.array([self.px_per_mm, -self.px_per_mm]))


@dataclass(frozen=True, eq=False)
class Surveyed:
    """The survey a photograph may belong to.

    Parameters
    ----------
    sighted
        Its photographs, and the card found in them.
    solved
        The adjustment.
    survey
        The same as a record.
    """

    sighted: Sighted
    solved: Solved
    survey: Survey


def at_scale(job: Job, side: SideEntry, bench: Sighted, surveyed: Surveyed | None) -> AtScale:
    """Find the scale of a photograph.

    Parameters
    ----------
    job
        The job document.
    side
        What of the photograph is shown, and what gives its scale.
    bench
        The photographs of the bench, and the card found in them.
    surveyed
        The survey with its photographs, or None where the job has none.

    Returns
    -------
    AtScale
        What it shows, at scale.

    Raises
    ------
    Refusal
        The photograph was not looked at, what is shown lies outside it, or nothing in it gives the scale.
    """
    photograph = _photograph(side.photograph, bench, surveyed)
    for key, two in (("show", side.show), ("marks", side.marks)):
        _refuse_outside(photograph, key, two or ())
    if side.marks is not None:
        return _by_marks(job, side, photograph)
    view = _view(job, side, bench, surveyed)
    plane = _card_plane(job, side, view) if side.by_card else _plane_at(view, side.point or "")
    return _in_plane(side, view, plane)


def _photograph(name: str, bench: Sighted, surveyed: Surveyed | None) -> Photograph:
    found = bench.photographs.get(name) or (surveyed.sighted.photographs.get(name) if surveyed else None)
    if found is None:
        raise Refusal(
            f"photograph {name}", "a photograph that nothing gives a place", "one of the survey, or one of the bench",
            "If it shows a piece at the bench, write bench = true beside its file; if the same picture is there twice, "
            "name the first.",
        )  # fmt: skip
    return found


def _refuse_outside(photograph: Photograph, key: str, places: tuple[tuple[float, float], ...]) -> None:
    for x, y in places:
        if not (-0.5 <= x < photograph.width_px and -0.5 <= y < photograph.height_px):
            raise Refusal(
                f"{key} in photograph {photograph.name}", f"({x:g}, {y:g}) px",
                f"inside the picture of {photograph.width_px} x {photograph.height_px} px",
                "Pixels count from the top left of the upright original; was it read off a smaller copy?",
            )  # fmt: skip


def _by_marks(job: Job, side: SideEntry, photograph: Photograph) -> AtScale:
    assert side.marks is not None
    assert side.apart is not None
    (x0, y0), (x1, y1) = side.marks
    apart_px, apart_mm = hypot(x1 - x0, y1 - y0), side.apart.value_mm
    height_mm = 0.0 if side.height is None else float(side.height.to("mm"))
    px_per_mm, away = _raised(photograph, apart_px / apart_mm, height_mm)
    mark_k2_px = float(job.survey.mark_pm.to("px")) if job.survey is not None else 2.0 * DEFAULT_MARK_SIGMA_PX
    share = sqrt(2.0 * (mark_k2_px / apart_px) ** 2 + (2.0 * side.apart.sigma_mm / apart_mm) ** 2 + LEAST_SHARE**2)
    corners = (np.array(side.show) - np.array([x0, y0])) * np.array([1.0, -1.0]) / px_per_mm
    if away is not None:
        share = hypot(share, HEIGHT_PM_MM / away)
    return AtScale(side.photograph, "marks", _round(corners), None, None, (x0, y0), px_per_mm, share, away)


def _raised(photograph: Photograph, px_per_mm: float, height_mm: float) -> tuple[float, float | None]:
    """Pixels a millimetre so much nearer to the lens than the marks, and how far that is from the lens."""
    if photograph.focal_px is not None:
        marks_away = photograph.focal_px / px_per_mm
        if height_mm < marks_away / 2.0:
            away = marks_away - height_mm
            return photograph.focal_px / away, away
    elif not height_mm:
        return px_per_mm, None
    raise Refusal(
        f"height in photograph {photograph.name}",
        f"{height_mm:g} mm, and nothing that says how far the lens was" if photograph.focal_px is None
        else f"{height_mm:g} mm, half way up to the lens or more",
        "a height that can be allowed for", "Put the two marks as high as the piece's outline, and leave height out.",
        photograph.file,
    )  # fmt: skip


def _view(job: Job, side: SideEntry, bench: Sighted, surveyed: Surveyed | None) -> FlatView:
    """The photograph as the survey has it; one of the bench by the card that lies in it, at its own print's size."""
    name = side.photograph
    if name in bench.photographs:
        assert job.card is not None
        own = job.card.model_copy(update={"check_lines": side.check_lines})
        return placed_alone(job.model_copy(update={"card": own, "marks": {}}), bench, name)
    assert surveyed is not None
    return placed_in(surveyed.sighted, surveyed.solved, surveyed.survey, name)


def _card_plane(job: Job, side: SideEntry, view: FlatView) -> FlatPlane:
    """The card's face raised to the outline of the piece, its x as the picture's."""
    assert job.card is not None
    if not view.card_sets_frame:
        raise Refusal(
            f"photograph {side.photograph}", "no card in the survey's photographs", "the card beside the piece",
            "Give two marks and how far they are apart.", view.photograph.file,
        )  # fmt: skip
    flat = card_plane(board_of(job.card).centre_mm, view.survey)
    height_mm = 0.0 if side.height is None else float(side.height.to("mm"))
    right = view.station.rotation[0]
    along = right - right @ flat.normal * flat.normal
    along /= np.linalg.norm(along)
    return replace(
        flat, origin_mm=flat.origin_mm + height_mm * flat.normal, along=along, up=np.cross(flat.normal, along)
    )  # fmt: skip


def _plane_at(view: FlatView, point: str) -> FlatPlane:
    """The plane square to the lens through a surveyed point."""
    if point not in [each.name for each in view.survey.points]:
        raise Refusal(
            f"point {point}", "a point the survey could not fix", "one that it could",
            "Mark it in a second photograph, or name another point beside the piece.",
        )  # fmt: skip
    at = np.array(view.survey.points[view.survey.index(point)].position_mm)
    by_points = np.zeros((3, 3, 3))
    by_points[0] = np.eye(3)
    right, down, _ = view.station.rotation
    return FlatPlane(
        f"the plane square to the lens through {point}", "", at, right, -down, np.zeros(2), (point,), by_points,
        np.zeros((3, 5)),
    )  # fmt: skip


def _in_plane(side: SideEntry, view: FlatView, plane: FlatPlane) -> AtScale:
    (x0, y0), (x1, y1) = side.show
    corners = places_under(view.station, plane, np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]))
    if not np.isfinite(corners).all():
        raise Refusal(
            f"show in photograph {side.photograph}", "a part of the picture that looks past the card's plane",
            "what lies on the bench beside the card", "Show less of it, or photograph it from further above.",
            view.photograph.file,
        )  # fmt: skip
    window = _round(corners)
    middle = np.array([(window.left_mm + window.right_mm) / 2.0, (window.low_mm + window.high_mm) / 2.0])
    half = np.array([window.width_mm, window.height_mm]) / 2.0
    spans = [np.array([middle - way * half, middle + way * half]) for way in (np.array([1, 0]), np.array([0, 1]))]
    share = max(length_k2_share(view, plane, ends) for ends in spans)
    away = float((view.eye_mm - plane.origin_mm) @ plane.normal)
    # What is round and seen aslant shows an outline wider than it is.
    share = hypot(share, aslant_share(view, plane, middle), HEIGHT_PM_MM / away if side.by_card else 0.0)
    if view.alone:
        share = max(share, LEAST_SHARE)
    made = AtScale(
        side.photograph, "card" if side.by_card else "point", window, view.station, plane, (0.0, 0.0), 0.0, share, away
    )  # fmt: skip
    near = made.pixels(middle + np.array([[-0.5, 0.0], [0.5, 0.0]]))
    return replace(made, px_per_mm=float(np.linalg.norm(near[1] - near[0])))


def aslant_share(view: FlatView, plane: FlatPlane, middle_mm: Array) -> float:
    """How much wider a round bar in the plane looks than it is, because it is not seen squarely.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane that is at scale.
    middle_mm
        (2,) where the bar lies in it. [mm]

    Returns
    -------
    float
        One over the cosine of the angle between sight and normal, less one: of a bar that lies across the slant. [-]
    """
    angle_deg = float(view_angle_deg(view, plane, middle_mm[None])[0])
    return 1.0 / cos(radians(angle_deg)) - 1.0


def _round(corners_mm: Array) -> Window:
    (left, low), (right, high) = corners_mm.min(axis=0).tolist(), corners_mm.max(axis=0).tolist()
    return Window(left, low, right, high)
