"""Ball valves: the way under the ball against its lift, and what the rival rules ask for, side by side.

Source: geometry; the rules by the rows "ball valve" of ``figures/valves_and_rings.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, pi, sqrt

from trialfit.finding import Basis
from trialfit.tables.fittings import ball_tangent_deg
from trialfit.tables.rules import Rule, rule

_LIFTS = ("lift in a pump", "lift in an injector", "lift for full area")


@dataclass(frozen=True)
class RuleOfLift:
    """What one rule asks for.

    Parameters
    ----------
    rule
        The rule, with its source.
    low_mm, high_mm
        Lift it asks for on this ball and seat. [mm]
    low_share, high_share
        Way under the ball at that lift over the seat's bore area. [-]
    agrees
        Whether the lift there is, where it is known, lies within the rule.
    """

    rule: Rule
    low_mm: float
    high_mm: float
    low_share: float
    high_share: float
    agrees: bool | None


@dataclass(frozen=True)
class BallValve:
    """A ball on its seat, held against the rules.

    Parameters
    ----------
    ball_mm, bore_mm
        Diameters of ball and seat. [mm]
    lift_mm
        How far it lifts; None where not known. [mm]
    ratio
        Ball over seat. [-]
    seat_share
        Seat over ball, as others say the same. [-]
    tangent_deg
        Angle to the axis at which it touches. [deg]
    bore_mm2
        Area of the seat's bore. [mm²]
    way_mm2
        Way under the ball at its lift. [mm²]
    full_lift_mm
        Lift at which the way is as great as the bore. [mm]
    ratio_rule, tangent_rule
        What the tables ask of ratio and angle.
    rules
        The rival rules of lift.
    where
        Which valve it is, in words; empty where nobody said.
    """

    ball_mm: float
    bore_mm: float
    lift_mm: float | None
    ratio: float
    seat_share: float
    tangent_deg: float
    bore_mm2: float
    way_mm2: float | None
    full_lift_mm: float
    ratio_rule: Rule
    tangent_rule: Rule
    rules: tuple[RuleOfLift, ...]
    where: str = ""

    @property
    def ratio_agrees(self) -> bool:
        """Whether ball and seat keep the tables' ratio."""
        return (self.ratio_rule.low or 0.0) <= round(self.ratio, 2) <= (self.ratio_rule.high or 0.0)

    @property
    def bases(self) -> set[Basis]:
        """What the rules rest on."""
        return {each.rule.basis for each in self.rules}


def way_under_ball_mm2(ball_mm: float, bore_mm: float, lift_mm: float) -> float:
    """Least area between a lifted ball and the sharp edge of its seat.

    Parameters
    ----------
    ball_mm, bore_mm
        Diameters of ball and seat. [mm]
    lift_mm
        How far the ball is lifted, straight up. [mm]

    Returns
    -------
    float
        Area of the cone's coat from the edge square to the ball; it may be greater than the bore. [mm²]

    Raises
    ------
    Refusal
        The ball falls through.

    Source
    ------
    Geometry: coat of the frustum along the shortest line from edge to ball.
    """
    ball_tangent_deg(ball_mm, bore_mm)
    edge, ball = bore_mm / 2.0, ball_mm / 2.0
    centre = sqrt(ball**2 - edge**2) + max(0.0, lift_mm)
    far = hypot(edge, centre)
    return pi * (edge + edge * ball / far) * (far - ball)


def lift_for_mm(ball_mm: float, bore_mm: float) -> float:
    """Lift at which the way under the ball is the bore's area.

    Parameters
    ----------
    ball_mm, bore_mm
        Diameters of ball and seat. [mm]

    Returns
    -------
    float
        Lift. [mm]

    Source
    ------
    `way_under_ball_mm2`, by halving.
    """
    wanted = pi / 4.0 * bore_mm**2
    low, high = 0.0, 10.0 * ball_mm
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if way_under_ball_mm2(ball_mm, bore_mm, middle) >= wanted else (middle, high)
    return high


def ball_valve(ball_mm: float, bore_mm: float, lift_mm: float | None = None, where: str = "") -> BallValve:
    """Hold a ball and its seat against the rival rules.

    Parameters
    ----------
    ball_mm, bore_mm
        Diameters of ball and seat. [mm]
    lift_mm
        How far it lifts; None where not known. [mm]
    where
        Which valve it is, in words.

    Returns
    -------
    BallValve
        Ratio, angle, way under the ball, and the rules side by side.

    Raises
    ------
    Refusal
        The ball falls through its seat.
    """
    bore_mm2 = pi / 4.0 * bore_mm**2

    def held(name: str) -> RuleOfLift:
        found = rule("ball valve", name)
        of = ball_mm if found.unit == "x ball" else bore_mm
        low, high = (of * (each or 0.0) for each in (found.low, found.high))
        shares = [way_under_ball_mm2(ball_mm, bore_mm, each) / bore_mm2 for each in (low, high)]
        # A rule of one figure is kept to a tenth.
        agrees = None if lift_mm is None else 0.9 * low <= lift_mm <= 1.1 * high
        return RuleOfLift(found, low, high, shares[0], shares[1], agrees)

    return BallValve(
        ball_mm,
        bore_mm,
        lift_mm,
        ball_mm / bore_mm,
        bore_mm / ball_mm,
        ball_tangent_deg(ball_mm, bore_mm),
        bore_mm2,
        None if lift_mm is None else way_under_ball_mm2(ball_mm, bore_mm, lift_mm),
        lift_for_mm(ball_mm, bore_mm),
        rule("ball valve", "ball over seat"),
        rule("ball valve", "tangent angle"),
        tuple(held(name) for name in _LIFTS),
        where,
    )
