"""What is said of a pressure test: one question, one answer each. Nothing here certifies anything.

Source: `trialfit.strength.pressure_report` for the figures; the reasons carry their own sources.
"""

from __future__ import annotations

from collections.abc import Iterator

from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis, Figure, Finding, Reason, places_for
from trialfit.job.records import Job
from trialfit.parts.cited import cite
from trialfit.strength.hold_findings import STAGE, bar, hold_by_air, hold_by_water
from trialfit.strength.pressure import Stands
from trialfit.strength.pressure_report import LeakSeen, PressureTest, pressure_test
from trialfit.strength.test_plan import air_limit
from trialfit.tables.codes import cautions
from trialfit.tables.rules import rule
from trialfit.tables.steam import NOT_SUPERHEATED, boiler_c
from trialfit.units import psi

ENOUGH_TIMES, LEAST_TIMES = 4.0, 1.0
"""Times the working pressure a wall is good for by the yardstick: what raises no question (common practice, no source);
and less than which it does not stand it. [-]"""

WET_PLACE = (
    "Look for the wet place, then let the pressure off and make that joint again. Dry everywhere, it was warmth or the "
    "hose: bleed, wait until it has the room's warmth, and hold it again."
)
BUBBLES = "Find the place under water, let the pressure off, and make that joint again. Then water first."

WHO_DECIDES = Reason(
    "Codes are quoted so that they can be found. What is tested, and to what, the inspector, the insurer and the local "
    "code decide."
)


def pressure_findings(test: PressureTest) -> tuple[Finding, ...]:
    """Say all there is to say of a pressure test.

    Parameters
    ----------
    test
        The test, worked out.

    Returns
    -------
    tuple of Finding
        Walls, joints, codes, water against air, how long to hold, what was seen.
    """
    found = [_stands(test, each) for each in test.stands]
    found += _joints(test)
    found += [_codes(test), hold_by_water(test), _air(test), hold_by_air(test)]
    found += [_seen(test, each) for each in test.seen]
    return tuple(found)


def tested(job: Job) -> tuple[tuple[PressureTest, ...], tuple[Finding, ...]]:
    """Work out every pressure test of a job, and stop where one cannot be worked out instead of failing.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    tuple
        The tests, and all that is said of them.
    """
    each = list(tested_by_name(job).values())
    return tuple(test for test, _ in each if test is not None), tuple(found for _, said in each for found in said)


def tested_by_name(job: Job) -> dict[str, tuple[PressureTest | None, tuple[Finding, ...]]]:
    """Work out every pressure test of a job, and keep what is said of each with it.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    dict
        By the test's name: the test, None where it cannot be worked out, and what is said of it.
    """
    found: dict[str, tuple[PressureTest | None, tuple[Finding, ...]]] = {}
    for name in job.pressure_tests:
        try:
            test = pressure_test(job, name)
        except Refusal as refusal:
            fault = refusal.fault
            because = (Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),)
            question = "Can the pressure test be worked out?"
            found[name] = None, (Finding(STAGE, name, question, Answer.STOP, because=because, do=fault.remedy),)
        else:
            found[name] = test, pressure_findings(test)
    return found


def _p(pressure_mpa: float) -> str:
    return f"{psi(pressure_mpa):.0f} psi"


def _reckoned(pressure_mpa: float) -> Figure:
    """A yardstick's pressure, which deserves no more figures than the code prints its stress with."""
    return Figure(psi(pressure_mpa), "psi", None, places_for(psi(pressure_mpa), 3))


