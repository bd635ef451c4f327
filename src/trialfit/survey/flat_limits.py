"""Where a flat print is worth anything, and where it is left white.

Left white is what lies outside the picture, what is seen too nearly edge-on, what too few pixels cover, and what would
be more than the last contour wrong.

Source: the limits are common practice, no source; the lens model is that of `project`.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.survey.flat_band import floor_mm, placed, radius95_mm, view_angle_deg
from trialfit.survey.flat_plane import FlatPlane
from trialfit.survey.flat_view import FlatView
from trialfit.survey.project import bend, straighten

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEAST_PX_PER_MM = 2.0
MOST_VIEW_ANGLE_DEG = 75.0
MOST_BAND_MM = 3.0
LATTICE_MM = 2.0
_ROUND_THE_LENS = 1.02
_NEAREST_MM = 1.0


@dataclass(frozen=True)
class Window:
    """An upright rectangle of the plane.

    Parameters
    ----------
    left_mm, low_mm, right_mm, high_mm
        Where its sides lie in the plane's x and y. [mm]
    """

    left_mm: float
    low_mm: float
    right_mm: float
    high_mm: float

    @property
    def width_mm(self) -> float:
        """From left to right. [mm]"""
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        """From low to high. [mm]"""
        return self.high_mm - self.low_mm


@dataclass(frozen=True, eq=False)
class Lattice:
    """What is known of a window at every crossing of a lattice.

    Parameters
    ----------
    window
        The window; lattice lines lie on its sides.
    x_mm, y_mm
        (c,), (r,) where the lattice lines lie, y upwards. [mm]
    shown
        (r, c) whether the print shows it. [-]
    seen
        (r, c) whether it lies in the picture at all. [-]
    own_mm
        (r, c) how wrong the print is there by the covariance, 95 times in 100; NaN where it is not seen. [mm]
    floor_mm
        (r, c) the least that a lone photograph is given; nought for others. [mm]
    away_mm
        (r, c) distance from the plane's middle. [mm]
    view_angle_deg
        (r, c) between the line of sight and the plane's normal. [deg]
    px_per_mm
        (r, c) pixels that one millimetre covers, in the direction that has the fewest; NaN where it is not seen. [px]
    """

    window: Window
    x_mm: Array
    y_mm: Array
    shown: Bools
    seen: Bools
    own_mm: Array
    floor_mm: Array
    away_mm: Array
    view_angle_deg: Array
    px_per_mm: Array

    @property
    def band_mm(self) -> Array:
        """(r, c) how wrong the print is, 95 times in 100; NaN where it is not seen. [mm]"""
        return np.asarray(np.maximum(self.own_mm, self.floor_mm))

    @property
    def margin(self) -> Array:
        """(r, c) by how much each crossing keeps within the limits, as a share of them; not negative is shown. [-]

        Beside what is shown, what lies outside the picture counts as shown: sampling leaves it white to the pixel.
        """
        kept = np.stack([
            1.0 - self.band_mm / MOST_BAND_MM,
            self.px_per_mm / LEAST_PX_PER_MM - 1.0,
            1.0 - self.view_angle_deg / MOST_VIEW_ANGLE_DEG,
        ])  # fmt: skip
        margin = np.clip(np.nan_to_num(kept, nan=1.0).min(axis=0), -1.0, 1.0)
        beside = cv2.dilate(self.shown.astype(np.uint8), np.ones((3, 3), dtype=np.uint8)) > 0
        return np.where(self.seen, margin, np.where(beside, 1.0, -1.0))


def lattice_of(
    view: FlatView, plane: FlatPlane, window: Window, pitch_mm: float = LATTICE_MM, height_mm: float = 0.0
) -> Lattice:
    """Look at a window of the plane, crossing by crossing.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane.
    window
        What to look at.
    pitch_mm
        Distance of the lattice's lines; changed a little where they would not meet the window's sides. [mm]
    height_mm
        How far things stand proud that the band is to hold for too. [mm]

    Returns
    -------
    Lattice
        What is seen, how well, and how surely.
    """
    return lattice_on(view, plane, *lines_of(window, pitch_mm), height_mm)


def lines_of(window: Window, pitch_mm: float) -> tuple[Array, Array]:
    """Lay a lattice's lines over a window.

    Parameters
    ----------
    window
        What they are to cover; the outer ones lie on its sides.
    pitch_mm
        Their distance, about. [mm]

    Returns
    -------
    tuple
        (c,), (r,) x and y of the lines, upwards. [mm]
    """
    x = np.linspace(window.left_mm, window.right_mm, max(1, round(window.width_mm / pitch_mm)) + 1)
    y = np.linspace(window.low_mm, window.high_mm, max(1, round(window.height_mm / pitch_mm)) + 1)
    return x, y


def lattice_on(view: FlatView, plane: FlatPlane, x: Array, y: Array, height_mm: float = 0.0) -> Lattice:
    """Look at the crossings of given lines.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane.
    x, y
        (c,), (r,) where the lines lie, in any order. [mm]
    height_mm
        How far things stand proud that the band is to hold for too. [mm]

    Returns
    -------
    Lattice
        What is seen, how well, and how surely, within the outermost lines.
    """
    window = Window(float(x.min()), float(y.min()), float(x.max()), float(y.max()))
    places = np.stack(np.meshgrid(x, y), axis=2).reshape(-1, 2)
    seen = in_picture(view, plane.at(places))
    angle = view_angle_deg(view, plane, places)
    squarely = np.flatnonzero(seen & (angle <= MOST_VIEW_ANGLE_DEG))
    own, fewest = np.full(len(places), np.nan), np.full(len(places), np.nan)
    found = placed(view, plane, places[squarely])
    own[squarely] = radius95_mm(found.covariance_mm2)
    if height_mm:
        proud = placed(view, plane, places[squarely], height_mm)
        own[squarely] = np.maximum(own[squarely], radius95_mm(proud.covariance_mm2))
    fewest[squarely] = np.linalg.svd(found.px_per_mm, compute_uv=False)[:, 1]
    least = floor_mm(view, plane, places)
    with np.errstate(invalid="ignore"):
        shown = (fewest >= LEAST_PX_PER_MM) & (np.maximum(own, least) <= MOST_BAND_MM)
    away = np.linalg.norm(places - plane.middle_mm, axis=1)
    shape = (len(y), len(x))
    return Lattice(
        window,
        x,
        y,
        shown.reshape(shape),
        seen.reshape(shape),
        own.reshape(shape),
        least.reshape(shape),
        away.reshape(shape),
        angle.reshape(shape),
        fewest.reshape(shape),
    )


def in_picture(view: FlatView, points_mm: Array) -> Bools:
    """Which points lie within the photograph.

    Parameters
    ----------
    view
        The placed photograph.
    points_mm
        (n, 3) points in the job frame. [mm]

    Returns
    -------
    ndarray
        (n,) true where the point lies before the lens and is pictured. [-]

    Notes
    -----
    A polynomial lens folds back far outside the picture, where it was never held against anything: rays further off
    the axis than the picture's own corners are left out.
    """
    station, photograph = view.station, view.photograph
    camera = points_mm @ station.rotation.T + station.translation_mm
    before = camera[:, 2] > _NEAREST_MM
    flat = camera[:, :2] / np.where(before, camera[:, 2], 1.0)[:, None]
    inside = before & (np.linalg.norm(flat, axis=1) < _ROUND_THE_LENS * _furthest(view))
    px = bend(flat[inside], np.array(station.distortion)) * station.focal_px + np.array(station.centre_px)
    size = np.array([photograph.width_px, photograph.height_px])
    inside[inside] = ((px >= 0.0) & (px <= size - 1.0)).all(axis=1)
    return np.asarray(inside)


def refuse_if_nothing(view: FlatView, plane: FlatPlane, lattice: Lattice) -> None:
    """Refuse a window of which nothing is worth printing.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane.
    lattice
        What is seen of the window.

    Raises
    ------
    Refusal
        It is not in the picture, or all of it is seen too edge-on, too small, or too unsurely.
    """
    if lattice.shown.any():
        return
    about = f"photograph {view.photograph.name}, {plane.name}"
    another = "Take a photograph from higher over it, the card in view, or choose another plane with --through."
    if not lattice.seen.any():
        raise Refusal(
            about, "nothing of it in the picture", "a plane, and a part of it, that the picture shows",
            "Choose another place with --around, another photograph, or another plane with --through.",
        )  # fmt: skip
    best = float(lattice.view_angle_deg[lattice.seen].min())
    if best > MOST_VIEW_ANGLE_DEG:
        raise Refusal(
            about, f"seen edge-on: the line of sight lies at most {90.0 - best:.0f} deg over it",
            f"at least {90.0 - MOST_VIEW_ANGLE_DEG:.0f} deg", another,
        )  # fmt: skip
    finest = float(np.nanmax(lattice.px_per_mm))
    if finest < LEAST_PX_PER_MM:
        raise Refusal(
            about, f"at most {finest:.1f} pixels a millimetre",
            f"at least {LEAST_PX_PER_MM:g}", "Take a photograph from nearer.",
        )  # fmt: skip
    least = float(np.nanmin(lattice.band_mm))
    raise Refusal(
        about, f"a print at least {least:.1f} mm wrong", f"at most {MOST_BAND_MM:g} mm (95 times in 100)",
        "Put the card nearer to what is to be printed, or mark more points for the survey.",
    )  # fmt: skip


def _furthest(view: FlatView) -> float:
    """Ideal distance from the axis of the furthest place on the picture's rim."""
    station, photograph = view.station, view.photograph
    right, low = photograph.width_px - 1.0, photograph.height_px - 1.0
    rim = np.array([(x, y) for x in (0.0, right / 2.0, right) for y in (0.0, low / 2.0, low)])
    per = (len(rim), 1)
    flat = straighten(rim, np.full(len(rim), station.focal_px), np.tile(station.centre_px, per),
                      np.tile(station.distortion, per))  # fmt: skip
    return float(np.nanmax(np.linalg.norm(flat, axis=1)))
