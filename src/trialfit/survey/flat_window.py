"""What part of a plane is to be printed.

Source: geometry of one ray cut by a plane; how far is searched is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.job.nearest import did_you_mean
from trialfit.survey.flat_band import proud_offset_mm
from trialfit.survey.flat_limits import Bools, Window, lattice_on, lines_of, refuse_if_nothing
from trialfit.survey.flat_plane import FlatPlane
from trialfit.survey.flat_view import FlatView
from trialfit.survey.project import straighten
from trialfit.survey.records import Station

Array = NDArray[np.float64]
Places = NDArray[np.intp]

USUAL_SIZE_MM = 300.0
_SEARCH_MM, _SEARCH_LINES = 1500.0, 300
_FEW = 10
_LEAST_SIZE_MM = 20.0
_EVEN_MM = 2.0


def useful_window(view: FlatView, plane: FlatPlane, within: Window | None = None) -> Window:
    """Find the smallest window that holds all that is worth printing.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane.
    within
        Where to look; None looks far round the plane's middle.

    Returns
    -------
    Window
        The window, its sides on whole even millimetres.

    Raises
    ------
    Refusal
        Nothing there is worth printing.
    """
    middle_x, middle_y = plane.middle_mm.tolist()
    searched = within or Window(
        middle_x - _SEARCH_MM, middle_y - _SEARCH_MM, middle_x + _SEARCH_MM, middle_y + _SEARCH_MM
    )
    x, y = lines_of(searched, max(searched.width_mm, searched.height_mm) / _SEARCH_LINES)
    outermost = _outermost(view, plane, x, y)
    # What is shown reaches on from the outermost crossings, by less than one more.
    x_out, y_out = float(x[1] - x[0]), float(y[1] - y[0])
    found = Window(
        outermost.left_mm - x_out, outermost.low_mm - y_out, outermost.right_mm + x_out, outermost.high_mm + y_out
    )
    return _whole(_common(found, searched))


def shown_at(view: FlatView, plane: FlatPlane, point: str) -> Array:
    """Where a flat print shows a named point.

    Parameters
    ----------
    view
        The placed photograph.
    plane
        The plane.
    point
        A point that was surveyed, or is marked in the photograph.

    Returns
    -------
    Array
        (2,) place in the plane; of a point that stands proud, where its ray goes on to meet the plane. [mm]

    Raises
    ------
    Refusal
        The point is neither, or its ray does not meet the plane.
    """
    surveyed = {each.name: each.position_mm for each in view.survey.points}
    if point in view.marked_px:
        return _cut(view, plane, np.array(view.marked_px[point]), point)
    if point not in surveyed:
        remedy = did_you_mean(point, [*surveyed, *view.marked_px], "Name a point marked in this photograph.")
        raise Refusal(f"point {point}", "neither surveyed nor marked in the photograph", "one that is", remedy)
    at = np.array([surveyed[point]])
    place, height = plane.places(at), float((at[0] - plane.origin_mm) @ plane.normal)
    eye = float((view.eye_mm - plane.origin_mm) @ plane.normal)
    if height >= eye:
        raise _never_meets(point)
    return np.asarray((place + proud_offset_mm(view, plane, place, height))[0])


def places_under(station: Station, plane: FlatPlane, px: Array) -> Array:
    """Where the rays of pixels meet a plane.

    Parameters
    ----------
    station
        Where the photograph was taken from, and through which lens.
    plane
        The plane.
    px
        (n, 2) pixels of the upright photograph: x right, y down. [px]

    Returns
    -------
    Array
        (n, 2) places in the plane; not finite for a ray that goes away from it. [mm]
    """
    count = len(px)
    flat = straighten(
        px, np.full(count, station.focal_px), np.tile(station.centre_px, (count, 1)),
        np.tile(station.distortion, (count, 1)),
    )  # fmt: skip
    rays = np.column_stack([flat, np.ones(count)]) @ station.rotation
    eye = -station.rotation.T @ station.translation_mm
    down = -rays @ plane.normal
    far = np.divide((eye - plane.origin_mm) @ plane.normal, down, out=np.full(count, np.nan), where=down > 0.0)
    return np.asarray(plane.places(eye + far[:, None] * rays))


def square(centre_mm: Array, size_mm: float) -> Window:
    """Give the square round a place.

    Parameters
    ----------
    centre_mm
        (2,) the place. [mm]
    size_mm
        The square's side. [mm]

    Returns
    -------
    Window
        The square.

    Raises
    ------
    Refusal
        It is smaller than anything could be laid on, or larger than is searched.
    """
    if not _LEAST_SIZE_MM <= size_mm <= 2.0 * _SEARCH_MM:
        raise Refusal(
            "--size", f"{size_mm:g} mm", f"{_LEAST_SIZE_MM:g} to {2.0 * _SEARCH_MM:g} mm",
            f"Leave it out for the usual {USUAL_SIZE_MM:g} mm.",
        )  # fmt: skip
    x, y = (float(value) for value in centre_mm)
    half = size_mm / 2.0
    return Window(x - half, y - half, x + half, y + half)


def _outermost(view: FlatView, plane: FlatPlane, x: Array, y: Array) -> Window:
    """Lines of a lattice round all crossings that are shown.

    Every crossing outside what a few show is looked at, so that nothing is missed, however ragged the edge.
    """
    rows, columns = _few(len(y)), _few(len(x))
    few = lattice_on(view, plane, x[columns], y[rows])
    if not few.shown.any():
        rows, columns, few = np.arange(len(y)), np.arange(len(x)), lattice_on(view, plane, x, y)
        refuse_if_nothing(view, plane, few)

    def in_rows(some: slice) -> Bools:
        return np.asarray(lattice_on(view, plane, x, y[some]).shown.any(axis=1))

    low, high = _reach(in_rows, rows[few.shown.any(axis=1)], len(y))
    between = y[low : high + 1]

    def in_columns(some: slice) -> Bools:
        return np.asarray(lattice_on(view, plane, x[some], between).shown.any(axis=0))

    left, right = _reach(in_columns, columns[few.shown.any(axis=0)], len(x))
    return Window(float(x[left]), float(y[low]), float(x[right]), float(y[high]))


def _few(count: int) -> Places:
    """Some of so many lines, the outer ones among them."""
    return np.unique(np.append(np.arange(0, count, _FEW), count - 1))


def _reach(shown: Callable[[slice], Bools], known: Places, count: int) -> tuple[int, int]:
    """First and last of the lines that show anything, of some of which it is known."""
    first, last = int(known[0]), int(known[-1])
    below = np.flatnonzero(shown(slice(0, first))) if first > 0 else np.array([], dtype=np.intp)
    above = np.flatnonzero(shown(slice(last + 1, count))) if last < count - 1 else np.array([], dtype=np.intp)
    return int(below[0]) if len(below) else first, last + 1 + int(above[-1]) if len(above) else last


def _common(one: Window, other: Window) -> Window:
    return Window(
        max(one.left_mm, other.left_mm),
        max(one.low_mm, other.low_mm),
        min(one.right_mm, other.right_mm),
        min(one.high_mm, other.high_mm),
    )


def _whole(window: Window) -> Window:
    """Sides moved out to whole even millimetres."""
    low, high = (
        [_EVEN_MM * turned(side / _EVEN_MM) for side in sides]
        for turned, sides in ((floor, (window.left_mm, window.low_mm)), (ceil, (window.right_mm, window.high_mm)))
    )
    return Window(low[0], low[1], high[0], high[1])


def _cut(view: FlatView, plane: FlatPlane, px: Array, point: str) -> Array:
    place = places_under(view.station, plane, px[None])[0]
    if not np.isfinite(place).all():
        raise _never_meets(point)
    return np.asarray(place)


def _never_meets(point: str) -> Refusal:
    return Refusal(
        f"point {point}", "a point that stands higher over the plane than the lens did", "one that the print can show",
        "Choose a point nearer to the plane, or another plane with --through.",
    )  # fmt: skip