def _stands(test: PressureTest, each: Stands) -> Finding:
    times = each.least_mpa / test.working_mpa
    answer = Answer.GO if times >= ENOUGH_TIMES else Answer.STOP if times < LEAST_TIMES else Answer.LOOK
    tube = each.bend is not None or each.name in (*test.entry.pipes, *test.entry.tubes)
    reasons = [
        Reason(
            f"By the yardstick of ASME B31, P = 2 S t / (D - 0.8 t), {_reckoned(each.b31_mpa)}: least wall "
            f"{each.wall_mm:.2f} mm, allowed stress {_reckoned(each.stress_mpa)} at {each.temperature_c:.0f} °C.",
            "Copper Tube Handbook" if tube else "", Basis.HANDBOOK if tube else Basis.ASSUMED,
        ),
        Reason(f"By Lamé with the same stress {_reckoned(each.lame_mpa)}."),
    ]  # fmt: skip
    if each.bend is not None and each.oval_mpa is not None:
        bend = each.bend
        reasons += [
            Reason(
                f"The bend of {bend.radius_mm:.1f} mm leaves {bend.outer_mm:.2f} mm outside and {bend.inner_mm:.2f} mm "
                f"inside; it is worth a straight wall of {bend.as_straight_mm:.2f} mm, t / (1 + D/(4R)).",
                "ASME B31.3 304.2.1", Basis.HANDBOOK,
            ),
            Reason(
                f"With its flattening counted in full {_reckoned(each.oval_mpa)}; soft copper rounds itself first.",
                *_flattening(test),
            ),
        ]  # fmt: skip
    if tube:
        reasons.append(Reason("Annealed, wall 10 % under and diameter 0.002 in over nominal.", "", Basis.ASSUMED))
    else:
        reasons.append(
            Reason(
                "Allowed: the lesser of 2/3 of proof and 1/4 of tensile strength, soft from the torch, less "
                "with heat as copper's.",
                "",
                Basis.ASSUMED,
            )
        )
    if test.entry.hot:
        reasons.append(Reason(NOT_SUPERHEATED))
    reasons.append(Reason("Threads, dents and joints are weaker and are not reckoned here."))
    reasons.append(Reason(f"Under {ENOUGH_TIMES:g} times working pressure it is looked at.", "", Basis.PRACTICE))
    do = {
        Answer.GO: "",
        Answer.LOOK: "Measure wall and flattening again; threads, dents and joints are weaker still.",
        Answer.STOP: "Do not put pressure on it: a thicker wall, or a wider bend.",
    }[answer]
    least = LEAST_TIMES if answer is Answer.STOP else ENOUGH_TIMES
    limit = Figure(least, "times", None, 0)
    return Finding(
        STAGE, f"{test.name}: {each.name}", "How many times the working pressure is the wall good for?", answer,
        Figure(times, "times", None, places_for(times)), limit, tuple(reasons), do,
    )  # fmt: skip


def _flattening(test: PressureTest) -> tuple[str, Basis]:
    if test.entry.ovality is None:
        return "8 % of flattening, the most ASME B31.3 allows a bend", Basis.ASSUMED
    return "flattening of the job", Basis.MEASURED


def _joints(test: PressureTest) -> Iterator[Finding]:
    about = {"soft-soldered": "soft-soldered copper joint", "silver-soldered": "brazed copper joint"}
    for joint in test.entry.joints:
        if joint not in about or not test.entry.hot:
            continue
        found = rule(about[joint], "saturated steam")
        most = found.high or 0.0
        over = psi(test.working_mpa) > most
        answer = Answer.GO if not over else Answer.STOP if joint == "soft-soldered" else Answer.LOOK
        words = f"Full-size rules allow {most:g} psi of saturated steam on a {about[joint]}: a yardstick, no model law."
        reasons = (
            Reason(words, cite(found.sources), found.basis),
            Reason(f"At {_p(test.working_mpa)} it is at {boiler_c(test.working_mpa):.0f} °C. {NOT_SUPERHEATED}"),
        )
        do = "" if not over else "Silver-solder it." if answer is Answer.STOP else "Ask the boiler inspector."
        yield Finding(
            STAGE, test.name, f"Does the yardstick let a {joint} joint work there?", answer,
            Figure(psi(test.working_mpa), "psi", None, 0), Figure(most, "psi", None, 0), reasons, do,
        )  # fmt: skip


def _codes(test: PressureTest) -> Finding:
    reasons = []
    for each in test.codes:
        if each.low_mpa is None and each.high_mpa is not None:
            pressure = f"up to {_p(each.high_mpa)}"
        else:
            pressure = _p(each.low_mpa or 0.0)
        times = each.rule.high if each.rule.high is not None else each.rule.low
        tail = f"; {each.rule.text}" if each.rule.text else ""
        words = f"{each.rule.subject}, {each.rule.name}: {times:g} times working pressure, {pressure}{tail}."
        reasons.append(Reason(words[:1].upper() + words[1:], cite(each.rule.sources), each.rule.basis))
    energy = test.water_energy
    if test.entry.water is not None:
        reasons.append(Reason(agreed_words(test)))
    reasons.append(
        Reason(
            f"At {_p(energy.gauge_mpa)} {energy.volume_ml:g} mL hold {_joules(energy.water_j)} as water; "
            f"{100 * energy.trapped_share:g} % of air left in it is {100 * energy.trapped_part:.0f} % of that. "
            f"Filled with air it would be {_joules(energy.air_j)}.",
            "docs/methods/pressure.md",
        )
    )
    reasons.append(WHO_DECIDES)
    agreed_on = test.entry.water is not None and bool(test.entry.agreed_with)
    do = "Fill with water, bleed all air at the highest place, and go by what was agreed."
    if not agreed_on:
        do = "Agree the pressure with the inspector before anything is pumped up; write it in the job. " + do
    figure = None if test.entry.water is None else Figure(psi(energy.gauge_mpa), "psi", None, 0)
    return Finding(
        STAGE, test.name, "What do codes say of a water test?", Answer.LOOK, figure, None, tuple(reasons), do
    )


