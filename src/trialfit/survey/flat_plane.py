"""The plane a photograph is flattened to, with the frame its print is drawn in.

Source: orthogonal least squares for a plane through several points (the direction of least spread, by singular
values); the rest is geometry.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.survey.flat_view import FlatView
from trialfit.survey.records import Survey

Array = NDArray[np.float64]

_FEWEST_KNOWN = 4
_IN_LINE_MM, _IN_LINE_SHARE = 5.0, 0.05
_OUT_OF_PLANE_MM, _OUT_OF_PLANE_K2 = 0.5, 1.5
_STEP_MM = 1e-3


@dataclass(frozen=True, eq=False)
class FlatPlane:
    """A plane with its own x and y.

    Parameters
    ----------
    name
        What it is, such as ``the card's plane``.
    frame
        Where its nought is and which way x and y run, as a sentence.
    origin_mm
        (3,) its nought, in the job frame. [mm]
    along, up
        (3,), (3,) unit vectors of x and y, in the job frame. [-]
    middle_mm
        (2,) the middle of what sets it, in its own x and y: of the card as printed, or of its points. Places on the
        print are counted from there when it is asked how wrong they are. [mm]
    points
        Names of the surveyed points it goes through; none for the card's.
    by_points
        (3, 3, 3p) how the middle, `along` and `up` move with x, y, z of those p points. [-]
    by_card
        (3, 5) how the middle moves with the card's stretch and bow, as `problem.card_points` has them. [mm]
    """

    name: str
    frame: str
    origin_mm: Array
    along: Array
    up: Array
    middle_mm: Array
    points: tuple[str, ...]
    by_points: Array
    by_card: Array

    @property
    def normal(self) -> Array:
        """(3,) unit vector out of the plane, towards the eye. [-]"""
        return np.cross(self.along, self.up)

    def at(self, places_mm: Array, height_mm: float = 0.0) -> Array:
        """Places of the plane as points of the job frame.

        Parameters
        ----------
        places_mm
            (n, 2) x, y in the plane. [mm]
        height_mm
            How far they stand proud of it, towards the eye. [mm]

        Returns
        -------
        Array
            (n, 3) points in the job frame. [mm]
        """
        flat = self.origin_mm + places_mm @ np.stack([self.along, self.up])
        return np.asarray(flat + height_mm * self.normal)

    def places(self, points_mm: Array) -> Array:
        """Feet of points of the job frame, square to the plane.

        Parameters
        ----------
        points_mm
            (n, 3) points in the job frame. [mm]

        Returns
        -------
        Array
            (n, 2) x, y in the plane. [mm]
        """
        return np.asarray((points_mm - self.origin_mm) @ np.stack([self.along, self.up], axis=1))


def plane_for(view: FlatView, board_centre_mm: tuple[float, float] | None, through: tuple[str, ...] = ()) -> FlatPlane:
    """Choose the plane to flatten a photograph to.

    Parameters
    ----------
    view
        The placed photograph.
    board_centre_mm
        Middle of the card's board, or None where the job has no card. [mm]
    through
        Names of the surveyed points it is to go through, at least three; none takes the card's plane or, where no
        card was found, the plane of the known points marked in the photograph.

    Returns
    -------
    FlatPlane
        The plane, its y such that the picture is not mirrored.

    Raises
    ------
    Refusal
        The points are too few, in one line, or not in one plane.
    """
    if through:
        return _facing(plane_through(view.survey, through), view)
    if view.card_sets_frame and board_centre_mm is not None:
        return _facing(card_plane(board_centre_mm, view.survey), view)
    known = view.known_points
    if len(known) < _FEWEST_KNOWN:
        raise Refusal(
            "plane", f"no card, and {len(known)} known points marked in photograph {view.photograph.name}",
            f"the card, or {_FEWEST_KNOWN} known points in one plane",
            "Say with --through which surveyed points the plane goes through.",
        )  # fmt: skip
    return _facing(plane_through(view.survey, known), view)


def card_plane(board_centre_mm: tuple[float, float], survey: Survey) -> FlatPlane:
    """Give the card's plane: z = 0 of the job frame.

    Parameters
    ----------
    board_centre_mm
        Nominal middle of the card's board. [mm]
    survey
        What the print came out at over nominal.

    Returns
    -------
    FlatPlane
        The plane, drawn in the job frame's own x and y.
    """
    axes, (x, y) = np.eye(3), board_centre_mm
    long, short = survey.card_stretch[0]
    by_card = np.zeros((3, 5))
    by_card[0, :2], by_card[1, :2] = (x, x / 2.0), (y, -y / 2.0)
    return FlatPlane(
        "the card's plane",
        "Nought is the lower left corner of the card's board, x runs along its long side, y along its short side. The "
        "plane is the card's printed face: what the card lies on is lower by its thickness, and is printed as much too "
        "far in as a thing that high is printed too far out.",
        np.zeros(3), axes[0], axes[1], np.array([x * long, y * short]), (), np.zeros((3, 3, 0)), by_card,
    )  # fmt: skip


def plane_through(survey: Survey, names: tuple[str, ...]) -> FlatPlane:
    """Lay a plane through surveyed points.

    Parameters
    ----------
    survey
        Where the points are.
    names
        At least three of them.

    Returns
    -------
    FlatPlane
        Nought at the first point's foot, x towards the second.

    Raises
    ------
    Refusal
        Too few, unknown, in one line, or more than three that are not in one plane.
    """
    if len(set(names)) < 3 or len(set(names)) < len(names):
        raise Refusal("plane", f"points {_listed(names)}", "at least three different points", "Name other points.")
    points, _ = survey.joint(list(names))
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if spread[1] < max(_IN_LINE_MM, _IN_LINE_SHARE * spread[0]):
        raise Refusal(
            "plane", f"points {_listed(names)}, which are nearly in one line", "points well off one line",
            "Choose a point well to one side of the line through the others.",
        )  # fmt: skip
    frame = _frame(points)
    _refuse_if_not_flat(survey, names, points, frame)
    steps = np.eye(points.size).reshape(points.size, *points.shape) * _STEP_MM
    by_points = np.stack([(_frame(points + step) - _frame(points - step)) / (2.0 * _STEP_MM) for step in steps], axis=2)
    by_points[0] = np.tile(np.eye(3) / len(points), len(points))  # the plane of least squares goes through the middle
    return FlatPlane(
        f"the plane through {_listed(names)}",
        f"Nought is {names[0]}, x runs towards {names[1]}.",
        frame[0], frame[1], frame[2], ((points - frame[0]) @ frame[1:].T).mean(axis=0), names, by_points,
        np.zeros((3, 5)),
    )  # fmt: skip


def _frame(points: Array) -> Array:
    """(3, 3) nought, x and y of the plane through points."""
    middle = points.mean(axis=0)
    across = np.linalg.svd(points - middle)[2][2]
    origin = points[0] - (points[0] - middle) @ across * across
    along = points[1] - points[0]
    along = along - along @ across * across
    along /= np.linalg.norm(along)
    third = points[2] - origin
    up = np.cross(across, along)
    return np.stack([origin, along, up if third @ up > 0.0 else -up])


def _refuse_if_not_flat(survey: Survey, names: tuple[str, ...], points: Array, frame: Array) -> None:
    off = np.abs((points - frame[0]) @ np.cross(frame[1], frame[2]))
    sure = np.array([max(survey.points[survey.index(name)].k2_mm) for name in names])
    over = off - np.maximum(_OUT_OF_PLANE_MM, _OUT_OF_PLANE_K2 * sure)
    worst = int(np.argmax(over))
    if over[worst] > 0.0:
        raise Refusal(
            "plane", f"{names[worst]}, {off[worst]:.1f} mm out of the plane that fits {_listed(names)} best",
            "points in one plane",
            "Name with --through the three points the plane is to go through, or look at their marks and places.",
        )  # fmt: skip


def _facing(plane: FlatPlane, view: FlatView) -> FlatPlane:
    """Turn y over where the eye looks at the plane from behind: a print must not be a mirror image."""
    if (view.eye_mm - plane.origin_mm) @ plane.normal >= 0.0:
        return plane
    over = plane.by_points.copy()
    over[2] = -over[2]
    return replace(plane, up=-plane.up, by_points=over, middle_mm=plane.middle_mm * np.array([1.0, -1.0]))


def _listed(names: tuple[str, ...]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else ", ".join(names)
