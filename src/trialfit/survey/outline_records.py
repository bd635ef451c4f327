"""What the survey gives of tubes and rims. Source: the joint adjustment of `docs/methods/edges_and_rims.md`."""

from __future__ import annotations

from dataclasses import dataclass

Triple = tuple[float, float, float]


@dataclass(frozen=True)
class SurveyedAxis:
    """An axis in the job frame.

    Parameters
    ----------
    name
        Its name: ``feed_pipe.leg1``, ``bare_bush_rim``.
    direction
        Unit vector: of a straight length from the tube's start to its end, of a rim towards those who see it. [-]
    k2_deg
        Two standard deviations of how far it leans, the way it is least sure of. [deg]
    """

    name: str
    direction: Triple
    k2_deg: float


@dataclass(frozen=True)
class SurveyedBend:
    """A bend of a tube.

    Parameters
    ----------
    name
        Its name: ``feed_pipe.bend1``.
    angle_deg
        How far the tube turns there; 0 would be straight. [deg]
    k2_deg
        Two standard deviations of it. [deg]
    """

    name: str
    angle_deg: float
    k2_deg: float


@dataclass(frozen=True)
class SurveyedTube:
    """A tube in the job frame.

    Parameters
    ----------
    name
        Its name in the job.
    od_mm, od_k2_mm
        Outside diameter and two standard deviations of it. [mm]
    vertices_mm
        Where its straight lengths would cross, from start to end; the first and last merely say how far it was
        marked. [mm]
    vertices_k2_mm
        Two standard deviations of x, y, z of each; of the first and last across the tube only. [mm]
    legs
        Its straight lengths.
    bends
        Its bends.
    bend_radius_mm, bend_radius_k2_mm
        Centre-line radius and two standard deviations of it; None where neither a reading nor a mark on a bend tells
        it. [mm]
    marks
        How many marks it rests on. [-]
    """

    name: str
    od_mm: float
    od_k2_mm: float
    vertices_mm: tuple[Triple, ...]
    vertices_k2_mm: tuple[Triple, ...]
    legs: tuple[SurveyedAxis, ...]
    bends: tuple[SurveyedBend, ...]
    bend_radius_mm: float | None
    bend_radius_k2_mm: float | None
    marks: int


@dataclass(frozen=True)
class SurveyedRim:
    """A round face in the job frame.

    Parameters
    ----------
    axis
        Its name, and the way it faces.
    centre
        Name of the point in its middle.
    radius_mm, radius_k2_mm
        Radius and two standard deviations of it. [mm]
    marks
        How many marks it rests on. [-]
    """

    axis: SurveyedAxis
    centre: str
    radius_mm: float
    radius_k2_mm: float
    marks: int