def _joules(energy_j: float) -> str:
    return str(Figure(energy_j, "J", None, places_for(energy_j)))


def agreed_words(test: PressureTest) -> str:
    """Say which pressure of water the job gives.

    Parameters
    ----------
    test
        The test.

    Returns
    -------
    str
        The pressure, and with whom it was agreed.
    """
    return f"The job says {test.entry.water}, agreed with {test.entry.agreed_with or 'nobody named'}."


def _air(test: PressureTest) -> Finding:
    limit, energy = air_limit(), test.air_energy
    reasons = (
        Reason(f"{limit.low:g} to {limit.high:g} bar, {limit.text}.", "", limit.basis),
        Reason(
            f"{energy.volume_ml:g} mL of air at {bar(test.air_mpa)} hold {_joules(energy.air_j)}; water at the same "
            f"pressure {_joules(energy.water_j)}.", "docs/methods/pressure.md",
        ),
        *(Reason(each.text, cite(each.sources), each.basis) for each in cautions() if each.name == "risk"),
    )  # fmt: skip
    passed = any(each.seen.medium == "water" and not _believed_mpa(test, each) for each in test.seen)
    do = "Under water, behind a screen, never more. " + ("" if passed else "First the water test.")
    return Finding(
        STAGE, test.name, "With how much air may leaks be looked for?", Answer.LOOK,
        Figure(test.air_mpa * 10, "bar", None, 2), Figure(limit.high or 0.0, "bar", None, 2), reasons, do.strip(),
    )  # fmt: skip


def seen_question(each: LeakSeen) -> str:
    """Ask what one test showed.

    Parameters
    ----------
    each
        What was seen.

    Returns
    -------
    str
        The question, by medium and day.
    """
    return f"What did the test by {each.seen.medium} of {each.seen.day.isoformat()} show?"


def _seen(test: PressureTest, each: LeakSeen) -> Finding:
    seen = each.seen
    question = seen_question(each)
    reasons = [Reason(f"{seen.pressure}, {seen.what or 'nothing written'}.", seen.by, Basis.MEASURED)]
    worst = 0.0
    for how, leak in (("bubbles", each.from_bubbles), ("the gauge", each.from_gauge)):
        if leak is None:
            continue
        worst = max(worst, leak.water_high_ml_h)
        reasons.append(
            Reason(
                f"By {how} {leak.air_ml_min:.2f} mL/min of air, a hole of {leak.hole_um:.0f} to "
                f"{leak.capillary_um:.0f} µm; {leak.water_low_ml_h:.1f} to {leak.water_high_ml_h:.1f} mL/h of cold "
                f"water at {_p(leak.water_mpa)}, to a factor of two or three.",
                "capillary of 3 mm",
                Basis.ASSUMED,
            )
        )
    lost_mpa = 0.0 if seen.after is None else float(seen.pressure.to("MPa") - seen.after.to("MPa"))
    if seen.medium == "water" and lost_mpa > 0 and test.by_water is not None:
        gives, warm = test.by_water.gives, test.by_water.per_kelvin
        reasons.append(
            Reason(
                f"The fall is {1000 * lost_mpa * gives.low:.2g} to {1000 * lost_mpa * gives.high:.2g} µL of water, or "
                f"cooling by {lost_mpa / warm.high:.1g} to {lost_mpa / warm.low:.1g} K, or a hose that gave.",
                "0 to 1 % of air left in it", Basis.ASSUMED,
            )
        )  # fmt: skip
    believed = _believed_mpa(test, each)
    if seen.medium == "water" and lost_mpa > 0 and not believed:
        reasons.append(Reason("It is less than is believed of this gauge.", "", Basis.PRACTICE))
    tight = worst == 0.0 and not believed and seen.bubbles is None
    do = "" if tight else WET_PLACE if seen.medium == "water" else BUBBLES
    figure = Figure(worst, "mL/h", None, 1) if worst else None
    return Finding(STAGE, test.name, question, Answer.GO if tight else Answer.LOOK, figure, None, tuple(reasons), do)


def _believed_mpa(test: PressureTest, each: LeakSeen) -> float:
    """The fall, as far as it is believed: by water less than two divisions may be how the gauge was read."""
    seen = each.seen
    lost_mpa = 0.0 if seen.after is None else float(seen.pressure.to("MPa") - seen.after.to("MPa"))
    least_mpa = test.by_water.fall_mpa if seen.medium == "water" and test.by_water is not None else 0.0
    return lost_mpa if lost_mpa > 0 and lost_mpa > least_mpa * (1 - 1e-9) else 0.0
