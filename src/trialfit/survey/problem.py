"""The survey as numbers: what was observed, what is unknown, and what is believed beforehand.

Source: the joint adjustment described in `docs/methods/survey.md`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from trialfit.survey.beliefs import FREE as FREE
from trialfit.survey.beliefs import HELD as HELD
from trialfit.survey.outlines import Outlined, Outlines

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Priors:
    """One standard deviation of what is believed beforehand; `HELD` fixes an unknown, `FREE` says nothing of it.

    Parameters
    ----------
    focal
        Share of the focal length that the photograph's own note may be out. [-]
    centre_px
        Principal point from the middle of the picture. [px]
    distortion
        k1, k2, p1, p2, k3 from nought. [-]
    breathing_focal
        Share by which refocusing changes the focal length from photograph to photograph. [-]
    breathing_centre_px
        Shift of the principal point from photograph to photograph. [px]
    card_scale
        Share by which the print may be out of nominal, both ways alike, before its check lines are looked at. [-]
    card_difference
        Share by which its two directions may differ. [-]
    card_bow_mm
        Bow along the long side, along the short side, and twist. [mm]
    """

    focal: float = 0.04
    centre_px: float = 15.0
    distortion: tuple[float, float, float, float, float] = (0.2, 0.5, 0.002, 0.002, 0.5)
    breathing_focal: float = 0.003
    breathing_centre_px: float = 3.0
    card_scale: float = 0.01
    card_difference: float = 0.001
    card_bow_mm: float = 0.3


def _no_pairs() -> Array:
    return np.zeros((0, 2))


def _none() -> Array:
    return np.zeros(0)


def _no_indices() -> Indices:
    return np.zeros(0, dtype=np.intp)


@dataclass(frozen=True)
class Problem:
    """Everything observed, by index.

    Parameters
    ----------
    lens_of_photograph
        (m,) which lens took which photograph. [-]
    focal_start_px
        (l,) focal length of each lens as noted by the phone. [px]
    centre_start_px
        (l, 2) middle of the picture. [px]
    focal_prior
        (l,) one standard deviation of the log of each focal length. [-]
    point_count
        How many points are unknown. [-]
    card_photograph, card_xy_mm, card_px
        (k,), (k, 2), (k, 2) card corners seen: in which photograph, where on the print nominally, in which pixel.
        [mm] [px]
    card_sigma_px
        One standard deviation of a card corner. [px]
    card_middle_mm, card_half_mm
        (2,) middle of the board on the print, and half its long side, for the shape of its bow. [mm]
    mark_photograph, mark_point, mark_px, mark_sigma_px
        (j,), (j,), (j, 2), (j,) marks. [px]
    reading_points, reading_mm, reading_sigma_mm
        (q, 2), (q,), (q,) measured distances between points. [mm]
    known_point, known_mm, known_sigma_mm
        (s,), (s, 3), (s,) points known beforehand. [mm]
    line_axis, line_ratio, line_sigma
        (c,), (c,), (c,) check lines of the card: 0 along the long side, 1 along the short; reading over nominal. [-]
    priors
        What is believed beforehand.
    outlines
        Edges of tubes and rims of round faces.
    """

    lens_of_photograph: Indices
    focal_start_px: Array
    centre_start_px: Array
    focal_prior: Array
    point_count: int
    card_photograph: Indices = field(default_factory=_no_indices)
    card_xy_mm: Array = field(default_factory=_no_pairs)
    card_px: Array = field(default_factory=_no_pairs)
    card_sigma_px: float = 0.2
    card_middle_mm: Array = field(default_factory=lambda: np.zeros(2))
    card_half_mm: float = 1.0
    mark_photograph: Indices = field(default_factory=_no_indices)
    mark_point: Indices = field(default_factory=_no_indices)
    mark_px: Array = field(default_factory=_no_pairs)
    mark_sigma_px: Array = field(default_factory=_none)
    reading_points: Indices = field(default_factory=lambda: np.zeros((0, 2), dtype=np.intp))
    reading_mm: Array = field(default_factory=_none)
    reading_sigma_mm: Array = field(default_factory=_none)
    known_point: Indices = field(default_factory=_no_indices)
    known_mm: Array = field(default_factory=lambda: np.zeros((0, 3)))
    known_sigma_mm: Array = field(default_factory=_none)
    line_axis: Indices = field(default_factory=_no_indices)
    line_ratio: Array = field(default_factory=_none)
    line_sigma: Array = field(default_factory=_none)
    priors: Priors = field(default_factory=Priors)
    outlines: Outlines = field(default_factory=Outlines)

    @property
    def photograph_count(self) -> int:
        """How many photographs there are. [-]"""
        return len(self.lens_of_photograph)

    @property
    def lens_count(self) -> int:
        """How many lenses took them. [-]"""
        return len(self.focal_start_px)


@dataclass(frozen=True)
class State:
    """One set of values for all unknowns.

    Parameters
    ----------
    rotations
        (m, 3, 3) job frame to camera, one a photograph. [-]
    translations_mm
        (m, 3) with them. [mm]
    breathing
        (m, 3) each photograph's own share of focal [-] and shift of centre x, y [px].
    lenses
        (l, 8) log of focal over its start [-], shift of centre x, y from the middle [px], k1, k2, p1, p2, k3 [-].
    card
        (5,) scale and difference of the print's two directions [-]; bow long, bow short, twist [mm].
    points_mm
        (n, 3) points in the job frame. [mm]
    outlined
        Tubes and rims.
    """

    rotations: Array
    translations_mm: Array
    breathing: Array
    lenses: Array
    card: Array
    points_mm: Array
    outlined: Outlined = field(default_factory=Outlined)


def card_points(problem: Problem, card: Array) -> tuple[Array, Array]:
    """Where the card's corners really are, and how that depends on stretch and bow.

    Parameters
    ----------
    problem
        With the nominal corners.
    card
        (5,) scale, difference [-]; bow long, bow short, twist [mm].

    Returns
    -------
    tuple
        (k, 3) corners in the job frame [mm]; (k, 3, 5) their derivative by `card`.
    """
    xy = problem.card_xy_mm
    u = (xy - problem.card_middle_mm) / problem.card_half_mm
    shapes = np.stack([u[:, 0] ** 2 - 1.0 / 3.0, u[:, 1] ** 2 - 1.0 / 3.0, u[:, 0] * u[:, 1]], axis=1)
    points = np.empty((len(xy), 3))
    points[:, 0] = xy[:, 0] * (1.0 + card[0] + card[1] / 2.0)
    points[:, 1] = xy[:, 1] * (1.0 + card[0] - card[1] / 2.0)
    points[:, 2] = shapes @ card[2:]
    by_card = np.zeros((len(xy), 3, 5))
    by_card[:, :2, 0] = xy
    by_card[:, 0, 1], by_card[:, 1, 1] = xy[:, 0] / 2.0, -xy[:, 1] / 2.0
    by_card[:, 2, 2:] = shapes
    return points, by_card
