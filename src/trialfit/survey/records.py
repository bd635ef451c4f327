"""What the survey gives. Source: the joint adjustment described in `docs/methods/survey.md`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SurveyedPoint:
    """A named point in the job frame.

    Parameters
    ----------
    name
        Its name in the job.
    position_mm
        x, y, z in the job frame (card: x long side, y short side, z out of the print). [mm]
    k2_mm
        Two standard deviations of x, y, z. [mm]
    rays
        In how many photographs it is marked. [-]
    """

    name: str
    position_mm: tuple[float, float, float]
    k2_mm: tuple[float, float, float]
    rays: int


@dataclass(frozen=True)
class LeftOut:
    """A point that was marked or named but could not be fixed.

    Parameters
    ----------
    name
        Its name in the job.
    because
        Why not, as a sentence.
    do
        What would cure it, as a sentence.
    """

    name: str
    because: str
    do: str


@dataclass(frozen=True)
class Residual:
    """What one observation says against the adjusted answer.

    Parameters
    ----------
    what
        Mark, reading, known point or card corner, in words with its names.
    off
        Size of the disagreement, in `unit`. [unit]
    unit
        ``px`` or ``mm``.
    sigmas
        The same in its own standard deviations (of the residual, not of the observation). [-]
    """

    what: str
    off: float
    unit: str
    sigmas: float


@dataclass(frozen=True)
class Suspect:
    """Something observed that everything else speaks against.

    Parameters
    ----------
    what
        The mark, reading or check line, in words with its names.
    point, photograph
        Names, where it is a mark; else empty.
    off
        How far it is from where the others expect it, in `unit`. [unit]
    unit
        ``px`` or ``mm``.
    way_px
        x right, y down of a mark's slip in the upright photograph; noughts for others. [px]
    set_aside
        Whether the answer does without it.
    rivals
        Other observations that would explain the trouble nearly as well; none where it is pinned on this one.
    because, do
        A sentence each.
    """

    what: str
    point: str
    photograph: str
    off: float
    unit: str
    way_px: tuple[float, float]
    set_aside: bool
    rivals: tuple[str, ...]
    because: str
    do: str


@dataclass(frozen=True)
class Lens:
    """One phone's lens as adjusted.

    Parameters
    ----------
    phone
        Its name in the job.
    focal_px
        Focal length. [px]
    focal_k2_px
        Two standard deviations of it. [px]
    centre_px
        Principal point x, y. [px]
    distortion
        k1, k2, p1, p2, k3 of the polynomial model OpenCV uses. [-]
    """

    phone: str
    focal_px: float
    focal_k2_px: float
    centre_px: tuple[float, float]
    distortion: tuple[float, float, float, float, float]


@dataclass(frozen=True)
class Station:
    """Where one photograph was taken from, and through which lens.

    Parameters
    ----------
    photograph
        Its name in the job.
    rotation
        (3, 3) turns job-frame vectors into camera vectors (x right, y down, z forward). [-]
    translation_mm
        (3,) with it: camera = rotation @ job + translation. [mm]
    focal_px
        This photograph's own focal length, refocusing included. [px]
    centre_px
        This photograph's own principal point x, y. [px]
    distortion
        k1, k2, p1, p2, k3. [-]
    card_corners
        How many corners of the card were found in it. [-]
    """

    photograph: str
    rotation: Array
    translation_mm: Array
    focal_px: float
    centre_px: tuple[float, float]
    distortion: tuple[float, float, float, float, float]
    card_corners: int


@dataclass(frozen=True)
class Survey:
    """All that the photographs and readings say together.

    Parameters
    ----------
    points
        The points that could be fixed, in the job's order.
    covariance_mm2
        (3n, 3n) joint covariance of the n points, x y z of each in the order of `points`. [mm2]
    left_out
        The points that could not, and why.
    lenses
        One a phone.
    stations
        One a photograph.
    card_stretch
        What the card's long and short side came out at over nominal, and two standard deviations of each. [-]
    chi_square
        Weighted sum of squares of all residuals, priors included. [-]
    freedom
        Observations and priors less unknowns. [-]
    residuals
        Every mark, reading and known point, the worst first.
    suspects
        What everything else speaks against, the gravest first.
    """

    points: tuple[SurveyedPoint, ...]
    covariance_mm2: Array
    left_out: tuple[LeftOut, ...]
    lenses: tuple[Lens, ...]
    stations: tuple[Station, ...]
    card_stretch: tuple[tuple[float, float], tuple[float, float]]
    chi_square: float
    freedom: int
    residuals: tuple[Residual, ...]
    suspects: tuple[Suspect, ...] = ()

    def index(self, name: str) -> int:
        """Place of a point among `points`.

        Parameters
        ----------
        name
            The point's name.

        Returns
        -------
        int
            Its place, from 0.

        Raises
        ------
        Refusal
            It is not among the fixed points.
        """
        for place, point in enumerate(self.points):
            if point.name == name:
                return place
        left = next((item for item in self.left_out if item.name == name), None)
        if left is not None:
            raise Refusal(f"point {name}", "a point the survey could not fix", "a fixed point", left.do)
        raise Refusal(f"point {name}", "a name the survey does not know", "one of its points", "Mark it.")

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        """Give several points together with their joint covariance.

        Parameters
        ----------
        names
            Names of m points.

        Returns
        -------
        tuple
            (m, 3) positions [mm] and (3m, 3m) covariance [mm2].
        """
        places = [self.index(name) for name in names]
        rows = np.concatenate([np.arange(3 * k, 3 * k + 3) for k in places])
        positions = np.array([self.points[k].position_mm for k in places])
        return positions, self.covariance_mm2[np.ix_(rows, rows)]
