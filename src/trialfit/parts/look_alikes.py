"""Threads that start on one another and then bind, and after how many turns.

A male thread of pitch p sits in a female thread of pitch q with some axial room between their flanks. Each turn they go
in, their pitches disagree by a further |p - q|; once that adds up to the room, both flanks touch and the thread binds:

    turns = room / |p - q|

The room is the female's groove less the male's ridge at one radius, the least over the radii where they overlap. Where
both have the same flank angle it is the difference of the effective diameters times tan(half angle), which is the rule
of gauge makers turned round: a pitch error e uses up e cot(half angle) of effective diameter, 1.732 e at 60 deg,
1.921 e at 55 deg and 2.273 e at 47.5 deg. A taper thread uses up room too: its effective diameter changes by 1/16 of
the way it goes in.

Source: the pitch-error rule is in BS 919 and ASME B1.2, from memory; the rest is geometry of the forms in the tables.
How far real threads lie from basic size is assumed, see `trialfit.parts.thread_limits`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import radians, tan

from trialfit.finding import Band
from trialfit.parts.thread_limits import thread_limits
from trialfit.tables.threads import Thread, gauge_lengths_mm, threads

_TAPER = 1 / 16
# A tap cuts the bottom of a nut's thread this much of a pitch deeper than basic (assumed).
_ROOT_ROOM_PER_PITCH = 0.05
# Less overlap than this share of the male thread's depth feels loose at once (assumed).
_LEAST_OVERLAP = 0.35
_ENOUGH_TURNS = 12.0
_FEWEST_TURNS = 1.0


class Ends(StrEnum):
    """How an attempt to screw one thread into another ends."""

    WILL_NOT_START = "will not start"
    BINDS = "binds"
    RUNS_ON = "runs on"


@dataclass(frozen=True)
class Attempt:
    """A male thread screwed into a female one of another kind.

    Parameters
    ----------
    male, female
        The two.
    ends
        Whether it does not start, binds, or runs on for a dozen turns.
    turns
        Turns until it binds, for threads with the least, usual and most clearance; None where it does not start or
        nothing ever binds.
    overlap
        Share of the male thread's depth that lies in the female one. [-]
    ten_threads_mm
        How much ten pitches of the male are longer than ten of the female. [mm]
    """

    male: Thread
    female: Thread
    ends: Ends
    turns: Band | None
    overlap: float
    ten_threads_mm: float

    @property
    def deceives(self) -> bool:
        """Whether it feels right at first: it starts, goes some of a turn, and is not loose at once."""
        enough = self.turns is None or self.turns.likely >= _FEWEST_TURNS
        return self.ends is not Ends.WILL_NOT_START and enough and self.overlap >= _LEAST_OVERLAP


def attempt(male: Thread, female: Thread) -> Attempt:
    """Screw a male thread into a female one.

    Parameters
    ----------
    male, female
        The two, of any series.

    Returns
    -------
    Attempt
        How it ends.
    """
    male_limits, female_limits = thread_limits(male), thread_limits(female)
    # A taper male begins with its small end; a taper female with its gauge plane.
    begins_mm = gauge_lengths_mm()[male.designation] * _TAPER if male.taper else 0.0
    most_mm = male_limits.gap_mm + male_limits.male_effective_mm + female_limits.female_effective_mm
    usual_mm = (most_mm + male_limits.gap_mm) / 2
    rooms_mm = [_room_mm(male, female, begins_mm + extra_mm) for extra_mm in (0.0, usual_mm, most_mm)]
    overlap = _overlap(male, female, begins_mm)
    ten_mm = 10 * (male.pitch_mm - female.pitch_mm)
    if rooms_mm[1] <= 0 or not _crests_clear(male, female, begins_mm):
        return Attempt(male, female, Ends.WILL_NOT_START, None, overlap, ten_mm)
    used_mm = abs(male.pitch_mm - female.pitch_mm)
    if male.taper != female.taper:
        used_mm += _TAPER * male.pitch_mm * _slope(male, female)
    if used_mm < 1e-9:
        return Attempt(male, female, Ends.RUNS_ON, None, overlap, ten_mm)
    low, likely, high = (max(0.0, room_mm) / used_mm for room_mm in rooms_mm)
    ends = Ends.BINDS if likely < _ENOUGH_TURNS else Ends.RUNS_ON
    return Attempt(male, female, ends, Band(low, likely, high, "turns", 1), overlap, ten_mm)


def look_alikes(thread: Thread) -> tuple[Attempt, ...]:
    """Give the threads that deceive: they start on this one, or this one on them, and are not its mates.

    Parameters
    ----------
    thread
        The thread.

    Returns
    -------
    tuple of Attempt
        One for each look-alike, the nearest in pitch first; this thread is the male of some and the female of others.
    """
    found: list[tuple[Thread, Attempt]] = []
    for other in threads():
        if other.is_same_as(thread) or abs(other.major_mm - thread.major_mm) > 1.5 * thread.pitch_mm:
            continue
        tried = [each for each in (attempt(thread, other), attempt(other, thread)) if each.deceives]
        if tried and not any(other.is_same_as(known) for known, _ in found):
            found.append((other, max(tried, key=lambda each: each.overlap)))
    found.sort(key=lambda each: (abs(each[1].ten_threads_mm), -each[1].overlap))
    return tuple(each for _, each in found)


def warning(tried: Attempt) -> str:
    """Warn of a look-alike.

    Parameters
    ----------
    tried
        An attempt that deceives.

    Returns
    -------
    str
        A sentence.
    """
    start = f"A male {tried.male.designation} starts in a female {tried.female.designation}"
    if tried.turns is None:
        angles = f"{tried.male.angle_deg:g} against {tried.female.angle_deg:g} deg"
        rest = f"its flanks, {angles}, bear on an edge" if tried.male.angle_deg != tried.female.angle_deg else "loosely"
        return f"{start} and runs on, though it is not its mate: {rest}."
    turns = f"{tried.turns.likely:.1f} turns ({tried.turns.low:.1f} to {tried.turns.high:.1f})"
    longer = "longer" if tried.ten_threads_mm > 0 else "shorter"
    why = f"ten of its threads are {abs(tried.ten_threads_mm):.2f} mm {longer}"
    if tried.male.taper != tried.female.taper:
        why = "one of them tapers" + (f", and {why}" if abs(tried.ten_threads_mm) > 1e-6 else "")
    if tried.ends is Ends.RUNS_ON:
        return f"{start} and runs on loosely; it would bind after about {turns}: {why}."
    return f"{start} and binds after about {turns}: {why}."


def _slope(male: Thread, female: Thread) -> float:
    return tan(radians((male.angle_deg + female.angle_deg) / 4))


def _room_mm(male: Thread, female: Thread, extra_mm: float) -> float:
    """Groove less ridge at the radius where it is least; extra is taken off the male's diameters."""
    effective_mm = male.effective_mm - extra_mm
    deepest_mm = max(male.core_mm - extra_mm, female.core_internal_mm)
    highest_mm = min(male.major_mm - extra_mm, female.major_mm)
    male_slope, female_slope = tan(radians(male.angle_deg / 2)), tan(radians(female.angle_deg / 2))

    def at(diameter_mm: float) -> float:
        groove = female.pitch_mm / 2 + female_slope * (female.effective_mm - diameter_mm)
        ridge = male.pitch_mm / 2 + male_slope * (effective_mm - diameter_mm)
        return groove - ridge

    return min(at(deepest_mm), at(highest_mm))


def _crests_clear(male: Thread, female: Thread, begins_mm: float) -> bool:
    """Whether the male's crests fit the bottom of the female's thread, and the other way about."""
    limits = thread_limits(male)
    crest_mm = male.major_mm - begins_mm - limits.gap_mm - limits.major_mm / 2
    root_mm = male.core_mm - begins_mm - limits.gap_mm
    within = crest_mm <= female.major_mm + _ROOT_ROOM_PER_PITCH * female.pitch_mm
    return within and root_mm <= female.core_internal_mm + thread_limits(female).female_core_mm / 2


def _overlap(male: Thread, female: Thread, begins_mm: float) -> float:
    shared_mm = male.major_mm - begins_mm - female.core_internal_mm
    return max(0.0, min(1.0, shared_mm / (male.major_mm - male.core_mm)))
