"""What is said of a pump: one question, one answer each.

Source: `trialfit.feed.pump_report` for the figures; the reasons carry their own sources.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from trialfit.feed.balls import BallValve
from trialfit.feed.pump import USUAL_SHARE
from trialfit.feed.pump_report import PumpAsked, PumpReport, at_each_speed
from trialfit.feed.pump_suction import MARGIN_MPA
from trialfit.finding import Answer, Band, Basis, Figure, Finding, Reason
from trialfit.parts.cited import cite
from trialfit.units import psi

STAGE = "feed"

INJECTOR_GOOD_C, INJECTOR_FAILS_C = 35.0, 45.0
"""Feed temperature under which a small injector works well, and over which it is expected to fail: assumed. [°C]"""

_METHOD = "docs/methods/flows.md"
_NEAR_LIMIT = 0.8


def pump_findings(report: PumpReport) -> tuple[Finding, ...]:
    """Say all there is to say of a pump.

    Parameters
    ----------
    report
        Its figures.

    Returns
    -------
    tuple of Finding
        Those that could be asked with what is known.
    """
    asked = report.asked
    found = [_feeds(report), _bypass(report), _air(report)]
    if report.suction is not None:
        found.append(_suction(report))
    found += [_ball(asked.name, valve) for valve in asked.valves]
    if asked.injector:
        found.append(injector_finding(asked.feed))
    return tuple(found)


def injector_finding(feed: Band, about: str = "injector") -> Finding:
    """Say whether an injector will take its water.

    Parameters
    ----------
    feed
        Temperature of the water it draws. [°C]
    about
        Its name.

    Returns
    -------
    Finding
        Go where it is surely under 35 °C, stop where it is surely over 45 °C.
    """
    over = feed.low > INJECTOR_FAILS_C
    answer = Answer.STOP if over else Answer.GO if feed.high < INJECTOR_GOOD_C else Answer.LOOK
    words = (
        f"A small injector works well on water under {INJECTOR_GOOD_C:.0f} °C and is expected to fail over "
        f"{INJECTOR_FAILS_C:.0f} °C."
    )
    do = (
        ""
        if answer is Answer.GO
        else "Let cold water into the tank; look whether something warms it: a bypass, a weep."
    )
    figure = Figure(feed.likely, "°C", None, 0) if feed.low == feed.high else feed
    return Finding(
        STAGE, about, "Is the water cold enough for the injector?", answer, figure,
        Figure(INJECTOR_FAILS_C, "°C", None, 0), (Reason(words, "", Basis.ASSUMED),), do,
    )  # fmt: skip


def _against(have: Band, need: Band) -> Answer:
    if have.low >= need.high:
        return Answer.GO
    return Answer.STOP if have.high < need.low else Answer.LOOK


def _at_all_speeds(asked: PumpAsked, have: Callable[[PumpReport], Band | None]) -> Answer:
    """Hold what it gives against what is used, at one speed of the engine after the other."""
    answers = set()
    for each in at_each_speed(asked):
        given, need = have(each), each.needed
        answers.add(Answer.LOOK if given is None or need is None else _against(given, need))
    return answers.pop() if len(answers) == 1 else Answer.LOOK


def _share_reason(report: PumpReport) -> Reason:
    pump = report.asked.pump
    words = (
        f"Ram {pump.ram_mm:.2f} mm, stroke {pump.stroke_mm:.2f} mm sweep {pump.swept_ml:.3f} mL; "
        f"{spread(pump.strokes)} strokes a minute; {spread(pump.share, 0, 100.0)} % of it arrives."
    )
    return Reason(words, "", Basis.PRACTICE if pump.share == USUAL_SHARE else Basis.COMPUTED)


def _feeds(report: PumpReport) -> Finding:
    asked, need = report.asked, report.needed
    reasons = [_share_reason(report)]
    if report.boiled is not None and asked.net is not None:
        words = (
            f"{spread(asked.net, None)} kW into the water boils away {spread(report.boiled, 1)} mL/min of feed at "
            f"{spread(asked.feed)} °C in a boiler at {psi(asked.pressure_mpa):.0f} psi."
        )
        reasons.append(Reason(words, "IAPWS R7-97(2012)", Basis.STANDARD))
    if report.drawn is not None:
        words = f"The cylinders draw {report.drawn} of feed as steam, 1.3 to 2.5 times what their volume says."
        reasons.append(Reason(words, "", Basis.PRACTICE))
    if need is None:
        reasons.append(
            Reason("Neither the fire's heat nor the cylinders were given, so there is no demand to set it by.")
        )
        answer, do = Answer.LOOK, "Give the heat that gets into the water, or the cylinders."
    else:
        answer = _at_all_speeds(asked, lambda each: each.delivers)
        do = {
            Answer.GO: "",
            Answer.LOOK: "Time how long it takes to fill a measure at running speed, against boiler pressure.",
            Answer.STOP: "It cannot keep the water up: a greater ram or stroke, or a second feed that works.",
        }[answer]
    limit = None if need is None else Figure(need.likely, "mL/min", None, 0)
    return Finding(STAGE, asked.name, "Does it feed what is used?", answer, report.delivers, limit, tuple(reasons), do)


def _bypass(report: PumpReport) -> Finding:
    asked, leak, need = report.asked, report.leak, report.needed
    pressure = f"{psi(asked.pressure_mpa):.0f} psi"
    reasons = [
        Reason(
            f"At {pressure} a sharp hole of {leak.half_mm:.2f} mm in the bypass takes half of what is pumped, one of "
            f"{leak.all_mm:.2f} mm the whole.",
            "discharge 0.6",
            Basis.MEMORY,
        )
    ]
    if leak.hole_mm == 0:
        return Finding(STAGE, asked.name, "How small a leak in the bypass matters?", Answer.GO,
                       Figure(leak.half_mm, "mm"), None, tuple(reasons))  # fmt: skip
    reasons.append(
        Reason(f"A hole of {leak.hole_mm:.2f} mm passes {leak.passes}.", "discharge 0.6 to 0.8", Basis.MEMORY)
    )
    answer = Answer.LOOK if need is None else _at_all_speeds(asked, lambda each: each.leak.left)
    do = (
        ""
        if answer is Answer.GO
        else "Lap or renew the bypass valve; the return to the tank should be dry with it shut."
    )
    limit = None if need is None else Figure(need.likely, "mL/min", None, 0)
    return Finding(STAGE, asked.name, "Does enough arrive though the bypass passes?", answer, leak.left, limit,
                   tuple(reasons), do)  # fmt: skip


def _air(report: PumpReport) -> Finding:
    asked, need = report.asked, report.needed
    stops = report.pocket_stops
    words = (
        f"An air pocket of {stops.low:.1f} to {stops.high:.1f} swept volumes, {stops.low * asked.pump.swept_ml:.2f} to "
        f"{stops.high * asked.pump.swept_ml:.2f} mL, stops all delivery at {psi(asked.pressure_mpa):.0f} psi, while "
        "the return to the tank looks perfect."
    )
    reasons = (Reason(words, _METHOD),)
    if report.with_air is None:
        volumes = replace(stops, unit="swept volumes")
        return Finding(STAGE, asked.name, "How much air in the barrel stops it?", Answer.GO, volumes, None, reasons)
    answer = Answer.LOOK if need is None else _at_all_speeds(asked, lambda each: each.with_air)
    return Finding(
        STAGE, asked.name, "Does it feed with air in its barrel?", answer, report.with_air,
        None if need is None else Figure(need.likely, "mL/min", None, 0), reasons,
        "Fill up the room over the ram, and bleed it at the highest place; see whether the gland draws air.",
    )  # fmt: skip


def _suction(report: PumpReport) -> Finding:
    found, asked = report.suction, report.asked
    assert found is not None
    limit, speed = found.limit_strokes_min, asked.pump.strokes
    sure = speed.high <= _NEAR_LIMIT * limit.low
    answer = Answer.GO if sure else Answer.STOP if speed.low > limit.high else Answer.LOOK
    reasons = (
        Reason(
            f"The atmosphere has {found.standing_mpa * 1000:.0f} kPa to spare for moving the water; at "
            f"{speed.high:.0f} strokes a minute its mass takes up to {found.inertia_mpa * 1000:.0f} kPa and friction "
            f"up to {found.friction_mpa * 1000:.0f} kPa, at different times of the stroke.", _METHOD,
        ),
        Reason(f"{MARGIN_MPA * 1000:.0f} kPa are kept over boiling.", "", Basis.PRACTICE),
        Reason(
            f"Losses of fittings and valves are good to a factor of two at this size{_passing(asked)}.",
            "", Basis.ASSUMED,
        ),
    )  # fmt: skip
    do = "" if sure else "A wider or shorter suction pipe: the mass to be moved goes with length over bore squared."
    return Finding(STAGE, asked.name, "Does the suction keep up?", answer, _figure(speed),
                   Figure(limit.low, "a minute", None, 0), reasons, do)  # fmt: skip


def _passing(asked: PumpAsked) -> str:
    passes = asked.suction.passes if asked.suction is not None else ()
    counted = [f"{passes.count(each)} × {each}" if passes.count(each) > 1 else each for each in dict.fromkeys(passes)]
    return f"; counted are the pipe's mouth, {', '.join(counted)}" if counted else ""


def _ball(about: str, valve: BallValve) -> Finding:
    ratio, tangent = valve.ratio_rule, valve.tangent_rule
    reasons = [
        Reason(
            f"Ball over seat {valve.ratio:.2f}, seat over ball {valve.seat_share:.2f}, touching at "
            f"{valve.tangent_deg:.0f} deg to the axis; the rule is {ratio.low:g} to {ratio.high:g} and {tangent.low:g} "
            f"to {tangent.high:g} deg.",
            cite(ratio.sources),
            ratio.basis,
        )
    ]
    for each in valve.rules:
        lifts = _range(each.low_mm, each.high_mm, "mm")
        share = _range(100 * each.low_share, 100 * each.high_share, "%", 0)
        reasons.append(
            Reason(
                f"{each.rule.name[:1].upper()}{each.rule.name[1:]}: {lifts}, a way of {share} of the bore.",
                cite(each.rule.sources),
                each.rule.basis,
            )
        )
    reasons.append(Reason(f"By geometry the way is as great as the bore at a lift of {valve.full_lift_mm:.2f} mm."))
    which = f"the {valve.where}'s " if valve.where else ""
    question = f"Do {which}ball {valve.ball_mm:.2f} mm and seat {valve.bore_mm:.2f} mm keep the rules?"
    good = valve.ratio_agrees and (valve.lift_mm is None or any(each.agrees for each in valve.rules))
    figure = Figure(valve.ratio, "-") if valve.lift_mm is None else Figure(valve.lift_mm, "mm")
    do = "" if good else "The rules differ; too great a lift hammers, too small a lift throttles. Try it on the bench."
    return Finding(STAGE, about, question, Answer.GO if good else Answer.LOOK, figure, None, tuple(reasons), do)


def spread(band: Band, places: int | None = 0, times: float = 1.0) -> str:
    """Write a band as it stands in a sentence.

    Parameters
    ----------
    band
        The band.
    places
        Decimals; None for as many as it takes. [-]
    times
        What it is multiplied by. [-]

    Returns
    -------
    str
        Such as ``180 to 300``; one figure where they are alike.
    """
    low, high = (f"{times * end:g}" if places is None else f"{times * end:.{places}f}" for end in (band.low, band.high))
    return low if low == high else f"{low} to {high}"


def _figure(band: Band) -> Figure | Band:
    return Figure(band.likely, band.unit, None, band.places) if band.low == band.high else band


def _range(low: float, high: float, unit: str, places: int = 2) -> str:
    a, b = f"{low:.{places}f}", f"{high:.{places}f}"
    return f"{a} {unit}" if a == b else f"{a} to {b} {unit}"
