"""Which measured lengths to trust: readings between points, and the card's check lines.

Each is judged by what setting it aside would gain in agreement; both check lines go together, since one printer made
them. A length that is set aside keeps its place in the problem with next to no weight.

Source: Baarda (1968); a drop in chi-square is the squared test value of what was set aside.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri

from trialfit.survey.adjust import Adjusted, adjust
from trialfit.survey.problem import Problem, State
from trialfit.survey.residuals import card_tests, reading_tests, sigmas_of

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

ALPHA = 0.001  # false alarms an observation, when all is well
_NO_WEIGHT = 1e6
_LOOSE_CARD = 0.1  # a print that is doubted may be a tenth out: a page shrunk to fit, or a card of another size


@dataclass(frozen=True)
class Trust:
    """Which measured lengths an answer rests on.

    Parameters
    ----------
    readings
        (q,) which readings.
    check_lines
        Whether the card's check lines, or its nominal size where they were not measured.
    """

    readings: Flags
    check_lines: bool


def trusting(problem: Problem, trust: Trust) -> Problem:
    """The same problem with the lengths that are not trusted given next to no weight.

    Parameters
    ----------
    problem
        What was observed.
    trust
        Which lengths to rest on.

    Returns
    -------
    Problem
        The same rows in the same order.
    """
    reading_sigma = np.where(trust.readings, problem.reading_sigma_mm, _NO_WEIGHT)
    if trust.check_lines:
        return replace(problem, reading_sigma_mm=reading_sigma)
    return replace(
        problem,
        reading_sigma_mm=reading_sigma,
        line_sigma=np.full(len(problem.line_sigma), _NO_WEIGHT),
        priors=replace(problem.priors, card_scale=_LOOSE_CARD),
    )


def weights(kept: Flags) -> Array | None:
    """Weights of the marks for `adjust`.

    Parameters
    ----------
    kept
        (j,) which marks to rest on.

    Returns
    -------
    Array or None
        (j,) one or nought, or None where all are kept. [-]
    """
    return None if kept.all() else kept.astype(np.float64)


def judge_lengths(problem: Problem, start: State, kept: Flags, alpha: float) -> tuple[Trust, Adjusted]:
    """Set aside readings or check lines that contradict the rest, the worst first.

    Parameters
    ----------
    problem
        What was observed.
    start
        Where to begin.
    kept
        (j,) which marks to rest on.
    alpha
        Share of good lengths that may be called wrong by chance. [-]

    Returns
    -------
    tuple
        What to trust, and the answer with it.
    """
    trust = Trust(np.ones(len(problem.reading_mm), dtype=bool), True)
    adjusted = adjust(problem, start, weights(kept), 1e-2)
    for _ in range(len(problem.reading_mm) + 1):
        best: tuple[float, Trust, Adjusted] | None = None
        for other in _alternatives(adjusted, trust, alpha):
            instead = adjust(trusting(problem, other), adjusted.state, weights(kept), 1e-2)
            gain = adjusted.chi_square - instead.chi_square
            if best is None or gain > best[0]:
                best = (gain, other, instead)
        if best is None or best[0] < float(chdtri(1, alpha)):
            break
        _, trust, adjusted = best
    return trust, adjusted


def _alternatives(adjusted: Adjusted, trust: Trust, alpha: float) -> list[Trust]:
    """Lengths worth trying without: those that stand out, and with any of them the card."""
    limit = float(np.sqrt(chdtri(1, alpha)))
    tests = reading_tests(adjusted)
    out = []
    for k in np.flatnonzero(trust.readings).tolist():
        if tests[k] > limit:
            readings = trust.readings.copy()
            readings[k] = False
            out.append(Trust(readings, trust.check_lines))
    lines = any(sigmas > limit for _, sigmas in card_tests(adjusted)) or _scale_stands_out(adjusted, limit)
    if trust.check_lines and (out or lines) and len(adjusted.layout.problem.card_px):
        out.append(Trust(trust.readings, False))
    return out


def _scale_stands_out(adjusted: Adjusted, limit: float) -> bool:
    """Whether a card that nobody measured comes out further from nominal than was believed of it."""
    layout = adjusted.layout
    problem, column = layout.problem, int(layout.column[-5])
    if len(problem.line_ratio) or column >= layout.active_count:
        return False
    sigma = problem.priors.card_scale
    variance = sigma**2 - float(adjusted.covariance[column, column])
    return sigmas_of(float(adjusted.state.card[0]), variance, sigma) > limit
