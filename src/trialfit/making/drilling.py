"""What to drill before the tap, with the drills a shop owns; what clears a thread; what to leave for a reamer.

Source: percentages of thread by `trialfit.tables.drills`; the choice is the owned drill nearest to the share aimed at,
which is common practice; allowances for reaming are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trialfit.errors import Refusal
from trialfit.finding import Basis, Reason
from trialfit.making.strip import Strip, TappingTorque, strip_strength, tapping_torque
from trialfit.making.wanted_thread import WantedThread, depth_name
from trialfit.tables.drills import (
    ClearanceDrill,
    Drill,
    TappingDrill,
    ThreadPercent,
    clearance_drills,
    drills,
    percent_of_thread,
    printed_tapping_drills,
)
from trialfit.tables.metals import Metal
from trialfit.tables.threads import Thread

_ALIKE_MM = 1e-6
# A drill in a standard or handbook, this near to the aim in points, is taken before one that is not (assumed).
_AS_GOOD_PCT = 3.0
_PRINT = (Basis.STANDARD, Basis.HANDBOOK, Basis.LIBRARY)
# Drills nearer than this in points are one drill for the purpose of comparing.
_NO_OTHER_PCT = 4.0
# Metal a reamer wants, on the diameter, up to 6 mm and above (common practice, no source).
_REAM_MM = ((6.0, 0.1, 0.25), (13.0, 0.2, 0.4))


@dataclass(frozen=True)
class TappingChoice:
    """One owned drill that serves.

    Parameters
    ----------
    drill
        The drill.
    percent
        The thread it leaves, by each of the three depths.
    strip
        What the tapped thread holds.
    torque
        What it costs to tap.
    printed
        Tables that print this drill for the thread.
    """

    drill: Drill
    percent: ThreadPercent
    strip: Strip
    torque: TappingTorque
    printed: tuple[TappingDrill, ...]


@dataclass(frozen=True)
class OwnedClearance:
    """A clearance hole, and the owned drill for it.

    Parameters
    ----------
    asked
        The drill that print or the rule gives.
    owned
        The owned drill next at or above it; None where none is large enough.
    over_mm
        How much the owned drill's hole is greater than the thread; None without one. [mm]
    """

    asked: ClearanceDrill
    owned: Drill | None
    over_mm: float | None


@dataclass(frozen=True)
class ReamingChoice:
    """What to drill before a reamer.

    Parameters
    ----------
    size_mm
        Finished size. [mm]
    least_mm, most_mm
        Metal the reamer wants, on the diameter. [mm]
    serve
        Owned drills that leave so much, from small to large.
    chosen
        The largest of them, which leaves the reamer least to do; None where none serves.
    because
        The reason.
    """

    size_mm: float
    least_mm: float
    most_mm: float
    serve: tuple[Drill, ...]
    chosen: Drill | None
    because: Reason


@dataclass(frozen=True)
class WhatToDrill:
    """The answer to "what do I drill?".

    Parameters
    ----------
    thread
        The thread.
    metal, screw
        Metals of the tapped piece and of the screw.
    engaged_mm
        Depth of full thread. [mm]
    wanted
        How much thread was wanted.
    passes_mm
        What has to pass through the tapped hole, or None. [mm]
    serve
        Owned drills that serve, from small to large.
    chosen
        The one to take; None where none serves.
    to_buy
        The drill to buy where none serves; None where one does.
    printed
        What print recommends, each with the thread it really leaves.
    clearance
        Clearance holes.
    because
        The reason of the choice, in a sentence, and what the figures rest on.
    """

    thread: Thread
    metal: Metal
    screw: Metal
    engaged_mm: float
    wanted: WantedThread
    passes_mm: float | None
    serve: tuple[TappingChoice, ...]
    chosen: TappingChoice | None
    to_buy: Drill | None
    printed: tuple[TappingDrill, ...]
    clearance: tuple[OwnedClearance, ...]
    because: tuple[Reason, ...]


def what_to_drill(
    thread: Thread,
    metal: Metal,
    wanted: WantedThread,
    owned: Sequence[Drill],
    engaged_mm: float,
    passes_mm: float | None = None,
    screw: Metal | None = None,
) -> WhatToDrill:
    """Choose the tapping drill from those a shop owns.

    Parameters
    ----------
    thread
        The thread to be tapped; of a taper one only print and clearance are given.
    metal
        Metal that is tapped.
    wanted
        How much thread is wanted.
    owned
        Drills the shop owns.
    engaged_mm
        Depth of full thread. [mm]
    passes_mm
        What has to pass through the tapped hole, as a cone through its nut; None for nothing. [mm]
    screw
        Metal of the screw; None for the same as is tapped.

    Returns
    -------
    WhatToDrill
        Drills that serve, and the one to take.

    Raises
    ------
    Refusal
        The depth is nought or less; what has to pass leaves no thread.
    """
    if not engaged_mm > 0:
        raise Refusal("depth of thread", f"{engaged_mm:g} mm", "more than nought", "Give the length of full thread.")
    if passes_mm is not None and passes_mm >= thread.major_mm:
        wanted_text = f"less than {thread.major_mm:.2f} mm, the thread itself"
        raise Refusal("what passes", f"{passes_mm:g} mm", wanted_text, "Take a larger thread.")
    printed = printed_tapping_drills(thread)
    clearance = tuple(_owned_clearance(thread, asked, owned) for asked in clearance_drills(thread))
    if thread.taper:
        said = "A taper thread's hole depends on how far the tap goes in; print gives no more than a beginning."
        bare = ((), None, None, printed, clearance, (Reason(said),))
        return WhatToDrill(thread, metal, screw or metal, engaged_mm, wanted, passes_mm, *bare)

    def takes(drill: Drill) -> bool:
        passes = passes_mm is None or drill.diameter_mm >= passes_mm - _ALIKE_MM
        return passes and wanted.takes(percent_of_thread(thread, drill.diameter_mm))

    serve = tuple(
        TappingChoice(
            drill,
            percent_of_thread(thread, drill.diameter_mm),
            strip_strength(thread, drill.diameter_mm, engaged_mm, metal, screw),
            tapping_torque(thread, drill.diameter_mm, metal),
            tuple(each for each in printed if abs(each.drill.diameter_mm - drill.diameter_mm) < _ALIKE_MM),
        )
        for drill in owned
        if takes(drill)
    )
    best = choose_drill(thread, [choice.drill for choice in serve], wanted)
    chosen = next((choice for choice in serve if choice.drill is best), None)
    to_buy = None
    if chosen is None:
        every = [drill for drill in drills() if takes(drill)]
        to_buy = min(every, key=lambda drill: _off(wanted, percent_of_thread(thread, drill.diameter_mm)), default=None)
    because = () if chosen is None else _because(thread, chosen, serve, wanted, passes_mm)
    answer = (serve, chosen, to_buy, printed, clearance, because)
    return WhatToDrill(thread, metal, screw or metal, engaged_mm, wanted, passes_mm, *answer)


def before_a_reamer(size_mm: float, owned: Sequence[Drill]) -> ReamingChoice:
    """Choose what to drill before a reamer.

    Parameters
    ----------
    size_mm
        Finished size. [mm]
    owned
        Drills the shop owns.

    Returns
    -------
    ReamingChoice
        The largest owned drill that leaves the reamer enough.

    Raises
    ------
    Refusal
        The size is beyond the allowances known here.
    """
    room = next(((least, most) for up_to, least, most in _REAM_MM if 1.0 <= size_mm <= up_to), None)
    if room is None:
        raise Refusal(
            "reamed hole", f"{size_mm:g} mm", f"1 to {_REAM_MM[-1][0]:g} mm", "Take the reamer maker's allowance."
        )
    least_mm, most_mm = room
    serve = tuple(
        drill for drill in owned if least_mm - _ALIKE_MM <= size_mm - drill.diameter_mm <= most_mm + _ALIKE_MM
    )
    said = f"A reamer of {size_mm:.4g} mm wants {least_mm:g} to {most_mm:g} mm left on the diameter."
    reason = Reason(said, "", Basis.PRACTICE)
    return ReamingChoice(size_mm, least_mm, most_mm, serve, serve[-1] if serve else None, reason)


def choose_drill(thread: Thread, owned: Sequence[Drill], wanted: WantedThread) -> Drill | None:
    """Choose a drill before the tap: nearest to the aim; among those as good as the nearest, one print recommends.

    Parameters
    ----------
    thread
        The thread to be tapped.
    owned
        Drills to choose from.
    wanted
        How much thread is wanted.

    Returns
    -------
    Drill or None
        The drill; None where none leaves as much thread as is wanted.
    """
    off_pct = {drill: _off(wanted, percent_of_thread(thread, drill.diameter_mm)) for drill in owned}
    serve = [drill for drill in owned if wanted.takes(percent_of_thread(thread, drill.diameter_mm))]
    if not serve:
        return None
    nearest = min(off_pct[drill] for drill in serve)
    as_good = [drill for drill in serve if off_pct[drill] <= nearest + _AS_GOOD_PCT]
    # A standard, handbook or library has the drill; hobby tables print percentages that are not there.
    recommended = [each.drill.diameter_mm for each in printed_tapping_drills(thread) if each.basis in _PRINT]
    return min(
        as_good,
        key=lambda drill: (all(abs(drill.diameter_mm - size) >= _ALIKE_MM for size in recommended), off_pct[drill]),
    )


def _off(wanted: WantedThread, percent: ThreadPercent) -> float:
    return abs(wanted.share_pct(percent) - wanted.aim_pct)


def _because(
    thread: Thread,
    chosen: TappingChoice,
    serve: Sequence[TappingChoice],
    wanted: WantedThread,
    passes_mm: float | None,
) -> tuple[Reason, ...]:
    name, strip = chosen.drill.name, chosen.strip
    share = f"{wanted.share_pct(chosen.percent):.0f} % of {depth_name(wanted.of, thread)}"
    passing = f" and lets {passes_mm:g} mm pass" if passes_mm is not None else ""
    said = f"{name} leaves {share}, nearest of the drills owned to the {wanted.aim_pct:.0f} % aimed at{passing}"
    if len(serve) > 1 and chosen is not min(serve, key=lambda choice: _off(wanted, choice.percent)):
        said = f"{name} leaves {share}, near the {wanted.aim_pct:.0f} % aimed at, and print recommends it{passing}"
    reasons = [Reason(f"{said}{_against_next(chosen, serve)}.", "", Basis.COMPUTED)]
    stripped = "the screw's thread strips" if strip.first == "screw" else "the tapped thread strips"
    holds = (
        f"Over {strip.engaged_mm:g} mm {stripped} at {_kn(strip.pull.likely)} ({_kn(strip.pull.low)} to "
        f"{_kn(strip.pull.high)}); a solid screw parts at {_kn(strip.core.likely)}"
    )
    if strip.match_mm <= strip.engaged_mm:
        holds += f", which {strip.match_mm:.1f} mm of thread would match"
    else:
        holds += f"; {strip.match_mm:.1f} mm of thread would match it"
    return (*reasons, Reason(f"{holds}.", "", Basis.COMPUTED), strip.because, chosen.torque.because)


def _against_next(chosen: TappingChoice, serve: Sequence[TappingChoice]) -> str:
    """Compare with the next smaller owned drill: what more thread would bring, and cost."""
    least_pct = chosen.percent.of_form_pct + _NO_OTHER_PCT
    smaller = [choice for choice in serve if choice.percent.of_form_pct >= least_pct]
    if not smaller:
        return ""
    other = smaller[-1]
    stronger = 100 * (other.strip.pull.likely / chosen.strip.pull.likely - 1)
    harder = 100 * (other.torque.times_usual / chosen.torque.times_usual - 1)
    gain = f"{stronger:.0f} % more strength" if stronger >= 0.5 else "no strength"
    return f"; {other.drill.name} would add {gain} for {harder:.0f} % more torque at the tap"


def _kn(force_n: float) -> str:
    return f"{force_n / 1000:.1f} kN"


def _owned_clearance(thread: Thread, asked: ClearanceDrill, owned: Sequence[Drill]) -> OwnedClearance:
    large = [drill for drill in owned if drill.diameter_mm >= asked.drill.diameter_mm - _ALIKE_MM]
    if not large:
        return OwnedClearance(asked, None, None)
    return OwnedClearance(asked, large[0], large[0].diameter_mm - thread.major_mm)
