"""Readings, check lines and places that might be asked of an owner.

Source: bookkeeping; what a rule and a caliper are worth is common practice, no source, and gives way to what the
owner's own readings say.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np

from trialfit.job.records import Job
from trialfit.survey.ask_words import CALIPER, RULE, Tool, check_line_words, place_words, reading_words
from trialfit.survey.asks import Kind
from trialfit.survey.card import board_of
from trialfit.survey.gather import is_known
from trialfit.survey.solve import Solved
from trialfit.survey.telling import of_check_lines, of_lengths, of_places
from trialfit.survey.weighing import Pool, Possible

_NEAREST_MM = 10.0
_CHECK_LINE_K2_MM = 0.3
_WORKSHOP = "workshop"


def away(job: Job) -> tuple[str, ...]:
    """Points that are taken to be in the parcel, since the workshop measured over them.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    tuple of str
        Their names, in the job's order.
    """
    over = {point for reading in job.readings if _by_workshop(reading.by) for point in reading.between}
    return tuple(name for name in job.points if name in over)


def unseen(job: Job, solved: Solved) -> frozenset[str]:
    """Points that were measured outright, never marked, and are no port's face: places on an axis, not on the engine.

    Parameters
    ----------
    job
        The job document.
    solved
        Its survey.

    Returns
    -------
    frozenset of str
        Their names.
    """
    names, problem = solved.names.points, solved.snooped.adjusted.layout.problem
    marked = {names[k] for k in problem.mark_point.tolist()}
    faces = {port.face for part in job.parts.values() for port in part.ports.values()}
    return frozenset(name for name in names if is_known(job, name) and name not in marked and name not in faces)


def readings(job: Job, solved: Solved, there: tuple[str, ...]) -> Pool | None:
    """Distances between two points that could be measured.

    Parameters
    ----------
    job
        The job document.
    solved
        Its survey.
    there
        The points that are still on the engine.

    Returns
    -------
    Pool or None
        Each pair once, with the best tool the owner is known to have; those read already only where that reading was
        not trusted.
    """
    names, adjusted = solved.names.points, solved.snooped.adjusted
    read, doubted = _read(job, solved)
    tools = tools_of(job)
    possible, pairs = [], []
    within_reach = [k for k, name in enumerate(names) if name in there and name not in unseen(job, solved)]
    for a, b in combinations(within_reach, 2):
        ends = frozenset((names[a], names[b]))
        apart_mm = float(np.linalg.norm(adjusted.state.points_mm[a] - adjusted.state.points_mm[b]))
        tool = next((each for each in tools if apart_mm <= each.reach_mm), None)
        if tool is None or apart_mm < _NEAREST_MM or (ends in read and ends not in doubted):
            continue
        words = reading_words(job, names[a], names[b], tool, ends in doubted)
        possible.append(Possible(Kind.READING, words, (names[a], names[b]), tool.k2_mm, "mm"))
        pairs.append((a, b))
    if not pairs:
        return None
    sigma_mm = np.array([each.k2 for each in possible]) / 2.0
    return Pool(tuple(possible), of_lengths(adjusted, np.array(pairs, dtype=np.intp), sigma_mm))


def check_lines(job: Job, solved: Solved) -> Pool | None:
    """Check lines of the card that nobody has measured, or whose readings were not trusted.

    Parameters
    ----------
    job
        The job document.
    solved
        Its survey.

    Returns
    -------
    Pool or None
        One possible thing to ask: all of them together.
    """
    adjusted, trusted = solved.snooped.adjusted, solved.snooped.trust.check_lines
    if job.card is None or not len(adjusted.layout.problem.card_px):
        return None
    measured = {line.along for line in job.card.check_lines} if trusted else set()
    open_lines = [(line.along, line.length_mm) for line in board_of(job.card).check_lines if line.along not in measured]
    if not open_lines:
        return None
    again = bool(job.card.check_lines) and not trusted
    words = check_line_words(open_lines, again)
    axes = tuple(0 if along == "long" else 1 for along, _ in open_lines)
    sigma = np.array([_CHECK_LINE_K2_MM / 2.0 / length_mm for _, length_mm in open_lines])
    possible = Possible(Kind.CHECK_LINES, words, (), _CHECK_LINE_K2_MM, "mm")
    return Pool((possible,), of_check_lines(adjusted, axes, sigma))


def places(job: Job, solved: Solved, there: tuple[str, ...]) -> Pool | None:
    """Points whose place was measured from the card, to be measured once more.

    Parameters
    ----------
    job
        The job document.
    solved
        Its survey.
    there
        The points that are still on the engine.

    Returns
    -------
    Pool or None
        One a point.
    """
    names, adjusted = solved.names.points, solved.snooped.adjusted
    known = [k for k, name in enumerate(names) if is_known(job, name) and name in there]
    if not known or job.card is None:
        return None
    possible = []
    for k in known:
        pm = job.points[names[k]].pm
        assert pm is not None
        words = place_words(job, names[k])
        possible.append(Possible(Kind.PLACE, words, (names[k],), float(pm.to("mm")), "mm"))
    sigma_mm = np.array([each.k2 for each in possible]) / 2.0
    return Pool(tuple(possible), of_places(adjusted, np.array(known, dtype=np.intp), sigma_mm))


def tools_of(job: Job) -> tuple[Tool, ...]:
    """What the owner measures with, the better first, as closely as his own readings say.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    tuple of Tool
        A caliper where a reading of his was taken with one; always a rule.
    """
    own = [reading for reading in job.readings if not _by_workshop(reading.by)]
    found = []
    for tool, word in ((CALIPER, "caliper"), (RULE, "rule")):
        said = [float(reading.pm.to("mm")) for reading in own if word in reading.by.lower()]
        if said:
            found.append(replace(tool, k2_mm=max(float(np.median(said)), 0.5 * tool.k2_mm)))
        elif tool is RULE:
            found.append(tool)
    return tuple(found)


def _read(job: Job, solved: Solved) -> tuple[set[frozenset[str]], set[frozenset[str]]]:
    """Pairs that were read, and those of them whose reading was set aside."""
    names, problem = solved.names.points, solved.snooped.adjusted.layout.problem
    read = {frozenset(reading.between) for reading in job.readings}
    trusted = solved.snooped.trust.readings.tolist()
    pairs = problem.reading_points.tolist()
    doubted = {frozenset((names[a], names[b])) for (a, b), good in zip(pairs, trusted, strict=True) if not good}
    return read, doubted


def _by_workshop(by: str) -> bool:
    return by.strip().lower().startswith(_WORKSHOP)
