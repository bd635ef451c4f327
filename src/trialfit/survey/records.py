"""What the survey gives. Source: the joint adjustment described in `docs/methods/survey.md`."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from trialfit.errors import Refusal
from trialfit.survey.outline_records import SurveyedAxis, SurveyedRim, SurveyedTube

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
    """A point, tube or rim that was marked or named but could not be fixed.

    Parameters
    ----------
    name
        Its name in the job; of an outline with what it is before it: ``tube feed_pipe``.
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
    tubes, rims
        The tubes and round faces that could be fixed, in the job's order.
    covariance_with_axes
        (3n + 3a, 3n + 3a) joint covariance of the points and of the directions of the `axes`; none where there are
        none. [mm2, mm, 1]
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
    tubes: tuple[SurveyedTube, ...] = ()
    rims: tuple[SurveyedRim, ...] = ()
    covariance_with_axes: Array = field(default_factory=lambda: np.zeros((0, 0)))

    @property
    def axes(self) -> tuple[SurveyedAxis, ...]:
        """All axes: straight lengths of tubes, then rims."""
        return (*(leg for tube in self.tubes for leg in tube.legs), *(rim.axis for rim in self.rims))

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
        called = (name, f"rim {name}", f"tube {name.rpartition('.')[0]}")
        left = next((item for item in self.left_out if item.name in called), None)
        if left is not None:
            what, kind = (f"point {name}", "point") if left.name == name else (left.name, left.name.split(" ")[0])
            raise Refusal(what, f"a {kind} the survey could not fix", f"a fixed {kind}", left.do)
        raise Refusal(f"point {name}", "a name the survey does not know", "one of its points", "Mark it.")

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        """Give several points, or axes, together with their joint covariance.

        Parameters
        ----------
        names
            Names of m points or axes.

        Returns
        -------
        tuple
            (m, 3) positions [mm], of an axis its direction [-]; and (3m, 3m) covariance [mm2, mm, 1].
        """
        axes = {axis.name: place for place, axis in enumerate(self.axes)}
        points = len(self.points)
        places = [points + axes[name] if name in axes else self.index(name) for name in names]
        values = [*(point.position_mm for point in self.points), *(axis.direction for axis in self.axes)]
        rows = np.concatenate([np.arange(3 * k, 3 * k + 3) for k in places])
        covariance = self.covariance_with_axes if any(k >= points for k in places) else self.covariance_mm2
        return np.array([values[k] for k in places]), covariance[np.ix_(rows, rows)]
