"""Wrong marks, readings and check lines, named in the owner's and the repairer's words.

Source: the tests of `residuals.py` and `snoop.py` (Baarda 1968); the rest is wording.
"""

from __future__ import annotations

from math import hypot

import numpy as np
from scipy.stats import norm

from trialfit.job.records import Job
from trialfit.survey.gather import Names, Sighted
from trialfit.survey.problem import Problem
from trialfit.survey.records import Suspect
from trialfit.survey.residuals import card_tests
from trialfit.survey.sensor import to_upright
from trialfit.survey.snoop import ALPHA, Doubt, Snooped, wrong_readings


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
    problem = snooped.adjusted.layout.problem
    limit = float(norm.ppf(1.0 - ALPHA / 2.0))
    wrong = wrong_readings(snooped.adjusted)
    named = [" and ".join(names.points[n] for n in pair) for pair in problem.reading_points]
    out: list[Suspect] = []
    lines = job.card.check_lines if job.card is not None and len(problem.line_axis) else ()
    for (off, sigmas), line in zip(card_tests(snooped.adjusted), lines, strict=True):
        if sigmas <= limit:
            continue
        nominal = float(line.nominal.to("mm"))
        rivals = tuple(f"reading between {named[k]}" for k in wrong) if len(problem.reading_mm) < 2 else ()
        out.append(
            Suspect(
                f"check line along the card's {line.along} side", "", "", abs(off) * nominal, "mm", (0.0, 0.0), False,
                rivals,
                f"It measured {line.reading.value}, but the readings between points want it "
                f"{abs(off) * nominal:.1f} mm {'shorter' if off > 0 else 'longer'}: the card may have been printed to "
                "another size, or its check line misread.",
                "Have the check line measured again on the very card that lies in the photographs.",
            )
        )  # fmt: skip
    out += _unmeasured_card(job, snooped, limit)
    points = snooped.adjusted.state.points_mm
    for k in wrong:
        first, second = problem.reading_points[k]
        length = float(np.linalg.norm(points[second] - points[first]))
        out.append(
            Suspect(
                f"reading between {named[k]}", "", "", abs(float(problem.reading_mm[k]) - length), "mm", (0.0, 0.0),
                False, (),
                f"It reads {problem.reading_mm[k]:.2f} mm where everything else together says {length:.2f} mm.",
                "Have it measured again, and ask which edges the rule or caliper was held to.",
            )
        )  # fmt: skip
    return out


def _unmeasured_card(job: Job, snooped: Snooped, limit: float) -> list[Suspect]:
    """A card nobody measured, whose scale the readings pull away from nominal."""
    adjusted = snooped.adjusted
    problem, layout = adjusted.layout.problem, adjusted.layout
    column, sigma = layout.column[-5], problem.priors.card_scale
    if len(problem.line_axis) or column >= layout.active_count or job.card is None:
        return []
    scale = float(adjusted.state.card[0])
    surprise = sigma**2 - float(adjusted.covariance[column, column])
    if surprise <= 0 or abs(scale) <= limit * surprise**0.5:
        return []
    long = float(job.card.page[0].to("mm"))
    return [
        Suspect(
            "scale card", "", "", abs(scale) * long, "mm", (0.0, 0.0), False, (),
            f"The readings between points want the print at {100 * (1 + scale):.1f} % of nominal; it was taken for "
            "100 % because its check lines were not measured.",
            "Have both check lines measured on the very card that lies in the photographs.",
        )
    ]  # fmt: skip
