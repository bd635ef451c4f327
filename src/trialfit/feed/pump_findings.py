"""What is said of a pump: one question, one answer each.

Source: `trialfit.feed.pump_report` for the figures; the reasons carry their own sources.
"""

from __future__ import annotations

from trialfit.feed.balls import BallValve
from trialfit.feed.pump import USUAL_SHARE
from trialfit.feed.pump_report import PumpReport
from trialfit.feed.pump_suction import MARGIN_MPA
from trialfit.finding import Answer, Band, Basis, Figure, Finding, Reason
from trialfit.parts.cited import cite
from trialfit.units import psi

STAGE, ABOUT = "feed", "pump"

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
    found += [_ball(valve) for valve in asked.valves]
    if asked.injector:
        found.append(injector_finding(asked.feed_c))
    return tuple(found)


def injector_finding(feed_c: float) -> Finding:
    """Say whether an injector will take its water.

    Parameters
    ----------
    feed_c
        Temperature of the water it draws. [°C]

    Returns
    -------
    Finding
        Go under 35 °C, stop over 45 °C.
    """
    over = feed_c > INJECTOR_FAILS_C
    answer = Answer.STOP if over else Answer.GO if feed_c < INJECTOR_GOOD_C else Answer.LOOK
    words = (
        f"A small injector works well on water under {INJECTOR_GOOD_C:.0f} °C and is expected to fail over "
        f"{INJECTOR_FAILS_C:.0f} °C."
    )
    do = (
        ""
        if answer is Answer.GO
        else "Let cold water into the tank; look whether something warms it: a bypass, a weep."
    )
    return Finding(
        STAGE, "injector", "Is the water cold enough for the injector?", answer, Figure(feed_c, "°C", None, 0),
        Figure(INJECTOR_FAILS_C, "°C", None, 0), (Reason(words, "", Basis.ASSUMED),), do,
    )  # fmt: skip


def _against(have: Band, need: Band) -> Answer:
    if have.low >= need.high:
        return Answer.GO
    return Answer.STOP if have.high < need.low else Answer.LOOK


def _share_reason(report: PumpReport) -> Reason:
    pump = report.asked.pump
    words = (
        f"Ram {pump.ram_mm:.2f} mm, stroke {pump.stroke_mm:.2f} mm sweep {pump.swept_ml:.3f} mL; "
        f"{pump.strokes_min:.0f} strokes a minute; {100 * pump.share.low:.0f} to {100 * pump.share.high:.0f} % of it "
        "arrives."
    )
    return Reason(words, "", Basis.PRACTICE if pump.share == USUAL_SHARE else Basis.COMPUTED)


