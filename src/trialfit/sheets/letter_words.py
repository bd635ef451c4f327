"""What the letter asks for, in the owner's own language."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from trialfit.job.records import Job
from trialfit.sheets.words import System, Words
from trialfit.survey.ask_words import CALIPER, point_words
from trialfit.survey.asks import Ask, Kind, Stand
from trialfit.survey.standing import Bearing
from trialfit.units import inches

_READINGS = {
    (True, False): "letter-caliper", (True, True): "letter-caliper-again",
    (False, False): "letter-rule", (False, True): "letter-rule-again",
}  # fmt: skip
# Whether by caliper; a sixty-fourth is 0.40 mm and two thousandths are 0.05 mm, no coarser than the metric asks.
_CLOSELY: Mapping[tuple[bool, System], str] = {
    (True, "metric"): "letter-closely-caliper", (True, "inch"): "letter-closely-caliper-inch",
    (False, "metric"): "letter-closely-rule", (False, "inch"): "letter-closely-rule-inch",
}  # fmt: skip
# Degrees round up to which a side is called so; to the left and to the right.
_SIDES = (
    (30.0, "letter-from-little-left", "letter-from-little-right"),
    (70.0, "letter-from-left", "letter-from-right"),
    (181.0, "letter-from-far-left", "letter-from-far-right"),
)
_HEIGHTS = (
    (5.0, "letter-high-level"), (15.0, "letter-high-almost"), (35.0, "letter-high-little"),
    (55.0, "letter-high-well"), (91.0, "letter-high-steep"),
)  # fmt: skip


def asked_words(job: Job, ask: Ask, words: Words, first: bool = False) -> str:
    """Say what to do.

    Parameters
    ----------
    job
        The job.
    ask
        What is asked for.
    words
        The owner's words.
    first
        Whether there are no photographs yet.

    Returns
    -------
    str
        A sentence; in English, metric, the survey's own.
    """
    own = words.language == "en" and words.system == "metric"
    return ask.do if own else from_catalogue(job, ask, words, first)


def reason_words(ask: Ask, words: Words) -> str:
    """Say what it is good for.

    Parameters
    ----------
    ask
        What is asked for.
    words
        The owner's words.

    Returns
    -------
    str
        A sentence, or nothing; in English the survey's own.
    """
    if words.language == "en":
        return f"{ask.why[0].upper()}{ask.why[1:]}." if ask.why else ""
    if ask.kind is Kind.CHECK_LINES:
        return words.say("letter-why-size")
    counted = [change for change in ask.changes if change.counts and change.now_k2 > 0]
    if not counted:
        return ""
    most = min(counted, key=lambda change: change.then_k2 / change.now_k2)
    if most.about == "all points":
        return words.say("letter-why-all")
    if not most.about.startswith("pipe "):
        return words.say("letter-why-part")
    return words.say("letter-why-length" if most.unit == "mm" else "letter-why-bends")


def from_catalogue(job: Job, ask: Ask, words: Words, first: bool = False) -> str:
    """Say what to do by the catalogue alone.

    Parameters
    ----------
    job
        The job.
    ask
        What is asked for.
    words
        The owner's words.
    first
        Whether there are no photographs yet.

    Returns
    -------
    str
        A sentence.
    """
    if ask.kind is Kind.PHOTOGRAPH and ask.stand is not None:
        return _photograph(job, ask.stand, words, first)
    if ask.kind is Kind.CHECK_LINES:
        return words.say("letter-check-lines")
    named = [_called(job, point, words) for point in ask.points]
    if ask.kind is Kind.PLACE:
        return words.say("letter-place", point=named[0])
    if ask.kind is Kind.READING:
        fine = ask.k2 <= CALIPER.k2_mm + 1e-9
        sentence = _READINGS[fine, ask.do.startswith("Measure again")]
        return words.say(sentence, one=named[0], other=named[1], closely=words.say(_CLOSELY[fine, words.system]))
    return ask.do


def _photograph(job: Job, stand: Stand, words: Words, first: bool) -> str:
    bearing = stand.bearing
    lit = _listed([_called(job, point, words) for point in stand.lamp_on], words)
    return words.say(
        "letter-photograph" if first else "letter-one-more",
        where=_side(bearing, words),
        high=_height(bearing, words),
        near=_near(bearing.distance_mm, words),
        card=words.say("letter-with-card" if stand.with_card else "letter-without-card"),
        lamp=words.say("letter-lamp", points=lit) if stand.lamp_on else "",
    )


def _near(distance_mm: float, words: Words) -> str:
    centimetres = words.say("letter-near-cm", number=words.number(distance_mm / 10.0))
    inch = words.say("letter-near-inches", number=words.number(inches(distance_mm)))
    own, other = (inch, centimetres) if words.system == "inch" else (centimetres, inch)
    return words.say("letter-near", own=own, other=other)


def _side(bearing: Bearing, words: Words) -> str:
    round_deg = abs(bearing.azimuth_deg)
    if round_deg < 10.0:
        return words.say("letter-from-front")
    _, left, right = next(each for each in _SIDES if round_deg < each[0])
    return words.say(left if bearing.azimuth_deg < 0 else right, degrees=words.number(round_deg))


def _height(bearing: Bearing, words: Words) -> str:
    name = next(name for most, name in _HEIGHTS if bearing.height_deg < most)
    plain = ("letter-high-level", "letter-high-almost")
    return words.say(name) if name in plain else words.say(name, degrees=words.number(bearing.height_deg))


def _called(job: Job, point: str, words: Words) -> str:
    """English takes an article; other languages leave the job's words as they stand."""
    if words.language == "en":
        return point_words(job, point)
    entry = job.points.get(point)
    return entry.what if entry is not None and entry.what else point


def _listed(names: Sequence[str], words: Words) -> str:
    if len(names) < 2:
        return "".join(names)
    last = words.say("letter-and", one=names[-2], other=names[-1])
    return ", ".join([*names[:-2], last])
