"""What to ask for, in words an owner can act on. Source: words only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trialfit.job.records import Job
from trialfit.survey.asks import Change
from trialfit.survey.standing import Bearing
from trialfit.survey.standing_words import from_where, how_near, listed


@dataclass(frozen=True)
class Tool:
    """Something an owner measures lengths with.

    Parameters
    ----------
    name
        ``steel rule`` or ``caliper``.
    k2_mm
        Plus-or-minus of a reading between two points of an engine, k = 2. [mm]
    reach_mm
        The longest length it takes. [mm]
    closely
        How closely to read it.
    """

    name: str
    k2_mm: float
    reach_mm: float
    closely: str


# Common practice, no source: a rule held to two places one cannot quite reach, and a caliper's jaws on small faces.
RULE = Tool("steel rule", 0.6, 300.0, "to the nearest half millimetre or better")
CALIPER = Tool("caliper", 0.2, 150.0, "to the nearest tenth of a millimetre")


def point_words(job: Job, point: str) -> str:
    """Call a point by what it is.

    Parameters
    ----------
    job
        The job document.
    point
        Its name in the job.

    Returns
    -------
    str
        What the job says it is, else its name.
    """
    entry = job.points.get(point)
    return f"the {_without_article(entry.what)}" if entry is not None and entry.what else point


def reading_words(job: Job, first: str, second: str, tool: Tool, again: bool) -> str:
    """Ask for a distance.

    Parameters
    ----------
    job
        The job document.
    first, second
        The two points.
    tool
        What to measure it with.
    again
        Whether an earlier reading was not trusted.

    Returns
    -------
    str
        A sentence.
    """
    better = " (a caliper is better, if you have one)" if tool is RULE else ""
    verb = "Measure again" if again else "Measure"
    ends = f"from {_closed(point_words(job, first))} to {point_words(job, second)}"
    return f"{verb} {ends}, with a {tool.name}{better}, {tool.closely}."


def place_words(job: Job, point: str) -> str:
    """Ask for a place that was measured from the card once already.

    Parameters
    ----------
    job
        The job document.
    point
        The point.

    Returns
    -------
    str
        A sentence.
    """
    by = job.points[point].by
    how = f", as before ({by.split(',', 1)[1].strip()})" if "," in by else ", as before"
    return (
        f"If the card still lies where it lay, measure once more the place of {point_words(job, point)}, setting up "
        f"afresh{how}."
    )


def check_line_words(lines: Sequence[tuple[str, float]], again: bool) -> str:
    """Ask for check lines of the card.

    Parameters
    ----------
    lines
        Side of the card and nominal length of each. [mm]
    again
        Whether earlier readings of them were not trusted.

    Returns
    -------
    str
        A sentence.
    """
    verb = "Measure again" if again else "Measure"
    which = listed([f"{side} side (about {nominal_mm:.0f} mm)" for side, nominal_mm in lines])
    line = "line" if len(lines) == 1 else "lines"
    return (
        f"{verb} the check {line} printed along the card's {which}, from tick to tick, with a steel rule, as closely "
        "as you can. It must be the very card that lies in the photographs."
    )


def mark_words(job: Job, point: str, photograph: str, px: tuple[float, float], again: bool) -> str:
    """Say which point to mark in which photograph.

    Parameters
    ----------
    job
        The job document.
    point, photograph
        Their names in the job.
    px
        Where it is expected in the upright photograph. [px]
    again
        Whether a mark there was set aside.

    Returns
    -------
    str
        A sentence.
    """
    verb = "Mark afresh" if again else "Mark"
    file = job.photographs[photograph].file
    return (
        f"{verb} {point} in photograph {photograph} ({file}), near ({px[0]:.0f}, {px[1]:.0f}), if it can be made out."
    )


def photograph_words(
    job: Job, bearing: Bearing, stood: Sequence[tuple[str, Bearing]], with_card: bool, lamp_on: Sequence[str]
) -> str:
    """Ask for a photograph.

    Parameters
    ----------
    job
        The job document.
    bearing
        Where to stand.
    stood
        What earlier photographs are called, and where they were taken from.
    with_card
        Whether the card should be in view.
    lamp_on
        Points that want a lamp.

    Returns
    -------
    str
        A sentence.
    """
    card = "with the card in view" if with_card else "the card need not be in view"
    lamp = f", and a lamp on {listed([point_words(job, name) for name in lamp_on])}" if lamp_on else ""
    first = "One more photograph" if stood else "A photograph"
    return f"{first} {from_where(bearing)}, {how_near(bearing, stood)}, {card}{lamp}."


def why_words(changes: Sequence[Change], hangs: Sequence[str]) -> str:
    """Say what an observation is good for.

    Parameters
    ----------
    changes
        What the job needs, now and afterwards.
    hangs
        What hangs on each of them, in the same order.

    Returns
    -------
    str
        What hangs on the one that gains the most, among those that weigh in the ranking.
    """
    gained = [
        (1.0 - change.then_k2 / change.now_k2 if change.now_k2 else 0.0, -place)
        for place, change in enumerate(changes)
        if change.counts
    ]
    return hangs[-max(gained)[1]] if gained else ""


def _closed(words: str) -> str:
    """Words with a comma in them need one behind them too, where the sentence goes on."""
    return f"{words}," if "," in words else words


def _without_article(what: str) -> str:
    first, _, rest = what.partition(" ")
    return rest if first.lower() in ("a", "an", "the") and rest else what
