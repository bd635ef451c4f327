"""Ranking what to ask for next: every reading, mark and photograph by what a pipe needs, the letter filled."""

from __future__ import annotations

from functools import partial

from backhead import folder, looked
from bench.clock import Row, least_ms
from trialfit.fitup.needed import needed_of
from trialfit.fitup.wanted import wanted_pipe
from trialfit.job.shop import assumed_shop
from trialfit.parts.build import build_parts
from trialfit.survey.ask import ask
from trialfit.survey.solve import solved_of, written


def rows() -> list[Row]:
    """Time the ranking on the example, beside solving its survey once.

    Returns
    -------
    list of Row
        The ranking is to stay under a second.
    """
    job, sighted, shop = folder().job, looked().sighted, assumed_shop()
    solved = solved_of(job, sighted)
    survey, parts = written(job, sighted, solved), build_parts(job)
    pipes = [wanted_pipe(name, entry, parts, survey, shop) for name, entry in job.pipes.items()]
    needed = needed_of(job, parts, survey, pipes)
    return [
        Row("the example's survey, solved", least_ms(partial(solved_of, job, sighted), 3)),
        Row(
            "what to ask for next, ranked",
            least_ms(partial(ask, job, sighted, solved, needed), 3),
            "to stay under 1000",
        ),
    ]
