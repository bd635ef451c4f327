"""Marks on outlines judged as all others are: the worst of each outline in each photograph set aside, good ones back.

Source: Baarda (1968), "A testing procedure for use in geodetic networks" (data snooping).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri

from trialfit.survey.adjust import adjust
from trialfit.survey.layout import Layout
from trialfit.survey.outline_rows import outline_rows
from trialfit.survey.outline_tests import OutlineTest, outline_tests
from trialfit.survey.outlines import Outlines, with_marks
from trialfit.survey.problem import Problem, State
from trialfit.survey.snoop import Snooped, snoop
from trialfit.survey.trust import ALPHA, weights

Flags = NDArray[np.bool_]

_TAKE_BACK_ALPHA = 0.01
_GROSS_SIGMAS = 8.0
_ROUNDS = 10


@dataclass(frozen=True)
class SetAside:
    """A mark on an outline that the answer does without.

    Parameters
    ----------
    arc
        Whether it lies on a rim; else on an edge.
    number
        Its place among the job's marks of its kind. [-]
    test
        What speaks against it.
    """

    arc: bool
    number: int
    test: OutlineTest


def judged(problem: Problem, start: State, alpha: float = ALPHA) -> tuple[Snooped, tuple[SetAside, ...]]:
    """Adjust everything together, setting wrong marks aside, those on outlines included.

    Parameters
    ----------
    problem
        What was observed, outlines included.
    start
        Where to begin, near the answer.
    alpha
        Share of good marks that may be called wrong by chance. [-]

    Returns
    -------
    tuple
        The answer, and the marks on outlines it does without, the gravest first.

    Raises
    ------
    Refusal
        The adjustment does not settle.
    """
    every = problem.outlines
    off = np.abs(outline_rows(Layout(problem), start).off[: every.mark_count])
    kept = off <= _GROSS_SIGMAS
    answer = snoop(replace(problem, outlines=_some(every, kept)), start, alpha)
    trusted, held = answer.adjusted.layout.problem, weights(answer.kept)
    adjusted = answer.adjusted
    for _ in range(_ROUNDS):
        changed = _changed(every, kept, outline_tests(adjusted), outline_tests(adjusted, _some(every, ~kept)), alpha)
        if changed is None:
            break
        kept = changed
        adjusted = adjust(replace(trusted, outlines=_some(every, kept)), adjusted.state, held, 1e-2)
    if adjusted is not answer.adjusted:
        adjusted = adjust(adjusted.layout.problem, adjusted.state, held, 1e-6)
    left = _some(every, ~kept)
    tests = outline_tests(adjusted, left)
    edges = len(left.edge_px)
    numbers = [*left.edge_number.tolist(), *left.arc_number.tolist()]
    aside = [SetAside(k >= edges, number, test) for k, (number, test) in enumerate(zip(numbers, tests, strict=True))]
    return replace(answer, adjusted=adjusted), tuple(sorted(aside, key=lambda each: -each.test.square))


def _some(outlines: Outlines, kept: Flags) -> Outlines:
    edges = len(outlines.edge_px)
    return with_marks(outlines, kept[:edges], kept[edges:])


def _changed(
    outlines: Outlines, kept: Flags, inside: tuple[OutlineTest, ...], outside: tuple[OutlineTest, ...], alpha: float
) -> Flags | None:
    """Without the worst of each outline in each photograph, or with what agrees after all; None where all is well."""
    limit, back = float(chdtri(1, alpha)), float(chdtri(1, _TAKE_BACK_ALPHA))
    groups = [*zip(outlines.edge_photograph.tolist(), outlines.edge_tube.tolist(), strict=True)]
    groups += [*zip(outlines.arc_photograph.tolist(), (-1 - outlines.arc_rim).tolist(), strict=True)]
    worst: dict[tuple[int, int], tuple[float, int]] = {}
    for row, test in zip(np.flatnonzero(kept).tolist(), inside, strict=True):
        if test.square > limit and test.square > worst.get(groups[row], (0.0, 0))[0]:
            worst[groups[row]] = (test.square, row)
    if worst:
        out = kept.copy()
        out[[row for _, row in worst.values()]] = False
        return out
    good = [row for row, test in zip(np.flatnonzero(~kept).tolist(), outside, strict=True) if test.square < back]
    if not good:
        return None
    out = kept.copy()
    out[good] = True
    return out
