"""The path of a pipe between two faces: the fewest bends, and with those the shortest that clears everything.

Source: `docs/methods/fitup.md`, which gives the proof that a two-bend pipe is shortest with the least straight at both
ends, and what happens where that leaves too little between the bends; obstacles: `docs/methods/routes.md`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from math import ceil, floor

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.attempts import Path
from trialfit.fitup.corners import Bender
from trialfit.fitup.obstacles import Around
from trialfit.fitup.other_way import other_way
from trialfit.fitup.records import Array, EndFace
from trialfit.fitup.route_records import Counted, Stopped
from trialfit.fitup.smaller_radius import Smaller, largest_smaller, smaller_formers
from trialfit.fitup.sought import LONG_WAY, QUICK_CELLS, Allowed, Asked, Outcome, sought, straights_alone
from trialfit.fitup.spanner_swing import Swing

__all__ = ["LONG_WAY", "Allowed", "Path", "Settled", "shortest", "way_among"]

_SAME_PLACE_MM = 0.01
# Shares of the clearance tried, one after the other, where none is found with all of it.
_EASED = (0.75, 0.5, 0.25, 0.0)
_NAMED_MOST = 6


@dataclass(frozen=True, eq=False)
class Settled:
    """The way a pipe takes among what stands round it.

    Parameters
    ----------
    path
        From face to face.
    other_mm
        (k + 2, 3) the next best that is really another; None where there is none. [mm]
    stopped
        Better ways, and what stands in them.
    counted
        How many ways of each family each thing stands in.
    kept_mm
        The clearance it was found with, where there is none with all that is wanted. [mm]
    """

    path: Path
    other_mm: Array | None
    stopped: tuple[Stopped, ...]
    counted: tuple[Counted, ...]
    kept_mm: float | None


def shortest(
    start: EndFace, end: EndFace, bender: Bender, bends_most: int, allowed_deg: Allowed, what: str = "pipe"
) -> Path:
    """Find the path with the fewest bends, and with those the shortest, nothing round it counted.

    One bend that goes a long way round gives way to two that go a shorter one, and two to three.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    bends_most
        The most bends allowed, three at most.
    allowed_deg
        What a pipe without a bend, and one with a single bend, may miss the start's and the end's axis by. [deg]
    what
        The pipe it is about, for the refusal.

    Returns
    -------
    Path
        From face to face; its tube is taken to be a third of the radius thick, so as not to run into itself.

    Raises
    ------
    Refusal
        The faces are in one place, or there is no such path; then the remedy says which figure must change, to what.
    """
    return way_among(start, end, bender, bends_most, allowed_deg, Around((), bender.radius_mm / 6), what=what).path


def way_among(
    start: EndFace,
    end: EndFace,
    bender: Bender,
    bends_most: int,
    allowed_deg: Allowed,
    around: Around,
    swings: tuple[Swing, ...] = (),
    what: str = "pipe",
    only_try: bool = False,
    formers: tuple[Bender, ...] | None = None,
    with_other: bool = True,
) -> Settled:
    """Find the way with the fewest bends that clears everything, and with those the shortest.

    Where none is found with the clearance wanted, less of it is tried, down to none.

    Parameters
    ----------
    start, end
        The two faces, with the straights they want.
    bender
        Its radius, and the straight it needs between bends.
    bends_most
        The most bends allowed, three at most.
    allowed_deg
        What a pipe without a bend, and one with a single bend, may miss the start's and the end's axis by. [deg]
    around
        What stands round it.
    swings
        Spanners that must be left a window.
    what
        The pipe it is about, for the refusal.
    only_try
        Whether to give up at once where there is none with all of the clearance, without working out a remedy.
    formers
        The shop's formers for this tube, where it bends round nothing else; None where any radius may be bent.
    with_other
        Whether the next best way is looked for too.

    Returns
    -------
    Settled
        The way, the next best, and what stopped better ones.

    Raises
    ------
    Refusal
        The faces are in one place; or there is no way at all, then the remedy says which figure must change, to what;
        or none was found that clears, then the refusal names what stands in the way.
    """
    if float(np.linalg.norm(end.position_mm - start.position_mm)) < _SAME_PLACE_MM:
        raise Refusal(
            f"{what} from {start.name} to {end.name}",
            "two faces in one place",
            "faces apart from each other",
            "Look at which points the two ports are given by.",
        )
    asked = Asked(start, end, bender, bends_most, allowed_deg, swings)
    first = _with(asked, around)
    if first.path is not None:
        return _settled(asked, around, first, None, with_other)
    if only_try:
        raise Refusal(what, "no way with these straights", _wanted(asked), "Try it with less.")
    if not first.stopped:
        raise _no_way(asked, around, first, what, formers)
    wanted = max((each.wanted_mm for each in around.obstacles), default=0.0)
    for share in _EASED if wanted > 0 else ():
        eased = around.with_clearance(share * wanted)
        found = _with(asked, eased)
        if found.path is not None:
            return _settled(asked, eased, replace(first, path=found.path), share * wanted, with_other)
    raise _stopped(asked, around, first, what, formers)


def _with(asked: Asked, around: Around) -> Outcome:
    """First each end's straight alone, which no way can do without; then all ways."""
    alone = straights_alone(asked, around)
    return Outcome(None, (), alone, ()) if alone else sought(asked, around)


def _goes(asked: Asked, around: Around) -> bool:
    """Whether there is a way at all, be it the shortest or not."""
    return _with(replace(asked, any_way=True), around).path is not None


def _settled(asked: Asked, around: Around, found: Outcome, kept_mm: float | None, with_other: bool) -> Settled:
    assert found.path is not None
    may = with_other and around.obstacles and asked.bends_most >= 2
    other = other_way(asked, around, found.path.vertices_mm) if may else None
    return Settled(found.path, other, found.stopped, found.counted, kept_mm)


