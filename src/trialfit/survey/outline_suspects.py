"""Wrong marks on edges and rims, named in the repairer's words. Source: the tests of `outline_judge.py`."""

from __future__ import annotations

from math import hypot

import numpy as np

from trialfit.survey.gather import Names, Sighted
from trialfit.survey.outline_judge import SetAside
from trialfit.survey.records import Suspect
from trialfit.survey.sensor import to_upright
from trialfit.survey.suspects import way_in_words


def outline_suspects(sighted: Sighted, names: Names, aside: tuple[SetAside, ...]) -> tuple[Suspect, ...]:
    """Name the marks on outlines that were set aside.

    Parameters
    ----------
    sighted
        The job's photographs.
    names
        Names behind the problem's numbers.
    aside
        What was set aside.

    Returns
    -------
    tuple of Suspect
        The gravest first.
    """
    return tuple(_suspect(sighted, names, each) for each in aside)


def _suspect(sighted: Sighted, names: Names, aside: SetAside) -> Suspect:
    mark = (names.outlines.arcs if aside.arc else names.outlines.edges)[aside.number]
    picture = sighted.photographs[mark.photograph]
    ends = np.stack([np.zeros(2), aside.test.slip_px])
    upright = to_upright(ends, picture.width_px, picture.height_px, picture.quarter_turns)
    x, y = (float(v) for v in upright[1] - upright[0])
    off = hypot(x, y)
    beyond = "outside" if aside.test.off_px > 0 else "inside"
    outline = "rim" if aside.arc else "edge"
    return Suspect(
        str(mark), "", mark.photograph, off, "px", (x, y), True, (),
        f"It lies {off:.0f} px {beyond} the {outline}, {way_in_words(x, y)} of where all other marks expect it; the "
        "answer does without it.",
        f"Look at {mark.on} in photograph {mark.photograph}: is mark {mark.place} on the {outline} itself? Mark it "
        "anew or leave it out.",
    )  # fmt: skip
