"""What has to be said of a pipe's end that nobody surveyed. Source: `trialfit.fitup.ends_in_place`."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

import numpy as np

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.ends_in_place import EndsInPlace
from trialfit.fitup.in_place import InPlace
from trialfit.fitup.place_names import names_listed
from trialfit.fitup.placed_ends import PlacedEnds
from trialfit.fitup.records import PipePlan
from trialfit.parts.build import find_port
from trialfit.parts.records import Port

# A direction less sure than this is worth a second look: a small cone union draws in no more. Assumed. [deg]
_UNSURE_DEG = 5.0


def end_findings(pipe: PipePlan, ends: EndsInPlace, stood: InPlace) -> Iterator[Finding]:
    """Say which ends of a pipe were not surveyed, what they rest on and how sure they are.

    Parameters
    ----------
    pipe
        The pipe, laid out.
    ends
        Its faces.
    stood
        What stands where on the engine.

    Yields
    ------
    Finding
        One an end that its part's place gives; a look where much of it is assumed or not known.
    """
    for end in (pipe.start, pipe.end):
        port = find_port(ends.parts, end.name)
        if isinstance(ends.survey, PlacedEnds) and port.axis_of in ends.survey.axes:
            yield _of_end(pipe, port, ends.survey, stood)


def _of_end(pipe: PipePlan, port: Port, survey: PlacedEnds, stood: InPlace) -> Finding:
    # Both names are set: the port was given them.
    face, axis = port.face or "", port.axis_of or ""
    _, covariance = survey.joint([face, axis])
    k2_mm, k2_deg = (
        2 * float(np.linalg.eigvalsh(block)[-1]) ** 0.5 for block in (covariance[:3, :3], covariance[3:, 3:])
    )
    k2_deg = degrees(k2_deg)
    thing = stood.scene.thing(port.part)
    resting = names_listed(thing.rests_on) if thing is not None and thing.rests_on else ""
    place = survey.axes[axis]
    only = "the way it looks follows" if face not in survey.faces else "its face and the way it looks follow"
    said = [
        Reason(
            f"Nobody surveyed it: {only} from how {port.part} stands{f', on {resting}' if resting else ''}. The middle "
            f"of its face is known to ± {k2_mm:.1f} mm and the way it looks to ± {k2_deg:.1f} deg, k = 2."
        ),
        Reason(
            "The letter can make the survey's share of that surer; how it is screwed in, leans and is clocked stays as "
            "it is."
        ),
    ]
    assumed = place.basis is Basis.ASSUMED
    if assumed:
        said.append(Reason(f"Where {port.full_name} is in {port.part} is a typical proportion.", "", Basis.ASSUMED))
    unsure = assumed or k2_deg > _UNSURE_DEG
    do = f"Once {port.part} is on, mark the middle of this face and a point behind it, before the pipe is bent."
    return Finding(
        "fitup", f"pipe {pipe.name}", f"Where does its end at {port.full_name} come from?",
        Answer.LOOK if unsure else Answer.GO, Figure(k2_deg, "deg", None, 1), Figure(_UNSURE_DEG, "deg", None, 1),
        tuple(said), do if unsure else "",
    )  # fmt: skip
