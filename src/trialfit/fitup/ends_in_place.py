"""The faces that the pipes of a job go to: as they were surveyed, else as their parts stand.

Source: `trialfit.fitup.placed_ends`; `docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from trialfit.fitup.in_place import InPlace
from trialfit.fitup.placed_ends import PlacedEnds
from trialfit.job.records import Job
from trialfit.parts.envelope import PortPlace
from trialfit.parts.place import Surveyed
from trialfit.parts.records import Part, Port


@dataclass(frozen=True, eq=False)
class EndsInPlace:
    """The faces that the pipes of a job go to.

    Parameters
    ----------
    parts
        The job's parts; ports that pipes go to and nobody surveyed name where their parts have them.
    survey
        What knows those names beside the survey's own.
    """

    parts: tuple[Part, ...]
    survey: Surveyed

    def surer(self, survey: Surveyed) -> Surveyed:
        """Give what knows the same names, on a survey foreseen to be surer.

        Parameters
        ----------
        survey
            The same points, with another covariance.

        Returns
        -------
        Surveyed
            To lay the same ends out on.
        """
        return self.survey.surer(survey) if isinstance(self.survey, PlacedEnds) else survey


def unsurveyed_ends(job: Job, parts: Iterable[Part]) -> frozenset[str]:
    """Say which ports that pipes go to have no surveyed face, or one without a direction.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built.

    Returns
    -------
    frozenset of str
        As part.port.
    """
    ends = {end.port for entry in job.pipes.values() for end in (entry.start, entry.end)}
    ports = (port for part in parts for port in part.ports if port.full_name in ends)
    return frozenset(port.full_name for port in ports if not _has_face(port))


def ends_in_place(job: Job, parts: Iterable[Part], survey: Surveyed, stood: InPlace) -> EndsInPlace:
    """Give the faces of all pipes' ends: as they were surveyed, else as their parts stand.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built.
    survey
        The surveyed points.
    stood
        What stands where on the engine.

    Returns
    -------
    EndsInPlace
        With the very survey where every end has a surveyed face, or no other can be given one.
    """
    parts, wanted = tuple(parts), unsurveyed_ends(job, parts)
    faces: dict[str, PortPlace] = {}
    axes: dict[str, PortPlace] = {}
    told: dict[str, Port] = {}
    for full in sorted(wanted):
        part, _, name = full.rpartition(".")
        place = stood.envelopes[part].places.get(name) if part in stood.envelopes else None
        if place is None or part not in stood.adjusted.places:
            continue
        face, axis = f"{full} as placed", f"{full} axis as placed"
        axes[axis] = place
        if place.port.face is None:
            faces[face] = place
        told[full] = replace(place.port, face=place.port.face or face, axis_of=axis, axis_against=False)
    if not told:
        return EndsInPlace(parts, survey)
    facing = tuple(
        replace(part, ports=tuple(told.get(port.full_name, port) for port in part.ports)) for part in parts
    )  # fmt: skip
    return EndsInPlace(facing, PlacedEnds(survey, stood.adjusted, stood.envelopes, stood.joints, faces, axes))


def _has_face(port: Port) -> bool:
    return port.face is not None and (port.axis_from is not None or port.axis_of is not None)
