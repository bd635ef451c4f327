"""Whether a pipe that was laid out will go on: chance, ways out, strain, seats and heat, as findings.

Source: `trialfit.fitup.ways_out`, `strain` and `seats_rule`; temperature of steam by `trialfit.tables.steam`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from trialfit.finding import Answer, Basis, Figure, Finding, Reason
from trialfit.fitup.landing import scatter_of
from trialfit.fitup.records import DropOn, PipePlan, Strain
from trialfit.fitup.seats_rule import seats_finding
from trialfit.fitup.strain import heat_shift_mm, seated
from trialfit.fitup.ways_out import ENOUGH_PCT, Further, drop_on, hold
from trialfit.job.shop import Shop
from trialfit.parts.build import find_port
from trialfit.parts.place import Surveyed, two_faces
from trialfit.parts.records import Part
from trialfit.tables.metals import find_metal
from trialfit.tables.steam import boiler_c

# The bench it is fitted at; assumed.
FITTED_C = 20.0


@dataclass(frozen=True)
class Fit:
    """All that is asked of one pipe's going on.

    Parameters
    ----------
    drop_on
        The chance and the ways out.
    heat
        What it stands when it is as hot as the boiler and its faces stay where they are.
    findings
        The answers, the chance first.
    """

    drop_on: DropOn
    heat: Strain
    findings: tuple[Finding, ...]


def fit_of(
    pipe: PipePlan,
    parts: Iterable[Part],
    survey: Surveyed,
    shop: Shop,
    working_mpa: float,
    foreseen: Iterable[tuple[str, Surveyed]] = (),
) -> Fit:
    """Ask of a pipe whether it will go on.

    Parameters
    ----------
    pipe
        The pipe, laid out.
    parts
        The job's parts, built.
    survey
        The surveyed points.
    shop
        The workshop that bends it.
    working_mpa
        Working pressure of the boiler, gauge. [MPa]
    foreseen
        What could still be asked for, in words, with the survey as sure as it would then be.

    Returns
    -------
    Fit
        Complete.

    Raises
    ------
    Refusal
        A port without a surveyed face, or a metal that is not in the tables.
    """
    parts = tuple(parts)
    ports = find_port(parts, pipe.start.name), find_port(parts, pipe.end.name)
    further = [Further(words, two_faces(surer, *ports)[2]) for words, surer in foreseen]
    found = drop_on(pipe, two_faces(survey, *ports)[2], scatter_of(shop.scatter), further)
    held, hot_c = hold(pipe), boiler_c(working_mpa)
    expansion = find_metal(pipe.tube.metal).expansion.likely
    lever = pipe.end.position_mm - pipe.start.position_mm
    shift = heat_shift_mm(lever, expansion, hot_c - FITTED_C, np.zeros(3))
    heat = seated(held, shift, np.zeros(3))
    seats = seats_finding(pipe, ports, held)
    findings = [_chance(found), _strain(found), *([] if seats is None else [seats])]
    findings.append(_heat(pipe, heat, hot_c, float(np.linalg.norm(shift))))
    return Fit(found, heat, tuple(findings))


def _chance(found: DropOn) -> Finding:
    planned = found.ways[0]
    enough = planned.chance.value >= ENOUGH_PCT
    said = [Reason(f"As planned: {planned.chance}. {planned.counts}", "", Basis.ASSUMED)]
    said += [
        Reason(f"{way.name[0].upper()}{way.name[1:]}: {way.chance}. {way.counts}", "", Basis.ASSUMED)
        for way in found.ways[1:]
    ]
    if not enough:
        said.append(
            Reason(
                f"Recommended: {found.best.name}, the least trouble among the ways of {ENOUGH_PCT:.0f} % or over, or "
                "else the likeliest."
            )
        )
    return Finding(
        "fitup",
        found.pipe,
        "Will it drop on?",
        Answer.GO if enough else Answer.LOOK,
        planned.chance,
        Figure(ENOUGH_PCT, "%", None, 0),
        tuple(said),
        "" if enough else found.best.do,
    )


def _strain(found: DropOn) -> Finding:
    loose, home = found.loose, found.home
    said = [
        Reason(
            f"Its far end may stray {found.stray}, k = 2. To draw it over from there takes {loose.force} with the nut "
            f"finger tight and {home.force} with the cone home, if the tube only springs; the start's tail then stands "
            f"{loose.start_moment} and {home.start_moment}."
        ),
        Reason(f"The tube would stand {loose.stress} {loose.where}, and sets from {loose.proof}, annealed."),
    ]
    do = ""
    if loose.takes_a_set:
        said.append(
            Reason(
                f"So it does not only spring: pushed {found.set_through} over by about {found.set_force} it comes back "
                f"{found.springs_back} and the rest stays. It bends at {found.bends_at}, and no tail "
                "stands more from it. In soft copper that is normal, in a silver-soldered tail it is not. Hardening is "
                "left out: it takes more the second time."
            )
        )
        do = "Set it over by hand, off the engine and held beside its cone; do not draw it on with the nut."
    answer = Answer.LOOK if loose.takes_a_set else Answer.GO
    question = "What if it is pulled onto its face?"
    return Finding("fitup", found.pipe, question, answer, loose.stress, loose.proof, tuple(said), do)


def _heat(pipe: PipePlan, heat: Strain, hot_c: float, shift_mm: float) -> Finding:
    most = Figure(2 * heat.proof.value, "MPa", None, 0)
    calm = heat.stress.value <= most.value
    said = (
        Reason(
            f"From {FITTED_C:g} to {hot_c:.0f} °C it grows {shift_mm:.2f} mm between its faces. If they stay "
            f"where they are it pushes with {heat.force}, and the tails stand {heat.start_moment} "
            f"and {heat.end_moment}."
        ),
        Reason(
            "That the whole pipe is as hot as the boiler and neither face gives way is the worst there can be.",
            "",
            Basis.ASSUMED,
        ),
        Reason(
            "Up to twice the proof stress it sets once, when first hot, and springs ever after; beyond that it works "
            "at every heating, and tires.",
            "from memory: shakedown of strain-controlled stress",
            Basis.MEMORY,
        ),
    )
    stands = (hot_c - FITTED_C) * most.value / heat.stress.value if heat.stress.value > 0 else 0.0
    do = f"If it carries steam, give it a longer way round so that it can give; a rise of {stands:.0f} K it stands."
    answer = Answer.GO if calm else Answer.LOOK
    return Finding(
        "fitup", pipe.name, "Does it stand its own growth in heat?", answer, heat.stress, most, said, "" if calm else do
    )
