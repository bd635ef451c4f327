"""What has to be said of where everything stands.

Source: `trialfit.fitup.place_adjust` and `trialfit.fitup.overlaps`; chi-square at one in a thousand for one tie, the
usual size of that test (Baarda 1968).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import degrees, sqrt

import numpy as np
from scipy.special import chdtrc, chdtri

from trialfit.errors import Fault
from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.bodies import Body
from trialfit.fitup.overlaps import Overlap
from trialfit.fitup.place_adjust import Adjusted, Tested
from trialfit.fitup.place_gather import Gathered
from trialfit.fitup.place_names import loop_of, names_listed, port_about
from trialfit.fitup.records import Array
from trialfit.fitup.roll_cures import angles_that_fix_nothing, roll_cures
from trialfit.parts.envelope import Envelope

UNLIKELY = 1e-3
_UNLIKELY_PCT = 1.0
# What comes within so much of the worst may be the culprit too; smaller angles are not worth saying.
_NEARLY = 0.9
_ANY_DEG = 0.05
# A place less sure than this is not worth a figure. [mm]
_NOT_KNOWN_MM = 10.0


def body_findings(bodies: Mapping[str, Body], cannot: Mapping[str, Fault]) -> Iterator[Finding]:
    """Say which bodies of the engine have no place, and whose points do not lie on one face.

    Parameters
    ----------
    bodies
        Those that could be placed.
    cannot
        Those that could not, and why.

    Yields
    ------
    Finding
        One a body that wants looking at.
    """
    for name, fault in cannot.items():
        because = (Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),)
        yield Finding(
            "fitup", name, f"Where does {name} stand?", Answer.LOOK, None, None, because, fault.remedy
        )  # fmt: skip
    for name, body in bodies.items():
        face = body.face
        if face is not None and face.off_mm > body.uneven_mm:
            shape = "circle" if face.radius_mm else "plane"
            said = f"Laid through all its points, the {shape} leaves {body.worst_point} {face.off_mm:.2f} mm beside it."
            yield Finding(
                "fitup", name, f"Do the points of {name} lie on one face?", Answer.LOOK, Figure(face.off_mm, "mm"),
                Figure(body.uneven_mm, "mm"), (Reason(said),),
                f"Leave out the point that stands off from the others, or give {name} a pm that allows for it.",
            )  # fmt: skip


def unplaced_findings(
    told: Gathered, envelopes: Mapping[str, Envelope], found: Adjusted, overlapping: Sequence[Overlap]
) -> Iterator[Finding]:
    """Say which parts have no place, and which way nobody knows that others point.

    Parameters
    ----------
    told
        What ties the parts.
    envelopes
        All parts' envelopes, by name.
    found
        Where the parts are.
    overlapping
        What stands into each other, some ways round at least.

    Yields
    ------
    Finding
        One a part that is fixed to nothing, slides, or whose direction is not fixed.
    """
    for name, envelope in envelopes.items():
        if name not in found.places:
            yield _fixed_to_nothing(name)
        elif name in found.loose:
            yield _slides(name)
        elif turns := found.free.get(name, ()):
            if len(turns) > 1:
                yield _points_anywhere(name, envelope, _met_by(name, overlapping))
            elif not envelope.is_round or abs(_own_axis(found, name, turns[0].axis)[2]) < 1 - 1e-6:
                yield _rolls(name, told, envelopes, found, _met_by(name, overlapping))


def contradiction_findings(told: Gathered, rounds: Sequence[Adjusted]) -> Iterator[Finding]:
    """Say which joints and points disagree with all others, and by how much.

    Parameters
    ----------
    told
        What ties the parts.
    rounds
        The adjustment of all ties, then again without the worst, and so on until nothing disagrees.

    Yields
    ------
    Finding
        One a tie that had to be let go.
    """
    for found in rounds:
        worst = worst_of(found)
        if worst is not None:
            yield _disagrees(worst, found, told)


def worst_of(found: Adjusted) -> Tested | None:
    """Find the tie that all others speak against.

    Parameters
    ----------
    found
        An adjustment.

    Returns
    -------
    Tested or None
        None where nothing disagrees by more than chance would have it once in a thousand times.
    """
    by_chance = [(float(chdtrc(each.rows, each.statistic)), -each.statistic, k) for k, each in enumerate(found.tested)]
    if not by_chance or min(by_chance)[0] > UNLIKELY:
        return None
    return found.tested[min(by_chance)[2]]


def overlap_findings(found: Sequence[Overlap], doubtful: bool = False) -> Iterator[Finding]:
    """Say which things stand into each other.

    Parameters
    ----------
    found
        The overlaps.
    doubtful
        Whether what is said of where parts stand cannot be true together: what is surveyed hangs together, so that one
        wrong figure moves them all.

    Yields
    ------
    Finding
        One a pair; a stop where it is more than what is not known.
    """
    for each in found:
        stands = "would, some ways round, stand" if each.any_way else "stands"
        said = [
            Reason(
                f"The {each.piece} of {each.one} {stands} {each.depth_mm:.2f} mm into the {each.other_piece} of "
                f"{each.other}" + (", more than their joint hides." if each.joined else ".")
            )
        ]
        if each.any_way:
            said.append(Reason(f"Nothing says which way {names_listed(each.any_way)} points: room is kept all round."))
        if each.assumed:
            said.append(Reason("The envelope of one of them is not measured.", "", Basis.ASSUMED))
        elif each.k2_mm > _NOT_KNOWN_MM:
            said.append(Reason("How the two lie to each other is not known."))
        elif not each.is_sure:
            said.append(Reason(f"How the two lie to each other is known to ± {each.k2_mm:.2f} mm only, k = 2."))
        do = (
            f"Look at {' and at '.join(each.figures)}, and at what says where the two stand: one of the figures is "
            "wrong, or they cannot both be there."
        )
        if each.any_way:
            do = f"Say which way round {names_listed(each.any_way)} stands."
        if doubtful:
            said.append(Reason("What is said of where parts stand disagrees and may have moved them: mend that first."))
        if each.body:
            do += f' If it is meant to go into {each.body}, say on = "{each.body}" of what is.'
        answer = Answer.STOP if each.is_sure and not doubtful else Answer.LOOK
        figure = Figure(each.depth_mm, "mm", each.k2_mm if each.k2_mm <= _NOT_KNOWN_MM else None)
        about = f"{each.one} and {each.other}"
        yield Finding("fitup", about, "Is there room for both?", answer, figure, Figure(0.1, "mm"), tuple(said), do)


def standing_finding(
    engine: str, envelopes: Mapping[str, Envelope], found: Adjusted, resting: Mapping[str, tuple[str, ...]]
) -> Finding:
    """Say how surely the parts are placed, whose envelope is assumed, and what is carried by nothing that is named.

    Parameters
    ----------
    engine
        The engine, by name.
    envelopes
        All parts' envelopes, by name.
    found
        Where the parts are.
    resting
        What each rests on.

    Returns
    -------
    Finding
        Go, or look where something rests on nothing.
    """
    surest = {name: _k2_mm(cov) for name, cov in found.covariance.items() if name not in found.loose}
    worst = max(surest, key=lambda name: surest[name])
    figure = Figure(surest[worst], "mm", None, 1)
    placed = f"{len(surest)} of {len(envelopes)} parts have a place"
    said = [Reason(f"{placed}; the least sure, {worst}, is within {figure} of it, k = 2.")]
    if found.freedom > 0:
        chance = 100 * float(chdtrc(found.freedom, found.chi_square))
        said.append(
            Reason(
                f"More is said of them than is needed, {found.freedom} times over, and it does not agree: chance would "
                "have it so less than once in a hundred times."
            )
            if chance < _UNLIKELY_PCT
            else Reason(
                f"More is said of them than is needed, {found.freedom} times over: all of it was used together, and "
                f"agrees as well as chance would have it {chance:.0f} times in a hundred."
            )
        )
    assumed = [name for name in surest if envelopes[name].basis is Basis.ASSUMED and envelopes[name].pieces]
    if assumed:
        said.append(Reason(f"Typical proportions are taken for {names_listed(assumed)}.", "", Basis.ASSUMED))
    bare = [name for name in surest if not envelopes[name].pieces]
    if bare:
        said.append(Reason(f"Nobody measured how long {names_listed(bare)} is: no room is kept for it."))
    floating = [name for name in surest if not resting.get(name)]
    if floating:
        said.append(Reason(f"Nothing says what carries {names_listed(floating)}."))
    measure = f"Measure {names_listed(bare)} and write its pieces under envelope." if bare else ""
    bad = found.freedom > 0 and chdtrc(found.freedom, found.chi_square) < _UNLIKELY_PCT / 100
    do = f"Say on = ... for {names_listed(floating)}, or add the joint that holds it." if floating else ""
    do = " ".join(each for each in (do, measure) if each)
    answer = Answer.LOOK if floating or bare or bad else Answer.GO
    return Finding("fitup", engine, "Where does everything stand?", answer, figure, None, tuple(said), do)


def _fixed_to_nothing(name: str) -> Finding:
    said = "No surveyed point is on it, and no joint leads from it to a part with one."
    do = f"Add the joint that holds it, or mark the middle of a face of {name} and name it: face = ... on its port."
    return Finding("fitup", name, f"What is {name} fixed to?", Answer.LOOK, None, None, (Reason(said),), do)


def _slides(name: str) -> Finding:
    said = "What is known of it leaves it free to slide: no face and no depth of a joint holds it."
    do = f"Say how much its joint hides (hidden = ...), or mark the middle of a face of {name}."
    return Finding("fitup", name, f"Where does {name} sit?", Answer.LOOK, None, None, (Reason(said),), do)


def _met_by(name: str, overlapping: Sequence[Overlap]) -> tuple[str, ...]:
    """What a part would stand into some ways round."""
    pairs = [(each.one, each.other) for each in overlapping if name in each.any_way]
    return tuple(dict.fromkeys(other for pair in pairs for other in pair if other != name))


def _kept_all_round(name: str, met: Sequence[str]) -> Reason:
    said = f"Room is kept all round it: pipes keep clear of all it could sweep, and so does what comes off past {name}."
    if met:
        said += f" Some ways round it would stand into {names_listed(met)}."
    return Reason(said)


def _points_anywhere(name: str, envelope: Envelope, met: Sequence[str]) -> Finding:
    said = "Its place is known, but nothing says which way it points: no axis, and no second face."
    port = next(iter(envelope.places), "a port")
    do = f"Mark a point behind its face and name it axis_from on {name}.{port}, or say what carries it."
    full = Figure(180.0, "deg", None, 0)
    because = (Reason(said), _kept_all_round(name, met))
    return Finding("fitup", name, f"Which way does {name} point?", Answer.LOOK, full, None, because, do)


def _rolls(
    name: str, told: Gathered, envelopes: Mapping[str, Envelope], found: Adjusted, met: Sequence[str]
) -> Finding:
    axis = _own_axis(found, name, found.free[name][0].axis)
    about = port_about(envelopes[name], axis)
    said = [
        f"Its turn about the axis of {about} is not fixed: it may point any way round, and counts as a full circle.",
        *(
            f"Its angle from {other} does not fix it: {other} may itself stand any way round."
            for other in angles_that_fix_nothing(name, told.ties, found)
        ),
    ]
    cures = roll_cures(name, axis, envelopes, told.joints, found)
    do = f"{'; or '.join(cures)}."
    full = Figure(180.0, "deg", None, 0)
    question = f"Which way round does {name} stand?"
    because = (*(Reason(each) for each in said), _kept_all_round(name, met))
    return Finding("fitup", name, question, Answer.LOOK, full, None, because, f"{do[0].upper()}{do[1:]}")


def _disagrees(worst: Tested, found: Adjusted, told: Gathered) -> Finding:
    loop = loop_of(worst, told)
    share = float(chdtri(worst.rows, UNLIKELY)) / worst.statistic
    in_line = worst.gap_mm == 0
    gap = Figure(worst.gap_deg, "deg", None, 1) if in_line else Figure(worst.gap_mm, "mm")
    limit = Figure(gap.value * share**0.5, gap.unit, None, gap.places)
    turned = f"{worst.gap_deg:.1f} deg"
    both = turned if in_line else f"{worst.gap_mm:.2f} mm"
    both += f" and {turned}" if not in_line and worst.gap_deg >= _ANY_DEG else ""
    said = [Reason(f"Let go at {worst.what}, everything else has it {both} away.")]
    if loop:
        said.insert(0, Reason(f"The joints {loop} go round in a loop, and it does not close."))
    rivals = [each for each in found.tested if each is not worst and each.statistic > _NEARLY * worst.statistic]
    if rivals:
        said.append(
            Reason(f"It may as well be {names_listed([each.what for each in rivals], 'or')}: nothing tells them apart.")
        )
    row = tuple(dict.fromkeys(part for each in (worst, *rivals) for part in each.parts))
    if not loop and len(row) > 1:
        said.append(Reason(f"The parts in question are {names_listed(row)}, from one surveyed place to another."))
    said.append(Reason("All of it was used together; nothing was left out of the places that are given."))
    question = "Does the loop of joints close?" if loop else f"Does {worst.what} agree with the rest?"
    do = " Or ".join(_look_at(each) for each in (worst, *rivals))
    about = names_listed(worst.parts)
    return Finding("fitup", about, question, Answer.STOP, gap, limit, tuple(said), f"{do[0].upper()}{do[1:]}")


def _look_at(tested: Tested) -> str:
    """The figures a tie rests on, and what would close it where that is one of them."""
    closes = f" With {tested.closes_at_mm:.1f} mm in it would close." if tested.closes_at_mm is not None else ""
    return f"look at {tested.rests_on}.{closes}"


def _own_axis(found: Adjusted, name: str, axis: Array) -> Array:
    return np.asarray(found.places[name].turn.T @ axis)


def _k2_mm(covariance: Array) -> float:
    return 2.0 * sqrt(max(float(np.linalg.eigvalsh(covariance[:3, :3])[-1]), 0.0))


def turned_k2_deg(covariance: Array, free: bool) -> float:
    """How far a part may be turned from how it is said to stand, the way it is least sure of, k = 2.

    Parameters
    ----------
    covariance
        (6, 6) of its place. [mm and rad]
    free
        Whether a turn of it is free; that one is then left out.

    Returns
    -------
    float
        Two standard deviations. [deg]

    Source
    ------
    Greatest eigenvalue of its turning part.
    """
    values = np.linalg.eigvalsh(covariance[3:, 3:])
    return degrees(2 * max(float(values[-2] if free else values[-1]), 0.0) ** 0.5)
