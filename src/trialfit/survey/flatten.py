"""One photograph flattened to a plane, at true scale.

The picture is sampled where the lens model says each place of the print is seen (inverse mapping), so that nothing is
resampled twice.

Source: the lens model as OpenCV documents it, which is that of `project`; the rest is bookkeeping of pixels.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from trialfit.survey.flat_limits import Lattice, Window
from trialfit.survey.flat_plane import FlatPlane
from trialfit.survey.flat_view import FlatView
from trialfit.survey.records import Station

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
Picture = NDArray[np.uint8]

_EVERY = 8
_WHITE = (255, 255, 255)


def pixels_of(view: FlatView, points_mm: Array) -> Array:
    """Where points are seen in the upright picture.

    Parameters
    ----------
    view
        The placed photograph.
    points_mm
        (n, 3) points in the job frame, before the lens. [mm]

    Returns
    -------
    Array
        (n, 2) x right, y down. [px]
    """
    return pixels_by(view.station, points_mm)


def pixels_by(station: Station, points_mm: Array) -> Array:
    """Where one photograph shows points.

    Parameters
    ----------
    station
        Where it was taken from, and through which lens.
    points_mm
        (n, 3) points in the job frame, before the lens. [mm]

    Returns
    -------
    Array
        (n, 2) in the upright picture: x right, y down. [px]
    """
    focal, (x, y) = station.focal_px, station.centre_px
    K = np.array([[focal, 0.0, x], [0.0, focal, y], [0.0, 0.0, 1.0]])
    turned, _ = cv2.Rodrigues(station.rotation)
    px, _ = cv2.projectPoints(points_mm, turned, station.translation_mm, K, np.array(station.distortion))
    return np.asarray(px, dtype=np.float64).reshape(-1, 2)


def flattened(
    picture: Picture, view: FlatView, plane: FlatPlane, lattice: Lattice, window: Window, px_per_mm: float
) -> Picture:
    """Flatten a window of the plane.

    Parameters
    ----------
    picture
        (height, width, 3) the upright photograph. [-]
    view
        The placed photograph.
    plane
        The plane.
    lattice
        What is to be shown; it covers the window.
    window
        What to flatten.
    px_per_mm
        Pixels of the print a millimetre. [px/mm]

    Returns
    -------
    ndarray
        (rows, columns, 3) the print, its upper left corner the window's, white where nothing is shown. [-]
    """
    rows, columns = round(window.height_mm * px_per_mm), round(window.width_mm * px_per_mm)
    x = window.left_mm + (np.arange(columns) + 0.5) / px_per_mm
    y = window.high_mm - (np.arange(rows) + 0.5) / px_per_mm
    coarser = _coarser(lattice, window, px_per_mm)
    copy = picture
    if coarser > 1:
        small = (picture.shape[1] // coarser, picture.shape[0] // coarser)
        trimmed = picture[: small[1] * coarser, : small[0] * coarser]
        copy = np.asarray(cv2.resize(trimmed, small, interpolation=cv2.INTER_AREA))
    across, down = pixel_map(lambda places: pixels_of(view, plane.at(places)), window, px_per_mm, (rows, columns))
    sampled = cv2.remap(
        copy,
        (across + 0.5) / coarser - 0.5,
        (down + 0.5) / coarser - 0.5,
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=_WHITE,
    )
    sampled[~_shown_at(lattice, np.asarray(x), np.asarray(y))] = _WHITE
    return np.asarray(sampled)


def pixel_map(
    pixels: Callable[[Array], Array], window: Window, px_per_mm: float, shape: tuple[int, int]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Where the photograph shows each pixel of a print.

    Parameters
    ----------
    pixels
        Gives (n, 2) pixels of the photograph for (n, 2) places of the plane. [px, mm]
    window
        What of the plane is printed.
    px_per_mm
        Pixels of the print a millimetre. [px/mm]
    shape
        Rows and columns of the print. [-]

    Returns
    -------
    tuple
        (rows, columns) x right and (rows, columns) y down, in the photograph. [px]

    Notes
    -----
    Worked out for every eighth pixel and drawn out straight between them: 0.8 mm of the plane at ten a millimetre, over
    which the map bends by a hundredth of a pixel.
    """
    # Enlarging by n puts pixel k of the small one at n k + (n - 1) / 2; one more each side spares the rim.
    counts = [-(-size // _EVERY) + 2 for size in shape]
    row, column = (_EVERY * (np.arange(count) - 1) + (_EVERY - 1) / 2.0 for count in counts)
    x = window.left_mm + (column + 0.5) / px_per_mm
    y = window.high_mm - (row + 0.5) / px_per_mm
    px = pixels(np.stack(np.meshgrid(x, y), axis=2).reshape(-1, 2))
    size = (counts[1] * _EVERY, counts[0] * _EVERY)
    drawn_out = cv2.resize(px.reshape(*counts, 2).astype(np.float32), size, interpolation=cv2.INTER_LINEAR)
    kept = np.asarray(drawn_out, dtype=np.float32)[_EVERY : _EVERY + shape[0], _EVERY : _EVERY + shape[1]]
    return kept[:, :, 0], kept[:, :, 1]


def _coarser(lattice: Lattice, window: Window, px_per_mm: float) -> int:
    """How many times finer the photograph is than the print, where it is finest."""
    columns = (lattice.x_mm >= window.left_mm) & (lattice.x_mm <= window.right_mm)
    rows = (lattice.y_mm >= window.low_mm) & (lattice.y_mm <= window.high_mm)
    finest = np.nan_to_num(lattice.px_per_mm[np.ix_(rows, columns)]).max(initial=0.0)
    return max(1, int(finest / px_per_mm))


def _shown_at(lattice: Lattice, x_mm: Array, y_mm: Array) -> Bools:
    """(rows, columns) whether the print shows each of its pixels."""
    pitch_x = (lattice.x_mm[-1] - lattice.x_mm[0]) / (len(lattice.x_mm) - 1)
    pitch_y = (lattice.y_mm[-1] - lattice.y_mm[0]) / (len(lattice.y_mm) - 1)
    across, down = np.meshgrid((x_mm - lattice.x_mm[0]) / pitch_x, (y_mm - lattice.y_mm[0]) / pitch_y)
    margin = cv2.remap(
        lattice.margin.astype(np.float32),
        across.astype(np.float32),
        down.astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(margin >= 0.0)
