"""What has to be asked of every screwed fitting that must point somewhere.

Source: `trialfit.fitup.clocking`; turns of a taper thread past hand tight by ``figures/fit_up.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.clocking import (
    PROMISED_DEG,
    Packing,
    Turns,
    faced_back,
    off_by_deg,
    packings,
    seen_deg,
    tap_slip_turns,
    taper_turns,
    worst_off_deg,
)
from trialfit.fitup.records import Array
from trialfit.fitup.trial_table import TrialRow, clock, trial_table, washers
from trialfit.job.clocking import ClockingEntry
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.job.tooling import fill_tooling
from trialfit.parts.place import Surveyed
from trialfit.tables.designations import find_thread
from trialfit.tables.rules import rule
from trialfit.tables.threads import Thread

_STEP_MM = 1e-3
_QUESTION = "Can it be made to point where it must?"


@dataclass(frozen=True)
class Clocked:
    """What was worked out for one fitting.

    Parameters
    ----------
    name
        Its name in the job.
    what
        Which one, in words.
    seen
        How the clock is looked at, as a sentence.
    packing
        What to put under it, where the trial is known and its thread is parallel.
    face_back
        What to take off its shoulder instead, likewise.
    turns
        How far to turn a taper thread; empty for a parallel one.
    table
        What to fit by where it stops; empty for a taper thread.
    finding
        The answer.
    """

    name: str
    what: str
    seen: str
    packing: Packing | None
    face_back: Packing | None
    turns: tuple[Turns, ...]
    table: tuple[TrialRow, ...]
    finding: Finding


def clock_all(job: Job, shop: Shop, survey: Surveyed | None) -> tuple[Clocked, ...]:
    """Work out every fitting of a job that must point somewhere.

    Parameters
    ----------
    job
        The job document.
    shop
        The workshop, for its washers.
    survey
        Where the points are, or None where the job has none.

    Returns
    -------
    tuple of Clocked
        In the job's order; a fitting whose points the survey could not fix counts as not tried, and says why.
    """
    return tuple(_clocked_if_seen(name, entry, shop, survey) for name, entry in job.clocking.items())


def clocked(name: str, entry: ClockingEntry, shop: Shop, survey: Surveyed | None) -> Clocked:
    """Work out one fitting that must point somewhere.

    Parameters
    ----------
    name
        Its name in the job.
    entry
        What the job says of it.
    shop
        The workshop, for its washers.
    survey
        Where the points are, or None.

    Returns
    -------
    Clocked
        Complete.

    Raises
    ------
    Refusal
        Its points are not in the survey.
    """
    thread, wanted = find_thread(entry.thread), float(entry.wanted.to("deg"))
    stopped = stopped_at(entry, survey)
    look = f"Seen looking along its thread towards the part it screws into, with {entry.twelve} at 12 o'clock."
    if thread.taper:
        return _tapered(name, entry, thread, wanted, stopped, look)
    filled = fill_tooling(shop.tooling)
    stock = tuple(float(shim.to("mm")) for shim in filled.tooling.shims)
    basis = Basis.ASSUMED if "shims" in filled.assumed or not shop.measured else Basis.MEASURED
    pitch = thread.pitch_mm
    table = trial_table(wanted, pitch, stock)
    of_stock = Reason(
        f"Washers of {', '.join(f'{each:g}' for each in stock)} mm, three at most, leave no direction further off than "
        f"{worst_off_deg(stock, pitch):.1f} deg; 0.01 mm is {3.6 / pitch:.1f} deg at this pitch.",
        "",
        basis,
    )
    if stopped is None:
        said = (Reason(look), Reason("Where it stops is not known until it is tried."), of_stock, _PROMISE)
        do = (
            "Send the washers with the table, or have it tried with its real washer, tightened as told, and "
            "photographed along the thread with a straight edge in view."
        )
        finding = Finding("fitup", name, _QUESTION, Answer.LOOK, None, Figure(PROMISED_DEG, "deg", None, 0), said, do)
        return Clocked(name, entry.what or name, look, None, None, (), table, finding)
    tight = replace(stopped, value=stopped.value + (float(entry.nip.to("deg")) if entry.nip else 0.0))
    best, back = packings(tight.value, wanted, pitch, stock)[0], faced_back(tight.value, wanted, pitch)
    finding = _packed(name, entry, wanted, tight, best, back, (Reason(look), of_stock, _PROMISE))
    return Clocked(name, entry.what or name, look, best, back, (), table, finding)


def _clocked_if_seen(name: str, entry: ClockingEntry, shop: Shop, survey: Surveyed | None) -> Clocked:
    try:
        return clocked(name, entry, shop, survey)
    except Refusal as refusal:
        untried = clocked(name, entry, shop, None)
        fault = refusal.fault
        why = Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}. {fault.remedy}")
        return replace(untried, finding=replace(untried.finding, because=(why, *untried.finding.because)))


_PROMISE = Reason(
    f"No better than {PROMISED_DEG:g} deg either way is promised: washers crush, and nobody tightens twice alike.",
    "",
    Basis.PRACTICE,
)


def _packed(
    name: str,
    entry: ClockingEntry,
    wanted: float,
    tight: Figure,
    best: Packing,
    back: Packing,
    said: tuple[Reason, ...],
) -> Finding:
    under = f" over the {entry.washer} washer it was tried with" if entry.washer else ""
    first = Reason(
        f"Tightened, it stops at {tight}, {clock(tight.value)}; wanted is {wanted:.0f} deg, {clock(wanted)}. With "
        f"washers of {washers(best)} added{under} it stops {abs(best.off_deg):.0f} deg "
        f"{'past' if best.off_deg > 0 else 'short'}; {best.total_mm:g} mm less thread goes in."
        if best.shims_mm
        else f"Tightened, it stops at {tight}, {abs(off_by_deg(tight.value, wanted)):.0f} deg from where it must point."
    )
    good = abs(best.off_deg) <= PROMISED_DEG
    facing = f"face {back.face_back_mm:.2f} mm off its shoulder"
    do = f"Add washers of {washers(best)}, or {facing}." if best.shims_mm else ""
    if not good:
        do = f"{facing[0].upper()}{facing[1:]}, or turn a washer to thickness."
    answer = Answer.GO if good else Answer.LOOK
    off = Figure(abs(best.off_deg), "deg", tight.k2, 0)
    return Finding("fitup", name, _QUESTION, answer, off, Figure(PROMISED_DEG, "deg", None, 0), (first, *said), do)


def _tapered(
    name: str, entry: ClockingEntry, thread: Thread, wanted: float, stopped: Figure | None, look: str
) -> Clocked:
    law = rule("taper thread", "turns past hand tight")
    least, most = entry.turns or (law.low or 0.0, law.high or 0.0)
    slip = tap_slip_turns(0.05, thread.pitch_mm)
    said = [
        Reason(look),
        Reason("A taper thread seals on its flanks and takes no washers."),
        Reason(
            f"It is turned {least:g} to {most:g} turns past hand tight; beyond that the boss may split.",
            "",
            Basis.MEASURED if entry.turns else law.basis,
        ),
        Reason(f"A hole tapped 0.05 mm larger moves hand tight by {slip:.2f} turn, so it cannot be known beforehand."),
    ]
    turns: tuple[Turns, ...] = ()
    figure, answer = None, Answer.LOOK
    do = "Have it screwed in hand tight and photographed along the thread, then work it out again."
    if stopped is not None:
        turns = taper_turns(stopped.value, wanted, least, most)
        first = turns[0]
        figure = Figure(abs(first.off_deg), "deg", stopped.k2, 0)
        good = abs(first.off_deg) <= PROMISED_DEG
        answer = Answer.GO if good else Answer.LOOK
        words = " or ".join(f"{each.turns:.2f}" for each in turns)
        do = f"Turn it {words} turns past hand tight." if good else (
            f"Run the tap in by {(wanted - first.stops_deg) % 360 / 360 * thread.pitch_mm:.2f} mm more and try again, "
            "or use a fitting that turns on its thread; never turn it back to point right."
        )  # fmt: skip
    limit = Figure(PROMISED_DEG, "deg", None, 0)
    finding = Finding("fitup", name, _QUESTION, answer, figure, limit, tuple(said), do)
    return Clocked(name, entry.what or name, look, None, None, turns, (), finding)


def stopped_at(entry: ClockingEntry, survey: Surveyed | None) -> Figure | None:
    """Where a fitting stopped in its trial: typed, or seen in the survey with its k = 2.

    Parameters
    ----------
    entry
        What the job says of it.
    survey
        Where the points are, or None.

    Returns
    -------
    Figure or None
        Clockwise from twelve; None where it was not tried or its points are not all given. [deg]

    Raises
    ------
    Refusal
        Its points are not in the survey.
    """
    if entry.stopped is not None:
        return Figure(float(entry.stopped.to("deg")), "deg", None, 0)
    if entry.axis is None or entry.arm is None or entry.twelve_at is None or survey is None:
        return None
    points, covariance = survey.joint([*entry.axis, entry.arm, entry.twelve_at])

    def angle(at: Array) -> float:
        outer, inner, arm, twelve = at.reshape(4, 3)
        return seen_deg(inner - outer, arm - inner, twelve - inner)

    here = angle(points)
    slopes = np.zeros(12)
    for place in range(12):
        step = np.zeros(12)
        step[place] = _STEP_MM
        slopes[place] = off_by_deg(angle(points.ravel() + step), angle(points.ravel() - step)) / (2 * _STEP_MM)
    return Figure(here, "deg", 2 * max(float(slopes @ covariance @ slopes), 0.0) ** 0.5, 0)
