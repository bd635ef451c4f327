"""Wrong marks, readings and check lines, named in the owner's and the repairer's words.

Source: the tests of `residuals.py` and `snoop.py` (Baarda 1968); the rest is wording.
"""

from __future__ import annotations

from math import hypot

import numpy as np

from trialfit.job.records import Card, Job
from trialfit.survey.gather import Names, Sighted
from trialfit.survey.problem import Problem
from trialfit.survey.records import Suspect
from trialfit.survey.sensor import to_upright
from trialfit.survey.snoop import Doubt, Snooped


def suspects(job: Job, sighted: Sighted, names: Names, snooped: Snooped) -> tuple[Suspect, ...]:
    """Name everything that the rest speaks against.

    Parameters
    ----------
    job
        The job document.
    sighted
        Its photographs.
    names
        Names behind the problem's numbers.
    snooped
        The answer with its doubts.

    Returns
    -------
    tuple of Suspect
        Marks first, then the card, then readings; the gravest of each first.
    """
    problem = snooped.adjusted.layout.problem
    marks = [_mark(problem, sighted, names, doubt) for doubt in snooped.doubts]
    return (*marks, *_card_and_readings(job, names, snooped))


def way_in_words(x_px: float, y_px: float) -> str:
    """Say a direction in a photograph.

    Parameters
    ----------
    x_px, y_px
        Right and down. [px]

    Returns
    -------
    str
        Such as ``up and to the left``.
    """
    upward = "up" if y_px < 0 else "down"
    sideways = "to the left" if x_px < 0 else "to the right"
    if abs(x_px) < 0.4 * abs(y_px):
        return upward
    if abs(y_px) < 0.4 * abs(x_px):
        return sideways
    return f"{upward} and {sideways}"


def _mark(problem: Problem, sighted: Sighted, names: Names, doubt: Doubt) -> Suspect:
    point = names.points[problem.mark_point[doubt.mark]]
    photograph = names.photographs[problem.mark_photograph[doubt.mark]]
    picture = sighted.photographs[photograph]
    ends = np.stack([np.zeros(2), doubt.slip_px])
    upright = to_upright(ends, picture.width_px, picture.height_px, picture.quarter_turns)
    x, y = (float(v) for v in upright[1] - upright[0])
    off = hypot(x, y)
    rivals = tuple(f"photograph {names.photographs[problem.mark_photograph[r]]}" for r in doubt.rivals)
    where = f"It lies {off:.0f} px {way_in_words(x, y)} of where the other marks expect it"
    if doubt.set_aside and not rivals:
        because = f"{where}; the answer does without it."
        do = (
            f"Look at {point} in photograph {photograph}: is the mark on the right thing? Mark it anew or leave it out."
        )
    elif doubt.set_aside:
        because = f"{where}, but the mark in {' or '.join(rivals)} could be the wrong one as well."
        do = f"Look at {point} in photograph {photograph} and in {' and '.join(rivals)}."
    else:
        because = (
            f"Its two marks miss each other by {off:.0f} px; with two rays nobody can tell which is wrong, so both are "
            "used."
        )
        do = f"Mark {point} in a third photograph; that will show which of the two is wrong."
    return Suspect(
        f"mark of {point} in photograph {photograph}", point, photograph, off, "px", (x, y), doubt.set_aside, rivals,
        because, do,
    )  # fmt: skip


def _card_and_readings(job: Job, names: Names, snooped: Snooped) -> list[Suspect]:
    problem, trust, points = snooped.adjusted.layout.problem, snooped.trust, snooped.adjusted.state.points_mm
    out = [] if trust.check_lines or job.card is None else [_card(job.card, names, snooped)]
    for k in np.flatnonzero(~trust.readings).tolist():
        first, second = problem.reading_points[k]
        length, reading = float(np.linalg.norm(points[second] - points[first])), float(problem.reading_mm[k])
        what = f"reading between {names.points[first]} and {names.points[second]}"
        out.append(
            Suspect(
                what, "", "", abs(reading - length), "mm", (0.0, 0.0), True, (),
                f"It reads {reading:.2f} mm where everything else together says {length:.2f} mm; the answer does "
                "without it.",
                "Have it measured again, and ask which edges the rule or caliper was held to.",
            )
        )  # fmt: skip
    return out


def _card(card: Card, names: Names, snooped: Snooped) -> Suspect:
    """A card that the readings say was printed to another size."""
    problem = snooped.adjusted.layout.problem
    scale = float(snooped.adjusted.state.card[0])
    believed = float(np.mean(problem.line_ratio)) - 1.0 if len(problem.line_ratio) else 0.0
    long_mm = float(card.page[0].to("mm"))
    trusted = np.flatnonzero(snooped.trust.readings)
    rivals: tuple[str, ...] = ()
    if len(trusted) == 1:
        first, second = problem.reading_points[trusted[0]]
        rivals = (f"reading between {names.points[first]} and {names.points[second]}",)
    measured = (
        f"its check lines say {100 * (1 + believed):.1f} %"
        if len(problem.line_ratio)
        else "it was taken for 100 %, as its check lines were not measured"
    )
    because = (
        f"The readings between points want the print at {100 * (1 + scale):.1f} % of nominal, but {measured}: the card "
        f"may have been printed to another size. Over its long side that is {abs(scale - believed) * long_mm:.1f} mm. "
        "The answer takes its scale from the readings."
    )
    if rivals:
        because += " With one reading only, the reading could be the wrong one as well."
    return Suspect(
        "scale card", "", "", abs(scale - believed) * long_mm, "mm", (0.0, 0.0), True, rivals, because,
        "Have both check lines measured on the very card that lies in the photographs.",
    )  # fmt: skip
