"""The envelope of every part of a job.

Source: the job document; the sizes of turned parts; typical proportions in `trialfit.parts.proportions`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from trialfit.finding import Basis
from trialfit.job.records import Job
from trialfit.parts.as_turned import as_turned
from trialfit.parts.envelope import Envelope, PortPlace, measured_pieces, place_of
from trialfit.parts.proportions import typical
from trialfit.parts.records import Part


def envelopes_of(job: Job, parts: Iterable[Part]) -> dict[str, Envelope]:
    """Give every part of a job its envelope.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built; the pipes to be made are left out, since they are laid out between faces.

    Returns
    -------
    dict
        By the part's name, in the job's order.
    """
    return {part.name: envelope_of(job, part) for part in parts if part.name in job.parts}


def envelope_of(job: Job, part: Part) -> Envelope:
    """Give one part its envelope: as measured, else as it is turned, else as is typical.

    Parameters
    ----------
    job
        The job document.
    part
        The part.

    Returns
    -------
    Envelope
        In its own frame.
    """
    guessed = typical(part)
    pieces = measured_pieces(job, part.name)
    if pieces:
        places = _places(part, {port.name: place_of(port, None, pieces, True) for port in part.ports})
        return Envelope(part, pieces, places, Basis.MEASURED, "Its pieces were measured.")
    entry = job.parts[part.name]
    made = as_turned(job.turned[entry.turned], part) if entry.turned else None
    if made is not None:
        turned = {port.name: place_of(port, made.at_mm.get(port.name), (), False) for port in part.ports}
        exact = {
            name: place
            and PortPlace(place.port, place.at_mm, place.direction, min(place.k2_mm, _MADE_K2_MM), Basis.MEASURED)
            for name, place in turned.items()
        }
        because = f"Its sizes are those of the turned part {entry.turned}."
        return Envelope(part, tuple(made.pieces), _places(part, exact), Basis.MEASURED, because)
    assumed = {port.name: place_of(port, guessed.at_mm.get(port.name), (), False) for port in part.ports}
    because = "Nobody measured it: typical proportions are assumed."
    return Envelope(part, tuple(guessed.pieces), _places(part, assumed), Basis.ASSUMED, because)


# What a part turned to a drawing is held to.
_MADE_K2_MM = 0.1


def _places(part: Part, found: Mapping[str, PortPlace | None]) -> dict[str, PortPlace]:
    return {port.name: place for port in part.ports if (place := found.get(port.name)) is not None}
