"""Whether a rigid pipe can be slid into both its seats at once.

A male cone leaves or enters its seat in any direction within the seat's half angle of the axis: beyond that it runs
against the wall. A flat face lets it in from the whole half space. One movement of the pipe has to serve both ends.

Source: plane geometry of two cones of directions, which meet where the angle between their axes is at most the sum of
their half angles; checked against the seats' wall normals.
"""

from __future__ import annotations

from trialfit.finding import Answer, Figure, Finding, Reason
from trialfit.fitup.records import Array, PipePlan
from trialfit.fitup.strain import Held, finger_tight
from trialfit.fitup.vectors import angle_between_deg
from trialfit.parts.records import Port, Seat

_FLAT_DEG = 90.0


def half_angle_deg(seat: Seat) -> float | None:
    """How far off its axis a seat still lets a pipe in.

    Parameters
    ----------
    seat
        The seat.

    Returns
    -------
    float or None
        Half the cone's angle; 90 for a flat one; None where the angle is not known. A ball seats in a cone, and is
        taken by that cone's angle. [deg]
    """
    if seat.kind == "flat":
        return _FLAT_DEG
    return None if seat.angle_deg is None else seat.angle_deg / 2


def slides_in(one_way: Array, other_way: Array, one_half_deg: float, other_half_deg: float) -> bool:
    """Say whether one straight movement takes a rigid pipe into both seats.

    Parameters
    ----------
    one_way, other_way
        (3,) unit vectors out of the two unions. [-]
    one_half_deg, other_half_deg
        How far off its axis each seat lets the pipe in. [deg]

    Returns
    -------
    bool
        Whether the angle between the axes is at most the two together.
    """
    return angle_between_deg(one_way, other_way) <= one_half_deg + other_half_deg + 1e-9


def seats_finding(pipe: PipePlan, ports: tuple[Port, Port], held: Held) -> Finding | None:
    """Ask whether a pipe can be slid into both its seats.

    Parameters
    ----------
    pipe
        The pipe, laid out.
    ports
        The ports it goes to, start first.
    held
        The pipe held at its start, for what springing it takes.

    Returns
    -------
    Finding or None
        None where a seat, or its angle, is not given: the joint's own finding asks for it.
    """
    halves = [None if port.seat is None else half_angle_deg(port.seat) for port in ports]
    if halves[0] is None or halves[1] is None:
        return None
    question = "Can it be slid into both seats?"
    apart = Figure(angle_between_deg(pipe.start.direction, pipe.end.direction), "deg", None, 1)
    limit = Figure(halves[0] + halves[1], "deg", None, 1)
    said = Reason(
        f"The two unions look {apart} apart; the seats let a rigid pipe in up to {halves[0]:g} and {halves[1]:g} deg "
        "off their axes."
    )
    if slides_in(pipe.start.direction, pipe.end.direction, halves[0], halves[1]):
        return Finding("fitup", pipe.name, question, Answer.GO, apart, limit, (said,))
    force = finger_tight(held, pipe.end.direction).force
    back = Reason(
        f"For each mm its cone stands in the seat, the far end is sprung back by 1 mm, which takes {force} "
        "if the tube only springs."
    )
    do = f"Slide the nuts back, seat {pipe.start.name} first and spring the other end over its seat."
    return Finding("fitup", pipe.name, question, Answer.LOOK, apart, limit, (said, back), do)
