"""The one test that would best tell the likely threads apart.

Each test at the bench has answers; how likely each answer is differs from thread to thread. The test worth making is
the one whose answer is expected to leave the least doubt, in Shannon's measure: doubt before less mean doubt after.

Source: information theory (Shannon 1948); what each test can see at the bench is assumed, and stands in its constants.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import log2

from trialfit.parts.thread_readings import ThreadReadings, bell, diameters, runs_on
from trialfit.tables.threads import Thread, thread_forms

# What each test can see, k = 2 (assumed): a gauge leaf, ten threads between a caliper's jaws, flanks held to the light.
LEAF_SHARE = 0.012
_TEN_CALIPER_MM = 0.10
MICROMETER_MM = 0.02
_FLANKS_DEG = 5.0
_EASY_FLANKS_MM = 0.9
_TAPER_SEEN = 0.95
# Bits a test must be better by to be worth more trouble than laying a gauge leaf on.
_TROUBLE = {"pitch gauge": 0.0, "ten threads": 0.03, "taper": 0.03, "micrometer": 0.06, "flanks": 0.06, "trial": 0.1}
_WORTH_DOING = 0.03
_PITCH_DIFFERS = 0.003


@dataclass(frozen=True)
class Supposed:
    """A thread that may be the one, and how likely.

    Parameters
    ----------
    thread
        The thread.
    share
        Its share, of all that are supposed. [-]
    """

    thread: Thread
    share: float


@dataclass(frozen=True)
class Splitter:
    """A test at the bench.

    Parameters
    ----------
    name
        Short name: pitch gauge, ten threads, taper, micrometer, flanks, trial.
    bits
        How much of the doubt it is expected to remove. [bit]
    left_before, left_after
        The doubt as a number of equally likely threads, now and, as expected, afterwards. [-]
    do
        What to do, and what it would show.
    then
        What each answer would mean.
    """

    name: str
    bits: float
    left_before: float
    left_after: float
    do: str
    then: tuple[str, ...]


def splitters(supposed: Sequence[Supposed], readings: ThreadReadings) -> tuple[Splitter, ...]:
    """Rank the tests that would tell the likely threads apart.

    Parameters
    ----------
    supposed
        The threads that may be the one, the likeliest first; shares need not add up to one.
    readings
        What has been measured already: no test is offered twice.

    Returns
    -------
    tuple of Splitter
        Those worth making, the best first; none where one thread is left.
    """
    if len(supposed) < 2:
        return ()
    total = sum(each.share for each in supposed)
    shares = [each.share / total for each in supposed]
    before = _doubt(shares)
    found = []
    for test in (_pitch, _taper, _micrometer, _flanks, _trial):
        offered = test([each.thread for each in supposed], shares, readings)
        if offered is not None:
            name, bits, do, then = offered
            found.append(Splitter(name, bits, 2**before, 2 ** max(0.0, before - bits), do, then))
    worth = [test for test in found if test.bits - _TROUBLE[test.name] > _WORTH_DOING]
    return tuple(sorted(worth, key=lambda test: _TROUBLE[test.name] - test.bits))


_Offer = tuple[str, float, str, tuple[str, ...]] | None


def _pitch(threads: list[Thread], shares: list[float], readings: ThreadReadings) -> _Offer:
    """Lay a leaf against it; where that was done, measure ten threads with a caliper."""
    leaf_tried = any(reading.counted == 0 for reading in readings.pitches)
    if leaf_tried and any(reading.counted > 1 for reading in readings.pitches):
        return None
    lead = threads[0]
    rival = next((t for t in threads if abs(t.pitch_mm - lead.pitch_mm) > _PITCH_DIFFERS * lead.pitch_mm), None)
    if rival is None:
        return None
    sigmas = [_TEN_CALIPER_MM / 20 if leaf_tried else LEAF_SHARE * thread.pitch_mm / 2 for thread in threads]
    step = min(sigmas) / 2
    answers = _grid([t.pitch_mm for t in threads], 4 * max(sigmas), step)
    rows = [[bell(y - t.pitch_mm, s) * step for y in answers] for t, s in zip(threads, sigmas, strict=True)]
    ten_mm = [10 * thread.pitch_mm for thread in (lead, rival)]
    over_ten = (
        f"over ten threads {lead.designation} is {ten_mm[0]:.2f} mm and {rival.designation} "
        f"{ten_mm[1]:.2f} mm, {abs(ten_mm[0] - ten_mm[1]):.2f} mm apart"
    )
    if leaf_tried:
        do = f"Measure ten threads with a caliper: {over_ten}."
        return "ten threads", _gain(rows, shares), do, _each_ten(threads)
    do = f"Try the {leaf(lead)} leaf of a pitch gauge against it, then the {leaf(rival)} one: {over_ten}."
    return "pitch gauge", _gain(rows, shares), do, _each_leaf(threads)


def _taper(threads: list[Thread], shares: list[float], readings: ThreadReadings) -> _Offer:
    if readings.tapers is not None or len({thread.taper for thread in threads}) < 2:
        return None
    rows = [[seen := _TAPER_SEEN if thread.taper else 1 - _TAPER_SEEN, 1 - seen] for thread in threads]
    where = "over the crests at both ends" if readings.gender == "male" else "the bore at its mouth and deep inside"
    do = f"Caliper {where}: a taper pipe thread changes by 0.06 mm in each millimetre, a parallel one not at all."
    tapered = [thread for thread in threads if thread.taper]
    parallel = [thread for thread in threads if not thread.taper]
    return "taper", _gain(rows, shares), do, (f"it tapers: {_list(tapered)}", f"it does not: {_list(parallel)}")


def _micrometer(threads: list[Thread], shares: list[float], readings: ThreadReadings) -> _Offer:
    """The same diameter again, finer: the real diameter is already known as closely as the first reading."""
    if readings.across_k2_mm <= 1.5 * MICROMETER_MM:
        return None
    step = 1.5 * MICROMETER_MM
    sigma = readings.across_k2_mm / 2
    answers = _grid([readings.across_mm], 4 * sigma, step)
    rows = []
    for thread in threads:
        spread = diameters(thread, readings.gender, readings.worn)
        row = [spread.density(y, MICROMETER_MM / 2) * bell(y - readings.across_mm, sigma) for y in answers]
        total = sum(row) or 1.0
        rows.append([each / total for each in row])
    what = "over the crests" if readings.gender == "male" else "the bore"
    ranges = []
    for thread in threads[:3]:
        low, high = diameters(thread, readings.gender).sound
        ranges.append(f"{thread.designation} {low:.2f} to {high:.2f} mm")
    do = f"Measure {what} again to {MICROMETER_MM:g} mm, with a micrometer: sound threads are {', '.join(ranges)}."
    return "micrometer", _gain(rows, shares), do, ()


def _flanks(threads: list[Thread], shares: list[float], readings: ThreadReadings) -> _Offer:
    angles = sorted({thread.angle_deg for thread in threads})
    if readings.angle_deg is not None or len(angles) < 2:
        return None
    sigmas = [_FLANKS_DEG / 2 * max(1.0, _EASY_FLANKS_MM / thread.pitch_mm) for thread in threads]
    answers = _grid(angles, 4 * max(sigmas), 1.0)
    rows = [[bell(y - t.angle_deg, s) for y in answers] for t, s in zip(threads, sigmas, strict=True)]
    then = tuple(
        f"{angle:g} deg ({_form(threads, angle)}): {_list([t for t in threads if t.angle_deg == angle])}"
        for angle in angles
    )
    leaves = " and ".join(f"{angle:g}" for angle in angles)
    do = f"Hold leaves of {leaves} deg in the thread against the light, and see which shows none along both flanks."
    return "flanks", _gain(rows, shares), do, then


def _trial(threads: list[Thread], shares: list[float], readings: ThreadReadings) -> _Offer:
    """The nut or screw, of one of the first three, whose running on says most."""
    tried = [trial.thread for trial in readings.trials]
    best: _Offer = None
    for known in threads[:3]:
        if known.taper or any(known.is_same_as(each) for each in tried):
            continue
        runs = [runs_on(thread, known, readings.gender) for thread in threads]
        bits = _gain([[each, 1 - each] for each in runs], shares)
        if best is None or bits > best[1]:
            thing = "nut" if readings.gender == "male" else "screw"
            verb = "on" if readings.gender == "male" else "in"
            name = known.designation
            do = f"Run a {thing} known to be {name} {verb} it, for its whole length, by the fingers alone."
            rest = [thread for thread, each in zip(threads, runs, strict=True) if each > 0.2 and thread is not known]
            also = f" (or {_list(rest)})" if rest else ""
            not_it = [thread for thread, each in zip(threads, runs, strict=True) if each <= 0.2]
            fails = f"it will not start, or binds: {_list(not_it)}"
            best = ("trial", bits, do, (f"it runs freely: {name}{also}", fails))
    return best


def leaf(thread: Thread) -> str:
    """Name the leaf of a pitch gauge that seats in a thread.

    Parameters
    ----------
    thread
        The thread.

    Returns
    -------
    str
        Threads per inch for inch threads, the pitch for the others.
    """
    if abs(thread.tpi - round(thread.tpi)) < 1e-6:
        return f"{round(thread.tpi)} tpi"
    return f"{thread.pitch_mm:g} mm"


def _each_leaf(threads: list[Thread]) -> tuple[str, ...]:
    return tuple(f"{name} seats: {_list(those)}" for name, those in _by(threads, leaf))


def _each_ten(threads: list[Thread]) -> tuple[str, ...]:
    groups = _by(threads, lambda thread: f"{10 * thread.pitch_mm:.2f} mm")
    return tuple(f"{length}: {_list(those)}" for length, those in groups)


def _by(threads: Iterable[Thread], key: Callable[[Thread], str]) -> list[tuple[str, list[Thread]]]:
    groups: dict[str, list[Thread]] = {}
    for thread in threads:
        groups.setdefault(key(thread), []).append(thread)
    return list(groups.items())


def _form(threads: list[Thread], angle_deg: float) -> str:
    return thread_forms()[next(t for t in threads if t.angle_deg == angle_deg).form].name


def _list(threads: Sequence[Thread]) -> str:
    names = [thread.designation for thread in threads[:4]]
    more = len(threads) - len(names)
    return ", ".join(names) + (f" and {more} more" if more else "") if names else "none of the likely ones"


def _grid(middles: Sequence[float], reach: float, step: float) -> list[float]:
    """Answers the test may give, only where any thread makes them likely."""
    far = int(reach / step)
    marks = {round(middle / step) + k for middle in middles for k in range(-far, far + 1)}
    return [mark * step for mark in sorted(marks)]


def _gain(rows: Sequence[Sequence[float]], shares: Sequence[float]) -> float:
    """Mean fall of doubt: of the answers taken together, less the mean of each thread's own."""
    rows = [[each / sum(row) for each in row] for row in rows]
    together = [sum(share * row[k] for share, row in zip(shares, rows, strict=True)) for k in range(len(rows[0]))]
    return max(0.0, _doubt(together) - sum(share * _doubt(row) for share, row in zip(shares, rows, strict=True)))


def _doubt(shares: Iterable[float]) -> float:
    return -sum(share * log2(share) for share in shares if share > 0)