def _wanted(asked: Asked) -> str:
    start, end, bender = asked.start, asked.end, asked.bender
    return (
        f"a way with at most {asked.bends_most} bends of radius {bender.radius_mm:.1f} mm, "
        f"{start.straight_mm:.1f} mm straight at {start.name}, {end.straight_mm:.1f} mm at {end.name} "
        f"and {bender.grip_mm:.1f} mm between bends"
    )


def _no_way(
    asked: Asked, around: Around, found: Outcome, what: str, formers: tuple[Bender, ...] | None
) -> Refusal:  # fmt: skip
    title = f"{what} from {asked.start.name} to {asked.end.name}"
    remedy = _remedy(asked, Around((), around.tube_radius_mm), formers)
    return Refusal(title, "; ".join(found.reasons), _wanted(asked), remedy)


def _stopped(asked: Asked, around: Around, found: Outcome, what: str, formers: tuple[Bender, ...] | None) -> Refusal:
    """No way clears, with however little clearance."""
    title = f"{what} from {asked.start.name} to {asked.end.name}"
    got = "; ".join([*found.reasons, *(each.sentence for each in found.stopped)])
    bare = around.with_clearance(0.0)
    if not found.stopped[0].where and not found.stopped[0].because:
        by = " and ".join(dict.fromkeys(each.by for each in found.stopped))
        face = "that face" if len(found.stopped) == 1 else "both faces"
        remedy = f"Look at where the survey has {face} and {by}, and at their sizes; or ask for less straight there."
        return Refusal(title, got, "straights at both ends that stand clear of everything", remedy)
    named = [name for count in found.counted for name, _ in count.by] + [each.by for each in found.stopped]
    names = [each.name for each in around.obstacles if each.words in named or each.name in named]
    frees = [name for name in list(dict.fromkeys(names))[:_NAMED_MOST] if _goes(asked, bare.without(name))]
    ways = [f"without {name} there is one: look at where it stands and how large it is said to be" for name in frees]
    if asked.bends_most < 3 and _goes(replace(asked, bends_most=3), bare):
        ways.insert(0, "with three bends there is one: write bends_most = 3")
    smaller = _smaller(asked, around, formers)
    if smaller is not None:
        ways.insert(0, f"{smaller.words} there is one")
    tried = "none of up to three bends was found, which does not prove that there is none"
    remedy = "; ".join(ways) if ways else f"{tried}; bring one of the unions elsewhere, or turn it"
    return Refusal(title, got, f"{_wanted(asked)}, that touches nothing", f"{remedy[0].upper()}{remedy[1:]}.")


def _smaller(asked: Asked, around: Around, formers: tuple[Bender, ...] | None) -> Smaller | None:
    """The largest smaller radius that goes with all of the clearance."""

    def surely(bender: Bender) -> bool:
        return _goes(replace(asked, bender=bender), around)

    def quickly(bender: Bender) -> bool:
        return _goes(replace(asked, bender=bender, most_cells=QUICK_CELLS), around)

    return largest_smaller(quickly, asked.bender, 2 * around.tube_radius_mm, formers, surely)


def _remedy(asked: Asked, nothing: Around, formers: tuple[Bender, ...] | None) -> str:
    """Say which figure alone, brought down to what, would do; a figure that must fall under half is not offered."""
    start, end, bender = asked.start, asked.end, asked.bender
    now = (bender.radius_mm, bender.grip_mm, start.straight_mm, end.straight_mm)
    names = ("a bend radius of {}", "{} between bends", "{} straight at " + start.name, "{} straight at " + end.name)

    def fits(place: int, value: float) -> bool:
        radius, grip, first, last = (value if k == place else figure for k, figure in enumerate(now))
        ends = replace(start, straight_mm=first), replace(end, straight_mm=last)
        # A search for three bends at each halving would take too long; what does with two does with three.
        tried = replace(
            asked, start=ends[0], end=ends[1], bender=Bender(radius, grip), bends_most=min(asked.bends_most, 2)
        )
        return sought(tried, nothing).path is not None

    most = [_most_that_fits(partial(fits, place), now[place]) for place in range(4)]
    ways = [name.format(f"{value:.1f} mm") for name, value in zip(names, most, strict=True) if value is not None]
    if most[0] is not None and formers is not None:
        ways[0] += f" ({_former_words(asked, nothing, formers)})"
    for more, words in ((2, "two bends"), (3, "three bends")):
        if asked.bends_most < more and sought(replace(asked, bends_most=more), nothing).path is not None:
            ways.insert(0, words)
            break
    if ways:
        return f"Any one of these alone would do: {', or '.join(ways)}."
    return "No one figure cures it: bring the unions farther apart, or turn one of them."


def _former_words(asked: Asked, nothing: Around, formers: tuple[Bender, ...]) -> str:
    """Say which of the shop's smaller formers does, with the straight that it needs itself."""
    for former in smaller_formers(asked.bender, formers):
        if sought(replace(asked, bender=former, bends_most=min(asked.bends_most, 2)), nothing).path is not None:
            return f"the shop's former of {former.radius_mm:.4g} mm does"
    return "the shop has no former for it"


def _most_that_fits(fits: Callable[[float], bool], now: float) -> float | None:
    """The largest tenth of a millimetre, from half of what it is now, that fits; less of any figure fits no worse."""
    low, high = ceil(now * 5), floor(now * 10)
    if high <= 0 or low > high or not fits(low / 10):
        return None
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits(middle / 10) else (low, middle - 1)
    return low / 10
