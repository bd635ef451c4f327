"""Balls on seats: the rival rules side by side, each by name.

Source: rules in ``figures/valves_and_rings.csv``; angle and sinking by `trialfit.tables.fittings`.
"""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Answer
from trialfit.making.turned.features import Inside, TurnedPart
from trialfit.tables.fittings import ball_sinks_mm, ball_tangent_deg
from trialfit.tables.rules import Rule, rules


@dataclass(frozen=True)
class SeatRule:
    """One rule and what this seat makes of it.

    Parameters
    ----------
    name
        As the tables call it.
    says
        What it asks for, in words and figures.
    gives
        What this seat has, or the lift it would have.
    answer
        Go or look; a lift is only told, and is always go.
    rule
        The row of the tables.
    """

    name: str
    says: str
    gives: str
    answer: Answer
    rule: Rule


@dataclass(frozen=True)
class SeatFit:
    """A ball on the edge of a bore.

    Parameters
    ----------
    ball_mm, bore_mm
        Diameters. [mm]
    over
        Ball over bore. [-]
    tangent_deg
        Angle between axis and tangent where they touch; 0 where the ball falls through. [deg]
    sinks_mm
        How far the ball reaches below the edge. [mm]
    rules
        The rules side by side; none where the ball falls through.
    place
        Where the bore stands in the job.
    """

    ball_mm: float
    bore_mm: float
    over: float
    tangent_deg: float
    sinks_mm: float
    rules: tuple[SeatRule, ...]
    place: str


def seat_fits(part: TurnedPart) -> tuple[SeatFit, ...]:
    """Give the seat of every ball a part carries.

    Parameters
    ----------
    part
        The part.

    Returns
    -------
    tuple of SeatFit
        One for each bore with a ball.
    """
    return tuple(_fit(bore, bore.ball_mm) for bore in part.inside if bore.ball_mm is not None)


def _fit(bore: Inside, ball_mm: float) -> SeatFit:
    over = ball_mm / bore.size_mm
    if over <= 1.0:
        return SeatFit(ball_mm, bore.size_mm, over, 0.0, 0.0, (), bore.place)
    angle = ball_tangent_deg(ball_mm, bore.size_mm)
    held = [_rule(rule, ball_mm, bore.size_mm, over, angle) for rule in rules("ball valve") if rule.low is not None]
    return SeatFit(ball_mm, bore.size_mm, over, angle, ball_sinks_mm(ball_mm, bore.size_mm), tuple(held), bore.place)


def _rule(rule: Rule, ball_mm: float, bore_mm: float, over: float, angle_deg: float) -> SeatRule:
    low, high = rule.low or 0.0, rule.high or 0.0
    if rule.unit == "deg":
        said = f"{low:g} to {high:g} deg to the axis"
        return SeatRule(rule.name, said, f"{angle_deg:.1f} deg", _within(angle_deg, low, high), rule)
    if rule.name == "ball over seat":
        said = f"ball {low:g} to {high:g} times the bore"
        return SeatRule(rule.name, said, f"{over:.2f} times", _within(over, low, high), rule)
    base_mm, base = (ball_mm, "ball") if rule.unit == "x ball" else (bore_mm, "bore")
    range_ = f"{low:.3g}" if low == high else f"{low:.3g} to {high:.3g}"
    lifts = f"{low * base_mm:.2f} mm" if low == high else f"{low * base_mm:.2f} to {high * base_mm:.2f} mm"
    return SeatRule(rule.name, f"{range_} times the {base}", lifts, Answer.GO, rule)


def _within(value: float, low: float, high: float) -> Answer:
    return Answer.GO if low - 1e-9 <= value <= high + 1e-9 else Answer.LOOK
