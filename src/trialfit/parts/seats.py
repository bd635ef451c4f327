"""Whether two seats close on each other.

Source: geometry of a cone within a cone; the tolerance of angle is a rule of `trialfit.tables.rules`.
"""

from __future__ import annotations

from trialfit.finding import Answer, Figure, Reason
from trialfit.parts.cited import cite
from trialfit.parts.records import Check, Port, Seat
from trialfit.tables.rules import Rule, rule


def seat_checks(a: Port, b: Port) -> tuple[Check, ...]:
    """Hold two seats against each other.

    Parameters
    ----------
    a, b
        The two ports; both have a seat.

    Returns
    -------
    tuple of Check
        Kind, gender and angle, as far as each has a meaning for these two.
    """
    if a.seat is None or b.seat is None:
        return ()
    kinds = {a.seat.kind, b.seat.kind}
    if kinds == {"flat"}:
        return (Check("seat", Answer.GO, Reason("Both seats are flat.")),)
    if "flat" in kinds:
        return (_unlike(a, b, a.seat, b.seat),)
    if a.seat.gender == b.seat.gender:
        return (_same_gender(a, b, a.seat),)
    if kinds == {"cone"}:
        return (_cones(a, b, a.seat, b.seat),)
    return (_with_ball(a, b, a.seat, b.seat),)


def _unlike(a: Port, b: Port, one: Seat, other: Seat) -> Check:
    said = f"{a.full_name} has a {one.kind} seat and {b.full_name} a {other.kind} seat: they touch on an edge."
    do = "Make both seats of one kind; a washer goes between flat ones only."
    return Check("seat", Answer.STOP, Reason(said), do)


def _same_gender(a: Port, b: Port, seat: Seat) -> Check:
    said = f"Both seats are {seat.gender}: {a.full_name} and {b.full_name}."
    return Check("seat", Answer.STOP, Reason(said), "Turn one of the two the other way about.")


def _with_ball(a: Port, b: Port, one: Seat, other: Seat) -> Check:
    if one.kind == other.kind:
        return Check("seat", Answer.GO, Reason("A ball seat in a hollow of its own kind."))
    ball_port, ball, cone_port = (a, one, b) if one.kind == "ball" else (b, other, a)
    if ball.gender == "male":
        return Check("seat", Answer.GO, Reason(f"The ball of {ball_port.full_name} seats in a cone of any angle."))
    said = f"The male cone of {cone_port.full_name} meets the hollow ball seat of {ball_port.full_name} on its edge."
    return Check("seat", Answer.STOP, Reason(said), "Make both seats cones of one angle.")


def _cones(a: Port, b: Port, one: Seat, other: Seat) -> Check:
    for port, seat in ((a, one), (b, other)):
        if seat.angle_deg is None:
            said = f"The cone angle of {port.full_name} is not given, and no standard settles it for small unions."
            return Check("seat", Answer.LOOK, Reason(said), f"Measure the included angle of {port.full_name}.")
    male, female = (one, other) if one.gender == "male" else (other, one)
    if male.angle_deg is None or female.angle_deg is None:
        return Check("seat", Answer.LOOK, Reason("An angle is missing."), "Measure both cones.")
    law = rule("union cone", "difference of angle")
    off = abs(male.angle_deg - female.angle_deg)
    where = "near the small end" if male.angle_deg < female.angle_deg else "at the mouth"
    angles = f"male cone {male.angle_deg:g} deg, female {female.angle_deg:g} deg"
    figure, limit = Figure(off, "deg", None, 1), Figure(_high(law), "deg", None, 1)
    if off < _low(law):
        return Check("seat", Answer.GO, Reason(f"The cones close: {angles}."), "", figure, limit)
    reason = Reason(f"{angles[0].upper()}{angles[1:]}: they touch on a line {where}.", cite(law.sources), law.basis)
    if off <= _high(law):
        return Check("seat", Answer.LOOK, reason, "Lap the two together, or turn one to the other.", figure, limit)
    do = f"Turn the male cone to {female.angle_deg:g} deg, or open the female one with a {male.angle_deg:g} deg cutter."
    return Check("seat", Answer.STOP, reason, do, figure, limit)


def _low(law: Rule) -> float:
    return 0.0 if law.low is None else law.low


def _high(law: Rule) -> float:
    return _low(law) if law.high is None else law.high
