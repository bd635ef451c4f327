"""The ways to have a pipe go on, each with its chance, and the one to take.

Source: `trialfit.fitup.chance`; what a union, a hand and a trial are good for are the assumed rules of
``figures/fit_up.csv``, and said to be.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan, degrees

import numpy as np

from trialfit.finding import Figure, places_for
from trialfit.fitup.bends import bend_table, legs_mm, start_pose
from trialfit.fitup.chance import (
    Play,
    Springs,
    drops_on,
    fixed_draws,
    share,
    springs_on,
    strays_drawn,
    turned_on,
)
from trialfit.fitup.flexibility import section_of
from trialfit.fitup.landing import Scatter
from trialfit.fitup.offer import Offer, face_slopes, offer_of
from trialfit.fitup.records import Array, DropOn, PipePlan, Way
from trialfit.fitup.strain import Held, finger_tight, held, plastic_moment_nm, seated, setting_force_n, soft_proof_mpa
from trialfit.fitup.vectors import cross, square_to
from trialfit.tables.rules import rule

# A way with this chance is good enough that more trouble is not worth it; ways this near each other count as alike.
ENOUGH_PCT = 95.0
ALIKE_PCT = 2.0
# Its place from the least trouble to the most: set over by hand, off the engine, a little at a time.
SET_BY_HAND = 5
# A lever shorter than this about the first axis cannot be rolled to any purpose.
_LEVER_MM = 5.0


@dataclass(frozen=True)
class Further:
    """A reading or photograph that could still be had.

    Parameters
    ----------
    words
        What it is: ``a reading between a and b``.
    covariance
        (12, 12) of the two faces once it has been made. [mm2, mm, 1]
    """

    words: str
    covariance: Array


def drop_on(pipe: PipePlan, covariance: Array, scatter: Scatter, further: Iterable[Further] = ()) -> DropOn:
    """Work out whether a pipe drops on, and the ways out.

    Parameters
    ----------
    pipe
        The pipe, laid out.
    covariance
        (12, 12) of start position, start direction, end position, end direction. [mm2, mm, 1]
    scatter
        The bench's own, k = 2.
    further
        Readings or photographs that could still be had.

    Returns
    -------
    DropOn
        Every way with its chance, and the one recommended.
    """
    offer, pulled = offer_of(pipe, covariance, scatter), hold(pipe)
    worst = _worst(offer, offer.survey + offer.bench)
    stray = float(np.linalg.norm(worst[:3]))
    # A straight pipe is set over aside, for nothing sets it along.
    way = worst[:3] / stray if stray > 0 and pipe.bends else square_to(offer.axis)
    over = stray if pipe.bends else 2 * float(way @ (offer.survey + offer.bench)[:3, :3] @ way) ** 0.5
    force, back = setting_force_n(pulled, way)
    ways = tuple(sorted(_ways(pipe, offer, pulled, tuple(further), force), key=lambda each: each.trouble))
    bends_at_nm = plastic_moment_nm(pulled)
    return DropOn(
        pipe=pipe.name,
        ways=ways,
        best=recommended(ways),
        stray=Figure(stray, "mm", None, 1),
        loose=finger_tight(pulled, -worst[:3]),
        home=seated(pulled, -worst[:3], -cross(offer.axis, worst[3:])),
        set_through=Figure(over + back, "mm", None, 1),
        set_force=Figure(force, "N", None, 0),
        springs_back=Figure(back, "mm", None, 1),
        bends_at=Figure(bends_at_nm, "N·m", None, places_for(bends_at_nm)),
    )


def hold(pipe: PipePlan) -> Held:
    """Hold a pipe at its start, soft as it comes from annealing.

    Parameters
    ----------
    pipe
        The pipe, laid out.

    Returns
    -------
    Held
        With what it gives.
    """
    table, start = bend_table(pipe.vertices_mm, pipe.radius_mm), start_pose(pipe.vertices_mm)
    return held(table, start, section_of(pipe.tube), soft_proof_mpa(pipe.tube.metal))


def recommended(ways: tuple[Way, ...]) -> Way:
    """Choose among the ways.

    Parameters
    ----------
    ways
        At least one.

    Returns
    -------
    Way
        The least trouble among those of at least 95 %; where there is none, the least trouble among those within 2 %
        of the greatest chance.
    """
    most = max(way.chance.value for way in ways)
    enough = [way for way in ways if way.chance.value >= min(ENOUGH_PCT, most - ALIKE_PCT)]
    return min(enough, key=lambda way: way.trouble)


def union_play() -> Play:
    """What a small cone union draws in by itself; assumed.

    Returns
    -------
    Play
        By the tables' rules.
    """
    return Play(_most("union", "off its face"), _most("union", "gap along its axis"), _most("union", "out of line"))


def _ways(pipe: PipePlan, offer: Offer, pulled: Held, further: tuple[Further, ...], force: float) -> list[Way]:
    play, both = union_play(), offer.survey + offer.bench
    strays = strays_drawn(offer, both, fixed_draws())
    falls = drops_on(offer, strays, play)
    taken = (
        f"A union is taken to draw in {play.aside_mm:g} mm aside, {play.along_mm:g} mm along and "
        f"{play.out_of_line_deg:g} deg."
    )
    ways = [
        Way("as planned", 0, share(falls), f"{taken} {_alone(offer, play)}", "Make it to the table."),
        _sprung(offer, strays, falls, pulled, play),
        _loose_cone(pipe, offer, strays, play),
        _trial_wire(offer, play),
        _set_by_hand(pipe, offer, strays, play, force),
    ]
    ways += [_further(pipe, offer, each, play) for each in further]
    extra = _extra_union(pipe, offer, both, play)
    return ways if extra is None else [*ways, extra]


def _alone(offer: Offer, play: Play) -> str:
    survey, bench = (
        share(drops_on(offer, strays_drawn(offer, spread, fixed_draws()), play))
        for spread in (offer.survey, offer.bench)
    )
    return f"From a perfect bench it would be {survey.value:.0f} %, with a perfect survey {bench.value:.0f} %."


def _sprung(offer: Offer, strays: Array, falls: Array, pulled: Held, play: Play) -> Way:
    stiffness: Array = np.asarray(np.linalg.inv(pulled.flexibility[:3, :3]), dtype=np.float64)
    x, y, z = offer.axis
    crossing = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    most = _most("union", "drawn on by hand")
    springs = Springs(stiffness, -crossing @ pulled.flexibility[3:, :3] @ stiffness, most)
    return Way(
        "sprung on by hand",
        1,
        share(np.logical_or(falls, springs_on(offer, strays, play, springs))),
        f"The far end drawn onto its face by {most:g} N or less while the nut is started, and in line then.",
        "Make it to the table; seat the start, draw the far end over by hand, and start its nut by hand.",
    )


def _further(pipe: PipePlan, offer: Offer, each: Further, play: Play) -> Way:
    slopes = face_slopes(pipe.start, pipe.end)
    spread = slopes @ each.covariance @ slopes.T + offer.bench
    return Way(
        f"with {each.words}",
        2,
        share(drops_on(offer, strays_drawn(offer, spread, fixed_draws()), play)),
        "The survey as sure as it would then be, the bench as it is.",
        f"Get {each.words} before sawing, and work it out again.",
    )


def _loose_cone(pipe: PipePlan, offer: Offer, strays: Array, play: Play) -> Way:
    slides, gap = _most("loose cone", "slides"), rule("joint", "gap per side").low or 0.0
    rocks = degrees(atan(2 * gap / pipe.end.enters_mm)) if pipe.end.enters_mm > 0 else 0.0
    freed = Play(play.aside_mm + gap, play.along_mm + slides, play.out_of_line_deg + rocks)
    return Way(
        "one cone left loose, soldered after a trial",
        3,
        share(drops_on(offer, strays, freed)),
        f"The cone at {pipe.end.name} slides {slides:g} mm either way on the tube and rocks {rocks:.1f} deg on it, "
        f"by the {gap:g} mm a side the solder wants.",
        f"Saw it {slides:g} mm over length, leave the cone at {pipe.end.name} loose, have it tried and marked, then "
        "solder it.",
    )


def _trial_wire(offer: Offer, play: Play) -> Way:
    place, angle = _most("trial wire", "carries place"), _most("trial wire", "carries angle")
    sides = np.diag([(place / 2) ** 2] * 3 + [np.radians(angle / 2) ** 2] * 3)
    square = np.eye(6)
    square[3:, 3:] -= np.outer(offer.axis, offer.axis)
    spread = offer.bench + square @ sides @ square
    return Way(
        "a trial wire first",
        4,
        share(drops_on(offer, strays_drawn(offer, spread, fixed_draws()), play)),
        f"The bench, and a wire that carries the far face to within {place:g} mm and {angle:g} deg; no survey.",
        "Have a stiff wire bent to fit between the two unions and sent, and make the pipe to the wire.",
    )


def _set_by_hand(pipe: PipePlan, offer: Offer, strays: Array, play: Play, force: float) -> Way:
    moves, turns, most = _most("set by hand", "moves"), _most("set by hand", "turns"), _most("set by hand", "force")
    along = play.along_mm + (moves if pipe.bends else 0.0)
    reach = Play(play.aside_mm + moves, along, play.out_of_line_deg + turns)
    goes = drops_on(offer, strays, reach) if force <= most else np.zeros(strays.shape[:-1], dtype=bool)
    return Way(
        "the soft pipe set by hand at a trial",
        SET_BY_HAND,
        share(goes),
        f"Setting the end over by {moves:g} mm and {turns:g} deg at most, which takes about {force:.0f} N at the end; "
        f"over {most:g} N counts as too stiff.",
        "Send it annealed, with both nuts on; off the engine, hold it by the straight beside its cone, never by the "
        "soldered joint, and set it a little at a time.",
    )


def _extra_union(pipe: PipePlan, offer: Offer, spread: Array, play: Play) -> Way | None:
    """A union in the longest straight between two bends, so that the two parts turn on each other."""
    wants = rule("extra union", "straight").low or 0.0
    straights = bend_table(pipe.vertices_mm, pipe.radius_mm).straights_mm
    between = range(1, len(straights) - 1)
    leg = max(between, key=lambda k: straights[k], default=None)
    if leg is None or straights[leg] < wants:
        return None
    corners = pipe.vertices_mm
    along = (corners[leg + 1] - corners[leg]) / legs_mm(corners)[leg]
    second = np.concatenate([cross(along, corners[-1] - corners[leg]), cross(along, offer.axis)])
    strays = strays_drawn(offer, spread, fixed_draws(512))
    return Way(
        "one more union in the run",
        6,
        share(turned_on(offer, strays, play, second)),
        f"A union in the straight before bend {leg + 1}, {straights[leg]:.0f} mm long, turns on its own; what it draws "
        "in besides is left out.",
        f"Put a union in the straight before bend {leg + 1}, and tighten it last.",
    )


def _worst(offer: Offer, spread: Array) -> Array:
    """(6,) likeliest stray among those k = 2 off in the worst direction, the pipe rolled to bring its end nearest."""
    swing = offer.swing
    reach = float(swing[:3] @ swing[:3])
    roll = np.eye(6)
    if reach > _LEVER_MM**2:
        roll[:, :3] -= np.outer(swing, swing[:3]) / reach
    rolled = roll @ spread @ roll.T
    values, ways = np.linalg.eigh(rolled[:3, :3])
    return np.zeros(6) if values[-1] <= 0 else np.asarray(2 * rolled[:, :3] @ ways[:, -1] / values[-1] ** 0.5)


def _most(subject: str, name: str) -> float:
    return rule(subject, name).high or 0.0