def _feeds(report: PumpReport) -> Finding:
    asked, need = report.asked, report.needed
    reasons = [_share_reason(report)]
    if report.boiled is not None:
        words = (
            f"{asked.net_kw:g} kW into the water boils away {report.boiled.likely:.1f} mL/min of feed at "
            f"{asked.feed_c:.0f} °C in a boiler at {psi(asked.pressure_mpa):.0f} psi."
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
        answer = _against(report.delivers, need)
        do = {
            Answer.GO: "",
            Answer.LOOK: "Time how long it takes to fill a measure at running speed, against boiler pressure.",
            Answer.STOP: "It cannot keep the water up: a greater ram or stroke, or a second feed that works.",
        }[answer]
    limit = None if need is None else Figure(need.likely, "mL/min", None, 0)
    return Finding(STAGE, ABOUT, "Does it feed what is used?", answer, report.delivers, limit, tuple(reasons), do)


def _bypass(report: PumpReport) -> Finding:
    leak, need = report.leak, report.needed
    pressure = f"{psi(report.asked.pressure_mpa):.0f} psi"
    reasons = [
        Reason(
            f"At {pressure} a sharp hole of {leak.half_mm:.2f} mm in the bypass takes half of what is pumped, one of "
            f"{leak.all_mm:.2f} mm the whole.",
            "discharge 0.6",
            Basis.MEMORY,
        )
    ]
    if leak.hole_mm == 0:
        return Finding(STAGE, ABOUT, "How small a leak in the bypass matters?", Answer.GO,
                       Figure(leak.half_mm, "mm"), None, tuple(reasons))  # fmt: skip
    reasons.append(
        Reason(f"A hole of {leak.hole_mm:.2f} mm passes {leak.passes}.", "discharge 0.6 to 0.8", Basis.MEMORY)
    )
    answer = Answer.LOOK if need is None else _against(leak.left, need)
    do = (
        ""
        if answer is Answer.GO
        else "Lap or renew the bypass valve; the return to the tank should be dry with it shut."
    )
    limit = None if need is None else Figure(need.likely, "mL/min", None, 0)
    return Finding(STAGE, ABOUT, "Does enough arrive though the bypass passes?", answer, leak.left, limit,
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
        return Finding(STAGE, ABOUT, "How much air in the barrel stops it?", Answer.GO, stops, None, reasons)
    answer = Answer.LOOK if need is None else _against(report.with_air, need)
    return Finding(
        STAGE, ABOUT, "Does it feed with air in its barrel?", answer, report.with_air,
        None if need is None else Figure(need.likely, "mL/min", None, 0), reasons,
        "Fill up the room over the ram, and bleed it at the highest place; see whether the gland draws air.",
    )  # fmt: skip


def _suction(report: PumpReport) -> Finding:
    found, asked = report.suction, report.asked
    assert found is not None
    limit, speed = found.limit_strokes_min, asked.pump.strokes_min
    sure = speed <= _NEAR_LIMIT * limit.low
    answer = Answer.GO if sure else Answer.STOP if speed > limit.high else Answer.LOOK
    reasons = (
        Reason(
            f"The atmosphere has {found.standing_mpa * 1000:.0f} kPa to spare for moving the water; at {speed:.0f} "
            f"strokes a minute its mass takes up to {found.inertia_mpa * 1000:.0f} kPa and friction up to "
            f"{found.friction_mpa * 1000:.0f} kPa, at different times of the stroke.", _METHOD,
        ),
        Reason(f"{MARGIN_MPA * 1000:.0f} kPa are kept over boiling.", "", Basis.PRACTICE),
        Reason("Losses of fittings and valves are good to a factor of two at this size.", "", Basis.ASSUMED),
    )  # fmt: skip
    do = "" if sure else "A wider or shorter suction pipe: the mass to be moved goes with length over bore squared."
    return Finding(STAGE, ABOUT, "Does the suction keep up?", answer, Figure(speed, "a minute", None, 0),
                   Figure(limit.low, "a minute", None, 0), reasons, do)  # fmt: skip


def _ball(valve: BallValve) -> Finding:
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
                f"{each.rule.name}: {lifts}, a way of {share} of the bore.",
                cite(each.rule.sources),
                each.rule.basis,
            )
        )
    reasons.append(Reason(f"By geometry the way is as great as the bore at a lift of {valve.full_lift_mm:.2f} mm."))
    question = f"Do ball {valve.ball_mm:.2f} mm and seat {valve.bore_mm:.2f} mm keep the rules?"
    good = valve.ratio_agrees and (valve.lift_mm is None or any(each.agrees for each in valve.rules))
    figure = Figure(valve.ratio, "-") if valve.lift_mm is None else Figure(valve.lift_mm, "mm")
    do = "" if good else "The rules differ; too great a lift hammers, too small a lift throttles. Try it on the bench."
    return Finding(STAGE, ABOUT, question, Answer.GO if good else Answer.LOOK, figure, None, tuple(reasons), do)


def _range(low: float, high: float, unit: str, places: int = 2) -> str:
    a, b = f"{low:.{places}f}", f"{high:.{places}f}"
    return f"{a} {unit}" if a == b else f"{a} to {b} {unit}"
